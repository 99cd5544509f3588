//! The light through an evening as one line, with breaks where it is not known.

use crate::evening::LightSample;
use crate::palette::LIGHT_ELEVATIONS_DEG;

/// A point of the line.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LightPoint {
    at_min: f64,
    /// Decimal logarithm of the illuminance in lux; straight lines between samples are straight in
    /// this, since dusk fades by halves.
    log_lx: f64,
    pub(crate) sun_elevation_deg: f64,
}

impl LightPoint {
    /// Nothing for darkness below a thousandth of a lux, which is starlight.
    fn new(sample: LightSample) -> Option<Self> {
        let lit = sample.illuminance_lx.is_finite() && sample.illuminance_lx >= 0.0;
        (lit && sample.sun_elevation_deg.is_finite()).then(|| Self {
            at_min: sample.at_min,
            log_lx: sample.illuminance_lx.max(1e-3).log10(),
            sun_elevation_deg: sample.sun_elevation_deg,
        })
    }

    /// Between this point and a later one, on a straight line.
    fn towards(self, later: Self, at_min: f64) -> Self {
        let long = later.at_min - self.at_min;
        let share = if long > 0.0 { (at_min - self.at_min) / long } else { 0.0 };
        let between = |from: f64, to: f64| from * (1.0 - share) + to * share;
        Self {
            at_min,
            log_lx: between(self.log_lx, later.log_lx),
            sun_elevation_deg: between(self.sun_elevation_deg, later.sun_elevation_deg),
        }
    }

    pub(crate) fn illuminance_lx(self) -> f64 {
        10f64.powf(self.log_lx)
    }

    /// Light as a share of the band's height: 1 lx is nothing, 100 000 lx, the sun at its highest,
    /// all of it; each tenth part of the light takes a fifth of the height.
    pub(crate) fn height_share(self) -> f64 {
        (self.log_lx / 5.0).clamp(0.0, 1.0)
    }
}

/// The whole line, cut to the evening.
pub(crate) struct LightLine {
    /// In order of time; a `None` breaks the line.
    points: Vec<Option<LightPoint>>,
}

impl LightLine {
    /// Samples may come in any order; one that is not finite breaks the line, one without a time is
    /// left out.
    pub(crate) fn new(samples: &[LightSample], span_min: f64) -> Self {
        let mut timed: Vec<LightSample> =
            samples.iter().filter(|sample| sample.at_min.is_finite()).copied().collect();
        timed.sort_by(|a, b| a.at_min.total_cmp(&b.at_min));
        let points: Vec<Option<LightPoint>> = timed.into_iter().map(LightPoint::new).collect();
        let mut within = Vec::new();
        for pair in points.windows(2) {
            let (Some(a), Some(b)) = (pair[0], pair[1]) else {
                within.push(None);
                continue;
            };
            let (from, to) = (a.at_min.max(0.0), b.at_min.min(span_min));
            if from < to {
                within.extend([Some(a.towards(b, from)), Some(a.towards(b, to))]);
            }
        }
        within.dedup_by(|b, a| match (a, b) {
            (Some(a), Some(b)) => b.at_min <= a.at_min,
            (None, None) => true,
            _ => false,
        });
        Self { points: within }
    }

    /// The light at a moment, `None` where it is not known.
    pub(crate) fn at(&self, at_min: f64) -> Option<LightPoint> {
        self.pairs()
            .find(|(a, b)| a.at_min <= at_min && at_min <= b.at_min)
            .map(|(a, b)| a.towards(b, at_min))
    }

    /// The times of all points.
    pub(crate) fn moments(&self) -> impl Iterator<Item = f64> {
        self.points.iter().flatten().map(|point| point.at_min)
    }

    /// A stretch of time cut where the light begins or ends being known: from, to, known.
    pub(crate) fn stretches(&self, from: f64, to: f64) -> Vec<(f64, f64, bool)> {
        let mut known: Vec<(f64, f64)> = Vec::new();
        for (a, b) in self.pairs() {
            let (begin, end) = (a.at_min.max(from), b.at_min.min(to));
            match known.last_mut() {
                _ if begin >= end => {}
                Some(last) if last.1 >= begin => last.1 = end,
                _ => known.push((begin, end)),
            }
        }
        let mut cut = Vec::new();
        let mut here = from;
        for (begin, end) in known {
            if begin > here {
                cut.push((here, begin, false));
            }
            cut.push((begin, end, true));
            here = end;
        }
        if here < to {
            cut.push((here, to, false));
        }
        cut
    }

    /// Stops of the light's colour as time and sun elevation: where the sun passes the elevation of
    /// a colour, where it turns, and both ends. Between them colours mix evenly, so these few say
    /// the same as a stop a minute.
    pub(crate) fn stops(&self) -> Vec<(f64, f64)> {
        let points: Vec<LightPoint> = self.points.iter().flatten().copied().collect();
        let mut stops = Vec::new();
        for (index, here) in points.iter().enumerate() {
            let before = index.checked_sub(1).map(|before| points[before].sun_elevation_deg);
            let after = points.get(index + 1);
            let turns = match (before, after) {
                (Some(before), Some(after)) => {
                    let (came, goes) = (
                        here.sun_elevation_deg - before,
                        after.sun_elevation_deg - here.sun_elevation_deg,
                    );
                    came * goes <= 0.0 && (came != 0.0 || goes != 0.0)
                }
                _ => true,
            };
            if turns {
                stops.push((here.at_min, here.sun_elevation_deg));
            }
            if let Some(after) = after {
                stops.extend(passed(*here, *after));
            }
        }
        stops
    }

    fn pairs(&self) -> impl Iterator<Item = (LightPoint, LightPoint)> {
        self.points.windows(2).filter_map(|pair| Some((pair[0]?, pair[1]?)))
    }
}

/// Where the sun, on its way between two points, passes the elevations of the runs of colour.
fn passed(here: LightPoint, after: LightPoint) -> Vec<(f64, f64)> {
    let (from, to) = (here.sun_elevation_deg, after.sun_elevation_deg);
    let between = |elevation: &f64| *elevation >= from.min(to) && *elevation < from.max(to);
    let moment = |elevation: f64| {
        let share = (elevation - from) / (to - from);
        (here.at_min + share * (after.at_min - here.at_min), elevation)
    };
    let mut passed: Vec<(f64, f64)> =
        LIGHT_ELEVATIONS_DEG.iter().copied().filter(between).map(moment).collect();
    passed.sort_by(|a, b| a.0.total_cmp(&b.0));
    passed
}
