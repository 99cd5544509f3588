//! A skyline corrected by single points that somebody saw on the spot.
//!
//! Each point is where an edge stood: the sun went behind it there. One alone says little of what
//! stands beside it, and is taken to hold for five degrees to either side, about a week and a half
//! of evenings, or as far as whoever saw it knows. Neighbours are joined. All widths here are our
//! choice.

use crate::{
    ridge::{Ridge, RidgePoint, clockwise_deg},
    skyline::{Skyline, SkylineSector, SkylineStretch},
};

/// How far a seen point is taken to hold beyond it, degrees, where nothing else is known.
pub const REACH_DEG: f64 = 5.0;
/// A point this near to an older one replaces it, degrees.
const SAME_DEG: f64 = 3.0;
/// A point this near to an older one is joined to it, degrees; and no point holds farther.
pub const JOIN_DEG: f64 = 30.0;
/// Angles that differ by less are the same, degrees.
const ROUNDING_DEG: f64 = 1e-6;

/// A point that somebody saw, and how far it is taken to hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeenEdge {
    /// Where the edge stood.
    pub point: RidgePoint,
    /// How far it stands as high anticlockwise of there, up to 30 degrees.
    pub before_deg: f64,
    /// How far clockwise.
    pub after_deg: f64,
}

impl From<RidgePoint> for SeenEdge {
    /// It holds for five degrees to either side.
    fn from(point: RidgePoint) -> Self {
        SeenEdge { point, before_deg: REACH_DEG, after_deg: REACH_DEG }
    }
}

impl Skyline {
    /// This skyline with points put into it that were seen on the spot, one after another.
    ///
    /// A point within 3 degrees of one that is there replaces it. One within 30 degrees of others,
    /// or inside a ridge, is joined to them. One that stands alone becomes a level piece of 5
    /// degrees to either side. Where older stretches of one height stand in the same directions,
    /// they give way: what was seen counts.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_ground::{RidgePoint, Skyline};
    ///
    /// let seen = |azimuth_deg, height_deg| RidgePoint { azimuth_deg, height_deg };
    /// let steps = Skyline::default().with_points(&[seen(280.0, 8.0), seen(260.0, 4.0)]);
    /// assert_eq!(steps.height_deg(270.0), 6.0);
    /// assert_eq!(steps.height_deg(284.0), 8.0);
    /// assert_eq!(steps.height_deg(290.0), 0.0);
    /// ```
    #[must_use]
    pub fn with_points(&self, seen: &[RidgePoint]) -> Self {
        let edges: Vec<_> = seen.iter().copied().map(SeenEdge::from).collect();
        self.with_edges(&edges)
    }

    /// The same with points of which more is known than that: how far each holds, where it has no
    /// neighbour on that side.
    #[must_use]
    pub fn with_edges(&self, seen: &[SeenEdge]) -> Self {
        let stretches = seen.iter().fold(self.stretches().to_vec(), |stretches, edge| {
            let azimuth_deg = edge.point.azimuth_deg.rem_euclid(360.0);
            let within = |reach_deg: f64| reach_deg.clamp(0.0, JOIN_DEG);
            let edge = SeenEdge {
                point: RidgePoint { azimuth_deg, ..edge.point },
                before_deg: within(edge.before_deg),
                after_deg: within(edge.after_deg),
            };
            with_edge(stretches, edge)
        });
        Skyline::of_stretches(stretches)
    }
}

fn with_edge(stretches: Vec<SkylineStretch>, seen: SeenEdge) -> Vec<SkylineStretch> {
    let (mut neighbours, mut joined, mut others) = (Vec::new(), Vec::new(), Vec::new());
    for stretch in stretches {
        match points(&stretch) {
            Some(known) if belongs(&stretch, &known, seen.point) => {
                neighbours.extend(kept(known, seen.point));
                joined.push(stretch);
            }
            _ => others.push(stretch),
        }
    }
    let stood = |azimuth_deg: f64| joined.iter().any(|it| it.height_deg(azimuth_deg).is_some());
    let made = stretch_through(neighbours, seen, stood);
    let (from_deg, to_deg) = ends(&made);
    let mut left: Vec<_> =
        others.into_iter().flat_map(|other| cut(other, from_deg, to_deg)).collect();
    left.push(made);
    left
}

