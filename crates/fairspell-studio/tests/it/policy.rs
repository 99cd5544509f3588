//! The owner's thresholds.

use fairspell_studio::{Band, Policy, PolicyError};

#[test]
fn each_threshold_of_any_rain_is_judged_on_both_sides() {
    let bands = Policy::default().any_rain;
    for (percent, expected) in [
        (0, Band::Settled),
        (14, Band::Settled),
        (15, Band::Watch),
        (30, Band::Watch),
        (31, Band::FamilysChoice),
        (50, Band::FamilysChoice),
        (51, Band::AdviseMoving),
        (100, Band::AdviseMoving),
    ] {
        assert_eq!(bands.band_of_percent(percent), expected, "{percent} %");
    }
}

#[test]
fn each_threshold_of_the_dry_gap_is_judged_on_both_sides() {
    let bands = Policy::default().gap;
    for (percent, expected) in [
        (100, Band::Settled),
        (85, Band::Settled),
        (84, Band::Watch),
        (70, Band::Watch),
        (69, Band::FamilysChoice),
        (40, Band::FamilysChoice),
        (39, Band::AdviseMoving),
        (0, Band::AdviseMoving),
    ] {
        assert_eq!(bands.band_of_percent(percent), expected, "{percent} %");
    }
}

#[test]
fn overlapping_bands_are_refused_with_both_figures() {
    let mut policy = Policy::default();
    policy.any_rain.choice_above_percent = 50;
    let refused = policy.check().unwrap_err();
    assert_eq!(
        refused,
        PolicyError::Overlap {
            what: "any rain: family's choice, advise moving",
            lower: 50,
            upper: 50
        }
    );
    assert!(refused.to_string().contains("50 % must be below 50 %"), "{refused}");

    let mut policy = Policy::default();
    policy.gap.go_from_percent = 30;
    assert!(matches!(policy.check(), Err(PolicyError::Overlap { .. })));
}

#[test]
fn figures_that_no_evening_can_have_are_refused() {
    let mut policy = Policy::default();
    policy.any_rain.advise_above_percent = 101;
    assert_eq!(policy.check(), Err(PolicyError::OverHundred(101)));

    let mut policy = Policy::default();
    policy.limits.heat_from_c = f64::NAN;
    assert!(matches!(policy.check(), Err(PolicyError::OutOfRange { .. })));
}

#[test]
fn an_unknown_setting_is_refused_rather_than_ignored() {
    let misspelt = r#"{"rescue_set_minutes": 30}"#;
    let refused = serde_json::from_str::<Policy>(misspelt).unwrap_err().to_string();
    assert!(refused.contains("rescue_set_minutes"), "{refused}");
}

#[test]
fn settings_that_are_left_out_keep_their_defaults() {
    let policy: Policy = serde_json::from_str(r#"{"rescue_set_min": 30}"#).unwrap();
    assert_eq!(policy, Policy { rescue_set_min: 30, ..Policy::default() });
}
