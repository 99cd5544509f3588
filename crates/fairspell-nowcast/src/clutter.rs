//! Clutter: single cells that show something else than rain.
//!
//! A composite holds cells that no rain explains: a ship, a wind turbine, another transmitter, a
//! fault of the processor. The European composite of one August evening had 1205 mm/h in a cell
//! with 16 mm/h on one side and nothing on the other. Such a cell makes a spot wet that isn't, and
//! draws the motion to it. On the other hand a lone cell of weak rain is drizzle or the first of a
//! shower, and stays. So two rules only, both about rates that weak rain never has:
//!
//! - **impossible**: more than [`RATE_MAX_MM_H`], whatever is around;
//! - **spike**: at least [`SPIKE_MIN_MM_H`] and more than [`SPIKE_FACTOR`] times the wettest of the
//!   cells that touch it, at least [`SPIKE_KNOWN_MIN`] of which are measured.
//!
//! Such a cell takes the median of the measured cells around it. An impossible one with too few of
//! those counts as not measured: nothing becomes dry because nothing is known. Cells that weren't
//! measured stay so.
//!
//! # What it touches
//!
//! Every picture of three evenings, share of the wet cells (0.1 mm/h and more). In the two composites
//! that their services have cleaned already, next to nothing is touched; that is what the rules cost
//! real rain. The third is cleaned little.
//!
//! | pictures | wet cells | impossible | spikes | share touched |
//! |---|---|---|---|---|
//! | 40 of Finland, 1 km, 2016-09-28 | 8 555 713 | 0 | 18 | 2 in a million |
//! | 18 of the United States, 0.01 degree, 2019-06-10 | 17 182 479 | 0 | 13 | 1 in a million |
//! | 24 of Europe, 2 km, 2018-08-24 | 6 167 336 | 14 | 202 | 35 in a million |
//!
//! Europe's cells are larger, which is a part of it: averaged to cells twice as wide the other two
//! have at most 1 spike in a million, merely thinned out 15 and 10 (a few pictures). The sum of all
//! European rates falls by 0.4 %, 152 of the wet cells become dry, none becomes a hole.
//!
//! Tried and left, on every sixth Finnish and every third American picture (3 and 2 spikes by the
//! rule): a factor of 5 gives 8 and 10, a least rate of 5 mm/h 4 and 14, the second wettest
//! neighbour instead of the wettest 10 and 50.
//!
//! A rule over time (wet in all pictures, while the 7 x 7 cells around are dry at 95 of 100 moments)
//! is not here: in Europe it marks 5 cells in an hour and 2 in two hours, of some 100 000 and 50 000
//! that are wet throughout, in Finland none. There is nothing to gain, and a slow shower to lose.
//!
//! # Source
//!
//! Our choice, in the manner of M. Gabella and R. Notarpietro, "Ground clutter characterization and
//! elimination in mountainous terrain", Proc. ERAD (2002), 305-311, who count the neighbours that
//! come close to a cell's echo; much stricter than theirs, because a composite is cleaned before.

use fairspell_ground::Reading;
use ndarray::Array2;

use crate::{RadarRemark, RainField};

/// Rates above this, mm/h, are no rain over a cell of half a kilometre or more.
///
/// Our choice: 62.6 dBZ by the usual relation, where large hail begins and not the rain rate is
/// what the radar sees. A hail core keeps the highest rates of its surroundings.
pub const RATE_MAX_MM_H: f32 = 300.0;

/// Rates below this, mm/h, are never taken for a spike.
pub const SPIKE_MIN_MM_H: f32 = 10.0;

/// A spike has more than so many times the rate of every cell around it: 10 decibels of rain rate,
/// 16 of reflectivity. Neighbours below 0.1 mm/h count as 0.1.
pub const SPIKE_FACTOR: f32 = 10.0;

/// So many of the eight cells around a spike must be measured.
pub const SPIKE_KNOWN_MIN: usize = 5;

/// An impossible rate is replaced when so many of the eight cells around it are measured and
/// possible; a straight edge of a larger patch has three.
const RIM_KNOWN_MIN: usize = 3;

/// Patches of impossible rates are filled from their rim inward, so many cells deep; what is left
/// counts as not measured.
const RINGS_MAX: usize = 3;

/// What was found and mended in a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clutter {
    /// Cells with rates above [`RATE_MAX_MM_H`].
    pub impossible: usize,
    /// Lone cells far above all their neighbours.
    pub spikes: usize,
    /// Those of the impossible ones that now count as not measured.
    pub not_measured: usize,
    /// The highest rate among all of them, mm/h.
    pub largest_mm_h: f32,
}

