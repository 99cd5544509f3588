//! Light as the camera counts it: in doublings.

use serde::{Deserialize, Serialize};

use crate::IlluminanceRange;

/// Exposure value at ISO 100: every step doubles the light.
///
/// 15 is full sun, 12 open shade, 8 the light on a face at sunset, 5 a lit room.
///
/// # Examples
///
/// ```
/// use fairspell_light::Ev100;
///
/// let sunset = Ev100::from_illuminance_lx(454.0).expect("there is light");
/// assert_eq!((sunset.value() * 10.0).round(), 75.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Ev100(f64);

/// Calibration of an incident-light meter with a flat receiver, lux seconds.
const C: f64 = 250.0;

/// Calibration of a reflected-light meter, candela seconds per square metre.
const K: f64 = 12.5;

impl Ev100 {
    /// An exposure value; `None` for what is not a finite number.
    pub fn new(value: f64) -> Option<Ev100> {
        value.is_finite().then_some(Ev100(value))
    }

    /// The bare number.
    pub fn value(self) -> f64 {
        self.0
    }

    /// From the light that falls on a surface, as an incident-light meter reads it; `None` for none.
    ///
    /// # Source
    ///
    /// ISO 2720:1974, `N²/t = E S/C` with C = 250: the flat receiver. A dome is calibrated with 330
    /// and reads 0.4 lower for light from straight ahead.
    pub fn from_illuminance_lx(illuminance_lx: f64) -> Option<Ev100> {
        Ev100::new((illuminance_lx * 100.0 / C).log2())
    }

    /// The light on a surface that gives this value, lux.
    pub fn illuminance_lx(self) -> f64 {
        self.0.exp2() * C / 100.0
    }

    /// From what is seen, as the camera's own meter reads it; `None` for no light.
    ///
    /// With the incident meter it agrees on something that reflects 15.7 %.
    ///
    /// # Source
    ///
    /// ISO 2720:1974, `N²/t = L S/K` with K = 12.5.
    pub fn from_luminance_cd_m2(luminance_cd_m2: f64) -> Option<Ev100> {
        Ev100::new((luminance_cd_m2 * 100.0 / K).log2())
    }

    /// The luminance that gives this value, cd/m².
    pub fn luminance_cd_m2(self) -> f64 {
        self.0.exp2() * K / 100.0
    }
}

/// The exposure values that a place may have.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ev100Range {
    /// Under the darkest cloud that is likely.
    pub low: Ev100,
    /// Under the thinnest.
    pub high: Ev100,
}

impl Ev100Range {
    /// From a range of light; `None` when one end has none.
    pub fn from_illuminance(range: IlluminanceRange) -> Option<Ev100Range> {
        Some(Ev100Range {
            low: Ev100::from_illuminance_lx(range.low_lx)?,
            high: Ev100::from_illuminance_lx(range.high_lx)?,
        })
    }
}

/// The least light somebody is willing to work in, said as a camera setting.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ExposureFloor {
    /// The slowest shutter time, s.
    pub shutter_s: f64,
    /// The widest aperture.
    pub f_number: f64,
    /// The highest sensitivity.
    pub iso: f64,
}

impl ExposureFloor {
    /// 1/250 s, f/2, ISO 3200: a standing person, sharp, and a file that still makes an album.
    pub const STANDING: ExposureFloor =
        ExposureFloor { shutter_s: 1.0 / 250.0, f_number: 2.0, iso: 3200.0 };

    /// The light that these settings need; `None` for settings that no camera has.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_light::ExposureFloor;
    ///
    /// // 1/250 s, f/2, ISO 3200: the light of a room, 78 lux on the face.
    /// let floor = ExposureFloor::STANDING.ev100().expect("a camera has these settings");
    /// assert_eq!(floor.illuminance_lx().round(), 78.0);
    /// ```
    pub fn ev100(&self) -> Option<Ev100> {
        let sane = self.shutter_s > 0.0 && self.f_number > 0.0 && self.iso > 0.0;
        let value = (self.f_number.powi(2) / self.shutter_s).log2() - (self.iso / 100.0).log2();
        if sane { Ev100::new(value) } else { None }
    }
}
