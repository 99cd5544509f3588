//! Suns, skies and spots that several tests share.

use fairspell_almanac::SunPosition;
use fairspell_ground::{Skyline, SkylineSector};
use fairspell_light::{CieSky, Daylight, Ground, Surroundings};

/// A sun without refraction, so that the angles in a test are those that count.
pub(crate) fn sun(elevation_deg: f64, azimuth_deg: f64) -> SunPosition {
    SunPosition { elevation_deg, apparent_elevation_deg: elevation_deg, azimuth_deg }
}

/// A sky that gives level ground so many lux, without a sun.
pub(crate) fn sky(number: u8, sky_horizontal_lx: f64) -> Daylight {
    let sky = CieSky::of_type(number).unwrap();
    Daylight { direct_normal_lx: 0.0, direct_horizontal_lx: 0.0, sky_horizontal_lx, sky }
}

/// An open place whose ground sends nothing back.
pub(crate) fn black_ground() -> Surroundings {
    Surroundings { ground_reflectance: 0.0, ..Surroundings::open(Ground::Asphalt, true) }
}

/// From azimuth, to azimuth, height, all in degrees.
pub(crate) fn hills<const N: usize>(hills: [(f64, f64, f64); N]) -> Skyline {
    let sector = |(from_azimuth_deg, to_azimuth_deg, height_deg)| SkylineSector {
        from_azimuth_deg,
        to_azimuth_deg,
        height_deg,
    };
    Skyline::new(hills.into_iter().map(sector).collect())
}
