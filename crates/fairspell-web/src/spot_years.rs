//! Years of spots, remembered while nothing they hang on changes.

use std::sync::{Arc, Mutex, PoisonError};

use fairspell_plan::{SpotDay, spot_year};
use fairspell_studio::{Policy, Spot, studio::TideSource};

use crate::skies::House;

/// So many years are remembered: those of a handful of spots that somebody compares.
const MOST: usize = 12;

/// What a year was worked out from.
#[derive(Debug, Clone, PartialEq)]
struct Asked {
    spot: Spot,
    year: i16,
    policy: Policy,
    time_zone: String,
    tide: Option<TideSource>,
}

/// The years that were asked for last.
#[derive(Debug, Default)]
pub(crate) struct SpotYears {
    /// The newest last.
    years: Mutex<Vec<(Asked, Arc<Vec<SpotDay>>)>>,
}

impl SpotYears {
    /// A spot's year; a quarter of a second when it is asked for first.
    pub(crate) fn year(&self, house: &House, spot: &Spot, year: i16) -> Arc<Vec<SpotDay>> {
        let studio = &house.studio;
        let asked = Asked {
            spot: spot.clone(),
            year,
            policy: studio.policy.clone(),
            time_zone: studio.time_zone.clone(),
            tide: studio.tide.clone(),
        };
        let known = || self.years.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, days)) = known().iter().find(|(of, _)| *of == asked) {
            return days.clone();
        }
        // A tide that cannot be read was refused when it was entered.
        let tide = studio.tide().ok().flatten();
        let days = Arc::new(spot_year(studio, &house.zone, spot, year, tide.as_ref()));
        let mut known = known();
        known.push((asked, days.clone()));
        let excess = known.len().saturating_sub(MOST);
        known.drain(..excess);
        days
    }
}
