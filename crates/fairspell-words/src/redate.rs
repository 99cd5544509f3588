//! One plan when a week washes out: who goes where, why, and what that costs.

use fairspell_chance::Probability;
use fairspell_plan::{
    evening_rain::{EveningRain, RainVoice},
    moves::{MoveNext, MoveReason, Moves, NoMoves},
    redate::{Candidate, OutOfReach, Redating, Way},
};
use fairspell_studio::{Studio, permit::PermitStanding};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::{
    clock::{date, date_and_clock, moment},
    names::band_name,
    numbers::of_hundred,
    text::one_line,
    time_left,
};

/// What the costs are.
pub const COSTS_MEAN: &str = "Costs are what each evening is expected to lose, in your own currency: \
                              rain, the artist, permits, light and waiting, by the amounts under \
                              Studio. They are advice; the policy rules, and you do.";

/// What each session gets: "Linh: Sun 20 Sep, 15:35."
pub fn chosen(sitter: &str, candidate: &Candidate, is_own: bool) -> String {
    let sitter = one_line(sitter);
    let when = date_and_clock(candidate.start);
    match candidate.way {
        Way::Whole if is_own => format!("{sitter}: stays on {when}."),
        Way::Whole => format!("{sitter}: {when}."),
        Way::CoveredThenRest if is_own => {
            format!("{sitter}: stays on {when}, with a covered set, the rest later.")
        }
        Way::CoveredThenRest => format!("{sitter}: {when}, a covered set, the rest later."),
    }
}

/// Why it got that evening.
pub fn reason(redating: &Redating, session: usize) -> Option<String> {
    let moves = redating.moves.as_ref().ok()?;
    let choice = moves.choices.get(session)?;
    let sitter = |index: usize| {
        redating.sessions.get(index).map(|it| one_line(&it.sitter)).unwrap_or_default()
    };
    let evening = |index: Option<usize>| {
        index.and_then(|index| redating.evenings.get(index)).map(|it| date(*it)).unwrap_or_default()
    };
    let why = match choice.why {
        MoveReason::OwnCheapest => "No other evening costs this family less.".to_owned(),
        MoveReason::TakenByOther { session, saved } => {
            let saved = saved.map_or_else(String::new, |saved| {
                format!(" The other way round the whole would cost {saved:.0} more.")
            });
            format!(
                "{} would cost less, but {} needs it more.{saved}",
                evening(choice.own_cheapest),
                sitter(session)
            )
        }
        MoveReason::LimitFull { .. } => {
            format!("{} would cost less, but its week is full.", evening(choice.own_cheapest))
        }
        MoveReason::LeftUnplaced => "No evening is worth what it costs.".to_owned(),
    };
    let next = match choice.next {
        MoveNext::Rises(more) if more < 0.5 => " Another evening does as well.".to_owned(),
        MoveNext::Rises(more) => {
            format!(" Without this evening the whole plan costs {more:.0} more.")
        }
        MoveNext::Impossible => " There is no plan without it.".to_owned(),
        MoveNext::NotProven { .. } => String::new(),
    };
    Some(format!("{why}{next}"))
}

/// What its cost is made of: "Rain 30, moving 95, waiting 10; 135 in all."
pub fn costs(candidate: &Candidate) -> String {
    let costs = &candidate.costs;
    let parts: Vec<String> = [
        ("rain", costs.rain),
        ("moving", costs.moving),
        ("permit", costs.permit),
        ("light", costs.light),
        ("waiting", costs.waiting),
        ("a working evening", costs.working_evening),
        ("a second evening", costs.second_evening),
    ]
    .into_iter()
    .filter(|(_, amount)| *amount >= 0.5)
    .map(|(name, amount)| format!("{name} {amount:.0}"))
    .collect();
    if parts.is_empty() {
        return "It costs nothing to speak of.".to_owned();
    }
    format!("Expected to cost {:.0}: {}.", costs.total(), parts.join(", "))
}

/// What the rain of an evening is expected to be, and who says so.
pub fn rain(rain: &EveningRain, zone: &TimeZone) -> String {
    let chance = of_hundred(rain.p_rain.get());
    let gap = rain.p_gap.map_or_else(
        || "nobody can say how likely a dry gap is".to_owned(),
        |gap| format!("a dry gap in {} of 100", of_hundred(gap.get())),
    );
    match &rain.voice {
        RainVoice::Forecast { source, issued } => format!(
            "Rain in its hours: {chance} %; {gap} ({}, made {}).",
            one_line(source),
            moment(*issued, zone)
        ),
        RainVoice::Climate { station, evenings } => format!(
            "No forecast reaches that far. In its month it rained in these hours on {chance} of 100 \
             evenings; {gap} ({evenings} evenings at {}).",
            one_line(station)
        ),
        RainVoice::Default => format!(
            "No forecast reaches that far, and no record of past evenings is here: {chance} of 100 \
             is our estimate."
        ),
    }
}

/// A share of evenings: "17 of 100 evenings".
pub fn of_hundred_evenings(p: Probability) -> String {
    format!("{} of 100 evenings", of_hundred(p.get()))
}

