//! A skyline out of a table of directions and heights, as a survey or a terrain program gives it.

use thiserror::Error;

use crate::{
    ridge::{Ridge, RidgePoint, clockwise_deg},
    skyline::Skyline,
    skyline_check::SkylineFault,
};

/// The first line of a table by which its header goes.
const HEADER: [&str; 2] = ["azimuth_deg", "height_deg"];

/// The first line of a skyline's table that cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("line {line}: {fault}")]
pub struct SkylineCsvError {
    /// Which line, counted from one.
    pub line: usize,
    /// What is wrong with it.
    pub fault: SkylineCsvFault,
}

/// What can be wrong with a line.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SkylineCsvFault {
    /// The first line is not the header.
    #[error("expected the header `azimuth_deg,height_deg`, found `{0}`")]
    Header(String),
    /// Not two numbers.
    #[error("expected an azimuth and a height, found `{0}`")]
    NotAPoint(String),
    /// Two numbers that are no point of this skyline.
    #[error(transparent)]
    Skyline(#[from] SkylineFault),
}

impl Skyline {
    /// Reads a skyline out of a table with the header `azimuth_deg,height_deg`: one ridge through
    /// the points, in the order given, clockwise.
    ///
    /// A table whose points lie all round is closed through its last and first point; that is one
    /// of three points or more where that gap is at most twice as wide as the widest of the others.
    /// Otherwise nothing stands outside the points. Empty lines are passed over.
    ///
    /// # Errors
    ///
    /// [`SkylineCsvError`] names the first line that cannot be used, and why.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_ground::Skyline;
    ///
    /// let valley = "azimuth_deg,height_deg\n0,12\n90,2\n180,6\n270,2\n";
    /// let valley = Skyline::from_csv(valley)?;
    /// assert_eq!(valley.height_deg(45.0), 7.0);
    /// assert_eq!(valley.height_deg(315.0), 7.0);
    /// # Ok::<(), fairspell_ground::skyline_csv::SkylineCsvError>(())
    /// ```
    pub fn from_csv(text: &str) -> Result<Self, SkylineCsvError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut lines = (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty());
        let refused = |line, fault| SkylineCsvError { line, fault };
        let (line, header) = lines.next().unwrap_or((1, ""));
        if !header.split(',').map(str::trim).eq(HEADER) {
            return Err(refused(line, SkylineCsvFault::Header(header.trim().to_owned())));
        }
        let mut points = Vec::new();
        let mut numbers = Vec::new();
        for (line, text) in lines {
            let not_a_point = || refused(line, SkylineCsvFault::NotAPoint(text.trim().to_owned()));
            points.push(point(text).ok_or_else(not_a_point)?);
            numbers.push(line);
        }
        let as_given = Ridge { points: points.clone() };
        Skyline::try_new(vec![as_given.into()]).map_err(|wrong| {
            let at = numbers.get(wrong.point - 1).copied().unwrap_or(line);
            refused(at, wrong.fault.into())
        })?;
        Ok(Skyline::of_stretches(vec![closed(points).into()]))
    }
}

fn point(line: &str) -> Option<RidgePoint> {
    let (azimuth, height) = line.split_once(',')?;
    let number = |text: &str| text.trim().parse().ok();
    Some(RidgePoint { azimuth_deg: number(azimuth)?, height_deg: number(height)? })
}

/// Points all round become a ridge from 0 to 360; others stay as they are.
fn closed(points: Vec<RidgePoint>) -> Ridge {
    let width_deg = |pair: &[RidgePoint]| clockwise_deg(pair[0].azimuth_deg, pair[1].azimuth_deg);
    let gap_deg = 360.0 - points.windows(2).map(width_deg).sum::<f64>();
    let widest_deg = points.windows(2).map(width_deg).fold(0.0, f64::max);
    if points.len() < 3 || gap_deg <= 0.0 || gap_deg > 2.0 * widest_deg {
        return Ridge { points };
    }
    Ridge::all_round(points)
}