/// The points that a stretch stands for; `None` for a long one of one height.
fn points(stretch: &SkylineStretch) -> Option<Vec<RidgePoint>> {
    match stretch {
        SkylineStretch::Ridge(ridge) => Some(ridge.points.clone()),
        SkylineStretch::Level(sector) => {
            let width_deg = clockwise_deg(sector.from_azimuth_deg, sector.to_azimuth_deg);
            let middle_deg = (sector.from_azimuth_deg + width_deg / 2.0).rem_euclid(360.0);
            let middle = RidgePoint { azimuth_deg: middle_deg, height_deg: sector.height_deg };
            let [from, to] = sector.ends();
            let is_short = width_deg <= 2.0 * REACH_DEG + ROUNDING_DEG;
            is_short.then(|| vec![from, middle, to])
        }
    }
}

/// What remains of a stretch's points beside a new one.
///
/// Where the new one lies at or beyond an end that only holds the height of the point before it,
/// that end goes: it was never seen.
fn kept(mut known: Vec<RidgePoint>, seen: RidgePoint) -> Vec<RidgePoint> {
    let has_inner_points = known.len() > 2;
    for _ in 0..2 {
        if let [end, inner, ..] = known[..]
            && has_inner_points
        {
            let reach_deg = apart_deg(end, inner);
            // Signed, out over the end.
            let out_deg = if (clockwise_deg(end.azimuth_deg, inner.azimuth_deg) - reach_deg).abs()
                < ROUNDING_DEG
            {
                signed_deg(seen.azimuth_deg, inner.azimuth_deg)
            } else {
                signed_deg(inner.azimuth_deg, seen.azimuth_deg)
            };
            let is_beyond = (-SAME_DEG..=reach_deg + JOIN_DEG).contains(&out_deg);
            if is_reach(end, inner) && is_beyond {
                known.remove(0);
            }
        }
        known.reverse();
    }
    known.retain(|point| apart_deg(*point, seen) > SAME_DEG);
    known
}

/// How far it is clockwise, -180 to 180 degrees.
fn signed_deg(from_deg: f64, to_deg: f64) -> f64 {
    (to_deg - from_deg + 180.0).rem_euclid(360.0) - 180.0
}

fn belongs(stretch: &SkylineStretch, known: &[RidgePoint], seen: RidgePoint) -> bool {
    let is_near = |point: &RidgePoint| apart_deg(*point, seen) <= JOIN_DEG;
    let (mut from, mut to) = (0, known.len());
    if let [end, inner, _, ..] = known[..] {
        from += usize::from(is_reach(end, inner));
    }
    if let [_, .., inner, end] = known[..] {
        to -= usize::from(is_reach(end, inner));
    }
    stretch.height_deg(seen.azimuth_deg).is_some() || known[from..to].iter().any(is_near)
}

/// Whether an end only holds the height of the point before it.
fn is_reach(end: RidgePoint, inner: RidgePoint) -> bool {
    (end.height_deg - inner.height_deg).abs() < ROUNDING_DEG
        && apart_deg(end, inner) <= JOIN_DEG + ROUNDING_DEG
}

fn apart_deg(a: RidgePoint, b: RidgePoint) -> f64 {
    let clockwise_deg = (a.azimuth_deg - b.azimuth_deg).rem_euclid(360.0);
    clockwise_deg.min(360.0 - clockwise_deg)
}

