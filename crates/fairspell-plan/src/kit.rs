//! What goes into the car for this sky, these spots and these looks.
//!
//! The list is common practice; what is added beyond the usual each time has its reason. Where nobody
//! knows whether it will rain, or how warm it is, the things for it come along: missing is never dry.

use fairspell_almanac::{Crossing, evening_end};
use fairspell_studio::{
    Outlook, Session, Studio,
    look_advice::LookSky,
    session::{Hair, Hem, Look},
    site::Ground,
};
use jiff::tz::TimeZone;

use crate::{evening, leave::LeaveAdvice};

/// Under which heading a thing stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum KitGroup {
    /// Comes along every time.
    Always,
    /// For rain and wet ground.
    Wet,
    /// For heat.
    Heat,
    /// For cold.
    Cold,
    /// For this place and this hour.
    Place,
    /// For these looks.
    Looks,
    /// In the car.
    Car,
    /// Papers.
    Papers,
}

macro_rules! kit_items {
    ($($(#[$doc:meta])* $item:ident $slug:literal $group:ident,)*) => {
        /// A thing to pack.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum KitItem { $($(#[$doc])* $item,)* }

        impl KitItem {
            /// All of them, group by group.
            pub const ALL: &[KitItem] = &[$(KitItem::$item,)*];

            /// Its name in files and forms.
            pub fn slug(self) -> &'static str {
                match self { $(KitItem::$item => $slug,)* }
            }

            /// Its heading.
            pub fn group(self) -> KitGroup {
                match self { $(KitItem::$item => KitGroup::$group,)* }
            }
        }
    };
}

kit_items! {
    /// Two bodies.
    Bodies "bodies" Always,
    /// A short telephoto, a moderate wide and a spare.
    Lenses "lenses" Always,
    /// Two pairs of cards, written to both, and two spare ones.
    Cards "cards" Always,
    /// Batteries, charged, and a power bank.
    Batteries "batteries" Always,
    /// A grey card.
    GreyCard "grey_card" Always,
    /// Reflector and diffuser.
    Reflector "reflector" Always,
    /// Cloths and blower.
    Cloths "cloths" Always,
    /// Rug and small step.
    Rug "rug" Always,
    /// Pins, bands, comb, tape.
    Pins "pins" Always,
    /// Blotting papers, lint roller, stain wipes, mints.
    FaceKit "face_kit" Always,
    /// Water and something to eat.
    Water "water" Always,
    /// First aid.
    FirstAid "first_aid" Always,
    /// Sunscreen.
    Sunscreen "sunscreen" Always,
    /// Repellent.
    Repellent "repellent" Always,
    /// A torch.
    Torch "torch" Always,
    /// A changing tent.
    ChangingTent "changing_tent" Always,
    /// Clear dome umbrellas, one for each head.
    ClearUmbrellas "clear_umbrellas" Wet,
    /// Large umbrellas for photographer and companion.
    LargeUmbrellas "large_umbrellas" Wet,
    /// Rain covers for the cameras.
    RainCovers "rain_covers" Wet,
    /// Towels.
    Towels "towels" Wet,
    /// Bin bags, to sit and kneel on, to cover bags.
    BinBags "bin_bags" Wet,
    /// Silica gel in zip bags.
    Silica "silica" Wet,
    /// Spare shoes and socks.
    SpareShoes "spare_shoes" Wet,
    /// A plastic rug.
    PlasticRug "plastic_rug" Wet,
    /// A cloth for the insides of umbrellas.
    UmbrellaCloth "umbrella_cloth" Wet,
    /// An old coat for between pictures.
    OldCoat "old_coat" Wet,
    /// A dry bag for the telephones.
    DryBag "dry_bag" Wet,
    /// More water, for everybody.
    MoreWater "more_water" Heat,
    /// Something to throw shade.
    Shade "shade" Heat,
    /// Wet cloths in a cool box.
    CoolCloths "cool_cloths" Heat,
    /// Coats for between pictures.
    Coats "coats" Cold,
    /// Hand warmers and lip balm.
    HandWarmers "hand_warmers" Cold,
    /// A hot flask.
    Flask "flask" Cold,
    /// The camera bag, out of the cooled car in time.
    BagOut "bag_out" Place,
    /// Head torches: the way back is dark.
    HeadTorches "head_torches" Place,
    /// Repellent within reach, and the marsh first.
    RepellentAtHand "repellent_at_hand" Place,
    /// A towel and water for sand and feet.
    SandTowel "sand_towel" Place,
    /// Hangers and a second bag, for a look that water or drops spoil.
    SecondBag "second_bag" Looks,
    /// Clips for a long hem.
    HemClips "hem_clips" Looks,
    /// Pins and spray to put open hair up.
    HairKit "hair_kit" Looks,
    /// Walking shoes beside heels.
    WalkingShoes "walking_shoes" Looks,
    /// What each look has beside its dress: underwear, jewellery, sash, medal.
    LookExtras "look_extras" Looks,
    /// Dry clothes for the drive.
    DryClothes "dry_clothes" Car,
    /// Jumper leads and a full tank.
    JumperLeads "jumper_leads" Car,
    /// A bag for the night.
    NightBag "night_bag" Car,
    /// Addresses and telephone numbers on paper.
    Addresses "addresses" Papers,
    /// The insurance card.
    Insurance "insurance" Papers,
    /// The permit's copy.
    Permit "permit" Papers,
    /// Somebody at home knows where and until when.
    SomebodyKnows "somebody_knows" Papers,
}

impl KitItem {
    /// The thing of a name.
    pub fn of_slug(slug: &str) -> Option<KitItem> {
        Self::ALL.iter().copied().find(|item| item.slug() == slug)
    }
}

/// Why a thing comes along that does not come every time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum KitWhy {
    /// Rain is possible.
    RainPossible,
    /// Nobody knows whether it will rain.
    RainNotKnown,
    /// It is warm: from 27 °C felt on.
    Hot,
    /// It is cold: below 10 °C felt.
    Cold,
    /// Nobody knows how warm it will be.
    TemperatureNotKnown,
    /// Cold glass mists in this air.
    Mist,
    /// Work ends after dark has begun, at a spot without lamps.
    DarkPath,
    /// Warm, still air near water at dusk.
    Insects,
    /// A spot lies on sand.
    Sand,
    /// These looks, by name.
    ForLooks(Vec<String>),
    /// The drive is a long one.
    LongDrive,
    /// The way home ends late or is long.
    StayOver,
    /// A spot asks for a permit, by name.
    PermitFor(Vec<String>),
}

