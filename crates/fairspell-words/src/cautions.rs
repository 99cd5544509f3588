//! The usual cautions, in plain words, per kind of danger.
//!
//! None of them is a permission. Each ends by giving way to official warnings and local rules,
//! because those know the place and the hour and we do not.

use fairspell_studio::{Question, Rule};

use crate::text::one_line;

/// A kind of danger to people outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hazard {
    /// Thunder and lightning.
    Lightning,
    /// Water over the road, low bridges, fords.
    FloodedRoads,
    /// Heat.
    Heat,
    /// Cold, snow and ice.
    Cold,
    /// Strong wind.
    Wind,
    /// Surf, rips, storm surge, high tides.
    Surf,
    /// Fire and smoke.
    Smoke,
    /// Fog and dust on the road.
    Fog,
    /// Anything else that an official service warns of.
    Other,
}

/// Parts of events' names, in lower case, and the dangers they bring.
const NAMED: [(&str, &[Hazard]); 27] = [
    ("thunder", &[Hazard::Lightning, Hazard::FloodedRoads]),
    ("lightning", &[Hazard::Lightning]),
    ("tornado", &[Hazard::Lightning, Hazard::Wind]),
    ("hurricane", &[Hazard::Wind, Hazard::FloodedRoads, Hazard::Surf]),
    ("cyclone", &[Hazard::Wind, Hazard::FloodedRoads, Hazard::Surf]),
    ("tropical storm", &[Hazard::Wind, Hazard::FloodedRoads, Hazard::Surf]),
    ("flood", &[Hazard::FloodedRoads]),
    ("rain", &[Hazard::FloodedRoads]),
    ("surge", &[Hazard::Surf, Hazard::FloodedRoads]),
    ("surf", &[Hazard::Surf]),
    ("rip current", &[Hazard::Surf]),
    ("beach", &[Hazard::Surf]),
    ("tsunami", &[Hazard::Surf]),
    ("coastal", &[Hazard::Surf]),
    ("heat", &[Hazard::Heat]),
    ("cold", &[Hazard::Cold]),
    ("chill", &[Hazard::Cold]),
    ("freez", &[Hazard::Cold]),
    ("frost", &[Hazard::Cold]),
    ("winter", &[Hazard::Cold]),
    ("blizzard", &[Hazard::Cold, Hazard::Wind]),
    ("wind", &[Hazard::Wind]),
    ("gale", &[Hazard::Wind]),
    ("fire", &[Hazard::Smoke]),
    ("smoke", &[Hazard::Smoke]),
    ("fog", &[Hazard::Fog]),
    ("dust", &[Hazard::Fog, Hazard::Wind]),
];

/// The dangers that an official event brings, by its name; [`Hazard::Other`] when it tells nothing.
///
/// Each once, in the order of [`Hazard`]. A name in another language tells nothing, and the caution
/// then says to follow the official one.
///
/// # Examples
///
/// ```
/// use fairspell_words::cautions::{Hazard, hazards};
///
/// assert_eq!(hazards("Flood Watch"), [Hazard::FloodedRoads]);
/// assert_eq!(hazards("Civil Danger Warning"), [Hazard::Other]);
/// ```
pub fn hazards(event: &str) -> Vec<Hazard> {
    let event = event.to_lowercase();
    // "Wind chill" is cold; there is no wind to speak of in it.
    let event = event.replace("wind chill", "chill");
    let mut found: Vec<Hazard> = NAMED
        .iter()
        .filter(|(part, _)| event.contains(part))
        .flat_map(|(_, hazards)| hazards.iter().copied())
        .collect();
    found.sort_unstable();
    found.dedup();
    if found.is_empty() { vec![Hazard::Other] } else { found }
}

/// The cautions for the danger that a rule decides by; none for rain alone, or for what is not known.
pub(crate) fn cautions_of(rule: &Rule) -> Vec<&'static str> {
    dangers_of(rule).into_iter().map(caution).collect()
}

