//! What a radar may not have seen: pixels that were no rain, and rain below its beam.

use jiff::Timestamp;

use crate::{numbers::with_unit, screens::radar::BLIND, text::one_line};

/// So many pictures are named one by one.
const PICTURES_NAMED: usize = 3;

/// Rain from lower clouds than this is the common case: drizzle and shallow showers, metres.
const LOW_RAIN_M: f64 = 1000.0;

/// Pixels of radar pictures that showed something else than rain, as plain values.
#[derive(Debug, Clone, PartialEq)]
pub struct ClutterTold {
    /// Each picture's moment, how many such pixels it had, and how many of these count as not
    /// measured.
    pub pictures: Vec<(Timestamp, usize, usize)>,
    /// The highest rain rate that they pretended, mm/h.
    pub largest_mm_h: f64,
}

/// Says how many pixels of which pictures were no rain, and what became of them; `None` when there
/// were none.
pub fn clutter_line(told: &ClutterTold) -> Option<String> {
    let mut pictures: Vec<_> = told.pictures.iter().filter(|picture| picture.1 > 0).collect();
    // Those with the most first, of several the newest.
    pictures.sort_by_key(|(time, pixels, _)| std::cmp::Reverse((*pixels, *time)));
    let pixels: usize = pictures.iter().map(|picture| picture.1).sum();
    let lost: usize = pictures.iter().map(|picture| picture.2).sum();
    let named: Vec<String> = pictures
        .iter()
        .take(PICTURES_NAMED)
        .map(|(time, pixels, _)| format!("{pixels} at {time}"))
        .collect();
    let more = match pictures.len().saturating_sub(PICTURES_NAMED) {
        0 => String::new(),
        1 => " and 1 more picture".to_owned(),
        more => format!(" and {more} more pictures"),
    };
    let named = named.join(", ");
    let strength = with_unit(told.largest_mm_h, 0, "mm/h");
    let mended = pixels.saturating_sub(lost);
    let mended = match (pixels, lost) {
        (0, _) => return None,
        (_, 0) => "All took the rain rate of the pixels around".to_owned(),
        (_, _) if mended == 0 => "All count as not measured, not as dry".to_owned(),
        _ => format!(
            "{mended} took the rain rate of the pixels around, {lost} count as not measured, not as \
             dry"
        ),
    };
    let shown =
        if pixels == 1 { "1 pixel was no rain" } else { &format!("{pixels} pixels were no rain") };
    Some(format!("{shown} (up to {strength}): {named}{more}. {mended}."))
}

/// The radar's lowest beam at a place, as plain values.
#[derive(Debug, Clone, PartialEq)]
pub struct BeamTold {
    /// The radar's name; `None`: not known, so the distance is the farthest that it can be.
    pub radar: Option<String>,
    /// From the radar, km.
    pub distance_km: f64,
    /// The beam's middle, metres.
    pub height_m: f64,
    /// The beam's lower edge, metres.
    pub lower_edge_m: f64,
    /// Heights count from sea level rather than from the antenna.
    pub above_sea: bool,
}

/// Says how high the radar looks over a place, and what rain may be missed there.
pub fn beam_line(told: &BeamTold) -> String {
    let above = if told.above_sea { "above sea level" } else { "above the radar" };
    let [distance, height, edge] = [
        (told.distance_km, "km"),
        (round_100(told.height_m), "m"),
        (round_100(told.lower_edge_m), "m"),
    ]
    .map(|(value, unit)| with_unit(value, 0, unit));
    let looks = match &told.radar {
        Some(radar) => format!(
            "The radar {}, {distance} away, looks over the place {height} {above}",
            one_line(radar)
        ),
        None => format!(
            "The nearest radar may be {distance} away; from there it looks over the place {height} \
             {above}"
        ),
    };
    let missed = if round_100(told.lower_edge_m) <= 0.0 {
        "and down to the ground, so low rain is seen as well.".to_owned()
    } else if told.lower_edge_m < LOW_RAIN_M {
        format!("and sees nothing below {edge}: drizzle from very low cloud can be missed.")
    } else {
        format!(
            "and sees nothing below {edge}: drizzle and shallow showers can fall there though the \
             pictures are dry."
        )
    };
    format!("{looks} {missed}")
}

/// The same where nobody has said where the radars stand.
pub fn beam_unknown_line() -> String {
    format!("How high the radar looks over the place is not known. {BLIND}")
}

/// The beam bends with the weather by as much as that.
fn round_100(metres: f64) -> f64 {
    (metres / 100.0).round() * 100.0
}