/// The rain of an evening in a list: "In 10 such evenings about 2 had rain (JFK)".
pub fn rain_in_short(rain: &EveningRain) -> String {
    let tenths = (10.0 * rain.p_rain.get()).round();
    match &rain.voice {
        RainVoice::Forecast { .. } => format!("Rain {} %", of_hundred(rain.p_rain.get())),
        RainVoice::Climate { .. } => format!("In 10 such evenings about {tenths:.0} had rain"),
        RainVoice::Default => {
            format!("About {tenths:.0} in 10 such evenings have rain (our estimate)")
        }
    }
}

/// The spare evening, or the second part's.
pub fn spare(spare: Option<Date>, way: Way) -> String {
    match (spare, way) {
        (Some(evening), Way::Whole) => format!("Kept for weather: {}.", date(evening)),
        (Some(evening), Way::CoveredThenRest) => format!("The rest: {}.", date(evening)),
        (None, Way::Whole) => "No further evening is free for weather.".to_owned(),
        (None, Way::CoveredThenRest) => "No evening is free for the rest yet.".to_owned(),
    }
}

/// Lines on permits that the evening needs.
pub fn permits(studio: &Studio, candidate: &Candidate) -> Vec<String> {
    let name = |id: &str| studio.spot(id).map_or_else(|| id.to_owned(), |spot| spot.name.clone());
    candidate
        .permits
        .iter()
        .filter(|(_, permit)| *permit != PermitStanding::Granted)
        .map(|(spot, permit)| time_left::permit(&name(spot), permit))
        .collect()
}

/// What the plan costs, and what the proof says.
pub fn whole(moves: &Moves) -> String {
    let proof = if moves.proof.proven {
        "No plan costs less; that is proven".to_owned()
    } else {
        format!("No plan is known that costs less; one could, by {:.0} at most", moves.proof.gap)
    };
    let second = match &moves.second {
        Some(second) => format!("the second best costs {:.0}", second.cost),
        None => "there is no other".to_owned(),
    };
    format!("The plan is expected to cost {:.0}. {proof}; {second}.", moves.best.cost)
}

/// What differs in the second best plan: "Second best: Linh on Wed 23 Sep."
pub fn second_best(redating: &Redating) -> Option<String> {
    let moves = redating.moves.as_ref().ok()?;
    let second = moves.second.as_ref()?;
    let differs: Vec<String> = second
        .evening_of
        .iter()
        .zip(&moves.best.evening_of)
        .enumerate()
        .filter(|(_, (second, best))| second != best)
        .filter_map(|(session, (second, _))| {
            let sitter = one_line(&redating.sessions.get(session)?.sitter);
            let evening = second.and_then(|index| redating.evenings.get(index));
            Some(match evening {
                Some(evening) => format!("{sitter} on {}", date(*evening)),
                None => format!("{sitter} without a date"),
            })
        })
        .collect();
    Some(format!("Second best: {}.", differs.join(", ")))
}

/// Why there is no plan.
pub fn no_plan(redating: &Redating, why: &NoMoves) -> String {
    let NoMoves::Clash(clash) = why else { return format!("There is no plan: {why}.") };
    let names: Vec<String> = clash
        .sessions
        .iter()
        .filter_map(|index| redating.sessions.get(*index))
        .map(|session| one_line(&session.sitter))
        .collect();
    let evenings: Vec<String> = clash
        .evenings
        .iter()
        .filter_map(|index| redating.evenings.get(*index))
        .map(|evening| date(*evening))
        .collect();
    let names = names.join(" and ");
    match evenings.as_slice() {
        [] => format!(
            "No evening is left for {names}. Offer one frame in a rush or a session in two parts, or \
             free an evening."
        ),
        [only] => {
            format!("{names} can only have {only}. Free another evening, or split one session.")
        }
        several => format!(
            "{names} cannot all be placed: they have only {}. Free another evening, or split one \
             session.",
            several.join(", ")
        ),
    }
}

/// Why a session cannot have an evening.
pub fn out_of_reach(why: &OutOfReach) -> String {
    match why {
        OutOfReach::Taken(_) => "another session has it".to_owned(),
        OutOfReach::Never => "never offered".to_owned(),
        OutOfReach::Cannot => "the family cannot come".to_owned(),
        OutOfReach::Permit(_) => "too late to ask for the permit".to_owned(),
        OutOfReach::Deadline => "too late for the deadline".to_owned(),
        OutOfReach::NoLight => "light, tide or hours do not allow its spots".to_owned(),
        OutOfReach::Sky(band) => format!("the forecast: {}", band_name(*band).to_lowercase()),
        OutOfReach::TooSoon => "too soon to get ready".to_owned(),
        OutOfReach::Drive => "the drive is too long".to_owned(),
    }
}

/// When it was looked at.
pub fn looked_at(as_of: Timestamp, zone: &TimeZone) -> String {
    format!("As things stand on {}.", moment(as_of, zone))
}
