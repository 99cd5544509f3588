use fairspell_studio::{Band, Rule, Ruling};
use fairspell_words::{avoided_words, evening_labels, rain_map_words, standing_line};

use crate::world::{at, outlook, ruling, sourced, spots, storm_warning, zone};

#[test]
fn a_go_among_showers_is_told_with_both_figures_their_hours_place_and_age() {
    assert_eq!(
        standing_line(&ruling(), &outlook(), &zone()),
        "go: a wet minute (at least 0.1 mm/h) 75 %, one 25-minute dry gap 91 %, 15:15 to 17:05 at \
         Cannery Arcade, as of 14:26"
    );
}

#[test]
fn a_danger_is_told_by_its_name_and_not_by_the_rain() {
    let danger = |rule: Rule| Ruling { band: Band::MustMove, step: None, rule, ..ruling() };
    let storm = danger(Rule::StopWarning { warning: storm_warning() });
    assert_eq!(
        standing_line(&storm, &outlook(), &zone()),
        "must move: official warning, Severe Thunderstorm Warning"
    );
    let heat = danger(Rule::TooHot {
        felt: sourced(39.0, "a service", "2026-09-03 12:00"),
        limit_c: 38.0,
    });
    assert_eq!(standing_line(&heat, &outlook(), &zone()), "must move: it feels like 39 °C");
}

#[test]
fn marks_outside_the_evening_are_left_out() {
    let mut outlook = outlook();
    outlook.light.sunrise = Some(at("2026-09-03 06:03"));
    let labels = evening_labels(&outlook, &spots(), &zone());
    assert!(labels.marks.iter().any(|(_, label)| label == "sunset 17:33"));
    assert!(!labels.marks.iter().any(|(_, label)| label.starts_with("sunrise")));
    assert_eq!(labels.gaps, ["22 min dry", "31 min dry"]);
}

#[test]
fn the_map_says_whose_picture_it_is_and_how_old() {
    let outlook = outlook();
    let view = outlook.radar.as_ref().unwrap();
    let words = rain_map_words(view, "Coast Radar", "Heron Walk", outlook.as_of, &zone());
    assert_eq!(words.caption[0], "Coast Radar, as of 14:26");
    assert!(words.description.contains("20 % of the sky within 60 km is wet"));
    assert!(avoided_words(&words.description).is_empty());
}
