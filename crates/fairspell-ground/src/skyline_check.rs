//! Whether a skyline can be one, and if not, which point of it is wrong.

use thiserror::Error;

use crate::{
    ridge::{RidgePoint, clockwise_deg},
    skyline::{Skyline, SkylineStretch},
};

/// The first point of a skyline that is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("stretch {stretch}, point {point}: {fault}")]
pub struct SkylineError {
    /// Which stretch, counted from one.
    pub stretch: usize,
    /// Which point of it, counted from one. A stretch of one height has two: its ends.
    pub point: usize,
    /// What is wrong with it.
    pub fault: SkylineFault,
}

/// What can be wrong with a point of a skyline.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SkylineFault {
    /// Lower than level, above the zenith, or not a number.
    #[error("expected a height of 0 to 90 degrees, found {0}")]
    HeightOutside(f64),
    /// Not a direction.
    #[error("expected an azimuth of 0 to 360 degrees, found {0}")]
    AzimuthOutside(f64),
    /// Two points of a ridge in one direction, or 0 and 360 with different heights.
    #[error("the ridge has two heights at azimuth {0}")]
    RepeatedAzimuth(f64),
    /// A ridge of one point, the one named, or of none.
    #[error("expected a ridge of two points or more, found {0}")]
    TooFewPoints(usize),
    /// The point comes after the ridge has gone all the way round.
    #[error("the ridge goes round more than once by azimuth {0}")]
    RoundMoreThanOnce(f64),
}

impl Skyline {
    /// A skyline of stretches that has passed [`Skyline::check`].
    ///
    /// # Errors
    ///
    /// [`SkylineError`] names the first point that is wrong.
    pub fn try_new(stretches: Vec<SkylineStretch>) -> Result<Self, SkylineError> {
        let skyline = Skyline::of_stretches(stretches);
        skyline.check().map(|()| skyline)
    }

    /// Whether every height is 0 to 90 degrees, every azimuth 0 to 360, and every ridge goes
    /// clockwise, at most once round, through two points or more.
    ///
    /// For what comes from a file or a form. [`Skyline::height_deg`] copes with anything.
    ///
    /// # Errors
    ///
    /// [`SkylineError`] names the first point that is wrong, and the value in it.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_ground::{Skyline, SkylineSector};
    ///
    /// let tower = SkylineSector { from_azimuth_deg: 80.0, to_azimuth_deg: 85.0, height_deg: 100.0 };
    /// let refused = Skyline::new(vec![tower]).check().unwrap_err();
    /// assert_eq!(
    ///     refused.to_string(),
    ///     "stretch 1, point 1: expected a height of 0 to 90 degrees, found 100"
    /// );
    /// ```
    pub fn check(&self) -> Result<(), SkylineError> {
        for (index, stretch) in self.stretches().iter().enumerate() {
            let found = match stretch {
                SkylineStretch::Level(sector) => check_points(&sector.ends()),
                SkylineStretch::Ridge(ridge) => {
                    check_points(&ridge.points).and_then(|()| check_way(&ridge.points))
                }
            };
            found.map_err(|(point, fault)| SkylineError {
                stretch: index + 1,
                point: point + 1,
                fault,
            })?;
        }
        Ok(())
    }
}

/// The index of the point that is wrong, with its fault.
type Checked = Result<(), (usize, SkylineFault)>;

fn check_points(points: &[RidgePoint]) -> Checked {
    for (index, point) in points.iter().enumerate() {
        if !(0.0..=360.0).contains(&point.azimuth_deg) {
            return Err((index, SkylineFault::AzimuthOutside(point.azimuth_deg)));
        }
        if !(0.0..=90.0).contains(&point.height_deg) {
            return Err((index, SkylineFault::HeightOutside(point.height_deg)));
        }
    }
    Ok(())
}

fn check_way(points: &[RidgePoint]) -> Checked {
    if points.len() < 2 {
        return Err((0, SkylineFault::TooFewPoints(points.len())));
    }
    let mut gone_deg = 0.0;
    for (index, pair) in points.windows(2).enumerate() {
        let width_deg = clockwise_deg(pair[0].azimuth_deg, pair[1].azimuth_deg);
        let azimuth_deg = pair[1].azimuth_deg;
        if width_deg == 0.0 {
            return Err((index + 1, SkylineFault::RepeatedAzimuth(azimuth_deg)));
        }
        gone_deg += width_deg;
        if gone_deg > 360.0 {
            return Err((index + 1, SkylineFault::RoundMoreThanOnce(azimuth_deg)));
        }
    }
    let (first, last) = (points[0], points[points.len() - 1]);
    if gone_deg >= 360.0 && (first.height_deg - last.height_deg).abs() > 0.0 {
        return Err((points.len() - 1, SkylineFault::RepeatedAzimuth(last.azimuth_deg)));
    }
    Ok(())
}
