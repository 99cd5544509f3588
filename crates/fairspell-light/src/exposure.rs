//! Shutter, aperture and sensitivity to begin with.
//!
//! An exposure is a deal between three evils: blur of movement, too little depth, noise. What is
//! being done bounds the first two; sensitivity pays for what light does not.

use serde::{Deserialize, Serialize};

use crate::{
    camera::Camera,
    depth_of_field::{DepthOfField, depth_of_field, motion_blur_mm},
    doing::Doing,
};

/// Settings to begin with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Shutter time, s.
    pub shutter_s: f64,
    /// Aperture.
    pub f_number: f64,
    /// Sensitivity.
    pub iso: u32,
    /// What is sharp.
    pub depth_of_field: DepthOfField,
    /// How far the quickest part smears, pixels.
    pub blur_px: f64,
    /// What the camera cannot do; empty when all is well.
    pub limits: Vec<SettingLimit>,
}

/// What the camera cannot do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "limit")]
pub enum SettingLimit {
    /// The picture is underexposed at the widest aperture, the longest time and the highest
    /// sensitivity that may be.
    TooDark {
        /// By how much, stops.
        stops: f64,
    },
    /// It is overexposed at the shortest time: a grey filter of so many stops, or shade.
    TooBright {
        /// By how much, stops.
        stops: f64,
    },
}

/// What the difference of two settings must exceed to be said, stops: half a third.
const SAID_FROM: f64 = 1.0 / 6.0;

/// Settings that fit what is being done.
///
/// The time is what it asks for, or shorter than the hand shakes: one part of a second in the focal
/// length of a full frame. In little light the aperture opens as far as everybody stays sharp, then
/// sensitivity rises; in much the time shortens.
///
/// - `ev100`: the light on the face, exposure value at ISO 100.
/// - `focal_length_mm`, `distance_m`: the lens, and how far away somebody stands.
///
/// `None` where the lens cannot focus at that distance, or a figure is none.
///
/// # Examples
///
/// ```
/// use fairspell_light::{Camera, Doing, settings};
///
/// // Just after sunset.
/// let dusk = settings(7.4, Doing::Standing, 85.0, 3.0, &Camera::default()).expect("it focuses");
/// assert_eq!((dusk.f_number, dusk.iso), (1.8, 400));
/// assert_eq!((1.0 / dusk.shutter_s).round(), 200.0);
/// assert!(dusk.limits.is_empty());
/// ```
///
/// # Source
///
/// ISO 2720:1974 for exposure values; the standard series of ISO 5763 and ISO 516 (times, apertures)
/// and ISO 12232 (sensitivities) in thirds, from memory; the rest is common practice.
pub fn settings(
    ev100: f64,
    doing: Doing,
    focal_length_mm: f64,
    distance_m: f64,
    camera: &Camera,
) -> Option<Settings> {
    if !ev100.is_finite() {
        return None;
    }
    let hand_s = 1.0 / (focal_length_mm * camera.crop_factor());
    let longest_s = SHUTTERS.into_iter().map(|parts| 1.0 / parts).find(|time_s| {
        // A marked 1/200 is exact; what the hand allows is a rule of thumb.
        *time_s <= doing.shutter_max_s() * 1.001 && *time_s <= hand_s * 1.1
    })?;
    let (suits, widest) = doing.f_numbers();
    let opened = widest.max(camera.f_number_min);
    let f_numbers: Vec<f64> = APERTURES
        .into_iter()
        .filter(|n| *n >= opened - 0.01 && *n <= suits.max(opened) + 0.01)
        .rev()
        .collect();
    let isos: Vec<u32> = SENSITIVITIES
        .into_iter()
        .filter(|iso| (camera.iso_base..=camera.iso_max).contains(iso))
        .collect();
    let (&narrow, &wide) = (f_numbers.first()?, f_numbers.last()?);
    let (&base, &highest) = (isos.first()?, isos.last()?);
    let too_much = |shutter_s: f64, f_number: f64, iso: u32| {
        ev100 - exposure_value_100(shutter_s, f_number, iso)
    };
    let (mut shutter_s, mut f_number, mut iso) = (longest_s, narrow, base);
    if too_much(shutter_s, f_number, iso) > 0.0 {
        // Bright: shorter.
        let times = SHUTTERS.into_iter().map(|parts| 1.0 / parts);
        let allowed = times
            .filter(|time_s| (camera.shutter_min_s * 0.99..=longest_s * 1.01).contains(time_s));
        shutter_s = nearest(allowed, |time_s| too_much(time_s, f_number, iso))?;
    } else if too_much(shutter_s, wide, iso) > -SAID_FROM {
        f_number = nearest(f_numbers.into_iter(), |n| too_much(shutter_s, n, iso))?;
    } else {
        f_number = wide;
        iso = nearest(isos.into_iter(), |iso| too_much(shutter_s, f_number, iso))?;
    }
    let stops = too_much(shutter_s, f_number, iso);
    let mut limits = Vec::new();
    if stops > SAID_FROM + 0.02 {
        limits.push(SettingLimit::TooBright { stops });
    } else if stops < -SAID_FROM - 0.02 && iso == highest {
        limits.push(SettingLimit::TooDark { stops: -stops });
    }
    let circle_mm = camera.circle_of_confusion_mm();
    let smear_mm = motion_blur_mm(doing.speed_m_s(), shutter_s, focal_length_mm, distance_m)?;
    Some(Settings {
        shutter_s,
        f_number,
        iso,
        depth_of_field: depth_of_field(focal_length_mm, f_number, distance_m, circle_mm)?,
        blur_px: camera.pixels(smear_mm),
        limits,
    })
}

/// The light, as an exposure value at ISO 100, that settings are made for. Marked values count as the
/// exact thirds that they stand for.
///
/// # Source
///
/// ISO 2720:1974: EV = log2(N²/t), less log2(S/100).
pub fn exposure_value_100(shutter_s: f64, f_number: f64, iso: u32) -> f64 {
    let to_third = |stops: f64| (stops * 3.0).round() / 3.0;
    to_third(2.0 * f_number.log2()) + to_third(-shutter_s.log2())
        - to_third((f64::from(iso) / 100.0).log2())
}

/// What comes nearest to the right exposure; of two as near, the earlier.
fn nearest<T: Copy>(choices: impl Iterator<Item = T>, off: impl Fn(T) -> f64) -> Option<T> {
    choices.reduce(|best, next| if off(next).abs() < off(best).abs() - 1e-9 { next } else { best })
}

/// Shutter times as cameras mark them, one part of a second in, the longest first.
const SHUTTERS: [f64; 31] = [
    8.0, 10.0, 13.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 125.0, 160.0, 200.0,
    250.0, 320.0, 400.0, 500.0, 640.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3200.0,
    4000.0, 5000.0, 6400.0, 8000.0,
];

/// Apertures as lenses mark them, the widest first.
const APERTURES: [f64; 22] = [
    1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0,
    9.0, 10.0, 11.0,
];

/// Sensitivities as cameras mark them.
const SENSITIVITIES: [u32; 34] = [
    50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500,
    3200, 4000, 5000, 6400, 8000, 10_000, 12_800, 16_000, 20_000, 25_600, 32_000, 40_000, 51_200,
    64_000, 80_000, 102_400,
];
