use fairspell_chance::{Chance, p_wet_minutes};
use proptest::prelude::*;

use crate::record::{FIRST_HALF, SECOND_HALF, points};
use crate::{certain, p};

/// Windows of one and two hours; 0.2 mm is 20 units of the record.
#[test]
fn both_halves_of_the_record_lie_in_the_range_of_wet_minutes() {
    for half in [FIRST_HALF, SECOND_HALF] {
        for steps in [12, 24] {
            let windows: Vec<_> = points()
                .iter()
                .flat_map(|point| point[half.clone()].windows(steps).map(<[u32]>::to_vec))
                .collect();
            let share = |event: &dyn Fn(&[u32]) -> bool| {
                windows.iter().filter(|window| event(window)).count() as f64 / windows.len() as f64
            };
            let p_rain = share(&|window| window.iter().sum::<u32>() >= 20);
            let p_wet = share(&|window| window.iter().any(|&sum| sum > 0));
            let stated = p_wet_minutes(&certain(p_rain));
            assert!(stated.low.get() < p_wet && p_wet < stated.high.get(), "{p_wet} {stated:?}");
            // The first half lies below by up to this, the second above.
            assert!((stated.centre.get() - p_wet).abs() < 0.045, "{p_wet} {stated:?}");
        }
    }
}

#[test]
fn an_hour_at_0_percent_may_still_have_a_wet_minute() {
    let p_wet = p_wet_minutes(&certain(0.0));
    assert!(p_wet.centre.get() > 0.0 && p_wet.centre.get() < 0.02);
    assert_eq!(p_wet_minutes(&certain(1.0)), certain(1.0));
}

proptest! {
    #[test]
    fn wet_minutes_are_never_less_likely_than_rain(mut ends in prop::array::uniform3(0.0..=1.0_f64)) {
        ends.sort_by(f64::total_cmp);
        let p_rain = Chance::new(p(ends[0]), p(ends[1]), p(ends[2])).unwrap();
        let p_wet = p_wet_minutes(&p_rain);
        prop_assert!(p_wet.low >= p_rain.low);
        prop_assert!(p_wet.centre >= p_rain.centre);
        prop_assert!(p_wet.high >= p_rain.high);
    }
}
