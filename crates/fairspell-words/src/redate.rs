//! One plan when a week washes out: who goes where, why, and what that costs.

use fairspell_chance::Probability;
use fairspell_plan::{
    NoStart,
    evening_rain::{EveningRain, RainVoice},
    moves::{MoveNext, MoveReason, Moves, NoMoves},
    redate::{Candidate, OutOfReach, Redating, Way},
    season::CannotMove,
};
use fairspell_studio::{Studio, permit::PermitStanding, ruling::whole_percent};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::{
    clock::{date, date_and_clock, moment},
    moves::{ClashTold, clash_lines},
    names::band_name,
    numbers::{in_ten, of_hundred},
    text::{capital, one_line},
    time_left,
};

/// What the costs are.
pub const COSTS_MEAN: &str = "Costs are what each evening is expected to lose, in your own currency, by the \
                              amounts under Studio: rain; light its looks do not get; moving (writing, \
                              the artist, an evening that sells no more); permits; days of waiting; a \
                              working evening given up; a second evening; a deadline that gets one frame \
                              only. They are advice; the policy rules, and you do.";

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
        MoveReason::LimitFull { limit } => {
            let limit = redating.problem.limits.get(limit);
            let full = match limit.and_then(|limit| limit.sessions.as_ref()) {
                Some(_) => "its week has its long drives already",
                None => "its week is full",
            };
            format!("{} would cost less, but {full}.", evening(choice.own_cheapest))
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
        ("the deadline", costs.deadline),
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
        RainVoice::Climate { station, evenings, wet } => format!(
            "{} Around that month it rained in these hours on {wet} of {evenings} days at {}; with our \
             estimate weighed in: {chance} %, {gap}.",
            silent(rain),
            one_line(station)
        ),
        RainVoice::WholeDays { station } => format!(
            "{} The record of {} has whole days only: {chance} % is our estimate.",
            silent(rain),
            one_line(station)
        ),
        RainVoice::Default => format!(
            "{} No past evenings of these hours are known here: {chance} % is our estimate.",
            silent(rain)
        ),
    }
}

/// Why no forecast speaks.
fn silent(rain: &EveningRain) -> &'static str {
    if rain.is_forecast_missing {
        "A forecast should reach that far, but none is here that can be used."
    } else {
        "No forecast reaches that far."
    }
}

/// A share of evenings: "17 of 100 evenings".
pub fn of_hundred_evenings(p: Probability) -> String {
    format!("{} of 100 evenings", of_hundred(p.get()))
}

/// The rain of an evening in a list: "About 2 evenings in 10 like this have rain (75 past evenings)".
pub fn rain_in_short(rain: &EveningRain) -> String {
    let tenths = capital(&in_ten(whole_percent(rain.p_rain), "evening", "has rain", "have rain"));
    match &rain.voice {
        RainVoice::Forecast { .. } => format!("Rain {} %", of_hundred(rain.p_rain.get())),
        RainVoice::Climate { evenings, .. } => {
            format!("{tenths} ({evenings} past evenings)")
        }
        RainVoice::WholeDays { .. } | RainVoice::Default => format!("{tenths} (our estimate)"),
    }
}

/// The spare evening, or the second part's.
pub fn spare(spare: Option<Date>, way: Way) -> String {
    match (spare, way) {
        (Some(evening), Way::Whole) => {
            format!("If that is lost: {} is free. It is not entered.", date(evening))
        }
        (Some(evening), Way::CoveredThenRest) => {
            format!("The rest: {}. It is not entered yet; book it once they agree.", date(evening))
        }
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
        Some(second) => format!("; the second best costs {:.0}", second.cost),
        None if moves.proof.second_proven => "; there is no other".to_owned(),
        None => String::new(),
    };
    format!("The plan is expected to cost {:.0}. {proof}{second}.", moves.best.cost)
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
    let clash = match why {
        NoMoves::Clash(clash) => clash,
        NoMoves::NotSettled { .. } => {
            return "The search ended before it found a plan. Plan fewer sessions at a time."
                .to_owned();
        }
        NoMoves::Malformed(why) => return format!("These sessions cannot be planned: {why}."),
    };
    let sitters: Vec<&str> = clash
        .sessions
        .iter()
        .filter_map(|index| redating.sessions.get(*index))
        .map(|session| session.sitter.as_str())
        .collect();
    let evenings: Vec<String> = clash
        .evenings
        .iter()
        .filter_map(|index| redating.evenings.get(*index))
        .map(ToString::to_string)
        .collect();
    let limits = clash.limits.iter().filter_map(|index| redating.problem.limits.get(*index));
    let told = ClashTold {
        sessions: sitters,
        evenings: evenings.iter().map(String::as_str).collect(),
        limits: limits.map(|limit| (limit.name.as_str(), limit.at_most)).collect(),
        is_smallest: clash.is_smallest,
    };
    let way_out = if clash.evenings.is_empty() {
        "Offer one frame in a rush or a session in two parts, or free an evening."
    } else {
        "Free another evening, or make one session in two parts."
    };
    format!("{} {way_out}", clash_lines(&told).join(" "))
}

