use fairspell_studio::back_plan::{BackPlan, TimeLeft};
use jiff::{ToSpan, civil::date};
use proptest::prelude::*;

/// Common practice: latest safe session = deadline - choose - deliver - weather allowance.
#[test]
fn the_way_back_from_a_yearbook_ends_with_one_frame_in_a_rush() {
    let plan = BackPlan::default();
    let yearbook = date(2026, 9, 18);
    assert_eq!(plan.latest_safe(yearbook), date(2026, 8, 12));
    assert_eq!(plan.latest(yearbook), date(2026, 8, 24));
    let check = |evening, expected| assert_eq!(plan.time_left(evening, yearbook), expected);
    check(date(2026, 8, 12), TimeLeft::Yes { slack_days: 0 });
    check(date(2026, 8, 13), TimeLeft::WithoutAllowance { days_for_weather: 11 });
    check(date(2026, 8, 25), TimeLeft::RushOnly { days_for_weather: 23 });
    check(date(2026, 9, 17), TimeLeft::RushOnly { days_for_weather: 0 });
    check(date(2026, 9, 18), TimeLeft::No);
}

fn rank(left: TimeLeft) -> u8 {
    match left {
        TimeLeft::Yes { .. } => 0,
        TimeLeft::WithoutAllowance { .. } => 1,
        TimeLeft::RushOnly { .. } => 2,
        TimeLeft::No => 3,
    }
}

proptest! {
    #[test]
    fn a_later_evening_never_leaves_more_time(
        choose_days in 0u16..30, deliver_days in 1u16..60, weather_days in 0u16..30, on in 0i64..200,
    ) {
        let plan = BackPlan { choose_days, deliver_days, weather_days, rush_days: 1 };
        let (deadline, evening) = (date(2026, 9, 18), date(2026, 4, 1).saturating_add(on.days()));
        let next = evening.saturating_add(1.day());
        let (now, then) = (plan.time_left(evening, deadline), plan.time_left(next, deadline));
        prop_assert!(rank(now) <= rank(then), "{now:?} then {then:?}");
    }
}
