use fairspell_figures::{Evening, TableWords, evening_table};
use proptest::prelude::*;

use crate::{anything, samples};

fn words() -> TableWords {
    TableWords {
        rain: "rain".into(),
        light: "light".into(),
        dry_gap: "dry gap".into(),
        danger: "danger".into(),
        mark: "moment".into(),
        look: "look".into(),
        decided: "decided".into(),
        proposed: "proposed".into(),
    }
}

/// The clock of an evening that begins at 14:45.
fn clock(at_min: f64) -> String {
    let minutes = 14.0 * 60.0 + 45.0 + at_min;
    format!("{:02.0}:{:02.0}", (minutes / 60.0).floor(), (minutes % 60.0).floor())
}

fn told(evening: &Evening, from: &str, what: &str) -> String {
    let rows = evening_table(evening, &words(), clock);
    let row = rows.into_iter().find(|row| row[0] == from && row[2] == what);
    row.map(|[_, to, _, detail]| format!("{to} {detail}")).expect("a row for it")
}

#[test]
fn the_table_says_what_the_figure_shows() {
    let evening = samples::showers();
    assert_eq!(told(&evening, "15:41", "rain"), "15:49 88 %, 3 mm/h");
    assert_eq!(told(&evening, "15:52", "dry gap"), "16:14 22 min dry, ±3 min / ±3 min");
    assert_eq!(told(&evening, "15:15", "look"), "15:41 satin, Arcade, under the roof, decided");
    assert_eq!(told(&evening, "17:33", "moment"), "17:33 sunset 17:33");
}

#[test]
fn the_table_says_what_is_not_known() {
    assert_eq!(told(&samples::half_known(), "15:50", "rain"), "17:15 not known");
    let dark = Evening { light: Vec::new(), ..samples::showers() };
    assert_eq!(told(&dark, "15:00", "light"), "15:00 not known");
}

proptest! {
    #[test]
    fn any_evening_can_be_told_without_figures_that_are_none(evening in anything::evening()) {
        let names = |text: &str| format!("{text} {}", evening.not_known_label).contains("NaN");
        for row in evening_table(&evening, &words(), |at_min| format!("{at_min:.0}")) {
            let ours = ["rain", "light"].contains(&row[2].as_str());
            prop_assert!(!row[0].contains("NaN") && !row[1].contains("NaN"));
            prop_assert!(!ours || names("") || !row[3].contains("NaN"), "{row:?}");
        }
    }
}
