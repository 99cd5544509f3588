//! What to pack, in words.

use fairspell_plan::kit::{KitGroup, KitItem, KitLine, KitWhy};

use crate::text::{and_list, capital, one_line};

/// Heads the list.
pub const HEADING: &str = "In the car";

/// A group's heading.
pub fn group_name(group: KitGroup) -> &'static str {
    match group {
        KitGroup::Always => "Every time",
        KitGroup::Wet => "For rain",
        KitGroup::Heat => "For heat",
        KitGroup::Cold => "For cold",
        KitGroup::Place => "For this place and hour",
        KitGroup::Looks => "For these looks",
        KitGroup::Car => "For the road",
        KitGroup::Papers => "Papers",
    }
}

/// A thing, with how many of it.
pub fn item_name(item: KitItem) -> &'static str {
    match item {
        KitItem::Bodies => "two camera bodies",
        KitItem::Lenses => "short telephoto, moderate wide, one spare",
        KitItem::Cards => "four cards, two to write to and two spare; none left in the reader",
        KitItem::Batteries => "3 or 4 batteries off the charger, power bank",
        KitItem::GreyCard => "grey card",
        KitItem::Reflector => "reflector and diffuser, 80 to 100 cm",
        KitItem::Cloths => "four lens cloths, blower",
        KitItem::Rug => "rug, small step",
        KitItem::Pins => "safety pins, hairpins, clear bands, comb, hairspray, tape",
        KitItem::FaceKit => "blotting papers, lint roller, stain wipes, straws, mints",
        KitItem::Water => "water, a snack",
        KitItem::FirstAid => "first aid: blisters, stings, plasters",
        KitItem::Sunscreen => "sunscreen",
        KitItem::Repellent => "repellent",
        KitItem::Torch => "torch",
        KitItem::ChangingTent => "folding changing tent",
        KitItem::ClearUmbrellas => "2 or 3 clear dome umbrellas",
        KitItem::LargeUmbrellas => "1 or 2 large umbrellas, for you and the companion",
        KitItem::RainCovers => "rain covers, shower cap, elastic, lens hood",
        KitItem::Towels => "6 towels, 2 of them dark",
        KitItem::BinBags => "bin bags: to sit and kneel on, over bags, for a wet dress",
        KitItem::Silica => "silica gel in zip bags",
        KitItem::SpareShoes => "spare shoes and socks",
        KitItem::PlasticRug => "plastic rug",
        KitItem::UmbrellaCloth => "a cloth for the umbrellas' insides",
        KitItem::OldCoat => "an old coat for between pictures",
        KitItem::DryBag => "dry bag for the telephones",
        KitItem::MoreWater => "water for everybody, a break every 20 minutes",
        KitItem::Shade => "a white umbrella or cloth for shade",
        KitItem::CoolCloths => "wet cloths in a cool box",
        KitItem::Coats => "coats for between pictures",
        KitItem::HandWarmers => "hand warmers, lip balm",
        KitItem::Flask => "a hot flask",
        KitItem::BagOut => {
            "the camera bag out of the cooled car in time, nothing colder than the air"
        }
        KitItem::HeadTorches => "head torches, one each",
        KitItem::RepellentAtHand => {
            "repellent in the pocket; the marsh first, not in its last 20 minutes"
        }
        KitItem::SandTowel => "a towel and water for sandy feet",
        KitItem::SecondBag => "hangers and a second dry bag",
        KitItem::HemClips => "clips for the hem",
        KitItem::HairKit => "pins and spray to put the hair up",
        KitItem::WalkingShoes => "walking shoes beside the heels",
        KitItem::LookExtras => "each look's own: underwear, jewellery, sash, medal, spare glasses",
        KitItem::DryClothes => "dry clothes for the drive",
        KitItem::JumperLeads => "jumper leads, a full tank",
        KitItem::NightBag => "a bag for the night",
        KitItem::Addresses => "addresses and telephone numbers on paper",
        KitItem::Insurance => "insurance card",
        KitItem::Permit => "the permit's copy",
        KitItem::SomebodyKnows => "somebody at home knows where you are and until when",
    }
}

/// Why a thing comes along.
pub fn why_said(why: &KitWhy) -> String {
    let names = |names: &[String]| {
        and_list(&names.iter().map(|name| one_line(name)).collect::<Vec<String>>())
    };
    match why {
        KitWhy::RainPossible => "rain is possible".to_owned(),
        KitWhy::RainNotKnown => "whether it will rain is not known".to_owned(),
        KitWhy::Hot => "it will feel warm".to_owned(),
        KitWhy::Cold => "it will feel cold".to_owned(),
        KitWhy::TemperatureNotKnown => "how warm it will be is not known".to_owned(),
        KitWhy::Mist => "glass mists in this air".to_owned(),
        KitWhy::DarkPath => "it is dark when you walk back".to_owned(),
        KitWhy::Insects => "warm, still air near water".to_owned(),
        KitWhy::Sand => "a spot lies on sand".to_owned(),
        KitWhy::ForLooks(looks) => names(looks),
        KitWhy::LongDrive => "a long drive".to_owned(),
        KitWhy::StayOver => "the way home ends late or is long".to_owned(),
        KitWhy::PermitFor(spots) => names(spots),
    }
}

/// Heads a group with what its things have in common: "For rain (rain is possible)".
pub fn group_heading(group: KitGroup, lines: &[KitLine]) -> String {
    let shared = lines
        .first()
        .and_then(|line| line.why.as_ref())
        .filter(|why| lines.len() > 1 && lines.iter().all(|line| line.why.as_ref() == Some(why)));
    match shared {
        Some(why) => format!("{} ({})", group_name(group), why_said(why)),
        None => group_name(group).to_owned(),
    }
}

/// A line of the list: "Clips for the hem: sari", without what its heading has said already.
///
/// - `is_shared`: whether the group's heading gives the reason.
pub fn line(line: &KitLine, is_shared: bool) -> String {
    let name = capital(item_name(line.item));
    match line.why.as_ref().filter(|_| !is_shared) {
        Some(why) => format!("{name} ({})", why_said(why)),
        None => name,
    }
}

/// The list as text, a group after the other; what is ticked is marked.
///
/// - `ticked`: whether a thing is in the car already.
pub fn kit_lines(kit: &[KitLine], ticked: impl Fn(KitItem) -> bool) -> Vec<String> {
    let mut lines = vec![format!("{HEADING}:")];
    for group in kit.chunk_by(|a, b| a.item.group() == b.item.group()) {
        let Some(first) = group.first() else { continue };
        let heading = group_heading(first.item.group(), group);
        let is_shared = heading != group_name(first.item.group());
        lines.push(format!("  {heading}"));
        lines.extend(group.iter().map(|one| {
            let mark = if ticked(one.item) { "x" } else { " " };
            format!("    [{mark}] {}", line(one, is_shared))
        }));
    }
    lines
}