/// One line of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitLine {
    /// The thing.
    pub item: KitItem,
    /// Why, where it does not come along every time.
    pub why: Option<KitWhy>,
}

/// Felt temperature from which heat has to be packed for, °C.
///
/// # Source
///
/// US National Weather Service, heat index: "caution" begins at 80 °F.
const HOT_FROM_C: f64 = 27.0;

/// Felt temperature below which coats stay on between pictures, °C. Common practice.
const COLD_BELOW_C: f64 = 10.0;

/// Midges and mosquitoes come in air this warm and still. Common practice: wind above about 10 km/h
/// clears them.
const INSECTS_FROM_C: f64 = 18.0;
const INSECTS_BELOW_KM_H: f64 = 10.0;

/// A drive from which on the car has to be fit for the night too, minutes. Common practice: most
/// sessions lie within 45.
const LONG_DRIVE_MIN: u32 = 60;

/// The list for a session, group by group.
///
/// - `outlook`: its sky.
/// - `leave`: the leave gate's answer: it knows of mist and of the way home.
pub fn kit(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    outlook: &Outlook,
    leave: &LeaveAdvice,
) -> Vec<KitLine> {
    let why = |item: KitItem| match item.group() {
        KitGroup::Always => Some(None),
        KitGroup::Wet => wet(studio, outlook).map(Some),
        KitGroup::Heat => warmth(outlook, KitWhy::Hot, |c| c.1 >= HOT_FROM_C).map(Some),
        KitGroup::Cold => warmth(outlook, KitWhy::Cold, |c| c.0 < COLD_BELOW_C).map(Some),
        KitGroup::Place => place(studio, zone, session, outlook, leave, item).map(Some),
        KitGroup::Looks => looks(studio, session, item).map(Some),
        KitGroup::Car => car(session, outlook, studio, leave, item).map(Some),
        KitGroup::Papers => papers(studio, session, item),
    };
    let line = |item: &KitItem| why(*item).map(|why| KitLine { item: *item, why });
    KitItem::ALL.iter().filter_map(line).collect()
}

fn wet(studio: &Studio, outlook: &Outlook) -> Option<KitWhy> {
    match LookSky::of(outlook, &studio.policy).rain_possible {
        Some(true) => Some(KitWhy::RainPossible),
        // The radar may see what the forecast does not.
        Some(false) => wet_minute(studio, outlook).then_some(KitWhy::RainPossible),
        None => Some(KitWhy::RainNotKnown),
    }
}

fn wet_minute(studio: &Studio, outlook: &Outlook) -> bool {
    let from = studio.policy.any_rain.watch_from_percent;
    let percent = fairspell_studio::ruling::whole_percent;
    outlook.p_wet_minute.as_ref().is_some_and(|wet| percent(wet.value.centre) >= from)
}

