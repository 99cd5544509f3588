//! Evenings that might come: the rain that reaches the neighbours, and what may be born or die in it.

use crate::advect::Position;
use crate::arrivals::gaussian_pattern;
use crate::course::Course;
use crate::level::WET_RATE_MM_H;
use crate::narrow::{single, whole};
use crate::nowcast::Nowcast;

/// Neighbours whose rain is followed.
const NEIGHBOURS: usize = 96;

/// How their distances grow, km a minute, from 1 km: each neighbour has one of these.
///
/// The middle one is that of the neighbours who are asked for rain, the others are those of the gap.
const GROWTHS: [f64; 3] = [0.1, 0.3, 0.6];

/// Share of the steps that must be measured for a neighbour to be followed, and of the neighbours
/// that must be followed for anything to be told so far ahead.
const STEPS_KNOWN_MIN: f64 = 0.75;
const NEIGHBOURS_KNOWN_MIN: f64 = 0.5;

/// How long what is born lasts, and what dies stays away, minutes.
const BORN_MIN: [f64; 2] = [10.0, 120.0];
const DEAD_MIN: [f64; 2] = [15.0, 360.0];

/// Share of the weight that births, and deaths, have before any chance is heard.
///
/// Never nothing: where all neighbours are dry, only a birth can make a stated chance of rain true.
const CHANGED_SHARE: [f64; 2] = [0.05, 0.4];

/// Rates of what is born where no rain is near that could tell, mm/h.
const BORN_USUAL_MM_H: [f64; 2] = [0.2, 2.0];

/// Rain rates step by step, one series after the other, all of one length.
#[derive(Debug)]
pub(crate) struct Candidates {
    /// The last step, counted from the newest picture.
    pub(crate) last: usize,
    /// mm/h; NaN where the air that arrives was not measured.
    pub(crate) rates: Vec<f32>,
    /// Weight of each series before any chance is heard.
    pub(crate) prior: Vec<f64>,
}

/// What might come to a place in the steps `first..=last`, or as far as enough air was measured.
///
/// Each neighbour stands at a fixed bearing, the farther the later: rain that comes a little off its
/// way. Its series is taken as it is, once with a shower born into it, and once with a stretch of it
/// dead. `None` where not even the first step is known.
pub(crate) fn candidates(
    nowcast: &Nowcast,
    course: &Course<'_>,
    first: usize,
    last: usize,
) -> Option<Candidates> {
    let series: Vec<Vec<f32>> = gaussian_pattern(NEIGHBOURS)
        .into_iter()
        .enumerate()
        .map(|(index, offset)| neighbour(nowcast, course, GROWTHS[index % 3], offset, first..=last))
        .collect();
    let last = first + steps_known(&series)? - 1;
    let steps = last + 1 - first;
    let followed: Vec<&[f32]> =
        series.iter().map(|rates| &rates[..steps]).filter(|rates| mostly_known(rates)).collect();

    let begin_min = first as f64 * nowcast.step_min;
    let length_min = steps as f64 * nowcast.step_min;
    let (births, deaths) = course.births_and_deaths(begin_min + length_min / 2.0);
    let share = |in_20_min: f64| {
        let ever = 1.0 - (-in_20_min * length_min / 20.0).exp();
        ever.clamp(CHANGED_SHARE[0], CHANGED_SHARE[1])
    };
    let (born, died) = (share(births), share(deaths));
    let usual = BORN_USUAL_MM_H.map(f64::ln);
    let mut wet: Vec<f32> = followed
        .iter()
        .flat_map(|rates| rates.iter().copied())
        .filter(|rate| is_wet(*rate))
        .collect();
    wet.sort_by(f32::total_cmp);

    let count = followed.len() as f64;
    let mut made = Candidates { last, rates: Vec::new(), prior: Vec::new() };
    let mut add = |rates: &mut dyn Iterator<Item = f32>, weight: f64| {
        made.rates.extend(rates);
        made.prior.push(weight / count);
    };
    for (index, rates) in followed.iter().enumerate() {
        add(&mut rates.iter().copied(), 1.0 - born - died);
        let [when, how_long, how_much] = spread_evenly(index);
        let at_min = |step: usize| step as f64 * nowcast.step_min;
        let stretch = |length_min: f64| {
            let from_min = when * (at_min(steps) + length_min) - length_min;
            move |step: usize| at_min(step) >= from_min && at_min(step) < from_min + length_min
        };
        let shower = stretch(geometric(BORN_MIN, how_long));
        let strength = wet.get(whole(how_much * wet.len() as f64)).map_or_else(
            || single((usual[0] + (usual[1] - usual[0]) * how_much).exp()),
            |rate| *rate,
        );
        // The newest picture is what it is, and `max` would make rain of what is not known.
        let changes = |step: usize, rate: f32| first + step > 0 && !rate.is_nan();
        let with_shower = |(step, rate): (usize, &f32)| {
            if changes(step, *rate) && shower(step) { rate.max(strength) } else { *rate }
        };
        add(&mut rates.iter().enumerate().map(with_shower), born);
        let pause = stretch(geometric(DEAD_MIN, how_long));
        let with_pause = |(step, rate): (usize, &f32)| {
            if changes(step, *rate) && pause(step) { 0.0 } else { *rate }
        };
        add(&mut rates.iter().enumerate().map(with_pause), died);
    }
    Some(made)
}

