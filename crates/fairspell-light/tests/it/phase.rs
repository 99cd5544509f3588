use fairspell_light::LightPhase;
use proptest::prelude::*;

/// The trade's bands: an elevation well inside each, and the bounds themselves.
#[test]
fn elevations_mean_what_the_trade_says() {
    for (elevation_deg, phase) in [
        (60.0, LightPhase::High),
        (30.0, LightPhase::High),
        (29.9, LightPhase::ShadeFirst),
        (25.0, LightPhase::ShadeFirst),
        (15.0, LightPhase::ShadeFirst),
        (14.9, LightPhase::Gold),
        (6.0, LightPhase::Gold),
        (5.9, LightPhase::FaceToSun),
        (0.0, LightPhase::FaceToSun),
        (-0.1, LightPhase::Soft),
        (-4.0, LightPhase::Soft),
        (-4.1, LightPhase::Blue),
        (-6.0, LightPhase::Blue),
        (-6.1, LightPhase::Dark),
        (-90.0, LightPhase::Dark),
        (f64::NAN, LightPhase::Dark),
    ] {
        assert_eq!(LightPhase::at(elevation_deg), phase, "{elevation_deg}°");
    }
}

#[test]
fn a_phase_reads_plainly_in_json() {
    assert_eq!(serde_json::to_string(&LightPhase::FaceToSun).unwrap(), r#""face_to_sun""#);
}

proptest! {
    #[test]
    fn phases_follow_each_other_as_the_sun_sinks(
        elevation_deg in -90.0..=90.0_f64,
        lower_deg in 0.0..=90.0_f64,
    ) {
        let phase = LightPhase::at(elevation_deg);
        prop_assert!(LightPhase::at(elevation_deg - lower_deg) >= phase);
        prop_assert!(elevation_deg >= phase.from_deg());
    }
}
