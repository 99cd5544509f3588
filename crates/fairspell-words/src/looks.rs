//! What to mind about a look at its spot, and where its colour goes well.

use fairspell_studio::{Hair, Hem, LookAdvice, look_table::Verdict, site::Ground};

use crate::{
    numbers::{minutes, with_unit},
    text::{and_list, capital, one_line},
};

/// What to mind about a look, in one or two sentences.
///
/// # Examples
///
/// ```
/// use fairspell_studio::LookAdvice;
/// use fairspell_words::looks::advice_line;
///
/// let satin = LookAdvice::KeepDry {
///     shows_drops: true,
///     marks_for_good: true,
///     loses_shape: false,
///     dries_min: None,
///     has_roof: false,
/// };
/// assert_eq!(
///     advice_line(&satin),
///     "Rain is possible, and water marks it for good: make this look first, or under a roof."
/// );
/// ```
pub fn advice_line(advice: &LookAdvice) -> String {
    match advice {
        LookAdvice::KeepDry { shows_drops, marks_for_good, loses_shape, dries_min, has_roof } => {
            let drops = match (marks_for_good, shows_drops) {
                (true, _) => Some("water marks it for good".to_owned()),
                (false, true) => Some(drops_show(*dries_min)),
                (false, false) => None,
            };
            let shape = loses_shape.then(|| "it loses its shape when wet".to_owned());
            let harm: Vec<String> = drops.into_iter().chain(shape).collect();
            let what = if *has_roof {
                "stay under the roof with it, and keep it covered on the way there"
            } else {
                "make this look first, or under a roof"
            };
            format!("Rain is possible, and {}: {what}.", and_list(&harm))
        }
        LookAdvice::Colour { colour, backdrop, verdict } => {
            let colour = capital(&one_line(colour));
            format!("{colour} {}.", against(*verdict, backdrop.as_deref()))
        }
        LookAdvice::HemTooLong { hem, ground } => {
            let reach = match hem {
                Hem::Floor => "floor",
                Hem::Ankle | Hem::Knee | Hem::Short => "ankle",
            };
            let what = "Lift it on the way, or change where it is dry.";
            format!("The hem reaches the {reach} and gets wet on {}. {what}", wet(*ground))
        }
        LookAdvice::ShoesSink { shoes, ground } => {
            let shoes = capital(&one_line(shoes));
            let what = "bring walking shoes, and change at the spot";
            format!("{shoes} {}: {what}.", sinks(*ground))
        }
        LookAdvice::CurlsDrop { humidity_percent } => format!(
            "Curls drop within 30 to 60 minutes in air as damp as this ({}): make the pictures \
             with the hair down first.",
            with_unit(*humidity_percent, 0, "%")
        ),
        LookAdvice::WindInHair { gust_km_h } => format!(
            "Gusts of {} at the spot get into open hair: stand in a lee, or pin it up.",
            with_unit(*gust_km_h, 0, "km/h")
        ),
    }
}

fn drops_show(dries_min: Option<u32>) -> String {
    let show = "drops show on it";
    dries_min.map_or_else(
        || show.to_owned(),
        |dry| format!("{show} until it has dried (about {})", minutes(f64::from(dry))),
    )
}

/// How a colour stands against a backdrop: "sinks into the dry grass".
fn against(verdict: Verdict, backdrop: Option<&str>) -> String {
    let behind = backdrop.map_or_else(
        || "whatever stands behind".to_owned(),
        |name| format!("the {}", one_line(name)),
    );
    match (verdict, backdrop) {
        (Verdict::SinksIn, _) => format!("sinks into {behind}"),
        (Verdict::Vanishes, _) => format!("vanishes against {behind}"),
        (Verdict::Shines, _) => format!("shines in front of {behind}"),
        (Verdict::CastsColour, None) => "throws its colour on chin and neck".to_owned(),
        (Verdict::CastsColour, Some(_)) => {
            format!("throws its colour on chin and neck in front of {behind}")
        }
        (Verdict::Suits, _) => format!("goes well with {behind}"),
    }
}

fn wet(ground: Ground) -> &'static str {
    match ground {
        Ground::Grass => "wet grass",
        Ground::Sand | Ground::WetSand => "wet sand",
        Ground::Stone => "wet stone",
        Ground::Boards | Ground::Water => "wet boards",
        Ground::Earth => "muddy earth",
        Ground::Asphalt => "wet asphalt",
        Ground::Snow => "snow",
    }
}

fn sinks(ground: Ground) -> &'static str {
    match ground {
        Ground::Grass => "sink into grass",
        Ground::Sand | Ground::WetSand => "sink into sand",
        Ground::Snow => "sink into snow",
        Ground::Boards | Ground::Water => "catch between the boards",
        Ground::Earth | Ground::Stone | Ground::Asphalt => "sink into soft ground",
    }
}

/// Where a look's colour goes well: "Sage satin: well at Heron Walk and Long Dune; at Paperbark
/// Ring it sinks into the green wood". `None` where nothing tells the spots apart.
///
/// - `well`: names of the spots where the table says that it goes well.
/// - `silent`: names of those of which the table says nothing; named only where `well` is empty.
/// - `less`: names of others, each with the backdrop and why.
pub fn pairing_line(
    look: &str,
    well: &[&str],
    silent: &[&str],
    less: &[(&str, Option<&str>, Verdict)],
) -> Option<String> {
    let is_alike = less.is_empty() && (well.is_empty() || silent.is_empty());
    if is_alike || (well.is_empty() && silent.is_empty()) {
        return None;
    }
    let (what, spots) =
        if well.is_empty() { ("nothing against it at", silent) } else { ("well at", well) };
    let spots: Vec<String> = spots.iter().map(|spot| one_line(spot)).collect();
    let against = |(spot, backdrop, verdict): &(&str, Option<&str>, Verdict)| {
        format!("; at {} it {}", one_line(spot), against(*verdict, *backdrop))
    };
    let less: String = less.iter().map(against).collect();
    Some(format!("{}: {what} {}{less}", capital(&one_line(look)), and_list(&spots)))
}

/// A hem, as forms call it.
pub fn hem(hem: Hem) -> &'static str {
    match hem {
        Hem::Short => "above the knee",
        Hem::Knee => "the knee or the calf",
        Hem::Ankle => "the ankle",
        Hem::Floor => "the floor",
    }
}

/// How hair is done, as forms call it.
pub fn hair(hair: Hair) -> &'static str {
    match hair {
        Hair::Down => "down",
        Hair::Curled => "down, in curls or waves",
        Hair::HalfUp => "half up",
        Hair::Up => "up",
        Hair::Braided => "in plaits",
        Hair::Short => "short",
    }
}

/// How a colour goes with a backdrop, as forms call it.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::SinksIn => "sinks in",
        Verdict::Vanishes => "vanishes",
        Verdict::Shines => "shines",
        Verdict::CastsColour => "throws its colour on the face",
        Verdict::Suits => "goes well",
    }
}
