use fairspell_chance::Probability;
use fairspell_studio::{
    Band, Outlook, Rule, Ruling, Span,
    outlook::{SourceKind, WarningSeen},
};
use fairspell_words::{
    ChanceMapFacts, avoided_words, chance_map_words, danger_of_figure, evening_labels,
    rain_map_words, screens::radar, standing_line,
};

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
        "must move: official warning, Severe Thunderstorm Warning, 15:00 to 20:00, as of 14:05"
    );
    let heat = danger(Rule::TooHot {
        felt: sourced(39.0, "a service", "2026-09-03 12:00"),
        limit_c: 38.0,
    });
    assert_eq!(
        standing_line(&heat, &outlook(), &zone()),
        "must move: it feels like 39 °C, 15:15 to 17:05 at Cannery Arcade, as of 12:00"
    );
}

#[test]
fn what_is_missing_is_named_and_never_called_dry() {
    let rule = Rule::NotKnown { missing: vec![SourceKind::Forecast, SourceKind::Radar] };
    let unknown = Ruling { band: Band::Unknown, step: None, rule, ..ruling() };
    assert_eq!(
        standing_line(&unknown, &outlook(), &zone()),
        "not known: nothing to go by from forecast and radar, which does not mean dry"
    );
}

#[test]
fn a_warning_over_several_days_names_the_days_that_are_not_the_sessions() {
    let warning = WarningSeen {
        from: at("2026-09-02 22:00"),
        to: Some(at("2026-09-04 06:00")),
        ..storm_warning()
    };
    let outlook = Outlook { warnings: vec![warning.clone()], ..outlook() };
    let labels = evening_labels(&outlook, &spots(), &zone());
    let said = "Severe Thunderstorm Warning, Wed 2 Sep, 22:00 to Fri 4 Sep, 06:00";
    assert_eq!(labels.warnings, [said]);
    let endless = Outlook { warnings: vec![WarningSeen { to: None, ..warning }], ..outlook };
    let labels = evening_labels(&endless, &spots(), &zone());
    assert!(labels.warnings[0].ends_with("from Wed 2 Sep, 22:00 until further notice"));
}

#[test]
fn heat_and_gusts_that_decide_are_a_danger_with_hours_and_rain_is_none() {
    let figure = |value| sourced(value, "a service", "2026-09-03 12:00");
    let heat = Rule::TooHot { felt: figure(39.0), limit_c: 38.0 };
    let (hours, said) = danger_of_figure(&heat, &zone()).unwrap();
    assert_eq!(hours, figure(39.0).hours);
    assert_eq!(said, "it feels like 39 °C, 15:15 to 17:05");
    let gusts = Rule::TooWindy { gust: figure(75.0), limit_km_h: 45.0 };
    assert_eq!(danger_of_figure(&gusts, &zone()).unwrap().1, "gusts of 75 km/h, 15:15 to 17:05");
    assert!(danger_of_figure(&ruling().rule, &zone()).is_none());
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
    assert_eq!(words.caption[0], "Coast Radar, as of 14:26, 4 minutes old");
    assert!(words.description.contains("20 % of the sky within 60 km is wet"));
    assert!(avoided_words(&words.description).is_empty());
}

#[test]
fn a_map_of_chances_says_hours_place_source_and_age() {
    let outlook = outlook();
    let view = outlook.radar.as_ref().unwrap();
    let hours = Span { from: at("2026-09-03 14:32"), to: at("2026-09-03 15:32") };
    let words = |facts: &ChanceMapFacts| {
        let about = ("Coast Radar", "Heron Walk");
        chance_map_words(view, about.0, about.1, hours, facts, outlook.as_of, &zone())
    };
    let here = Some(Probability::new(0.62).unwrap());
    let facts = ChanceMapFacts { here, likely_share: Some(0.34), unknown_share: 0.12 };
    let said = words(&facts);
    assert_eq!(said.title, "Chance of rain around Heron Walk, 14:32 to 15:32");
    assert_eq!(
        said.description,
        "Chance of rain around Heron Walk, 14:32 to 15:32: 62 % at Heron Walk; likely in 34 % of \
         what was measured; 12 % of the map not measured. Coast Radar, as of 14:26, 4 minutes old."
    );
    assert_eq!(said.caption[0], "62 % at Heron Walk, 14:32 to 15:32, for at least 0.1 mm/h");
    let blind = ChanceMapFacts { here: None, likely_share: None, unknown_share: 1.0 };
    let said = words(&blind);
    assert!(said.description.contains("not known at Heron Walk"), "{}", said.description);
    assert!(said.description.contains("which does not mean dry"), "{}", said.description);
    assert!(avoided_words(&said.description).is_empty());
}

#[test]
fn a_picture_of_the_loop_says_whether_it_was_seen_and_how_far_ahead_it_is() {
    let now = at("2026-09-03 14:32");
    assert_eq!(radar::seen(at("2026-09-03 14:26"), now), "seen, 6 minutes old");
    assert_eq!(radar::coming(at("2026-09-03 15:07"), now), "expected, in 35 minutes");
    assert_eq!(radar::coming(at("2026-09-03 14:33"), now), "expected, in 1 minute");
    // A picture that is late is carried up to now before it is carried beyond.
    assert_eq!(radar::coming(at("2026-09-03 14:31"), now), "expected by now");
    let told = radar::told_from(at("2026-09-03 14:26"), now, &zone());
    assert_eq!(told, "told from the picture of 14:26, 6 minutes old");
}
