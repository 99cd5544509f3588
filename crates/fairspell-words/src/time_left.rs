//! Whether there is still time before a deadline, and which evenings are kept for weather.

use fairspell_plan::season::ReservePair;
use fairspell_studio::{back_plan::TimeLeft, permit::PermitStanding};
use jiff::civil::Date;

use crate::{clock::date, text::one_line};

/// "Time enough: 5 days to spare, with the days for weather kept free."
pub fn time_left(left: &TimeLeft) -> String {
    match left {
        TimeLeft::Yes { slack_days: 0 } => {
            "Just in time, with the days for weather kept free.".to_owned()
        }
        TimeLeft::Yes { slack_days } => format!(
            "Time enough: {} to spare, with the days for weather kept free.",
            days(*slack_days)
        ),
        TimeLeft::WithoutAllowance { days_for_weather } => format!(
            "It fits, but only {} are left for another date if the weather takes this one.",
            days(*days_for_weather)
        ),
        TimeLeft::RushOnly { days_for_weather: 0 } => {
            "One frame in a rush only, sent at once; no day is left for another date.".to_owned()
        }
        TimeLeft::RushOnly { days_for_weather } => format!(
            "One frame in a rush only, the rest later; {} left for another date.",
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
pub fn reserve_pair(pair: &ReservePair) -> String {
    match (pair.near, pair.far) {
        (Some(near), Some(far)) => {
            format!("Kept for weather: {} (near) and {} (far).", date(near), date(far))
        }
        (Some(near), None) => {
            format!("Kept for weather: {} (near); none is free five to nine days on.", date(near))
        }
        (None, Some(far)) => {
            format!("Kept for weather: {} (far); none is free in the four days after.", date(far))
        }
        (None, None) => "No reserve evening is free in the nine days after it.".to_owned(),
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

/// What is left where no evening can be sold before a deadline.
pub fn nothing_before(deadline: Date, reserves: &[Date]) -> String {
    if reserves.is_empty() {
        return format!(
            "No evening is free before {}, not even for one frame in a rush. Look for a covered set \
             on an evening that is sold, and make the rest later.",
            date(deadline)
        );
    }
    let some: Vec<String> = reserves.iter().take(4).map(|evening| date(*evening)).collect();
    format!(
        "No working evening is free before {}. Reserve evenings that are: {}. One frame in a rush or \
         a session in two parts could be made there; it then is no reserve any more.",
        date(deadline),
        some.join(", ")
    )
}
