use fairspell_studio::Span;
use fairspell_words::{
    RainAhead, RainTold, RainWindow, SkyAround, SkyTrend, rain_here, rain_lines,
};
use jiff::{Timestamp, tz::Offset};

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
            rain_now: Some(0.03),
            begins: Some((0.76, [at("05:35"), at("05:50"), at("06:30")])),
            ends: Some((0.7, [at("05:50"), at("06:10"), at("07:05")])),
            wet_min: Some([0.0, 20.0, 45.0]),
            p_at_least: [Some(0.4), Some(0.06)],
        }),
        windows: vec![RainWindow {
            hours: Span { from: at("05:15"), to: at("07:25") },
            p_rain: Some(0.76),
            p_gap: Some(0.92),
            best_start: None,
        }],
        sky: SkyAround {
            radius_km: 60.0,
            wet_share: Some(0.21),
            trend: Some(SkyTrend::Growing),
            trend_per_hour: Some(0.08),
            gap_between_min: Some([10.0, 25.0, 60.0]),
        },
        minutes: (30..46)
            .map(|minute| {
                (at(&format!("04:{minute}")), Some(if minute < 45 { 0.03 } else { 0.999 }))
            })
            .collect(),
        remarks: vec!["pictures missing between two others".to_owned()],
    }
}

#[test]
fn gaps_come_first_and_every_figure_has_its_amount_and_hours() {
    assert_eq!(
        rain_lines(&told()),
        [
            "Rain at -31.7252,152.7741 as of 2026-09-03 04:30 UTC; all times are UTC.",
            "  25 dry minutes on end, by 07:25: 93 %, best from 05:10 (81 %)",
            "  The longest dry stretch in that time: about 65 min (40 to 110 min)",
            "  05:15 to 07:25:",
            "    25 dry minutes on end: 92 %",
            "    any rain (at least 0.1 mm/h at some moment): 76 %",
            "  Rain begins by 07:25: 76 %; if so, about 05:50 (05:35 to 06:30)",
            "  The first rain ends by 07:25: 70 %; if so, about 06:10 (05:50 to 07:05)",
            "  Wet by 07:25, all showers together: about 20 min (0 to 45 min)",
            "  How hard by 07:25: at least 1 mm/h at some moment 40 %, at least 5 mm/h 6 %",
            "  Wet sky within 60 km (at least 0.1 mm/h): 21 %, growing by 8 % of the sky an hour",
            "  Dry between one shower and the next: about 25 min (10 to 60 min)",
            "  Told from 12 radar pictures, the newest 4 min old.",
            "  Chance of rain at the place, at that moment:",
            "    04:30  3 %",
            "    04:45  over 99 %",
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
    assert!(said.contains("Rain is unlikely to begin by 07:25."), "{said}");
    assert!(!said.contains("ends"), "{said}");
}

#[test]
fn rain_that_falls_now_ends_and_is_not_said_to_begin_once_more() {
    let mut told = told();
    told.ahead.as_mut().unwrap().rain_now = Some(0.67);
    let said = rain_lines(&told).join("\n");
    assert!(said.contains("It probably rains now (67 %)."), "{said}");
    assert!(said.contains("It ends by 07:25: 70 %") && !said.contains("begins"), "{said}");
    told.ahead.as_mut().unwrap().rain_now = Some(0.98);
    assert!(rain_lines(&told).join("\n").contains("It rains now."));
}

#[test]
fn a_window_that_cannot_be_told_says_why() {
    let mut told = told();
    let window = |from: &str, to: &str, p_rain| RainWindow {
        hours: Span { from: from.parse().unwrap(), to: to.parse().unwrap() },
        p_rain,
        p_gap: None,
        best_start: None,
    };
    told.gap_min = 200.0;
    told.windows = vec![
        window("2026-09-03T02:00:00Z", "2026-09-03T03:00:00Z", None),
        window("2026-09-03T04:00:00Z", "2026-09-03T04:40:00Z", Some(0.1)),
        window("2026-09-03T23:00:00Z", "2026-09-04T01:00:00Z", None),
    ];
    let said = rain_lines(&told).join("\n");
    for line in [
        "200 dry minutes on end, by 07:25: does not fit, only 175 minutes are told",
        "02:00 to 03:00:\n    these hours are over",
        "    200 dry minutes on end: does not fit, only 10 minutes are left",
        "23:00 to 2026-09-04 01:00:\n    not known: they reach farther than the pictures can tell",
    ] {
        assert!(said.contains(line), "{line}\n{said}");
    }
}

#[test]
fn old_pictures_are_called_old_and_times_have_no_seconds() {
    let mut told = told();
    (told.frames_used, told.frame_age_min) = (1, Some(72.0));
    told.ahead.as_mut().unwrap().best_start =
        Some(("2026-09-03T05:12:30Z".parse().unwrap(), 0.998));
    told.ahead.as_mut().unwrap().wet_min = Some([-0.0, -0.0, 48.0]);
    let said = rain_lines(&told).join("\n");
    assert!(said.contains("1 radar picture, the newest 72 min old: that is old"), "{said}");
    assert!(said.contains("best from 05:13 (over 99 %)"), "{said}");
    assert!(said.contains("about 0 min (0 to 48 min)"), "{said}");
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
    told.minutes.clear();
    let said = rain_lines(&told).join("\n");
    let reason = rain_lines(&told)[1].clone();
    assert_eq!(reason, "  note: pictures missing between two others", "the reason comes first");
    assert!(said.contains("Wet sky within 60 km (at least 0.1 mm/h): not known"), "{said}");
    assert!(!said.contains("longest") && !said.contains("growing"), "{said}");
}

#[test]
fn a_place_with_a_clock_on_its_wall_is_told_in_its_own_time() {
    let told = told();
    let lines =
        rain_here(&told.ahead.unwrap(), told.gap_min, &told.sky, told.issued, Offset::constant(10));
    assert_eq!(lines.len(), 8);
    assert_eq!(lines[0], "25 dry minutes on end, by 17:25: 93 %, best from 15:10 (81 %)");
    assert_eq!(lines[2], "Rain begins by 17:25: 76 %; if so, about 15:50 (15:35 to 16:30)");
    assert!(lines[6].contains("growing by 8 % of the sky an hour"), "{}", lines[6]);
}
