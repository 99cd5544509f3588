//! What the road to a spot passes, as lines of text: "Gannet Ford, -32.42, 152.44, tide 1.65 swell".

use fairspell_ground::LatLon;
use fairspell_studio::RoadPoint;

use crate::{
    hours_input::{read_hours, written_hours},
    number_input::decimal,
};

/// What a tide can be, metres, and a day's rain, mm.
const TIDE_M: (f64, f64) = (-20.0, 20.0);
const RAIN_MM: (f64, f64) = (0.0, 2000.0);

/// The first line that cannot be read, counted from one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line} of the road cannot be read: `{text}`")]
pub struct NotARoad {
    /// Which line.
    pub line: usize,
    /// Its text.
    pub text: String,
}

/// Reads the points of a road, one a line: name, degrees north, degrees east, and then, if anything can
/// shut it: the tide in metres (with the word "swell" where only a swell makes it matter), "rain" with
/// the millimetres of a day, "open" with its hours.
///
/// Empty lines are passed over; a name holds no comma.
///
/// # Errors
///
/// [`NotARoad`] names the first line that is not of this form.
///
/// # Examples
///
/// ```
/// use fairspell_web::road_input::{read_road, written_road};
///
/// let road = read_road("Gannet Ford, -32.42, 152.44, 1.65 swell, rain 60\nFerry, -32.5, 152.4, open 5:00-22:00").unwrap();
/// assert_eq!(road[0].tide_limit_m, Some(1.65));
/// assert_eq!(
///     written_road(&road),
///     "Gannet Ford, -32.42, 152.44, tide 1.65 swell, rain 60\nFerry, -32.5, 152.4, open 05:00-22:00"
/// );
/// ```
pub fn read_road(text: &str) -> Result<Vec<RoadPoint>, NotARoad> {
    let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let points = lines.map(|(index, line)| {
        point(line).ok_or_else(|| NotARoad { line: index + 1, text: line.trim().to_owned() })
    });
    points.collect()
}

/// A road as the lines that [`read_road`] reads.
pub fn written_road(road: &[RoadPoint]) -> String {
    let line = |point: &RoadPoint| {
        let position = point.position;
        let mut parts = vec![
            point.name.split([',', '\n']).map(str::trim).collect::<Vec<_>>().join(" "),
            position.lat_deg().to_string(),
            position.lon_deg().to_string(),
        ];
        let swell = if point.with_swell { " swell" } else { "" };
        parts.extend(point.tide_limit_m.map(|tide_m| format!("tide {tide_m}{swell}")));
        parts.extend(point.closes_after_rain_mm_24h.map(|rain_mm| format!("rain {rain_mm}")));
        parts.extend(written_hours(&point.hours).lines().map(|hours| format!("open {hours}")));
        parts.join(", ")
    };
    road.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn point(line: &str) -> Option<RoadPoint> {
    let mut parts = line.split(',').map(str::trim);
    let name = parts.next().filter(|name| !name.is_empty())?;
    let lat_deg = decimal(parts.next()?, (-90.0, 90.0))?;
    let lon_deg = decimal(parts.next()?, (-180.0, 180.0))?;
    let mut point = RoadPoint::at(name, LatLon::new(lat_deg, lon_deg).ok()?);
    for part in parts {
        let (first, rest) = part.split_once(' ').unwrap_or((part, ""));
        match first.to_lowercase().as_str() {
            "rain" => {
                let mm = rest.trim().trim_end_matches("mm").trim_end();
                point.closes_after_rain_mm_24h = Some(decimal(mm, RAIN_MM)?);
            }
            "open" => point.hours.extend(read_hours(rest).ok().filter(|read| !read.is_empty())?),
            "tide" => tide(&mut point, rest)?,
            _ => tide(&mut point, part)?,
        }
    }
    Some(point)
}

/// "1.65", "1.65 m", "1.65 swell", "1.65 m with swell".
fn tide(point: &mut RoadPoint, text: &str) -> Option<()> {
    let mut words = text.split_whitespace();
    let height = words.next()?;
    point.tide_limit_m = Some(decimal(height.trim_end_matches('m'), TIDE_M)?);
    for word in words {
        match word.to_lowercase().as_str() {
            "m" | "with" => {}
            "swell" => point.with_swell = true,
            _ => return None,
        }
    }
    Some(())
}
