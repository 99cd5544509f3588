use fairspell_words::cautions::{Hazard, caution, hazards};

#[test]
fn an_event_brings_the_dangers_that_its_name_tells() {
    for (event, expected) in [
        ("Severe Thunderstorm Warning", vec![Hazard::Lightning, Hazard::FloodedRoads]),
        ("Flash Flood Warning", vec![Hazard::FloodedRoads]),
        ("Extreme Heat Warning", vec![Hazard::Heat]),
        ("Wind Chill Advisory", vec![Hazard::Cold]),
        ("High Surf Advisory", vec![Hazard::Surf]),
        ("Hurricane Watch", vec![Hazard::FloodedRoads, Hazard::Wind, Hazard::Surf]),
        ("Air Quality Alert", vec![Hazard::Other]),
        ("", vec![Hazard::Other]),
    ] {
        assert_eq!(hazards(event), expected, "{event}");
    }
}

#[test]
fn every_caution_gives_way_to_official_word() {
    for hazard in [
        Hazard::Lightning,
        Hazard::FloodedRoads,
        Hazard::Heat,
        Hazard::Cold,
        Hazard::Wind,
        Hazard::Surf,
        Hazard::Smoke,
        Hazard::Fog,
        Hazard::Other,
    ] {
        let text = caution(hazard);
        assert!(text.to_lowercase().contains("official warning"), "{text}");
        assert!(text.contains("first") || text.contains("before"), "{text}");
        assert!(!text.contains("  "), "{text}");
    }
}

/// US National Weather Service: 30 minutes after the last thunder; 6 inches (15 cm) of moving water
/// knock a person over, 12 inches (30 cm) float a small car.
#[test]
fn cautions_carry_the_services_numbers() {
    assert!(caution(Hazard::Lightning).contains("30 minutes after the last thunder"));
    assert!(caution(Hazard::FloodedRoads).contains("15 cm of moving water"));
    assert!(caution(Hazard::FloodedRoads).contains("30 cm floats a small car"));
}
