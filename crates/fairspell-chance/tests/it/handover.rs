use fairspell_chance::{Chance, Probability, handover_weight, joined};

use crate::{certain, p};

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
