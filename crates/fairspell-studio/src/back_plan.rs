//! Is there still time before a deadline: the way back from the day a picture is handed in.

use jiff::{ToSpan, civil::Date};
use serde::{Deserialize, Serialize};

/// The days between the evening and the day a picture is handed in.
///
/// # Source
///
/// Common practice: a week to choose, two to three weeks to deliver, ten to fourteen days kept free for
/// weather; one yearbook frame can be finished and sent within two days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct BackPlan {
    /// The family chooses and hands in, days.
    pub choose_days: u16,
    /// From the session to the gallery, days.
    pub deliver_days: u16,
    /// Kept free for another date, days.
    pub weather_days: u16,
    /// From the session to a single frame, sent at once, days.
    pub rush_days: u16,
}

impl Default for BackPlan {
    fn default() -> Self {
        BackPlan { choose_days: 7, deliver_days: 18, weather_days: 12, rush_days: 1 }
    }
}

/// How much time an evening leaves before a deadline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeLeft {
    /// Everything fits, and a washed-out evening too, with so many days to spare.
    Yes {
        /// Days between the evening and the last one that keeps the weather allowance.
        slack_days: i32,
    },
    /// It fits, but not if the weather takes the evening and the allowance with it.
    WithoutAllowance {
        /// The days that are left for another date.
        days_for_weather: i32,
    },
    /// Only a single frame, sent at once, comes in time.
    RushOnly {
        /// The days between the evening and the last one for a rush.
        days_for_weather: i32,
    },
    /// Nothing made that evening comes in time.
    No,
}

impl BackPlan {
    /// The last evening that keeps the weather allowance.
    pub fn latest_safe(&self, deadline: Date) -> Date {
        days_before(self.latest(deadline), self.weather_days)
    }

    /// The last evening from which a whole gallery still comes in time.
    pub fn latest(&self, deadline: Date) -> Date {
        days_before(days_before(deadline, self.choose_days), self.deliver_days)
    }

    /// The last evening from which a single frame still comes in time.
    pub fn latest_rush(&self, deadline: Date) -> Date {
        days_before(deadline, self.rush_days)
    }

    /// How much time an evening leaves before a deadline.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_studio::back_plan::{BackPlan, TimeLeft};
    /// use jiff::civil::date;
    ///
    /// let plan = BackPlan { choose_days: 7, deliver_days: 14, weather_days: 10, rush_days: 1 };
    /// let yearbook = date(2026, 9, 18);
    /// assert_eq!(plan.time_left(date(2026, 8, 13), yearbook), TimeLeft::Yes { slack_days: 5 });
    /// assert_eq!(plan.time_left(date(2026, 9, 17), yearbook), TimeLeft::RushOnly { days_for_weather: 0 });
    /// assert_eq!(plan.time_left(yearbook, yearbook), TimeLeft::No);
    /// ```
    pub fn time_left(&self, evening: Date, deadline: Date) -> TimeLeft {
        let until = |last: Date| evening.until(last).map_or(i32::MIN, |span| span.get_days());
        let slack_days = until(self.latest_safe(deadline));
        let whole = until(self.latest(deadline));
        let rush = until(self.latest_rush(deadline));
        if slack_days >= 0 {
            TimeLeft::Yes { slack_days }
        } else if whole >= 0 {
            TimeLeft::WithoutAllowance { days_for_weather: whole }
        } else if rush >= 0 {
            TimeLeft::RushOnly { days_for_weather: rush }
        } else {
            TimeLeft::No
        }
    }
}

fn days_before(date: Date, days: u16) -> Date {
    date.saturating_sub(i64::from(days).days())
}
