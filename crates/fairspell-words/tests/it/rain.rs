use fairspell_studio::Span;
use fairspell_words::{RainTold, rain_lines};

fn told() -> RainTold {
    let at = |text: &str| text.parse().unwrap();
    RainTold {
        place: "-31.7252,152.7741".to_owned(),
        issued: at("2026-09-03T04:30:00Z"),
        frames_used: 12,
        frame_age_min: Some(4.0),
        wet_share: Some(0.21),
        busy_radius_km: 60.0,
        gap_min: 25.0,
        windows: vec![(
            Span { from: at("2026-09-03T05:15:00Z"), to: at("2026-09-03T07:45:00Z") },
            Some(0.76),
            None,
        )],
        onset: None,
        minutes: vec![(at("2026-09-03T04:30:00Z"), Some(0.03))],
        remarks: vec!["pictures missing between two others".to_owned()],
    }
}

#[test]
fn every_figure_is_told_with_its_amount_hours_and_age() {
    assert_eq!(
        rain_lines(&told()),
        [
            "Rain at -31.7252,152.7741 as of 2026-09-03T04:30:00Z, by 12 radar pictures, the newest 4 min old.",
            "  Wet within 60 km (at least 0.1 mm/h): 21 %",
            "  2026-09-03T05:15:00Z to 2026-09-03T07:45:00Z:",
            "    any rain (at least 0.1 mm/h at some moment): 76 %",
            "    25 dry minutes on end: not known",
            "  Chance of rain at the place, at that moment:",
            "    2026-09-03T04:30:00Z  3 %",
            "  note: pictures missing between two others",
        ]
    );
}
