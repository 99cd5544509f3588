//! The skyline of a spot, as lines of text: "240-295: 8", or "240: 3; 260: 8" for a ridge.

use fairspell_ground::{Ridge, RidgePoint, Skyline, SkylineSector, SkylineStretch};

/// The first line that cannot be read, counted from one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line} of the skyline cannot be read: `{text}`")]
pub struct NotASkyline {
    /// Which line.
    pub line: usize,
    /// Its text.
    pub text: String,
}

/// Reads a skyline, one stretch a line: from, to and height, in degrees; or, of a ridge, the
/// directions and heights of its points, with semicolons between them.
///
/// Directions are clockwise from north, 0 to 360, and a stretch may pass through north
/// ("350-20: 6"). Heights are above the level of the eye, up to 90. Empty lines are passed over.
/// [`written_skyline`] writes every sound skyline so that this reads the same again.
///
/// # Errors
///
/// [`NotASkyline`] names the first line that is not of this form.
///
/// # Examples
///
/// ```
/// use fairspell_web::skyline_input::{read_skyline, written_skyline};
///
/// let steps = read_skyline("240-295: 8\n350 to 20: 3,5°\n80: 2; 100: 6").unwrap();
/// assert_eq!(steps.height_deg(270.0), 8.0);
/// assert_eq!(steps.height_deg(10.0), 3.5);
/// assert_eq!(steps.height_deg(90.0), 4.0);
/// assert_eq!(written_skyline(&steps), "240-295: 8\n350-20: 3.5\n80: 2; 100: 6");
/// ```
pub fn read_skyline(text: &str) -> Result<Skyline, NotASkyline> {
    let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let stretches = lines.map(|(index, line)| {
        stretch(line).ok_or_else(|| NotASkyline { line: index + 1, text: line.trim().to_owned() })
    });
    Ok(Skyline::of_stretches(stretches.collect::<Result<_, _>>()?))
}

/// A skyline as the lines that [`read_skyline`] reads.
pub fn written_skyline(skyline: &Skyline) -> String {
    let lines = skyline.stretches().iter().map(|stretch| match stretch {
        SkylineStretch::Level(sector) => {
            let SkylineSector { from_azimuth_deg, to_azimuth_deg, height_deg } = sector;
            format!("{from_azimuth_deg}-{to_azimuth_deg}: {height_deg}")
        }
        SkylineStretch::Ridge(ridge) => {
            let point = |point: &RidgePoint| format!("{}: {}", point.azimuth_deg, point.height_deg);
            ridge.points.iter().map(point).collect::<Vec<_>>().join("; ")
        }
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// A line as a stretch that could be one.
fn stretch(line: &str) -> Option<SkylineStretch> {
    let stretch = if line.contains(';') { ridge(line)?.into() } else { sector(line)?.into() };
    Skyline::try_new(vec![stretch]).ok()?.stretches().first().cloned()
}

fn ridge(line: &str) -> Option<Ridge> {
    let points = line.split(';').map(|point| {
        let (azimuth, height) = point.split_once(':')?;
        Some(RidgePoint { azimuth_deg: number(azimuth)?, height_deg: number(height)? })
    });
    Some(Ridge { points: points.collect::<Option<_>>()? })
}

fn sector(line: &str) -> Option<SkylineSector> {
    let (stretch, height) = line.split_once(':')?;
    let (from, to) = stretch.split_once(['-', '\u{2013}']).or_else(|| stretch.split_once("to"))?;
    Some(SkylineSector {
        from_azimuth_deg: number(from)?,
        to_azimuth_deg: number(to)?,
        height_deg: number(height)?,
    })
}

fn number(text: &str) -> Option<f64> {
    let text = text.trim().trim_end_matches('°').trim_end().replace(',', ".");
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    if is_plain { text.parse().ok() } else { None }
}
