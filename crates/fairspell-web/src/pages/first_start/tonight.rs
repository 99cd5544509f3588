//! Tonight's hours: the two before last usable light, or tomorrow's when today's are used up.

use fairspell_almanac::{Crossing, evening_end};
use fairspell_ground::LatLon;
use fairspell_studio::Policy;
use jiff::{
    Timestamp, ToSpan,
    civil::{self, DateTime, time},
    tz::TimeZone,
};

/// A session is proposed so long.
const PROPOSED_MIN: i64 = 120;
/// Times are proposed in steps of so many minutes.
const STEP_MIN: i64 = 5;

/// The end of an evening's light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LastLight {
    At(DateTime),
    /// It does not get dark.
    AllNight,
    /// It does not get light enough.
    Never,
}

/// The hours to propose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tonight {
    pub(super) from: DateTime,
    pub(super) to: DateTime,
    pub(super) last_light: LastLight,
    pub(super) is_tomorrow: bool,
    /// The day on which it was asked.
    today: civil::Date,
}

impl Tonight {
    /// The date that the form was made for; where it is neither today's nor tomorrow's, or was
    /// tampered with, the one that would be proposed now.
    pub(super) fn date_or_default(&self, sent: &str) -> civil::Date {
        let tomorrow = self.today.saturating_add(1.day());
        let sent: Option<civil::Date> = sent.parse().ok();
        sent.filter(|date| (self.today..=tomorrow).contains(date))
            .unwrap_or_else(|| self.from.date())
    }
}

/// The two hours before last usable light at a place; tomorrow's when less than a rescue set is left
/// of today's.
///
/// Where it stays light all night the late evening is proposed, where it never gets light enough the
/// middle of the day.
pub(super) fn tonight(place: LatLon, zone: &TimeZone, now: Timestamp, policy: &Policy) -> Tonight {
    let here = zone.to_datetime(now);
    let today = here.date();
    let evening = |date: civil::Date, is_tomorrow: bool| {
        let elevation_deg = policy.last_usable_sun_elevation_deg;
        let (to, last_light) = match evening_end(date, zone, place, elevation_deg) {
            Crossing::At(moment) => {
                let at = zone.to_datetime(moment);
                (floored(at), LastLight::At(at))
            }
            Crossing::AlwaysAbove => (date.to_datetime(time(22, 0, 0, 0)), LastLight::AllNight),
            Crossing::AlwaysBelow => (date.to_datetime(time(13, 0, 0, 0)), LastLight::Never),
        };
        let earliest = to.saturating_sub(PROPOSED_MIN.minutes());
        // What has begun already goes on from now.
        let from = if earliest < here { floored(here) } else { earliest };
        Tonight { from, to, last_light, is_tomorrow, today }
    };
    let tonight = evening(today, false);
    let latest = tonight.to.saturating_sub(i64::from(policy.rescue_set_min).minutes());
    if here <= latest { tonight } else { evening(today.saturating_add(1.day()), true) }
}

fn floored(at: DateTime) -> DateTime {
    let over = i64::from(at.minute()) % STEP_MIN;
    let whole = at.with().second(0).subsec_nanosecond(0).build().unwrap_or(at);
    whole.saturating_sub(over.minutes())
}

