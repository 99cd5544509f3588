use fairspell_ground::Skyline;

use crate::{ridge::ridge, skyline::check};

fn read(lines: &str) -> Skyline {
    Skyline::from_csv(&format!("azimuth_deg,height_deg\n{lines}")).unwrap()
}

#[test]
fn a_table_with_points_all_round_is_closed_through_north() {
    let round = read("10,2\n100,4\n190,6\n280,8\n");
    // From 280 to 10 it falls from 8 to 2, a fifteenth of a degree for each.
    for (azimuth_deg, height_deg) in [(280.0, 8.0), (325.0, 5.0), (10.0, 2.0), (55.0, 3.0)] {
        check(&round, azimuth_deg, height_deg);
    }
    let north_deg = 8.0 - 6.0 * 80.0 / 90.0;
    for azimuth_deg in [0.0, 360.0] {
        assert!((round.height_deg(azimuth_deg) - north_deg).abs() < 1e-12);
    }
    round.check().unwrap();
    // Wherever the table begins.
    for azimuth_deg in (0..360).map(f64::from) {
        let turned = read("190,6\n280,8\n10,2\n100,4");
        assert!((turned.height_deg(azimuth_deg) - round.height_deg(azimuth_deg)).abs() < 1e-12);
    }
    // A table that names both 0 and 360 is closed already.
    let named = read("0,1\n120,5\n240,5\n360,1");
    assert_eq!(named.stretches(), [ridge(&[(0.0, 1.0), (120.0, 5.0), (240.0, 5.0), (360.0, 1.0)])]);
}

#[test]
fn a_table_of_one_side_stays_open() {
    let west = read("240,3\r\n\r\n270,8.5\r\n 300 , 2 \r\n");
    assert_eq!(west.stretches(), [ridge(&[(240.0, 3.0), (270.0, 8.5), (300.0, 2.0)])]);
    let north = read("300,3\n350,8\n20,4");
    check(&north, 5.0, 6.0);
    check(&north, 200.0, 0.0);
}

#[test]
fn the_line_that_cannot_be_used_is_named() {
    for (text, expected) in [
        ("", "line 1: expected the header `azimuth_deg,height_deg`, found ``"),
        ("0,1\n90,2", "line 1: expected the header `azimuth_deg,height_deg`, found `0,1`"),
        ("azimuth_deg,height_deg\n\n0;1", "line 3: expected an azimuth and a height, found `0;1`"),
        (
            "azimuth_deg,height_deg\n0,1,2",
            "line 2: expected an azimuth and a height, found `0,1,2`",
        ),
        (
            "azimuth_deg,height_deg\n0,1\n\n90,95",
            "line 4: expected a height of 0 to 90 degrees, found 95",
        ),
        (
            "azimuth_deg,height_deg\n0,1\n90,nan",
            "line 3: expected a height of 0 to 90 degrees, found NaN",
        ),
        (
            "azimuth_deg,height_deg\n0,1\n400,9",
            "line 3: expected an azimuth of 0 to 360 degrees, found 400",
        ),
        ("azimuth_deg,height_deg\n5,1\n5,2", "line 3: the ridge has two heights at azimuth 5"),
        (
            "azimuth_deg,height_deg\n90,1\n50,2\n95,2",
            "line 4: the ridge goes round more than once by azimuth 95",
        ),
        ("azimuth_deg,height_deg\n90,1", "line 2: expected a ridge of two points or more, found 1"),
        ("azimuth_deg,height_deg", "line 1: expected a ridge of two points or more, found 0"),
    ] {
        assert_eq!(Skyline::from_csv(text).unwrap_err().to_string(), expected);
    }
}
