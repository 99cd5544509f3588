use fairspell_words::{avoided_words, evening_description};

use crate::world::{chance, nothing_known, outlook, sourced, storm_warning, zone};

#[test]
fn the_wet_thursday_in_one_line() {
    let words = evening_description(&outlook(), "Saltern Bight", &zone());
    assert_eq!(words.heading, "Thu 3 Sep, Saltern Bight");
    assert_eq!(
        words.title,
        "Thu 3 Sep, Saltern Bight. Showers likely; dry gaps of about 22 and 31 minutes, at 15:52 \
         and 16:30. Sunset 17:33, last usable light 17:48."
    );
}

#[test]
fn how_likely_follows_the_chance() {
    for (percent, gap, said) in [
        (14.0, 99.0, "Showers unlikely."),
        (15.0, 99.0, "Showers possible."),
        (54.0, 99.0, "Showers possible."),
        (55.0, 69.0, "Showers likely; no dry gap that one could plan with."),
        (80.0, 10.0, "Showers very likely; no dry gap that one could plan with."),
        (80.0, 70.0, "Showers very likely; a dry gap is likely, but not yet when."),
    ] {
        let mut outlook = outlook();
        outlook.likely_gaps.clear();
        outlook.p_wet_minute =
            Some(sourced(chance(percent, percent, percent), "Coast Radar", "2026-09-03 14:26"));
        outlook.p_gap = Some(sourced(chance(gap, gap, gap), "Coast Radar", "2026-09-03 14:26"));
        let words = evening_description(&outlook, "Saltern Bight", &zone());
        assert_eq!(words.summary, said, "{percent}");
    }
}

#[test]
fn danger_comes_first_and_what_is_missing_is_said() {
    let mut outlook = nothing_known();
    outlook.warnings = vec![storm_warning()];
    let words = evening_description(&outlook, "", &zone());
    assert_eq!(
        words.title,
        "Thu 3 Sep. Official warning: severe thunderstorm warning. Chance of rain not known. Not \
         known: forecast, official warnings and radar. Light not known."
    );
    assert!(avoided_words(&words.title).is_empty());
}
