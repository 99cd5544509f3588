//! How the season stands: its risk, the reserve evening that would help most, and the room that is left.

use std::collections::BTreeSet;

use fairspell_studio::{
    Session, Studio,
    season::{EveningKind, Pattern},
};
use jiff::civil::Date;

use crate::{
    season::{Enquiry, SeasonAhead, season_ahead},
    season_climate::{DayHalf, SeasonClimate},
    season_risk::{
        HelpfulEvening, RoomForMore, SeasonBudget, SeasonError, SeasonRisk, helpful_evenings,
        room_for_more, season_risk, simulate_season,
    },
};

/// The season, worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonStanding {
    /// Who has which evening.
    pub ahead: SeasonAhead,
    /// The chance that everybody is made in time.
    pub risk: SeasonRisk,
    /// Evenings that are no reserve yet, the one that helps most first; empty where the season was
    /// played, because plays cannot tell them apart.
    pub helpful: Vec<HelpfulEvening>,
    /// How many sessions more it bears; `None` where the season was played.
    pub room: Option<RoomForMore>,
    /// The last evening that counts.
    pub until: Date,
}

/// How a season may be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Working {
    /// Exactly, where that is not too much; else played.
    Exactly,
    /// Played so many times, from a seed.
    Played {
        /// How often.
        runs: u32,
        /// Where the dice begin.
        seed: u64,
    },
}

/// How the season stands from a day on; `None` where no session lies ahead.
///
/// # Errors
///
/// [`SeasonError`] for a season that is no question, which a studio that was checked does not make.
pub fn season_standing(
    studio: &Studio,
    sessions: &[Session],
    today: Date,
    climate: &SeasonClimate,
    working: Working,
) -> Result<Option<SeasonStanding>, SeasonError> {
    let p_lost = |date: Date, half| climate.p_lost(date, half);
    let ahead = season_ahead(studio, sessions, today, &p_lost, climate.correlation, None);
    let Some(ahead) = ahead else { return Ok(None) };
    let budget = SeasonBudget::default();
    let problem = &ahead.problem;
    let risk = match working {
        Working::Exactly => season_risk(problem, &budget)?,
        Working::Played { runs, seed } => simulate_season(problem, runs, seed)?,
    };
    let never = studio.season.exceptions.iter().filter(|it| it.kind == EveningKind::Never);
    let dates = problem.evenings.first().zip(problem.evenings.last());
    let (first, until) = dates.map_or((today, today), |(first, last)| (first.date, last.date));
    // A rule that cannot be read is named where the studio is checked.
    let ruled_out: BTreeSet<Date> =
        never.flat_map(|it| it.dates((first, until)).unwrap_or_default()).collect();
    // What somebody ruled out by a name stays out; a day of the week that is not sold may be tried.
    let is_free = |date: &Date| {
        let is_black = studio.blackouts.iter().any(|it| (it.from..=it.to).contains(date));
        let is_known = problem.evenings.iter().any(|evening| evening.date == *date);
        !is_black && !is_known && !ruled_out.contains(date)
    };
    let candidates: Vec<(Date, f64)> = Pattern::of(studio, (first, until))
        .evenings()
        .filter(|(date, kind)| *kind == EveningKind::Never && is_free(date))
        .map(|(date, _)| (date, climate.p_lost(date, DayHalf::Evening).get()))
        .collect();
    let helpful = helpful_evenings(problem, &candidates, &budget).unwrap_or_default();
    let risk_max = f64::from(studio.policy.season.risk_max_percent) / 100.0;
    let room = room_for_more(problem, risk_max, |_| None, &budget).ok();
    Ok(Some(SeasonStanding { ahead, risk, helpful, room, until }))
}

/// The chance alone that everybody, and an enquiry where there is one, has a frame in time; `None` where no
/// session lies ahead.
///
/// # Errors
///
/// As [`season_standing`].
pub fn p_everybody(
    studio: &Studio,
    sessions: &[Session],
    today: Date,
    climate: &SeasonClimate,
    enquiry: Option<Enquiry>,
) -> Result<Option<f64>, SeasonError> {
    let p_lost = |date: Date, half| climate.p_lost(date, half);
    let ahead = season_ahead(studio, sessions, today, &p_lost, climate.correlation, enquiry);
    let risk = |ahead: SeasonAhead| season_risk(&ahead.problem, &SeasonBudget::default());
    Ok(ahead.map(risk).transpose()?.map(|risk| risk.p_all_delivered))
}
