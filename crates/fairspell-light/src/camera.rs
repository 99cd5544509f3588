//! A camera, as far as exposure and sharpness depend on it.

use serde::{Deserialize, Serialize};

/// The width of a full-frame sensor, mm.
pub const FULL_FRAME_WIDTH_MM: f64 = 36.0;

/// The blur that still counts as sharp in a print of a full frame, mm.
///
/// # Source
///
/// 0.030 mm, the usual figure of depth-of-field tables for 24 x 36 mm (from memory).
const FULL_FRAME_CIRCLE_MM: f64 = 0.030;

/// A camera with its fastest lens.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Camera {
    /// Width of the sensor, mm; its height is two thirds of that.
    pub sensor_width_mm: f64,
    /// Pixels across that width.
    pub pixels_across: u32,
    /// The widest aperture.
    pub f_number_min: f64,
    /// The lowest sensitivity.
    pub iso_base: u32,
    /// The highest sensitivity that is delivered.
    pub iso_max: u32,
    /// The fastest shutter time, s.
    pub shutter_min_s: f64,
}

impl Default for Camera {
    /// A full frame of 24 megapixels with a lens of f/1.8, up to ISO 3200 (common practice for albums).
    fn default() -> Self {
        Camera {
            sensor_width_mm: FULL_FRAME_WIDTH_MM,
            pixels_across: 6000,
            f_number_min: 1.8,
            iso_base: 100,
            iso_max: 3200,
            shutter_min_s: 1.0 / 8000.0,
        }
    }
}

impl Camera {
    /// How many times smaller than a full frame the sensor is.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_light::Camera;
    ///
    /// let small = Camera { sensor_width_mm: 24.0, ..Camera::default() };
    /// assert_eq!(small.crop_factor(), 1.5);
    /// ```
    pub fn crop_factor(&self) -> f64 {
        FULL_FRAME_WIDTH_MM / self.sensor_width_mm
    }

    /// The blur that still counts as sharp on this sensor, mm: that of a full frame, scaled, since a
    /// smaller sensor is enlarged more.
    pub fn circle_of_confusion_mm(&self) -> f64 {
        FULL_FRAME_CIRCLE_MM / self.crop_factor()
    }

    /// Height of the sensor, mm.
    pub fn sensor_height_mm(&self) -> f64 {
        self.sensor_width_mm * 2.0 / 3.0
    }

    /// A length on the sensor in pixels.
    pub fn pixels(&self, length_mm: f64) -> f64 {
        length_mm / self.sensor_width_mm * f64::from(self.pixels_across)
    }
}