/// Rain rates that reach one neighbour, who stands `offset` widths (south, east) away.
fn neighbour(
    nowcast: &Nowcast,
    course: &Course<'_>,
    growth: f64,
    offset: (f64, f64),
    steps: std::ops::RangeInclusive<usize>,
) -> Vec<f32> {
    let origins = course.origins().enumerate().skip(*steps.start()).take(steps.count());
    let rate = |(step, origin): (usize, Position)| {
        // What is now at the place is measured, and need not be guessed from its neighbours.
        let here = (step == 0).then(|| nowcast.rain_rate_at(course.place)).flatten();
        let width_km = course.width_km(growth, step as f64 * nowcast.step_min);
        let there = Position {
            row: origin.row + offset.0 * width_km / nowcast.cell_km.0,
            column: origin.column + offset.1 * width_km / nowcast.cell_km.1,
        };
        here.or_else(|| nowcast.rain_rate_at(there)).map_or(f32::NAN, single)
    };
    origins.map(rate).collect()
}

/// The most steps from the first on that enough neighbours know enough of.
fn steps_known(series: &[Vec<f32>]) -> Option<usize> {
    let all = series.first()?.len();
    (1..=all).rev().find(|steps| {
        let known = series.iter().filter(|rates| mostly_known(&rates[..*steps])).count();
        known as f64 >= NEIGHBOURS_KNOWN_MIN * series.len() as f64
    })
}

fn mostly_known(rates: &[f32]) -> bool {
    let known = rates.iter().filter(|rate| !rate.is_nan()).count();
    known as f64 >= STEPS_KNOWN_MIN * rates.len() as f64
}

fn is_wet(rate: f32) -> bool {
    rate >= WET_RATE_MM_H
}

/// So far between two lengths, by equal factors.
fn geometric([shortest, longest]: [f64; 2], share: f64) -> f64 {
    shortest * (longest / shortest).powf(share)
}

/// The `index`th of points that fill a cube evenly, however many are taken.
///
/// # Source
///
/// The additive recurrence of the three-dimensional generalised golden ratio, 1.2207440846: the root
/// of x^4 = x + 1, and its powers -1 to -3.
fn spread_evenly(index: usize) -> [f64; 3] {
    const RATIO: f64 = 1.2207440846057596;
    [1, 2, 3].map(|power| (0.5 + (index + 1) as f64 * RATIO.powi(-power)).fract())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_fill_the_cube_evenly() {
        let points: Vec<[f64; 3]> = (0..96).map(spread_evenly).collect();
        for axis in 0..3 {
            for quarter in 0..4 {
                let bounds = f64::from(quarter) / 4.0..f64::from(quarter + 1) / 4.0;
                let count = points.iter().filter(|point| bounds.contains(&point[axis])).count();
                assert!((18..=30).contains(&count), "{axis} {quarter}: {count} instead of 24");
            }
        }
    }

    #[test]
    fn so_far_ahead_as_half_the_neighbours_know() {
        let known = vec![0.0; 8];
        let cut = [vec![0.0; 3], vec![f32::NAN; 5]].concat();
        assert_eq!(steps_known(&[known.clone(), cut.clone()]), Some(8));
        // Three of four steps are three quarters.
        assert_eq!(steps_known(&[cut.clone(), cut.clone(), known]), Some(4));
        assert_eq!(steps_known(&[vec![f32::NAN; 8]]), None);
    }
}