/// How long it is from one time to another; past midnight only from an evening into a night.
pub(super) fn minutes(from: civil::Time, to: civil::Time) -> Option<u32> {
    let of_day =
        |time: civil::Time| u32::try_from(60 * i32::from(time.hour()) + i32::from(time.minute()));
    let (from, to) = (of_day(from).ok()?, of_day(to).ok()?);
    let (noon, day) = (12 * 60, 24 * 60);
    if to > from {
        Some(to - from)
    } else if from > noon && to < noon {
        Some(to + day - from)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use fairspell_ground::LatLon;
    use fairspell_studio::Policy;
    use jiff::{
        ToSpan,
        civil::{DateTime, time},
        tz::TimeZone,
    };

    use super::{LastLight, Tonight, minutes, tonight};

    fn asked(lat_deg: f64, lon_deg: f64, zone: &str, at: &str) -> Tonight {
        let zone = TimeZone::get(zone).unwrap();
        let now = zone.to_timestamp(at.parse().unwrap()).unwrap();
        tonight(LatLon::new(lat_deg, lon_deg).unwrap(), &zone, now, &Policy::default())
    }

    fn hours(tonight: Tonight) -> (String, String) {
        let clock = |at: DateTime| at.strftime("%d %H:%M").to_string();
        (clock(tonight.from), clock(tonight.to))
    }

    const PORT_MACQUARIE: (f64, f64) = (-31.43, 152.91);

    fn in_new_south_wales(at: &str) -> Tonight {
        asked(PORT_MACQUARIE.0, PORT_MACQUARIE.1, "Australia/Sydney", at)
    }

    fn last_light(tonight: Tonight) -> DateTime {
        let LastLight::At(at) = tonight.last_light else { panic!("{tonight:?}") };
        at
    }

    #[test]
    fn the_two_hours_before_last_usable_light_are_proposed() {
        let tonight = in_new_south_wales("2026-09-03T12:00");
        let last = last_light(tonight);
        assert!(tonight.to <= last && last < tonight.to + 5.minutes(), "{tonight:?}");
        assert_eq!(tonight.from + 120.minutes(), tonight.to);
        assert_eq!((tonight.to.minute() % 5, tonight.to.second()), (0, 0));
        assert!(!tonight.is_tomorrow);
    }

    #[test]
    fn an_evening_that_has_begun_goes_on_from_now() {
        let tonight = in_new_south_wales("2026-09-03T16:43:30");
        assert_eq!(tonight.from, "2026-09-03T16:40".parse().unwrap());
        assert_eq!(tonight.to, in_new_south_wales("2026-09-03T12:00").to);
    }

    #[test]
    fn when_less_than_a_rescue_set_is_left_it_is_tomorrow_evening() {
        let to = in_new_south_wales("2026-09-03T12:00").to;
        let at = |minutes: i64| in_new_south_wales(&(to - minutes.minutes()).to_string());
        let rescue_set_min = i64::from(Policy::default().rescue_set_min);
        assert!(!at(rescue_set_min).is_tomorrow);
        for minutes in [rescue_set_min - 1, 0, -60] {
            assert!(at(minutes).is_tomorrow);
            assert_eq!(at(minutes).from.date(), "2026-09-04".parse().unwrap());
        }
    }

    #[test]
    fn the_far_north_has_hours_too() {
        let summer = asked(69.65, 18.96, "Europe/Oslo", "2026-06-21T12:00");
        assert_eq!(summer.last_light, LastLight::AllNight);
        assert_eq!(hours(summer), ("21 20:00".into(), "21 22:00".into()));
        let winter = asked(78.22, 15.65, "Arctic/Longyearbyen", "2026-12-21T09:00");
        assert_eq!(winter.last_light, LastLight::Never);
        assert_eq!(hours(winter), ("21 11:00".into(), "21 13:00".into()));
    }

    #[test]
    fn only_todays_and_tomorrows_dates_are_taken_from_a_form() {
        let tonight = in_new_south_wales("2026-09-03T12:00");
        for (sent, taken) in [
            ("2026-09-03", "2026-09-03"),
            ("2026-09-04", "2026-09-04"),
            ("2026-09-05", "2026-09-03"),
            ("2026-09-02", "2026-09-03"),
            ("", "2026-09-03"),
            ("soon", "2026-09-03"),
        ] {
            assert_eq!(tonight.date_or_default(sent), taken.parse().unwrap(), "{sent}");
        }
    }

    #[test]
    fn hours_pass_midnight_only_from_an_evening_into_a_night() {
        let between = |from: (i8, i8), to: (i8, i8)| {
            minutes(time(from.0, from.1, 0, 0), time(to.0, to.1, 0, 0))
        };
        assert_eq!(between((15, 50), (17, 50)), Some(120));
        assert_eq!(between((22, 30), (0, 15)), Some(105));
        assert_eq!(between((17, 50), (15, 50)), None);
        assert_eq!(between((17, 50), (17, 50)), None);
        assert_eq!(between((9, 0), (8, 0)), None);
    }
}
