//! Whether there is still time before a deadline, and which evenings are kept for weather.

use fairspell_plan::season::{NoReserve, ReserveEvening, ReservePair};
use fairspell_studio::{back_plan::TimeLeft, permit::PermitStanding};
use jiff::civil::Date;

use crate::{
    clock::date,
    text::{and_list, one_line},
};

/// So many dates are named; of more the others are counted.
const DATES_NAMED: usize = 4;

/// "Time enough: 5 days to spare beyond the days kept for weather."
pub fn time_left(left: &TimeLeft) -> String {
    match left {
        TimeLeft::Yes { slack_days: 0 } => {
            "Just in time: no day to spare beyond those kept for weather.".to_owned()
        }
        TimeLeft::Yes { slack_days } => format!(
            "Time enough: {} to spare beyond the days kept for weather.",
            days(*slack_days)
        ),
        TimeLeft::WithoutAllowance { days_for_weather: 0 } => {
            "It fits, but no day is left for another date if the weather takes this one.".to_owned()
        }
        TimeLeft::WithoutAllowance { days_for_weather } => format!(
            "It fits, but only {} left for another date if the weather takes this one.",
            days_are(*days_for_weather)
        ),
        TimeLeft::RushOnly { days_for_weather: 0 } => {
            "Too late for a whole gallery: one frame in a rush, sent at once; no day is left for another \
             date."
                .to_owned()
        }
        TimeLeft::RushOnly { days_for_weather } => format!(
            "Too late for a whole gallery: one frame in a rush, chosen and sent at once, the rest later; \
             {} left for another date.",
            days_are(*days_for_weather)
        ),
        TimeLeft::No => "Too late: nothing made then comes in time.".to_owned(),
    }
}

fn days(count: i32) -> String {
    if count == 1 { "1 day".to_owned() } else { format!("{count} days") }
}

fn days_are(count: i32) -> String {
    if count == 1 { "1 day is".to_owned() } else { format!("{count} days are") }
}

/// "Kept for weather: Sun 6 Sep (near) and Wed 9 Sep (far)."
///
/// With a deadline each says what it leaves: the far one often only a frame in a rush.
pub fn reserve_pair(pair: &ReservePair) -> String {
    let named = |which: &str, found: &Result<ReserveEvening, NoReserve>| {
        let evening = found.ok()?;
        let rush = match evening.time_left {
            Some(TimeLeft::RushOnly { .. }) => ", for one frame in a rush only",
            _ => "",
        };
        Some(format!("{} ({which}{rush})", date(evening.date)))
    };
    let missing = |when: &str, found: &Result<ReserveEvening, NoReserve>| match found {
        Ok(_) => None,
        Err(NoReserve::NoneFree) => Some(format!("none is free {when}")),
        Err(NoReserve::TooLate) => Some(format!("those {when} are too late for the deadline")),
    };
    let kept: Vec<String> =
        [named("near", &pair.near), named("far", &pair.far)].into_iter().flatten().collect();
    let lacking: Vec<String> = [
        missing("in the four days after it", &pair.near),
        missing("five to nine days on", &pair.far),
    ]
    .into_iter()
    .flatten()
    .collect();
    match (kept.is_empty(), lacking.is_empty()) {
        (true, _) => format!("No evening for weather: {}.", lacking.join(", and ")),
        (false, true) => format!("Could be kept for weather: {}.", and_list(&kept)),
        (false, false) => {
            format!("Could be kept for weather: {}; {}.", and_list(&kept), lacking.join(", and "))
        }
    }
}

/// How a permit stands: "Ferrow House veranda: its permit has to be asked again by Thu 10 Sep (80)."
pub fn permit(spot: &str, standing: &PermitStanding) -> String {
    let spot = one_line(spot);
    match standing {
        PermitStanding::Granted => format!("{spot}: the permit is there."),
        PermitStanding::Asked => format!("{spot}: the permit is asked for, no answer yet."),
        PermitStanding::ToAsk { by, fee, voids } => {
            let again = if *voids { "has to be asked again" } else { "has to be asked" };
            let fee = if *fee > 0.0 { format!("; it costs {fee:.0}") } else { String::new() };
            format!("{spot}: its permit {again} by {}{fee}.", date(*by))
        }
        PermitStanding::TooLate { by } => {
            format!("{spot}: its permit had to be asked by {}.", date(*by))
        }
    }
}

/// What is left where no evening of some dates can be sold before a deadline.
///
/// - `from`, `to`: the dates that were looked at.
pub fn nothing_before(deadline: Date, (from, to): (Date, Date), reserves: &[Date]) -> String {
    if from >= deadline {
        return format!(
            "Nothing made from {} on comes in time for {}. Ask for earlier dates, or offer the session \
             without that deadline.",
            date(from),
            date(deadline)
        );
    }
    let looked = format!("from {} to {}", date(from), date(to));
    if reserves.is_empty() {
        return format!(
            "No evening {looked} can be sold in time for {}, not even for one frame in a rush. Look \
             for a covered set on an evening that is sold, and make the rest later.",
            date(deadline)
        );
    }
    let mut some: Vec<String> =
        reserves.iter().take(DATES_NAMED).map(|evening| date(*evening)).collect();
    if reserves.len() > DATES_NAMED {
        some.push(format!("{} more", reserves.len() - DATES_NAMED));
    }
    format!(
        "No working evening {looked} can be sold in time for {}. These reserve evenings are free: {}. One \
         frame in a rush or a session in two parts could be made there; the evening then is no \
         reserve any more.",
        date(deadline),
        and_list(&some)
    )
}

/// A deadline that is behind: it cannot be kept.
pub fn deadline_behind(deadline: Date) -> String {
    format!("{} lies behind: no evening comes in time for it.", date(deadline))
}
