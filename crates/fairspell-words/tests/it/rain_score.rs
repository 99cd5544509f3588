use fairspell_words::{
    RainFieldTold, RainScoreTold, ScoreRow, ScoredQuestion, rain_field_lines, rain_score_lines,
};

fn row(brier: Option<f64>, csi: Option<f64>) -> ScoreRow {
    ScoreRow { brier, reliability: brier, resolution: brier, roc_area: brier, csi }
}

fn question(is_gap: bool, came_share: Option<f64>) -> ScoredQuestion {
    ScoredQuestion {
        is_gap,
        window_min: (15.0, 45.0),
        starts: 3,
        cases: 6000,
        came_share,
        left_out: 12,
        nowcast: row(Some(0.0827), (!is_gap).then_some(0.652)),
        extrapolation: row(Some(0.1328), None),
        persistence: row(Some(0.1742), None),
        against_extrapolation: Some((0.6227, Some((0.6149, 0.6311)))),
        against_persistence: Some((0.4747, None)),
    }
}

fn told(questions: Vec<ScoredQuestion>) -> RainScoreTold {
    let remarks = vec!["a line\nwith a break".to_owned()];
    RainScoreTold { points: 2000, gap_min: 25.0, step_min: 4.0, questions, remarks }
}

#[test]
fn scores_stand_in_a_small_table_with_their_ratios() {
    let lines = rain_score_lines(&told(vec![question(false, Some(0.313))])).join("\n");
    let expected = "\
Rain told by radar at 2000 places, against the pictures that came, one every 4 min.

  any rain, 15 to 45 minutes ahead:
    6000 cases at 3 moments, 12 left out; it came in 31 %
                      Brier  reliability  resolution  ROC area     CSI
    nowcast          0.0827       0.0827      0.0827     0.083   0.652
    extrapolation    0.1328       0.1328      0.1328     0.133       -
    persistence      0.1742       0.1742      0.1742     0.174       -
    0.62 times the Brier score of extrapolation (90 % of redrawn moments: 0.61 to 0.63)
    0.47 times the Brier score of persistence (one moment alone has no range)
  note: a line with a break";
    assert_eq!(lines, expected);
}

#[test]
fn what_was_not_scored_is_not_known() {
    let lines = rain_score_lines(&told(vec![question(true, None)])).join("\n");
    assert!(lines.contains("25 dry minutes on end, 15 to 45 minutes ahead:"), "{lines}");
    assert!(lines.contains("not known") && !lines.contains("Brier"), "{lines}");
}

#[test]
fn maps_are_told_with_what_is_not_known_of_them() {
    let told = RainFieldTold {
        file: "coming.nc".to_owned(),
        issued: "2026-09-03T04:30:00Z".parse().unwrap(),
        frames_used: 12,
        frame_age_min: 4.0,
        cells: (271, 327),
        moments: vec![
            ("2026-09-03T04:40:00Z".parse().unwrap(), 1.0, Some(0.163)),
            ("2026-09-03T04:50:00Z".parse().unwrap(), 0.8, Some(0.171)),
            ("2026-09-03T05:00:00Z".parse().unwrap(), 0.0, None),
        ],
        remarks: vec![],
    };
    let expected = "\
Rain as of 2026-09-03T04:30:00Z, by 12 radar pictures, the newest 4 min old.
  Written: coming.nc, 3 moments of 271 x 327 cells
  Share of the area that is wet (at least 0.1 mm/h) by the chances:
    2026-09-03T04:40:00Z  16 %
    2026-09-03T04:50:00Z  17 % of the 80 % that is known
    2026-09-03T05:00:00Z  not known";
    assert_eq!(rain_field_lines(&told).join("\n"), expected);
}