/// Heads the refusals of a session: "Why not, for Linh:"
pub fn looks_in_vain(sitter: &str) -> String {
    format!("Evenings that are out of reach for {}:", one_line(sitter))
}

/// Why the evenings of a session that has none left are out of reach: "Too late for the deadline: 3
/// evenings (the first Sun 6 Sep)."
pub fn refusals(redating: &Redating, session: usize) -> Vec<String> {
    let mut reasons: Vec<(String, Vec<Date>)> = Vec::new();
    let refused =
        redating.evenings.iter().zip(redating.candidates.get(session).into_iter().flatten());
    for (evening, candidate) in refused {
        let Err(why) = candidate else { continue };
        let why = out_of_reach(why);
        match reasons.iter_mut().find(|(known, _)| *known == why) {
            Some((_, evenings)) => evenings.push(*evening),
            None => reasons.push((why, vec![*evening])),
        }
    }
    let line = |(why, evenings): &(String, Vec<Date>)| match evenings.as_slice() {
        [] => String::new(),
        [only] => format!("{}: {}.", capital(why), date(*only)),
        [first, .., last] => format!(
            "{}: {} evenings, {} to {}.",
            capital(why),
            evenings.len(),
            date(*first),
            date(*last)
        ),
    };
    reasons.iter().map(line).collect()
}

/// Why a session cannot have an evening.
pub fn out_of_reach(why: &OutOfReach) -> String {
    match why {
        OutOfReach::Past => "it lies behind".to_owned(),
        OutOfReach::Taken(_) => "another session has it".to_owned(),
        OutOfReach::Never => "it is no working or reserve evening".to_owned(),
        OutOfReach::Blackout(name) => format!("never offered ({})", one_line(name)),
        OutOfReach::WeekFull => "its week has as many sessions as you work".to_owned(),
        OutOfReach::LongDrives => "its week has its long drives already".to_owned(),
        OutOfReach::Cannot => "the family cannot come".to_owned(),
        OutOfReach::Permit(_) => "too late to ask for the permit".to_owned(),
        OutOfReach::Deadline => "too late for the deadline".to_owned(),
        OutOfReach::NoStart(why) => no_start(why),
        OutOfReach::NoSuchTime => "the clocks change in that hour".to_owned(),
        OutOfReach::Sky(band) => {
            format!("what was fetched says: {}", band_name(*band).to_lowercase())
        }
        OutOfReach::TooSoon => "too little notice for the family".to_owned(),
        OutOfReach::Drive => "the drive is longer than you drive".to_owned(),
    }
}

fn no_start(why: &NoStart) -> String {
    match why {
        NoStart::NoLight | NoStart::NoDays => {
            "light, tide or hours do not allow its spots".to_owned()
        }
        NoStart::TideNotKnown => "nobody knows the tide of that day".to_owned(),
        other => other.to_string(),
    }
}

/// Why a session cannot look for another evening.
pub fn cannot_move(sitter: &str, why: CannotMove) -> String {
    let sitter = one_line(sitter);
    match why {
        CannotMove::Over => format!("{sitter}: the session has begun or is over."),
        CannotMove::MovedTo(start) => {
            format!("{sitter}: the session was moved already, to {}.", date_and_clock(start))
        }
        CannotMove::Erased => "What was known of this session was erased.".to_owned(),
    }
}

/// When it was looked at.
pub fn looked_at(as_of: Timestamp, zone: &TimeZone) -> String {
    format!("As things stand on {}.", moment(as_of, zone))
}
