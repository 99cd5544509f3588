//! The outline of land, for maps.

use std::f64::consts::PI;

use crate::{LatLon, position::EARTH_RADIUS_KM};

/// Natural Earth's land at 1:10m, thinned to half a kilometre; `data/README.md` has its origin,
/// terms and format.
const COAST: &[u8] = include_bytes!("../data/coast.bin");

const UNITS_PER_DEG: f64 = 1000.0;

/// The coast around a place, as lines to be drawn on a map.
///
/// A rain field says little until one sees where the water is.
///
/// - `centre`, `radius_km`: the circle to be drawn, of up to a few hundred kilometres. It is round
///   on the flat map of [`LatLon::offset_km`], which is where the lines are meant to be drawn.
///
/// Each line has at least two points; all lie within the circle, and lines that leave it end on its
/// edge. Lines are good to about a kilometre. Lakes are land. Empty where there is no coast, for a
/// radius that is not a positive number, and at the poles, where that map has no width.
///
/// # Examples
///
/// ```
/// use fairspell_ground::{LatLon, coast::coastline_near};
///
/// // Sixty kilometres around the harbour there is a beach ...
/// let harbour = LatLon::new(-31.72, 152.79)?;
/// assert!(!coastline_near(harbour, 60.0).is_empty());
///
/// // ... and around Alice Springs there is none.
/// let desert = LatLon::new(-23.70, 133.88)?;
/// assert!(coastline_near(desert, 60.0).is_empty());
/// # Ok::<(), fairspell_ground::GroundError>(())
/// ```
///
/// # Source
///
/// Natural Earth, land, 1:10m, version 4.1.0; public domain.
pub fn coastline_near(centre: LatLon, radius_km: f64) -> Vec<Vec<LatLon>> {
    if radius_km.is_nan() || radius_km <= 0.0 {
        return Vec::new();
    }
    let halfway_round_km = PI * EARTH_RADIUS_KM * centre.lat_deg().to_radians().cos();
    let mut bytes = COAST.iter();
    let mut pieces = Vec::new();
    while let Some(points) = whole_number(&mut bytes) {
        let mut line =
            Line { centre, radius_km, halfway_round_km, before: None, piece: Vec::new() };
        let (mut lon, mut lat) = (0, 0);
        for _ in 0..points {
            let (Some(dlon), Some(dlat)) = (whole_number(&mut bytes), whole_number(&mut bytes))
            else {
                return pieces;
            };
            (lon, lat) = (lon + dlon, lat + dlat);
            line.go_to(f64::from(lat) / UNITS_PER_DEG, f64::from(lon) / UNITS_PER_DEG, &mut pieces);
        }
        line.lift_pen(&mut pieces);
    }
    pieces
}

/// The next number in zigzag coding, seven bits to a byte.
fn whole_number(bytes: &mut std::slice::Iter<'_, u8>) -> Option<i32> {
    let (mut zigzag, mut shift) = (0_u32, 0);
    loop {
        let byte = *bytes.next()?;
        zigzag |= u32::from(byte & 0x7f).checked_shl(shift)?;
        if byte < 0x80 {
            return Some((zigzag >> 1).cast_signed() ^ -(zigzag & 1).cast_signed());
        }
        shift += 7;
    }
}

/// A line that is being followed, and the piece of it inside the circle that is being drawn.
struct Line {
    centre: LatLon,
    radius_km: f64,
    /// The map is cut on the far side of the globe; a step of this length or more is one across the
    /// cut, and none on the map.
    halfway_round_km: f64,
    /// East and north of the centre, km.
    before: Option<(f64, f64)>,
    piece: Vec<LatLon>,
}

impl Line {
    fn go_to(&mut self, lat_deg: f64, lon_deg: f64, pieces: &mut Vec<Vec<LatLon>>) {
        let Ok(point) = LatLon::new(lat_deg, lon_deg) else { return };
        let after = self.centre.offset_km(point);
        if let Some(before) = self.before.replace(after)
            && (after.0 - before.0).abs() < self.halfway_round_km
        {
            self.draw(before, after, pieces);
        }
    }

    /// Draws what lies inside the circle of a straight step.
    fn draw(&mut self, from: (f64, f64), to: (f64, f64), pieces: &mut Vec<Vec<LatLon>>) {
        let Some((enter, leave)) = inside_circle(from, to, self.radius_km) else {
            return;
        };
        let along = |t: f64| {
            let east_km = from.0 + t * (to.0 - from.0);
            self.centre.at_offset_km(east_km, from.1 + t * (to.1 - from.1))
        };
        let (start, end) = (along(enter), along(leave));
        if enter > 0.0 || self.piece.is_empty() {
            self.lift_pen(pieces);
            self.piece.extend(start.ok());
        }
        self.piece.extend(end.ok());
    }

    fn lift_pen(&mut self, pieces: &mut Vec<Vec<LatLon>>) {
        let piece = std::mem::take(&mut self.piece);
        if piece.len() > 1 {
            pieces.push(piece);
        }
    }
}

/// Between which fractions of the way a straight step lies inside a circle round the origin. A line
/// that leaves the circle comes back, if it does, with a first fraction above zero.
fn inside_circle(from: (f64, f64), to: (f64, f64), radius: f64) -> Option<(f64, f64)> {
    let east_of_all = from.0.min(to.0) > radius || from.0.max(to.0) < -radius;
    let north_of_all = from.1.min(to.1) > radius || from.1.max(to.1) < -radius;
    if east_of_all || north_of_all {
        return None;
    }
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    // |from + t (to - from)| = radius, a quadratic equation in t: a t² + 2 b t + c = 0.
    let a = dx * dx + dy * dy;
    let b = from.0 * dx + from.1 * dy;
    let c = from.0 * from.0 + from.1 * from.1 - radius * radius;
    let discriminant = b * b - a * c;
    if a == 0.0 || discriminant <= 0.0 {
        return None;
    }
    let root = discriminant.sqrt();
    let (enter, leave) = (((-b - root) / a).max(0.0), ((-b + root) / a).min(1.0));
    (enter < leave).then_some((enter, leave))
}