/// By the lowest and the highest felt temperature.
fn warmth(outlook: &Outlook, why: KitWhy, is_it: impl Fn((f64, f64)) -> bool) -> Option<KitWhy> {
    let comfort = &outlook.comfort;
    let felt = comfort.felt_min_c.as_ref().zip(comfort.felt_max_c.as_ref());
    match felt {
        Some((min, max)) if is_it((min.value, max.value)) => Some(why),
        Some(_) if comfort.temperature_is_complete => None,
        _ => Some(KitWhy::TemperatureNotKnown),
    }
}

fn place(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    outlook: &Outlook,
    leave: &LeaveAdvice,
    item: KitItem,
) -> Option<KitWhy> {
    let spots = evening::spots(studio, session);
    let is_on = |grounds: &[Ground]| {
        spots.iter().any(|spot| spot.site.ground.is_some_and(|ground| grounds.contains(&ground)))
    };
    match item {
        KitItem::BagOut => {
            let bag = leave.bag?;
            (bag.mist != fairspell_light::LensMist::Clear).then_some(KitWhy::Mist)
        }
        KitItem::HeadTorches => {
            let last = spots.last()?;
            let date = session.start.date();
            let dusk = match evening_end(date, zone, last.position, DARK_BELOW_DEG) {
                Crossing::At(dusk) => dusk,
                Crossing::AlwaysAbove | Crossing::AlwaysBelow => return None,
            };
            // Packed and walked back, it is a while after the last picture.
            let back = outlook.evening.to
                + jiff::SignedDuration::from_mins(i64::from(last.site.walk_min) + PACKING_MIN);
            (!last.site.lamps && back >= dusk).then_some(KitWhy::DarkPath)
        }
        KitItem::RepellentAtHand => {
            let comfort = &outlook.comfort;
            let is_warm = comfort.felt_max_c.as_ref()?.value >= INSECTS_FROM_C;
            let is_still = comfort.wind_speed_km_h.as_ref()?.value < INSECTS_BELOW_KM_H;
            let near_water = spots.iter().any(|spot| spot.shore)
                || is_on(&[Ground::Boards, Ground::Water, Ground::Earth]);
            (is_warm && is_still && near_water).then_some(KitWhy::Insects)
        }
        KitItem::SandTowel => is_on(&[Ground::Sand, Ground::WetSand]).then_some(KitWhy::Sand),
        _ => None,
    }
}

/// The sun's height, degrees, below which a path needs a torch: the end of civil twilight.
const DARK_BELOW_DEG: f64 = -6.0;
/// Packing up, minutes. Common practice.
const PACKING_MIN: i64 = 10;

fn looks(studio: &Studio, session: &Session, item: KitItem) -> Option<KitWhy> {
    let table = &studio.look_table;
    let needs = |look: &&Look| match item {
        KitItem::SecondBag => table.marks_for_good(look) || table.shows_drops(look),
        KitItem::HemClips => look.hem == Some(Hem::Floor),
        KitItem::HairKit => look.hair.is_some_and(Hair::is_open),
        KitItem::WalkingShoes => look.shoes.as_deref().is_some_and(|shoes| table.sinks(shoes)),
        KitItem::LookExtras => true,
        _ => false,
    };
    let names: Vec<String> =
        session.looks.iter().filter(needs).map(|look| look.name.clone()).collect();
    (!names.is_empty()).then_some(KitWhy::ForLooks(names))
}

fn car(
    session: &Session,
    outlook: &Outlook,
    studio: &Studio,
    leave: &LeaveAdvice,
    item: KitItem,
) -> Option<KitWhy> {
    let is_long = session.drive.minutes >= LONG_DRIVE_MIN;
    match item {
        KitItem::DryClothes => wet(studio, outlook),
        KitItem::JumperLeads => is_long.then_some(KitWhy::LongDrive),
        KitItem::NightBag => leave.driver.stay_over().then_some(KitWhy::StayOver),
        _ => None,
    }
}

/// `Some(None)` for what comes along every time.
#[expect(clippy::option_option, reason = "left out, as always and for a reason are three answers")]
fn papers(studio: &Studio, session: &Session, item: KitItem) -> Option<Option<KitWhy>> {
    if item != KitItem::Permit {
        return Some(None);
    }
    let date = session.start.date();
    let asks = |id: &str| {
        session.dates.permits.iter().any(|permit| permit.spot == id && permit.date == date)
    };
    let spots: Vec<String> = evening::spots(studio, session)
        .into_iter()
        .filter(|spot| spot.site.permit.is_some() || asks(&spot.id))
        .map(|spot| spot.name.clone())
        .collect();
    (!spots.is_empty()).then_some(Some(KitWhy::PermitFor(spots)))
}
