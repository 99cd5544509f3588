use fairspell_ground::{Skyline, SkylineStretch};

use crate::{ridge::ridge, skyline::sector};

fn refused(stretch: SkylineStretch) -> String {
    // Behind a sound one, so that the count is seen to count.
    let sound = sector(240.0, 295.0, 90.0).into();
    Skyline::try_new(vec![sound, stretch]).unwrap_err().to_string()
}

#[test]
fn what_is_wrong_is_named_with_its_point_and_value() {
    for (stretch, expected) in [
        (
            sector(0.0, 90.0, 91.5).into(),
            "point 1: expected a height of 0 to 90 degrees, found 91.5",
        ),
        (sector(0.0, 90.0, -1.0).into(), "point 1: expected a height of 0 to 90 degrees, found -1"),
        (
            sector(0.0, 400.0, 1.0).into(),
            "point 2: expected an azimuth of 0 to 360 degrees, found 400",
        ),
        (
            ridge(&[(10.0, 1.0), (20.0, f64::NAN)]),
            "point 2: expected a height of 0 to 90 degrees, found NaN",
        ),
        (
            ridge(&[(10.0, 1.0), (-20.0, 1.0)]),
            "point 2: expected an azimuth of 0 to 360 degrees, found -20",
        ),
        (ridge(&[(10.0, 1.0)]), "point 1: expected a ridge of two points or more, found 1"),
        (ridge(&[]), "point 1: expected a ridge of two points or more, found 0"),
        (
            ridge(&[(10.0, 1.0), (20.0, 2.0), (20.0, 3.0)]),
            "point 3: the ridge has two heights at azimuth 20",
        ),
        (
            ridge(&[(0.0, 1.0), (180.0, 2.0), (360.0, 3.0)]),
            "point 3: the ridge has two heights at azimuth 360",
        ),
        (
            ridge(&[(300.0, 1.0), (100.0, 2.0), (310.0, 3.0)]),
            "point 3: the ridge goes round more than once by azimuth 310",
        ),
        // Anticlockwise by mistake: all but all round, twice.
        (
            ridge(&[(30.0, 1.0), (20.0, 2.0), (10.0, 3.0)]),
            "point 3: the ridge goes round more than once by azimuth 10",
        ),
    ] {
        assert_eq!(refused(stretch), format!("stretch 2, {expected}"));
    }
}

#[test]
fn what_is_sound_passes() {
    let sound = vec![
        sector(350.0, 20.0, 0.0).into(),
        sector(0.0, 360.0, 90.0).into(),
        ridge(&[(350.0, 1.0), (20.0, 2.0)]),
        ridge(&[(0.0, 1.0), (180.0, 2.0), (360.0, 1.0)]),
    ];
    assert_eq!(Skyline::try_new(sound.clone()).unwrap().stretches(), sound);
    Skyline::default().check().unwrap();
}
