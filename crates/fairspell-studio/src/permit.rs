//! Permits: leave to work at a spot, given for a date, which a move voids or has asked again.

use jiff::{ToSpan, civil::Date};
use serde::{Deserialize, Serialize};

use crate::{Session, Studio};

/// What a spot's owner asks of somebody who works there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PermitTerms {
    /// How long ahead it must be asked for, days.
    pub ask_days: u16,
    /// What it costs, in the studio's currency.
    #[serde(default)]
    pub fee: f64,
    /// Whether it may be carried over to another date for nothing; otherwise a move voids it and it is
    /// asked and paid again.
    #[serde(default)]
    pub moves_free: bool,
}

impl PermitTerms {
    /// The last day on which it can be asked for a date.
    pub fn last_day_to_ask(&self, date: Date) -> Date {
        date.saturating_sub(i64::from(self.ask_days).days())
    }
}

/// How far a permit has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PermitState {
    /// Asked for; no answer yet.
    Asked,
    /// Given.
    Granted,
}

/// Leave to work at a spot on a date.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Permit {
    /// The spot, by id.
    pub spot: String,
    /// For which date it was asked.
    pub date: Date,
    /// How far it has come.
    pub state: PermitState,
}

/// How a spot's permit stands for a session on a date.
#[derive(Debug, Clone, PartialEq)]
pub enum PermitStanding {
    /// Given for that date.
    Granted,
    /// Asked for that date; no answer yet.
    Asked,
    /// None is there for that date, and it can still be asked for.
    ToAsk {
        /// The last day to ask.
        by: Date,
        /// What it costs then, in the studio's currency.
        fee: f64,
        /// Whether one for another date is voided by it.
        voids: bool,
    },
    /// None is there, and it is too late to ask.
    TooLate {
        /// The last day to ask was this.
        by: Date,
    },
}

impl Studio {
    /// The permits that a session needs on a date, by spot, with how they stand.
    ///
    /// - `today`: the day on which it is asked.
    pub fn permits_on(
        &self,
        session: &Session,
        date: Date,
        today: Date,
    ) -> Vec<(String, PermitStanding)> {
        let mut spots: Vec<&str> = session.looks.iter().map(|look| look.spot.as_str()).collect();
        spots.sort_unstable();
        spots.dedup();
        let needed = spots.into_iter().filter_map(|id| {
            let terms = self.spot(id)?.site.permit.as_ref()?;
            Some((id.to_owned(), standing(terms, session, id, date, today)))
        });
        needed.collect()
    }
}

fn standing(
    terms: &PermitTerms,
    session: &Session,
    spot: &str,
    date: Date,
    today: Date,
) -> PermitStanding {
    let here = || session.dates.permits.iter().filter(|permit| permit.spot == spot);
    match here().find(|permit| permit.date == date).map(|permit| permit.state) {
        Some(PermitState::Granted) => return PermitStanding::Granted,
        Some(PermitState::Asked) => return PermitStanding::Asked,
        None => {}
    }
    let by = terms.last_day_to_ask(date);
    let has_other = here().next().is_some();
    if by < today {
        return PermitStanding::TooLate { by };
    }
    let fee = if has_other && terms.moves_free { 0.0 } else { terms.fee };
    PermitStanding::ToAsk { by, fee, voids: has_other && !terms.moves_free }
}
