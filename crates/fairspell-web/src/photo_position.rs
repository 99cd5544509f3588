//! Where a photograph was taken, by what the telephone or camera wrote into it.
//!
//! Only the position is read; nothing of the photograph is kept.

use std::io::Cursor;

use exif::{Exif, In, Rational, Tag, Value};
use fairspell_ground::LatLon;

/// Why a photograph gives no position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoPosition {
    /// It is no photograph that can be read, or it carries no notes of the camera.
    #[error("the file carries no readable notes of a camera")]
    NotReadable,
    /// The camera noted no position, or a programme took it out.
    #[error("the photograph carries no position")]
    NotNoted,
    /// What is noted is no position on the globe.
    #[error("what the photograph notes is no position")]
    Impossible,
}

/// Where a photograph was taken.
///
/// - `bytes`: a JPEG, HEIF, TIFF, PNG or WebP file.
///
/// # Errors
///
/// [`NoPosition`], by what the person can do about it.
///
/// # Source
///
/// Exif 2.32 (CIPA DC-008-2019), section 4.6.6: `GPSLatitude` and `GPSLongitude` are three rationals
/// each (degrees, minutes, seconds), their sides stand in `GPSLatitudeRef` and `GPSLongitudeRef`.
pub fn position_of_photo(bytes: &[u8]) -> Result<LatLon, NoPosition> {
    let mut reader = exif::Reader::new();
    // One note that cannot be read does not lose the others.
    reader.continue_on_error(true);
    let exif = reader
        .read_from_container(&mut Cursor::new(bytes))
        .or_else(|error| error.distill_partial_result(|_| ()))
        .map_err(|error| match error {
            exif::Error::NotFound(_) => NoPosition::NotNoted,
            _ => NoPosition::NotReadable,
        })?;
    let lat_deg = coordinate(&exif, Tag::GPSLatitude, Tag::GPSLatitudeRef, [b'N', b'S'])?;
    let lon_deg = coordinate(&exif, Tag::GPSLongitude, Tag::GPSLongitudeRef, [b'E', b'W'])?;
    LatLon::new(lat_deg, lon_deg).map_err(|_| NoPosition::Impossible)
}

fn coordinate(exif: &Exif, size: Tag, side: Tag, sides: [u8; 2]) -> Result<f64, NoPosition> {
    let (Some(size), Some(side)) = (field(exif, size), field(exif, side)) else {
        return Err(NoPosition::NotNoted);
    };
    let (Value::Rational(size), Value::Ascii(side)) = (size, side) else {
        return Err(NoPosition::Impossible);
    };
    let side = side.first().and_then(|text| text.first()).map(u8::to_ascii_uppercase);
    let sign = match side {
        Some(side) if side == sides[0] => 1.0,
        Some(side) if side == sides[1] => -1.0,
        // A position without its side could be at two or four places.
        _ => return Err(NoPosition::Impossible),
    };
    degrees(size).map(|size| sign * size).ok_or(NoPosition::Impossible)
}

fn field(exif: &Exif, tag: Tag) -> Option<&Value> {
    exif.get_field(tag, In::PRIMARY).map(|field| &field.value)
}

/// Degrees, minutes and seconds; writers that leave out what is zero are met.
fn degrees(parts: &[Rational]) -> Option<f64> {
    let (degrees, rest) = parts.split_first()?;
    let whole = number(*degrees)?;
    let mut sixtieths = 1.0;
    let fine: Option<f64> = rest
        .iter()
        .take(2)
        .map(|part| {
            sixtieths *= 60.0;
            number(*part).map(|value| value / sixtieths)
        })
        .sum();
    fine.map(|fine| whole + fine)
}

/// A rational as a number. Cameras without a fix write 0/0, and some write it for seconds that the
/// minutes already hold; the first is no position, and neither is worth a guess.
fn number(rational: Rational) -> Option<f64> {
    (rational.denom != 0).then(|| rational.to_f64())
}