/// A rain field without its clutter, with a remark of what was changed.
///
/// Give it whole pictures or cuts; at the edge of a cut a spike may pass for the beginning of
/// something. Meant for cells of 0.5 to 2 km: in a field thinned out to 4 km one in five thousand
/// wet cells of real rain would be touched.
///
/// # Examples
///
/// ```
/// use fairspell_ground::{LatLon, Projection};
/// use fairspell_nowcast::{Grid, RainField, clutter::without_clutter};
/// use ndarray::Array2;
///
/// let grid = Grid {
///     projection: Projection::degrees(),
///     x_first: 152.0,
///     y_first: -31.0,
///     x_step: 0.01,
///     y_step: 0.01,
///     rows: 100,
///     columns: 100,
/// };
/// let valid_time = "2026-09-03T04:00:00Z".parse()?;
/// let mut rain_rate_mm_h = Array2::zeros((100, 100));
/// rain_rate_mm_h[[50, 50]] = 90.0; // a wind turbine
/// rain_rate_mm_h[[20, 30]] = 0.4; // drizzle
/// let mended = without_clutter(RainField { valid_time, grid, rain_rate_mm_h });
///
/// assert_eq!(mended.value.rain_rate_mm_h[[50, 50]], 0.0);
/// assert_eq!(mended.value.rain_rate_mm_h[[20, 30]], 0.4);
/// assert_eq!(mended.remarks.len(), 1);
/// # Ok::<(), jiff::Error>(())
/// ```
pub fn without_clutter(mut field: RainField) -> Reading<RainField, RadarRemark> {
    let found = mend(&mut field.rain_rate_mm_h);
    let remarks = found
        .map(|Clutter { impossible, spikes, not_measured, largest_mm_h }| RadarRemark::Clutter {
            valid_time: field.valid_time,
            cells: impossible + spikes,
            not_measured,
            largest_mm_h,
        })
        .into_iter()
        .collect();
    Reading { value: field, remarks }
}

/// Takes clutter out of rain rates, mm/h (NaN: not measured); `None` when there was none.
///
/// See the [module](self) for the rules.
pub fn mend(rain_rate_mm_h: &mut Array2<f32>) -> Option<Clutter> {
    // Most of a picture is dry or weak: one look at every cell, and a closer one at few.
    let mut strong = Vec::new();
    let mut impossible = Vec::new();
    for (cell, &rate) in rain_rate_mm_h.indexed_iter() {
        if rate > RATE_MAX_MM_H {
            impossible.push((cell, rate));
        } else if rate >= SPIKE_MIN_MM_H {
            strong.push((cell, rate));
        }
    }
    let mut found = Clutter {
        impossible: impossible.len(),
        spikes: 0,
        not_measured: 0,
        largest_mm_h: impossible.iter().map(|(_, rate)| *rate).fold(0.0, f32::max),
    };
    let cells = impossible.into_iter().map(|(cell, _)| cell).collect();
    found.not_measured = fill_from_the_rim(rain_rate_mm_h, cells);
    // Two spikes never touch, so it does not matter which one is mended first.
    for (cell, rate) in strong {
        // Nearly all stand in the midst of rain, which a look to the east shows.
        let east = rain_rate_mm_h.get((cell.0, cell.1 + 1));
        if east.is_some_and(|east| SPIKE_FACTOR * east >= rate) {
            continue;
        }
        let mut around = Around::of(rain_rate_mm_h, cell);
        if around.count >= SPIKE_KNOWN_MIN && rate > SPIKE_FACTOR * around.largest().max(0.1) {
            found.spikes += 1;
            found.largest_mm_h = found.largest_mm_h.max(rate);
            rain_rate_mm_h[cell] = around.median();
        }
    }
    (found.impossible + found.spikes > 0).then_some(found)
}

/// Replaces impossible rates ring by ring; returns how many were left over as not measured.
fn fill_from_the_rim(rates: &mut Array2<f32>, mut cells: Vec<(usize, usize)>) -> usize {
    for _ in 0..RINGS_MAX {
        let mut rim = Vec::new();
        cells.retain(|&cell| {
            let mut around = Around::of(rates, cell);
            let mendable = around.count >= RIM_KNOWN_MIN;
            if mendable {
                rim.push((cell, around.median()));
            }
            !mendable
        });
        if rim.is_empty() {
            break;
        }
        for (cell, rate) in rim {
            rates[cell] = rate;
        }
    }
    for &cell in &cells {
        rates[cell] = f32::NAN;
    }
    cells.len()
}

/// The measured, possible rates of the cells that touch one.
struct Around {
    rates: [f32; 8],
    count: usize,
}

impl Around {
    fn of(rates: &Array2<f32>, (row, column): (usize, usize)) -> Self {
        let (rows, columns) = rates.dim();
        let mut around = Around { rates: [0.0; 8], count: 0 };
        for i in row.saturating_sub(1)..(row + 2).min(rows) {
            for j in column.saturating_sub(1)..(column + 2).min(columns) {
                let rate = rates[[i, j]];
                if (i, j) != (row, column) && rate <= RATE_MAX_MM_H {
                    around.rates[around.count] = rate;
                    around.count += 1;
                }
            }
        }
        around
    }

    fn largest(&self) -> f32 {
        self.rates[..self.count].iter().copied().fold(0.0, f32::max)
    }

    /// Of two in the middle the wetter one; at least one cell must be there.
    fn median(&mut self) -> f32 {
        let known = &mut self.rates[..self.count];
        known.sort_unstable_by(f32::total_cmp);
        known[known.len() / 2]
    }
}
