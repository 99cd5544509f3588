//! The skyline of a spot, as lines of text: "240-295: 8".

use fairspell_ground::{Skyline, SkylineSector};

/// The first line that cannot be read, counted from one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line} of the skyline cannot be read: `{text}`")]
pub struct NotASkyline {
    /// Which line.
    pub line: usize,
    /// Its text.
    pub text: String,
}

/// Reads a skyline, one stretch a line: from, to and height, in degrees.
///
/// Directions are clockwise from north, 0 to 360, and a stretch may pass through north
/// ("350-20: 6"). Heights are above the level of the eye, up to 90. Empty lines are passed over.
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
/// let steps = read_skyline("240-295: 8\n350 to 20: 3,5°").unwrap();
/// assert_eq!(steps.height_deg(270.0), 8.0);
/// assert_eq!(steps.height_deg(10.0), 3.5);
/// assert_eq!(written_skyline(&steps), "240-295: 8\n350-20: 3.5");
/// ```
pub fn read_skyline(text: &str) -> Result<Skyline, NotASkyline> {
    let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let sectors = lines.map(|(index, line)| {
        sector(line).ok_or_else(|| NotASkyline { line: index + 1, text: line.trim().to_owned() })
    });
    Ok(Skyline::new(sectors.collect::<Result<_, _>>()?))
}

/// A skyline as the lines that [`read_skyline`] reads.
pub fn written_skyline(skyline: &Skyline) -> String {
    let line = |sector: &SkylineSector| {
        let SkylineSector { from_azimuth_deg, to_azimuth_deg, height_deg } = sector;
        format!("{from_azimuth_deg}-{to_azimuth_deg}: {height_deg}")
    };
    skyline.sectors().iter().map(line).collect::<Vec<_>>().join("\n")
}

fn sector(line: &str) -> Option<SkylineSector> {
    let (stretch, height) = line.split_once(':')?;
    let (from, to) = stretch.split_once(['-', '\u{2013}']).or_else(|| stretch.split_once("to"))?;
    let sector = SkylineSector {
        from_azimuth_deg: number(from).filter(|from| (0.0..=360.0).contains(from))?,
        to_azimuth_deg: number(to).filter(|to| (0.0..=360.0).contains(to))?,
        height_deg: number(height).filter(|height| (0.0..=90.0).contains(height))?,
    };
    Some(sector)
}

fn number(text: &str) -> Option<f64> {
    let text = text.trim().trim_end_matches('°').trim_end().replace(',', ".");
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    if is_plain { text.parse().ok() } else { None }
}
