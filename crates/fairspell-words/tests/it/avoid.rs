use fairspell_studio::{
    Band, GateKind,
    outlook::{SourceKind, Tier},
};
use fairspell_words::{
    avoided_words, band_name,
    cautions::{Hazard, caution},
    gate_name, source_name, tier_name,
};

#[test]
fn words_are_found_in_any_case_and_form() {
    for (text, found) in [
        ("The SHOOT is cancelled, unfortunately", vec!["shoot", "cancel", "unfortunately"]),
        ("shots, percentiles, killed, perfectly", vec!["percentile", "shot", "kill", "perfect"]),
        ("spray and pray", vec!["spray-and-pray"]),
        ("as\nper agreement, no  worries", vec!["no worries", "as per"]),
        ("at 04:00 UTC", vec!["UTC"]),
    ] {
        assert_eq!(avoided_words(text), found, "{text}");
    }
}

#[test]
fn words_inside_other_words_are_not_found() {
    let text = "escape the Cape-like, seven epicures; even Kelvington; a minority; as perhaps";
    assert_eq!(avoided_words(text), ["CAPE"]);
    assert!(avoided_words("escape, seven, epicure, minority, as perhaps, no worry").is_empty());
    assert!(avoided_words("").is_empty());
}

#[test]
fn names_and_cautions_avoid_them() {
    let bands = [
        Band::Settled,
        Band::Watch,
        Band::FamilysChoice,
        Band::AdviseMoving,
        Band::MustMove,
        Band::Unknown,
    ];
    let gates = [
        GateKind::FirstWord,
        GateKind::ArtistLimit,
        GateKind::TwoDays,
        GateKind::EveningReading,
        GateKind::MorningReading,
        GateKind::Chair,
        GateKind::LeaveBy,
        GateKind::Arrival,
    ];
    let hazards = [
        Hazard::Lightning,
        Hazard::FloodedRoads,
        Hazard::Heat,
        Hazard::Cold,
        Hazard::Wind,
        Hazard::Surf,
        Hazard::Smoke,
        Hazard::Fog,
        Hazard::Other,
    ];
    let texts = bands
        .map(band_name)
        .into_iter()
        .chain(gates.map(gate_name))
        .chain(hazards.map(caution))
        .chain([SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar].map(source_name))
        .chain([Tier::Info, Tier::Caution, Tier::Hold, Tier::Stop].map(tier_name));
    for text in texts {
        assert!(avoided_words(text).is_empty() && !text.contains('!'), "{text}");
    }
}
