use fairspell_chance::{Chance, Handover, Probability};
use proptest::prelude::*;

use crate::{certain, p};

/// By the hours.
fn handover_weight(lead_min: f64) -> f64 {
    Handover::by_hours().radar_share(lead_min)
}

fn joined(radar: Option<&Chance>, forecast: Option<&Chance>, lead_min: f64) -> Option<Chance> {
    fairspell_chance::joined(radar, forecast, lead_min, Handover::by_hours())
}

#[test]
fn the_radar_speaks_alone_for_two_hours_and_falls_silent_at_four() {
    for lead_min in [-30.0, 0.0, 60.0, 120.0] {
        assert_eq!(handover_weight(lead_min), 1.0, "{lead_min}");
    }
    assert_eq!(handover_weight(180.0), 0.5);
    for lead_min in [240.0, 600.0, f64::INFINITY, f64::NAN] {
        assert_eq!(handover_weight(lead_min), 0.0, "{lead_min}");
    }
}

#[test]
fn the_weight_has_no_step_and_no_kink() {
    // The cubic's steepest slope is 1.5 over 120 minutes, its largest curvature 6 over their square.
    let (slope_max, curvature_max) = (1.5 / 120.0, 6.0 / (120.0 * 120.0));
    for tenth in 1000..2600 {
        let at = |tenths: i32| handover_weight(f64::from(tenths) / 10.0);
        let (before, now, after) = (at(tenth - 1), at(tenth), at(tenth + 1));
        assert!(now <= before, "{tenth}");
        assert!(before - now <= 0.1 * slope_max + 1e-12, "{tenth}: {before} {now}");
        let kink = (after - 2.0 * now + before).abs();
        assert!(kink <= 0.01 * curvature_max + 1e-12, "{tenth}: {kink}");
    }
}

#[test]
fn the_joined_chance_has_no_step_whichever_sources_are_there() {
    let radar = Chance::new(p(0.5), p(0.75), p(0.9)).unwrap();
    let forecast = Chance::new(p(0.0), p(0.1), p(0.2)).unwrap();
    for other in [Some(&forecast), None] {
        let mut before = joined(Some(&radar), other, 0.0).unwrap();
        for tenth in 1..2400 {
            let now = joined(Some(&radar), other, f64::from(tenth) / 10.0).unwrap();
            for (a, b) in
                [(before.low, now.low), (before.centre, now.centre), (before.high, now.high)]
            {
                assert!((a.get() - b.get()).abs() < 0.1 * 1.5 / 120.0, "{tenth}");
            }
            before = now;
        }
    }
    let at_the_end = joined(Some(&radar), Some(&forecast), 240.0);
    assert_eq!(at_the_end, Some(forecast));
}

#[test]
fn a_radar_without_a_forecast_fades_into_not_knowing() {
    let radar = certain(0.8);
    assert_eq!(joined(Some(&radar), None, 90.0), Some(radar));
    let later = joined(Some(&radar), None, 180.0).unwrap();
    assert_eq!(later.centre, p(0.8));
    assert!((later.low.get() - 0.4).abs() < 1e-12 && (later.high.get() - 0.9).abs() < 1e-12);
    let last = joined(Some(&radar), None, 239.9).unwrap();
    assert!(last.low.get() < 0.001 && last.high.get() > 0.999);
    assert_eq!(joined(Some(&radar), None, 240.0), None);
}

#[test]
fn a_forecast_alone_stands_and_nothing_stays_nothing() {
    let forecast = certain(0.1);
    assert_eq!(joined(None, Some(&forecast), 30.0), Some(forecast));
    assert_eq!(joined(None, None, 30.0), None);
    assert_eq!(joined(Some(&certain(0.8)), None, f64::NAN), None);
    assert_eq!(Probability::ONE.complement(), Probability::ZERO);
}

#[test]
fn a_reach_scales_the_hours() {
    let sooner = Handover::with_reach(0.25).unwrap();
    let shares = [30.0, 45.0, 60.0].map(|lead_min| sooner.radar_share(lead_min));
    assert_eq!(shares, [1.0, 0.5, 0.0]);
    for reach in [0.2, 1.1, f64::NAN, f64::INFINITY] {
        assert_eq!(Handover::with_reach(reach), None, "{reach}");
    }
}

#[test]
fn where_there_is_no_forecast_the_radar_fades_by_the_hours() {
    let radar = certain(0.8);
    let sooner = Handover::with_reach(0.25).unwrap();
    let alone = fairspell_chance::joined(Some(&radar), None, 90.0, sooner);
    assert_eq!(alone, Some(radar));
}

fn chance() -> impl Strategy<Value = Chance> {
    [0.0..=1.0, 0.0..=1.0, 0.0..=1.0].prop_map(|mut ends: [f64; 3]| {
        ends.sort_by(f64::total_cmp);
        Chance::new(p(ends[0]), p(ends[1]), p(ends[2])).unwrap()
    })
}

fn numbers(chance: &Chance) -> [f64; 3] {
    [chance.low, chance.centre, chance.high].map(Probability::get)
}

proptest! {
    #[test]
    fn a_mixture_lies_between_its_two_and_is_never_wider_than_both(
        radar in chance(), forecast in chance(), lead_min in -60.0..400.0, reach in 0.25..=1.0
    ) {
        let mixed = Handover::with_reach(reach).unwrap().mix(&radar, &forecast, lead_min);
        let [a, b, mixed] = [&radar, &forecast, &mixed].map(numbers);
        for number in 0..3 {
            let (low, high) = (a[number].min(b[number]), a[number].max(b[number]));
            prop_assert!((low - 1e-12..=high + 1e-12).contains(&mixed[number]));
        }
        let width = |ends: [f64; 3]| ends[2] - ends[0];
        prop_assert!(width(mixed) <= width(a).max(width(b)) + 1e-12);
    }

    #[test]
    fn the_share_falls_with_the_lead_without_a_step_and_grows_with_the_reach(
        lead_min in -60.0..400.0, reach in 0.25..=0.99, later_min in 0.0..2.0
    ) {
        let [shorter, longer] = [reach, reach + 0.01].map(|reach| Handover::with_reach(reach).unwrap());
        let (now, later) = (shorter.radar_share(lead_min), shorter.radar_share(lead_min + later_min));
        // The cubic's steepest slope is 1.5 over 120 minutes, scaled by the reach.
        prop_assert!(later <= now && now - later <= later_min * 1.5 / 120.0 / reach + 1e-12);
        prop_assert!(longer.radar_share(lead_min.max(0.0)) >= shorter.radar_share(lead_min.max(0.0)));
    }
}
