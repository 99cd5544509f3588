//! From where to where a picture is sharp, and what movement does to it.

use serde::{Deserialize, Serialize};

/// What is sharp.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DepthOfField {
    /// The nearest that is sharp, m from the lens.
    pub near_m: f64,
    /// The farthest, m; `None` where everything beyond is sharp.
    pub far_m: Option<f64>,
    /// Focused there, all beyond is sharp, m.
    pub hyperfocal_m: f64,
}

impl DepthOfField {
    /// How deep it is, m; `None` where it never ends.
    pub fn total_m(&self) -> Option<f64> {
        Some(self.far_m? - self.near_m)
    }
}

/// From where to where a picture is sharp.
///
/// At portrait distances it decides whether both eyes are.
///
/// - `focal_length_mm`, `f_number`: the lens's.
/// - `distance_m`: to what is focused, from the lens.
/// - `circle_mm`: [`Camera::circle_of_confusion_mm`](crate::Camera::circle_of_confusion_mm).
///
/// `None` for a length or an aperture that is not above zero, and closer than the lens can focus: one
/// focal length.
///
/// # Examples
///
/// ```
/// use fairspell_light::depth_of_field;
///
/// // 85 mm, f/1.8, close: three and a half centimetres. Both eyes need a square face.
/// let close = depth_of_field(85.0, 1.8, 1.5, 0.030).expect("a lens that can focus there");
/// assert_eq!((close.total_m().unwrap() * 1000.0).round(), 32.0);
/// ```
///
/// # Source
///
/// The standard thin-lens forms (from memory): H = f²/(N c) + f; near s (H - f)/(H + s - 2f); far
/// s (H - f)/(H - s), infinite from s = H on.
pub fn depth_of_field(
    focal_length_mm: f64,
    f_number: f64,
    distance_m: f64,
    circle_mm: f64,
) -> Option<DepthOfField> {
    let (f, s) = (focal_length_mm, distance_m * 1000.0);
    let all_above_zero = f > 0.0 && f_number > 0.0 && circle_mm > 0.0;
    if !(all_above_zero && f.is_finite() && s.is_finite() && s > f) {
        return None;
    }
    let h = f * f / (f_number * circle_mm) + f;
    let near = s * (h - f) / (h + s - 2.0 * f);
    let far = (s < h).then(|| s * (h - f) / (h - s));
    let metres = |mm: f64| mm / 1000.0;
    Some(DepthOfField { near_m: metres(near), far_m: far.map(metres), hyperfocal_m: metres(h) })
}

/// How far something smears on the sensor while the shutter is open, mm.
///
/// - `speed_m_s`: across the picture, m/s; a walk is 1.4.
/// - `shutter_s`: the shutter time, s.
///
/// `None` closer than one focal length.
///
/// # Examples
///
/// ```
/// use fairspell_light::{Camera, motion_blur_mm};
///
/// // A walk across, 1/250 s, 85 mm at three metres: 27 pixels.
/// let smear_mm = motion_blur_mm(1.4, 1.0 / 250.0, 85.0, 3.0).expect("it can focus there");
/// assert_eq!(Camera::default().pixels(smear_mm).round(), 27.0);
/// ```
///
/// # Source
///
/// Derived: the picture's scale is f/(s - f).
pub fn motion_blur_mm(
    speed_m_s: f64,
    shutter_s: f64,
    focal_length_mm: f64,
    distance_m: f64,
) -> Option<f64> {
    Some(speed_m_s * 1000.0 * shutter_s * scale(focal_length_mm, distance_m)?)
}

/// Millimetres on the sensor for a millimetre at a distance; `None` closer than one focal length.
pub(crate) fn scale(focal_length_mm: f64, distance_m: f64) -> Option<f64> {
    let beyond_mm = distance_m * 1000.0 - focal_length_mm;
    let is_sound = focal_length_mm > 0.0 && beyond_mm > 0.0 && beyond_mm.is_finite();
    is_sound.then(|| focal_length_mm / beyond_mm)
}
