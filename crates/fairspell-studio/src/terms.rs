//! The owner's terms for a season: how much she works, what moves cost, what is at stake.
//!
//! All money is in the studio's own currency. The defaults are the worked example of a session of 450:
//! estimates to start from, without a source, hers to change.

use serde::{Deserialize, Serialize};

use crate::{PolicyError, back_plan::BackPlan};

/// What a washed-out evening costs, and what moving one costs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Stakes {
    /// Writing and finding another date.
    pub messages: f64,
    /// An evening of hers with its fuel: lost when it cannot be sold again.
    pub evening: f64,
    /// Styling and time off that a family loses when it got ready in vain.
    pub getting_ready: f64,
    /// What a bad evening costs with the family and everybody it knows.
    pub goodwill: f64,
    /// A showery evening with gaps: only a thinner gallery.
    pub thin_gallery: f64,
    /// Each day that a family waits longer.
    pub day_of_waiting: f64,
    /// Each hour on the road.
    pub hour_of_driving: f64,
    /// An evening within so many hours cannot be sold again.
    pub resells_until_h: u32,
}

impl Default for Stakes {
    fn default() -> Self {
        Stakes {
            messages: 20.0,
            evening: 120.0,
            getting_ready: 150.0,
            goodwill: 200.0,
            thin_gallery: 150.0,
            day_of_waiting: 2.0,
            hour_of_driving: 20.0,
            resells_until_h: 72,
        }
    }
}

impl Stakes {
    /// What is lost when an evening is spoilt by steady rain: the family's getting ready, her evening,
    /// a second evening for making it good, and goodwill.
    pub fn washed_out(&self) -> f64 {
        self.getting_ready + 2.0 * self.evening + self.goodwill
    }
}

/// How a season is worked.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SeasonTerms {
    /// Sessions sold in a week, at most; weeks begin on Monday.
    pub sold_a_week_max: u16,
    /// Sessions worked in a week with those that were moved into it, at most.
    pub worked_a_week_max: u16,
    /// The longest drive to a session, minutes.
    pub drive_max_min: u32,
    /// From so many minutes on a drive counts as long.
    pub long_drive_min: u32,
    /// Long drives in a week, at most.
    pub long_drives_a_week_max: u16,
    /// A family hears of another evening at least so long before it has to get ready, hours.
    pub notice_h: u32,
    /// Moves for weather that cost a family nothing.
    pub free_moves: u16,
    /// How long a session that could not be placed stays paid for, months.
    pub credit_months: u16,
    /// Further sessions are taken while the chance that some session misses its deadline stays at or
    /// below this, whole per cent.
    pub risk_max_percent: u8,
    /// The way back from a deadline.
    pub back_plan: BackPlan,
    /// What is at stake.
    pub stakes: Stakes,
}

impl Default for SeasonTerms {
    fn default() -> Self {
        SeasonTerms {
            sold_a_week_max: 2,
            worked_a_week_max: 3,
            drive_max_min: 150,
            long_drive_min: 60,
            long_drives_a_week_max: 1,
            notice_h: 30,
            free_moves: 2,
            credit_months: 12,
            risk_max_percent: 10,
            back_plan: BackPlan::default(),
            stakes: Stakes::default(),
        }
    }
}

impl SeasonTerms {
    /// Checks that every number is one that a studio can have.
    ///
    /// # Errors
    ///
    /// [`PolicyError::OutOfRange`] names the first that is not.
    pub fn check(&self) -> Result<(), PolicyError> {
        let (plan, stakes) = (&self.back_plan, &self.stakes);
        for (what, value, most) in [
            ("sessions sold in a week", f64::from(self.sold_a_week_max), 14.0),
            ("sessions worked in a week", f64::from(self.worked_a_week_max), 14.0),
            ("the longest drive", f64::from(self.drive_max_min), 24.0 * 60.0),
            ("a long drive", f64::from(self.long_drive_min), 24.0 * 60.0),
            ("long drives in a week", f64::from(self.long_drives_a_week_max), 14.0),
            ("the notice of another evening", f64::from(self.notice_h), 1e4),
            ("the free moves", f64::from(self.free_moves), 50.0),
            ("the months of credit", f64::from(self.credit_months), 120.0),
            ("the risk of a season", f64::from(self.risk_max_percent), 100.0),
            ("the days to choose", f64::from(plan.choose_days), 365.0),
            ("the days to deliver", f64::from(plan.deliver_days), 365.0),
            ("the days kept for weather", f64::from(plan.weather_days), 365.0),
            ("the days for a single frame", f64::from(plan.rush_days), 365.0),
            ("the cost of messages", stakes.messages, 1e6),
            ("the cost of an evening", stakes.evening, 1e6),
            ("the cost of getting ready", stakes.getting_ready, 1e6),
            ("the cost of goodwill", stakes.goodwill, 1e6),
            ("the cost of a thin gallery", stakes.thin_gallery, 1e6),
            ("the cost of a day of waiting", stakes.day_of_waiting, 1e6),
            ("the cost of an hour of driving", stakes.hour_of_driving, 1e6),
            ("the hours in which an evening sells again", f64::from(stakes.resells_until_h), 1e4),
        ] {
            if !(0.0..=most).contains(&value) {
                return Err(PolicyError::OutOfRange { what, value: value.to_string() });
            }
        }
        Ok(())
    }
}