/// One stretch through points in any order. It begins after the widest gap in which nothing stood;
/// where the new point is an end of it, that holds as far as is known. Without a gap it is a ring.
fn stretch_through(
    mut points: Vec<RidgePoint>,
    seen: SeenEdge,
    stood: impl Fn(f64) -> bool,
) -> SkylineStretch {
    let SeenEdge { point, before_deg, after_deg } = seen;
    points.push(point);
    for point in &mut points {
        point.azimuth_deg = point.azimuth_deg.rem_euclid(360.0);
    }
    points.sort_by(|a, b| a.azimuth_deg.total_cmp(&b.azimuth_deg));
    points.dedup_by(|a, b| apart_deg(*a, *b) < ROUNDING_DEG);
    let count = points.len();
    let gap_deg = |index: usize| {
        let (from_deg, to) = (points[index].azimuth_deg, points[(index + 1) % count]);
        let gap_deg = (to.azimuth_deg - from_deg).rem_euclid(360.0);
        let gap_deg = if count == 1 { 360.0 } else { gap_deg };
        if stood(from_deg + gap_deg / 2.0) && count > 1 { 0.0 } else { gap_deg }
    };
    let widest = (0..count).max_by(|&a, &b| gap_deg(a).total_cmp(&gap_deg(b))).unwrap_or(0);
    if gap_deg(widest) == 0.0 {
        return SkylineStretch::Ridge(Ridge::all_round(points));
    }
    // Two ends that reach towards each other do not meet.
    let most_deg = 0.49 * gap_deg(widest);
    points.rotate_left((widest + 1) % count);
    let turned = |by_deg: f64| RidgePoint {
        azimuth_deg: (point.azimuth_deg + by_deg).rem_euclid(360.0),
        ..point
    };
    let (before, after) = (turned(-before_deg.min(most_deg)), turned(after_deg.min(most_deg)));
    if count == 1 && (before_deg - after_deg).abs() < ROUNDING_DEG {
        return SkylineStretch::Level(SkylineSector {
            from_azimuth_deg: before.azimuth_deg,
            to_azimuth_deg: after.azimuth_deg,
            height_deg: point.height_deg,
        });
    }
    if points[0] == point && before_deg > ROUNDING_DEG {
        points.insert(0, before);
    }
    if points[points.len() - 1] == point && after_deg > ROUNDING_DEG {
        points.push(after);
    }
    SkylineStretch::Ridge(Ridge { points })
}

/// The directions at which a stretch begins and ends, clockwise.
fn ends(stretch: &SkylineStretch) -> (f64, f64) {
    match stretch {
        SkylineStretch::Level(sector) => (sector.from_azimuth_deg, sector.to_azimuth_deg),
        SkylineStretch::Ridge(ridge) => {
            let end = |point: Option<&RidgePoint>| point.map_or(0.0, |point| point.azimuth_deg);
            (end(ridge.points.first()), end(ridge.points.last()))
        }
    }
}

/// What of a level stretch stands outside some directions. Ridges stay whole.
fn cut(stretch: SkylineStretch, from_deg: f64, to_deg: f64) -> Vec<SkylineStretch> {
    let SkylineStretch::Level(sector) = stretch else { return vec![stretch] };
    let hole_deg = clockwise_deg(from_deg, to_deg);
    let width_deg = clockwise_deg(sector.from_azimuth_deg, sector.to_azimuth_deg);
    // Counted clockwise from the end of the hole, the open directions are 0 to `open_deg`.
    let open_deg = 360.0 - hole_deg;
    let begin_deg = (sector.from_azimuth_deg - to_deg).rem_euclid(360.0);
    let pieces = [
        (begin_deg, (begin_deg + width_deg).min(open_deg)),
        (0.0, (begin_deg + width_deg - 360.0).min(open_deg)),
    ];
    if begin_deg + width_deg <= open_deg {
        return vec![stretch];
    }
    let standing = pieces.into_iter().filter(|(begin_deg, end_deg)| begin_deg < end_deg);
    standing
        .map(|(begin_deg, end_deg)| {
            SkylineStretch::Level(SkylineSector {
                from_azimuth_deg: (to_deg + begin_deg).rem_euclid(360.0),
                to_azimuth_deg: (to_deg + end_deg).rem_euclid(360.0),
                height_deg: sector.height_deg,
            })
        })
        .collect()
}
