use fairspell_studio::Span;
use fairspell_words::{RainAhead, RainTold, RainWindow, SkyAround, SkyTrend, rain_lines};
use jiff::Timestamp;

fn at(clock: &str) -> Timestamp {
    format!("2026-09-03T{clock}:00Z").parse().unwrap()
}

fn told() -> RainTold {
    RainTold {
        place: "-31.7252,152.7741".to_owned(),
        issued: at("04:30"),
        frames_used: 12,
        frame_age_min: Some(4.0),
        gap_min: 25.0,
        ahead: Some(RainAhead {
            until: at("07:25"),
            p_gap: Some(0.93),
            best_start: Some((at("05:10"), 0.81)),
            longest_gap_min: Some([40.0, 65.0, 110.0]),
            rains_now: false,
            begins: Some((0.76, [at("05:35"), at("05:50"), at("06:30")])),
            ends: Some((0.7, [at("05:50"), at("06:10"), at("07:05")])),
            wet_min: Some([0.0, 20.0, 45.0]),
            p_at_least: [Some(0.4), Some(0.06)],
        }),
        windows: vec![RainWindow {
            hours: Span { from: at("05:15"), to: at("07:45") },
            p_rain: Some(0.76),
            p_gap: None,
            best_start: None,
        }],
        sky: SkyAround {
            radius_km: 60.0,
            wet_share: Some(0.21),
            trend: Some(SkyTrend::Growing),
            trend_per_hour: Some(0.08),
            gap_between_min: Some([10.0, 25.0, 60.0]),
        },
        minutes: vec![(at("04:30"), Some(0.03))],
        remarks: vec!["pictures missing between two others".to_owned()],
    }
}

#[test]
fn gaps_come_first_and_every_figure_has_its_amount_and_hours() {
    assert_eq!(
        rain_lines(&told()),
        [
            "Rain at -31.7252,152.7741 as of 2026-09-03T04:30:00Z.",
            "  25 dry minutes on end, by 2026-09-03T07:25:00Z: 93 %, best from 2026-09-03T05:10:00Z (81 %)",
            "  The longest dry stretch in that time: about 65 min (40 to 110 min)",
            "  2026-09-03T05:15:00Z to 2026-09-03T07:45:00Z:",
            "    25 dry minutes on end: not known",
            "    any rain (at least 0.1 mm/h at some moment): 76 %",
            "  Rain begins about 2026-09-03T05:50:00Z (2026-09-03T05:35:00Z to 2026-09-03T06:30:00Z); chance 76 %",
            "  It ends about 2026-09-03T06:10:00Z (2026-09-03T05:50:00Z to 2026-09-03T07:05:00Z); chance 70 %",
            "  Wet by 2026-09-03T07:25:00Z: about 20 min (0 to 45 min)",
            "  How hard: at least 1 mm/h at some moment 40 %, at least 5 mm/h 6 %",
            "  Wet within 60 km (at least 0.1 mm/h): 21 %, growing by 8 % of the sky an hour",
            "  Dry between the showers on their way: about 25 min (10 to 60 min)",
            "  Told from 12 radar pictures, the newest 4 min old.",
            "  Chance of rain at the place, at that moment:",
            "    2026-09-03T04:30:00Z  3 %",
            "  note: pictures missing between two others",
        ]
    );
}

#[test]
fn rain_that_falls_or_hardly_comes_is_not_said_to_begin() {
    let mut told = told();
    let ahead = told.ahead.as_mut().unwrap();
    ahead.begins = Some((0.02, [at("05:35"), at("05:50"), at("06:30")]));
    ahead.ends = None;
    let said = rain_lines(&told).join("\n");
    assert!(said.contains("Rain is unlikely to begin by 2026-09-03T07:25:00Z."), "{said}");
    assert!(!said.contains("It ends"), "{said}");
    told.ahead.as_mut().unwrap().rains_now = true;
    assert!(rain_lines(&told).join("\n").contains("It rains now."));
}

#[test]
fn what_is_not_known_is_said_to_be_so_or_left_out() {
    let mut told = told();
    told.ahead = None;
    told.sky = SkyAround {
        radius_km: 60.0,
        wet_share: None,
        trend: None,
        trend_per_hour: None,
        gap_between_min: None,
    };
    told.frame_age_min = None;
    let said = rain_lines(&told).join("\n");
    assert!(said.contains("Wet within 60 km (at least 0.1 mm/h): not known"), "{said}");
    assert!(!said.contains("longest") && !said.contains("growing"), "{said}");
}
