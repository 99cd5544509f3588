//! The words of forms, by the list of words that nobody should have to read.

use fairspell_studio::spot::{Cover, Refuge, WindExposure};
use fairspell_words::{
    avoided_words,
    screens::{first_start, forms, places, session_edit},
};

#[test]
fn the_words_of_places_first_start_and_sessions_are_plain() {
    let refuge = |minutes| Refuge { name: "Net Store".to_owned(), minutes };
    let wind = WindExposure { gust_factor: 1.3, gust_limit_km_h: Some(40.0) };
    let said = [
        places::NO_SPOT.to_owned(),
        places::POSITION_HINT.to_owned(),
        places::PHOTO_HINT.to_owned(),
        places::REFUGE_HINT.to_owned(),
        places::SKYLINE_HINT.to_owned(),
        places::IN_USE_MEANS.to_owned(),
        places::POSITION_UNREADABLE.to_owned(),
        places::POSITION_OUT_OF_RANGE.to_owned(),
        places::POSITION_LINK.to_owned(),
        places::POSITION_GRID.to_owned(),
        places::PHOTO_UNREADABLE.to_owned(),
        places::PHOTO_WITHOUT.to_owned(),
        places::PHOTO_IMPOSSIBLE.to_owned(),
        places::safe_in_thunder(Some(&refuge(3))),
        places::wind(&wind),
        places::skyline_wrong(2, "west"),
        forms::NAME.to_owned(),
        forms::number(0.1, 5.0),
        first_start::ASKS.to_owned(),
        first_start::MAP_UNTOUCHED.to_owned(),
        first_start::PASSPHRASE_HINT.to_owned(),
        first_start::ONLY_PASSPHRASE_MEANS.to_owned(),
        first_start::NOT_FROM_HERE_MEANS.to_owned(),
        first_start::NO_LIGHT.to_owned(),
        session_edit::LOOKS_HINT.to_owned(),
        session_edit::START_SKIPPED.to_owned(),
        session_edit::START_REPEATED.to_owned(),
        session_edit::DELETE_MEANS.to_owned(),
    ];
    for text in said {
        assert!(avoided_words(&text).is_empty() && !text.contains('!'), "{text}");
    }
}

#[test]
fn a_spot_is_told_by_two_ratings() {
    let refuge = |minutes| Refuge { name: "Net Store".to_owned(), minutes };
    assert_eq!(places::dry_under(Cover::Roof), "Dry under: a roof");
    assert_eq!(places::safe_in_thunder(None), "Safe in thunder: nobody has looked yet");
    for (minutes, walk) in
        [(0, "at the spot itself"), (1, "1 minute's walk"), (3, "3 minutes' walk")]
    {
        let told = places::safe_in_thunder(Some(&refuge(minutes)));
        assert_eq!(told, format!("Safe in thunder: Net Store, {walk}"));
    }
}
