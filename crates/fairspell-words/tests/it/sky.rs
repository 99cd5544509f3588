use fairspell_studio::outlook::{Reach, Tier};
use fairspell_words::{avoided_words, the_sky};

use crate::world::{at, nothing_known, outlook, spots, storm_warning, zone};

#[test]
fn the_sky_of_the_wet_thursday_reads_as_it_did() {
    insta::assert_snapshot!(the_sky(&outlook(), &spots(), &zone()).join("\n"));
}

#[test]
fn a_warning_is_told_with_hours_source_and_caution() {
    let mut outlook = outlook();
    let mut drive = storm_warning();
    drive.event = "Flood Watch".to_owned();
    drive.tier = Tier::Hold;
    drive.reach = Reach::Drive;
    drive.to = None;
    drive.headline = None;
    outlook.warnings = vec![storm_warning(), drive];
    let lines = the_sky(&outlook, &spots(), &zone());
    let warnings: Vec<&String> =
        lines.iter().filter(|line| line.starts_with("Official warning (")).collect();
    assert_eq!(
        warnings,
        [
            "Official warning (must move): Severe Thunderstorm Warning, over the session, Thu 3 Sep, 15:00 to 20:00; Coast Weather Service, as of 14:05; it says \"Severe storms with hail from 3 pm\".",
            "Official warning (advise moving): Flood Watch, over the drive, Thu 3 Sep, 15:00, until further notice; Coast Weather Service, as of 14:05.",
        ]
    );
    let cautions = lines.iter().filter(|line| line.starts_with("Thunder: ")).count();
    assert_eq!(cautions, 1);
    assert!(lines.iter().any(|line| line.starts_with("Water on the road: ")));
}

#[test]
fn what_is_missing_is_said_to_be_not_known_and_never_dry() {
    let lines = the_sky(&nothing_known(), &spots(), &zone());
    let full = the_sky(&outlook(), &spots(), &zone());
    let unknown = lines.iter().filter(|line| line.contains("not known")).count();
    // Six figures of rain, seven of comfort, the radar's view, warnings, last light, sources.
    assert!(unknown >= 17, "{}", lines.join("\n"));
    assert!(!lines.iter().any(|line| line.contains("0 %")), "{}", lines.join("\n"));
    assert!(full.iter().all(|line| avoided_words(line).is_empty()));
    assert!(lines.iter().all(|line| avoided_words(line).is_empty()));
    assert!(!lines.iter().any(|line| line.contains("No official warning")));
}

#[test]
fn a_rain_that_hardly_moves_gets_no_direction() {
    let mut outlook = outlook();
    let mut view = outlook.radar.take().unwrap();
    for (motion, said) in [
        (Some((0.0, 0.0)), "rain hardly moving"),
        (Some((0.0, 30.0)), "rain moving toward north at 30 km/h"),
        (Some((f64::NAN, 3.0)), "where the rain goes is not known"),
        (None, "where the rain goes is not known"),
    ] {
        view.motion_km_h = motion;
        view.issued = at("2026-09-03 14:26");
        outlook.radar = Some(view.clone());
        let text = the_sky(&outlook, &spots(), &zone()).join("\n");
        assert!(text.contains(said), "{said}: {text}");
    }
}

#[test]
fn a_sky_without_rain_has_none_to_follow() {
    let mut outlook = outlook();
    let mut view = outlook.radar.take().unwrap();
    (view.motion_km_h, view.wet_share) = (None, Some(0.0));
    outlook.radar = Some(view);
    let text = the_sky(&outlook, &spots(), &zone()).join("\n");
    assert!(text.contains("no rain to follow"), "{text}");
}
