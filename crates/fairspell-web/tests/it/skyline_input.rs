//! Skylines as lines of text.

use fairspell_ground::{Ridge, RidgePoint, Skyline, SkylineSector};
use fairspell_web::skyline_input::{read_skyline, written_skyline};
use proptest::prelude::*;

#[test]
fn a_skyline_is_read_back_as_it_is_written() {
    let text = "240-295: 8\n350-20: 3.5\n0-360: 1\n240: 3; 260.25: 8.125; 20: 5";
    assert_eq!(written_skyline(&read_skyline(text).unwrap()), text);
    assert_eq!(read_skyline("").unwrap().stretches(), []);
}

#[test]
fn dashes_commas_degree_signs_and_blanks_do_not_matter() {
    let plain = read_skyline("240-295: 8.5").unwrap();
    for text in ["240–295:8,5", " 240 to 295 : 8.5° ", "\n240° - 295°: 8.5\n\n"] {
        assert_eq!(read_skyline(text).unwrap(), plain, "{text}");
    }
    let plain = read_skyline("240: 3.5; 260: 8").unwrap();
    assert_eq!(read_skyline(" 240° : 3,5° ;260:8 ").unwrap(), plain);
}

#[test]
fn the_line_that_cannot_be_read_is_named() {
    for text in [
        "240-295",
        "240: 8",
        "240-295: high",
        "west-north: 8",
        "240-395: 8",
        "-10-20: 8",
        "240-295: 91",
        "240-295: NaN",
        "240-295: 1e1",
        "240: 8; 250",
        "240: 8;",
        "240: 8; 240: 9",
        "240: 8; 200: 9; 250: 9",
        "240: 8; 295: 91",
        "240: 8; 365: 9",
    ] {
        let refused = read_skyline(&format!("0-10: 1\n\n{text}")).unwrap_err();
        assert_eq!((refused.line, refused.text.as_str()), (3, text));
    }
}

proptest! {
    #[test]
    fn every_sound_skyline_survives_the_form(
        level in (0.0..=360.0_f64, 0.0..=360.0_f64, 0.0..=90.0_f64),
        first_deg in 0.0..=120.0_f64,
        rest in prop::collection::vec((0.1..20.0_f64, 0.0..=90.0_f64), 1..12),
    ) {
        let (from_azimuth_deg, to_azimuth_deg, height_deg) = level;
        let sector = SkylineSector { from_azimuth_deg, to_azimuth_deg, height_deg };
        let mut points = vec![RidgePoint { azimuth_deg: first_deg, height_deg }];
        for (width_deg, height_deg) in rest {
            let azimuth_deg = points[points.len() - 1].azimuth_deg + width_deg;
            points.push(RidgePoint { azimuth_deg, height_deg });
        }
        let skyline = Skyline::try_new(vec![Ridge { points }.into(), sector.into()]).unwrap();
        prop_assert_eq!(read_skyline(&written_skyline(&skyline)).unwrap(), skyline);
    }
}