/// The same for a ruling: on the day, from hair and make-up on, always with the one for thunder, which
/// no forecast and no radar rules out.
pub(crate) fn cautions_of_ruling(rule: &Rule, question: Question) -> Vec<&'static str> {
    let mut dangers = dangers_of(rule);
    if question == Question::DryGap && !dangers.contains(&Hazard::Lightning) {
        dangers.push(Hazard::Lightning);
    }
    dangers.into_iter().map(caution).collect()
}

fn dangers_of(rule: &Rule) -> Vec<Hazard> {
    match rule {
        Rule::StopWarning { warning } | Rule::HoldWarning { warning } => {
            hazards(&one_line(&warning.event))
        }
        Rule::ThunderMentioned { .. } => vec![Hazard::Lightning],
        Rule::TooHot { .. } => vec![Hazard::Heat],
        Rule::TooCold { .. } => vec![Hazard::Cold],
        Rule::TooWindy { .. } | Rule::NoSpotBearsWind { .. } => vec![Hazard::Wind],
        _ => Vec::new(),
    }
}

/// The caution for one kind of danger.
///
/// # Source
///
/// - Lightning: US National Weather Service, "When thunder roars, go indoors" and the 30-30 rule;
///   a porch, an open shed and a picnic shelter are no refuge.
/// - Flooded roads: US National Weather Service and FEMA, "Turn around, don't drown".
/// - Heat: US National Weather Service heat index; values are for shade, full sun adds up to 8 °C.
/// - Cold: National Weather Service and Environment Canada wind chill chart of 2001; at the wind
///   chills of a mild coast what matters is comfort in thin clothes (common practice).
/// - Wind: Beaufort land signs (umbrellas are hard to use from force 6); common practice for trees.
/// - Surf, smoke, fog: common practice.
pub fn caution(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::Lightning => {
            "Thunder: at the first thunder or flash stop and go into a solid building or a closed \
             car with a metal roof. Porches, open sheds and trees are no refuge. Stay for 30 \
             minutes after the last thunder; each new one starts the 30 minutes again. Official \
             warnings and local rules come first."
        }
        Hazard::FloodedRoads => {
            "Water on the road: never drive or walk into it; turn round. 15 cm of moving water \
             knocks a person over, 30 cm floats a small car, and nobody can judge the depth, least \
             of all at night. Check the way home as well. Official warnings and road closures come \
             first."
        }
        Hazard::Heat => {
            "Heat: shade, water and short sets, and a break at least every 20 minutes; full sun \
             feels up to 8 °C hotter than the figure, which is for shade. Anyone who feels faint \
             sits down in the shade and the session ends. Official warnings and medical advice \
             come first."
        }
        Hazard::Cold => {
            "Cold: coats on between pictures, hands and lips first, and a warm car nearby; thin \
             clothes and wind chill people within minutes. Mind ice on steps and roads. Official \
             warnings and local rules come first."
        }
        Hazard::Wind => {
            "Wind: keep away from trees, loose roofs and open water; no umbrellas, stands or \
             reflectors in gusts. Headlands and beaches are windier than the forecast's figure. \
             Official warnings and local rules come first."
        }
        Hazard::Surf => {
            "Sea: stay off rocks, low boards and wet sand near breaking waves, and never turn your \
             back on the water; wind drives the tide higher than its table says. Official warnings, \
             closures and lifeguards come first."
        }
        Hazard::Smoke => {
            "Fire and smoke: leave early rather than late, and spare anyone with asthma the smoke. \
             Official warnings, fire bans and closures come first."
        }
        Hazard::Fog => {
            "Poor sight on the road: drive slowly with lights on, or wait until it lifts. Official \
             warnings and local rules come first."
        }
        Hazard::Other => {
            "Read the official warning itself and do what it says; it comes before any plan here, \
             and so do local rules."
        }
    }
}

/// What stands under every ruling.
pub const ADVICE_ONLY: &str = "This is advice from figures. Official warnings, local rules and your own judgement on the spot \
     come first.";
