//! From what a radar measures to how hard it rains.

use std::{fmt, str::FromStr};

/// A Z-R relation: reflectivity `Z = a R^b`, Z in mm⁶/m³ and rain rate R in mm/h.
///
/// A radar measures reflectivity; how much rain that is depends on the drops. A shower has larger
/// drops than drizzle of the same rate, so one relation for all weather is wrong by a factor of two
/// either way, which matters little to whether a dress gets wet.
///
/// # Examples
///
/// ```
/// use fairspell_nowcast::ZR;
///
/// // 23 dBZ, the edge of what people call rain, is 1 mm/h; 40 dBZ soaks.
/// let relation = ZR::default();
/// assert!((relation.rain_rate_mm_h(23.0) - 1.0).abs() < 0.01);
/// assert!(relation.rain_rate_mm_h(40.0) > 10.0);
///
/// let finnish: ZR = "223,1.53".parse()?;
/// assert_eq!((finnish.a(), finnish.b()), (223.0, 1.53));
/// # Ok::<(), fairspell_nowcast::ZRError>(())
/// ```
///
/// # Source
///
/// The default, 200 R^1.6, is Marshall, Hitschfeld and Gunn, "Advances in radar weather", Advances
/// in Geophysics 2 (1955), 1-56.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZR {
    a: f64,
    b: f64,
}

/// The numbers are not those of a Z-R relation.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("expected a Z-R relation as A,B with A and B above 0, such as 200,1.6, found `{0}`")]
pub struct ZRError(String);

impl ZR {
    /// A relation from its two numbers.
    ///
    /// # Errors
    ///
    /// [`ZRError`] unless both are finite and above zero.
    pub fn new(a: f64, b: f64) -> Result<Self, ZRError> {
        let usable = |number: f64| number.is_finite() && number > 0.0;
        if usable(a) && usable(b) { Ok(ZR { a, b }) } else { Err(ZRError(format!("{a},{b}"))) }
    }

    /// The factor.
    pub fn a(self) -> f64 {
        self.a
    }

    /// The exponent.
    pub fn b(self) -> f64 {
        self.b
    }

    /// Rain rate, mm/h, of a reflectivity in dBZ. NaN stays NaN: not measured.
    pub fn rain_rate_mm_h(self, reflectivity_dbz: f64) -> f64 {
        (10f64.powf(reflectivity_dbz / 10.0) / self.a).powf(1.0 / self.b)
    }
}

impl Default for ZR {
    fn default() -> Self {
        ZR { a: 200.0, b: 1.6 }
    }
}

impl fmt::Display for ZR {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{},{}", self.a, self.b)
    }
}

impl FromStr for ZR {
    type Err = ZRError;

    /// Reads `A,B`.
    fn from_str(text: &str) -> Result<Self, ZRError> {
        let unreadable = || ZRError(text.to_owned());
        let (a, b) = text.split_once(',').ok_or_else(unreadable)?;
        let number = |part: &str| part.trim().parse().map_err(|_| unreadable());
        ZR::new(number(a)?, number(b)?)
    }
}
