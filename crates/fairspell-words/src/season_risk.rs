//! How the season stands: who is at risk, what would help, whether another session fits.

use fairspell_plan::{
    evening_rain::RainVoice,
    season_risk::{HelpfulEvening, RoomForMore, SeasonMethod, SeasonRisk, SessionRisk},
};
use jiff::civil::Date;

use crate::{clock::date, numbers::of_hundred, text::one_line};

/// The chance that everybody has a frame in time: "All 6 sessions have at least one frame in time in 93 of
/// 100 such seasons, with the evenings until Thu 10 Dec; about 1.4 moves are to be expected."
pub fn season_line(risk: &SeasonRisk, last: Date) -> String {
    let count = risk.sessions.len();
    let all = if count == 1 {
        "The session has".to_owned()
    } else {
        format!("All {count} sessions have")
    };
    format!(
        "{all} at least one frame in time in {} of 100 such seasons, with the evenings until {}; {} to be \
         expected.",
        of_hundred(risk.p_all_delivered),
        date(last),
        moves(risk.moves_expected)
    )
}

fn moves(expected: f64) -> String {
    if expected < 0.05 {
        "hardly any move is".to_owned()
    } else {
        format!("about {expected:.1} moves are")
    }
}

/// How that was found: "Counted exactly." or "Played 100000 times; give or take 0.1."
pub fn method(method: &SeasonMethod) -> String {
    match method {
        SeasonMethod::Exact { .. } => {
            "Worked out over every turn that the weather can take.".to_owned()
        }
        SeasonMethod::Simulated { runs, standard_error, .. } => {
            format!("Played {runs} times; give or take {:.1} of 100.", 100.0 * 2.0 * standard_error)
        }
    }
}

/// What the chances rest on.
pub fn rests_on(voice: &RainVoice) -> String {
    match voice {
        RainVoice::Climate { station, evenings, .. } => format!(
            "The chances of a lost evening are counted on {evenings} past evenings at {}, in the two \
             hours before sunset. Only the forecast knows anything of one evening.",
            one_line(station)
        ),
        RainVoice::WholeDays { station } => format!(
            "The record of {} has whole days only and says nothing of evening hours: one evening in \
             five counts as lost, which is our estimate. Only the forecast knows anything of one \
             evening.",
            one_line(station)
        ),
        RainVoice::Default | RainVoice::Forecast { .. } => {
            "No record of past evenings is here: one evening in five counts as lost, which is our \
             estimate. Only the forecast knows anything of one evening."
                .to_owned()
        }
    }
}

/// A session's own chance: "in time in 97 of 100; about 0.2 moves".
pub fn session_risk(risk: &SessionRisk) -> String {
    let moved = if risk.moves_expected < 0.05 {
        "hardly ever moved".to_owned()
    } else {
        format!("about {:.1} moves", risk.moves_expected)
    };
    format!("in time in {} of 100; {moved}", of_hundred(risk.p_delivered))
}

/// Which further reserve evening helps most.
pub fn helps_most(helpful: &HelpfulEvening, now: f64) -> String {
    if helpful.p_all_delivered - now < 0.005 {
        return "No single further reserve evening would help by much.".to_owned();
    }
    format!(
        "One more reserve evening helps most on {}: {} of 100 instead of {}.",
        date(helpful.date),
        of_hundred(helpful.p_all_delivered),
        of_hundred(now)
    )
}

/// Whether another session fits.
pub fn room(room: &RoomForMore, risk_max_percent: u8) -> String {
    let bound = format!(
        "at most {risk_max_percent} of 100 seasons may leave somebody late (further ones without a \
         deadline)"
    );
    let late = 1.0 - room.p_all_now;
    match room.evenings.as_slice() {
        [] if late > f64::from(risk_max_percent) / 100.0 => format!(
            "Already {} of 100 seasons leave somebody late, more than the {risk_max_percent} that you \
             accept: mend that before another session is sold.",
            of_hundred(late)
        ),
        [] => format!("No further session fits if {bound}."),
        [only] => format!("One further session fits if {bound}: on {}.", date(only.date)),
        several => {
            let dates: Vec<String> = several.iter().take(6).map(|it| date(it.date)).collect();
            format!(
                "{} further sessions fit if {bound}: best on {}.",
                several.len(),
                dates.join(", ")
            )
        }
    }
}

/// What a change does to the season: "Everybody with a frame in time: 91 of 100 instead of 93."
pub fn before_and_after(before: f64, after: f64) -> String {
    if (before - after).abs() < 0.0005 {
        return format!("Everybody with a frame in time: {} of 100, as before.", of_hundred(after));
    }
    let (before, after) = (of_hundred(before), of_hundred(after));
    if before == after {
        return format!("Everybody with a frame in time: {after} of 100, hardly changed.");
    }
    format!("Everybody with a frame in time: {after} of 100 instead of {before}.")
}

/// Sessions that share an evening: the risk counts one of them only.
pub fn left_out(sitters: &[&str]) -> String {
    let names: Vec<String> = sitters.iter().map(|name| one_line(name)).collect();
    format!("Shares an evening with another session and is not counted: {}.", names.join(", "))
}
