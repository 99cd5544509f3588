//! A position as people paste it: coordinates in any usual form, a `geo:` link, a map's link.
//!
//! A text that can be meant in two ways is not guessed at: it is refused, with a word about why.

mod geo_uri;
mod map_link;
mod tokens;
mod written;

use fairspell_ground::LatLon;

/// Why a text gives no position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotAPlace {
    /// It cannot be read.
    #[error("the text is no position")]
    Unreadable,
    /// Its numbers lie outside of the globe.
    #[error("the position is not on the globe")]
    OutOfRange,
    /// A link that names no position, such as a short one.
    #[error("the link names no position")]
    LinkWithout,
    /// Its numbers belong to another grid than degrees of WGS 84.
    #[error("the position is given in another grid")]
    OtherGrid,
}

/// No position is longer than this, bytes; a map's link can be long.
const LONGEST: usize = 4000;

/// Reads a position as somebody pasted it.
///
/// - decimal degrees, with signs or sides: `-31.7252, 152.7741`, `31.7252 S 152.7741 E`; where
///   nothing else is a point, a comma between digits is one: `-31,7252; 152,7741`
/// - degrees, minutes and seconds: `31°43'30.7"S 152°46'26.8"E`, `N 52° 31.2' E 13° 24.3'`
/// - a `geo:` link; other reference systems than WGS 84 are refused
/// - the link of a map that holds a position, as its point, its view or its question
///
/// Without sides the first number is the one north.
///
/// # Errors
///
/// [`NotAPlace`], by what the person can do about it.
///
/// # Examples
///
/// ```
/// use fairspell_web::place_input::{NotAPlace, read_position};
///
/// let pasted = read_position("31°43'30.7\"S 152°46'26.8\"E").unwrap();
/// let typed = read_position("-31.7252, 152.7741").unwrap();
/// assert!(pasted.distance_km(typed) < 0.01);
///
/// // The two were swapped: there is no 152nd degree north.
/// assert_eq!(read_position("152.7741, -31.7252"), Err(NotAPlace::OutOfRange));
/// ```
///
/// # Source
///
/// RFC 5870 for `geo:` links; for the rest the forms that telephones, cameras and maps copy.
pub fn read_position(text: &str) -> Result<LatLon, NotAPlace> {
    let text = text.trim();
    if text.is_empty() || text.len() > LONGEST {
        return Err(NotAPlace::Unreadable);
    }
    if let Some(rest) = geo_uri::after_scheme(text) {
        return geo_uri::read(rest);
    }
    if text.contains("://") || text.starts_with("www.") {
        return map_link::read(text);
    }
    written::read(text)
}

/// The point of two numbers, or that it is not on the globe.
fn point(lat_deg: f64, lon_deg: f64) -> Result<LatLon, NotAPlace> {
    LatLon::new(lat_deg, lon_deg).map_err(|_| NotAPlace::OutOfRange)
}

/// A decimal number in digits; no words, no powers of ten.
fn decimal(text: &str) -> Option<f64> {
    let text = text.trim();
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit() || b"+-.".contains(&byte));
    if is_plain { text.parse().ok() } else { None }
}

/// Text with its percent signs resolved; what is no UTF-8 afterwards becomes a mark.
fn percent_decoded(text: &str) -> String {
    let (mut decoded, mut rest) = (Vec::with_capacity(text.len()), text.as_bytes());
    while let Some((&byte, after)) = rest.split_first() {
        let value = (byte == b'%').then(|| after.get(..2).and_then(hexadecimal)).flatten();
        decoded.push(value.unwrap_or(byte));
        rest = if value.is_some() { &after[2..] } else { after };
    }
    String::from_utf8_lossy(&decoded).into_owned()
}

fn hexadecimal(digits: &[u8]) -> Option<u8> {
    let digits = str::from_utf8(digits).ok().filter(|text| !text.starts_with('+'))?;
    u8::from_str_radix(digits, 16).ok()
}
