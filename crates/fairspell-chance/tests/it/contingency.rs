use fairspell_chance::Contingency;

/// Tornado forecasts of 1884: hits, false alarms, misses, correct negatives.
const TORNADOES: Contingency =
    Contingency { hits: 28, false_alarms: 72, misses: 23, correct_negatives: 2680 };

#[test]
fn the_tornado_forecasts_of_1884_score_as_published() {
    let scores = [
        (TORNADOES.detection_probability(), 0.5490),
        (TORNADOES.false_alarm_ratio(), 0.7200),
        (TORNADOES.false_alarm_rate(), 0.0262),
        (TORNADOES.critical_success_index(), 0.2276),
        (TORNADOES.peirce_skill(), 0.5229),
        (TORNADOES.heidke_skill(), 0.3553),
    ];
    for (score, expected) in scores {
        assert!((score.unwrap() - expected).abs() <= 0.5e-4, "{score:?} {expected}");
    }
    assert!((TORNADOES.frequency_bias().unwrap() - 1.961).abs() <= 0.5e-3);
}

#[test]
fn nothing_called_and_nothing_come_has_no_ratios() {
    let quiet = Contingency { hits: 0, false_alarms: 0, misses: 0, correct_negatives: 12 };
    assert_eq!(quiet.detection_probability(), None);
    assert_eq!(quiet.false_alarm_ratio(), None);
    assert_eq!(quiet.critical_success_index(), None);
    assert_eq!(quiet.peirce_skill(), None);
    assert_eq!(quiet.heidke_skill(), None);
    assert_eq!(quiet.false_alarm_rate(), Some(0.0));
}
