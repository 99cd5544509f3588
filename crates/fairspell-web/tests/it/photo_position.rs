//! Positions that cameras noted. The photographs were made by other programs' writers of Exif.

use fairspell_web::photo_position::{NoPosition, position_of_photo};

fn photo(name: &str) -> Vec<u8> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/photos");
    std::fs::read(format!("{folder}/{name}")).unwrap()
}

/// Degrees, minutes and seconds as the fixtures' list has them.
fn dms(degrees: f64, minutes: f64, seconds: f64) -> f64 {
    degrees + minutes / 60.0 + seconds / 3600.0
}

fn reads(name: &str, lat_deg: f64, lon_deg: f64) {
    let point = position_of_photo(&photo(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
    let (dlat, dlon) = (point.lat_deg() - lat_deg, point.lon_deg() - lon_deg);
    // The notes are rationals: nothing but the last bits of a fraction may differ.
    assert!(dlat.abs() < 1e-9 && dlon.abs() < 1e-9, "{name} was read as {point}");
}

#[test]
fn degrees_minutes_and_seconds_are_read_from_every_kind_of_file() {
    for name in ["steps.jpg", "steps.heic", "steps.png", "steps.webp"] {
        reads(name, -dms(31.0, 43.0, 30.72), dms(152.0, 46.0, 26.78));
    }
}

#[test]
fn the_sides_decide_the_signs() {
    reads("north_west.jpg", dms(31.0, 43.0, 30.72), -dms(152.0, 46.0, 26.78));
}

#[test]
fn minutes_may_hold_the_fraction() {
    reads("minutes.jpg", -dms(31.0, 43.512, 0.0), dms(152.0, 46.4463, 0.0));
}

#[test]
fn what_is_not_noted_is_not_guessed() {
    for (name, why) in [
        ("no_position.jpg", NoPosition::NotNoted),
        ("no_side.jpg", NoPosition::NotNoted),
        ("bare.jpg", NoPosition::NotNoted),
        ("no_fix.jpg", NoPosition::Impossible),
        ("beyond.jpg", NoPosition::Impossible),
        ("README.md", NoPosition::NotReadable),
    ] {
        assert_eq!(position_of_photo(&photo(name)), Err(why), "{name}");
    }
    assert_eq!(position_of_photo(b""), Err(NoPosition::NotReadable));
}

#[test]
fn no_cut_and_no_flipped_byte_makes_it_panic() {
    for name in ["steps.jpg", "steps.heic", "steps.png", "steps.webp"] {
        let whole = photo(name);
        for length in 0..whole.len() {
            let _ = position_of_photo(&whole[..length]);
        }
        for at in 0..whole.len() {
            let mut bytes = whole.clone();
            bytes[at] ^= 0xff;
            let _ = position_of_photo(&bytes);
        }
    }
}
