//! Clutter in a composite that is known for it.

use std::path::Path;

use fairspell_nowcast::clutter::without_clutter;
use libtest_mimic::Failed;

use crate::{RATE_FIRST, Totals, ensure, whole};

/// Cells above 300 mm/h: row, column, rate. Read with h5py 3.16.
const IMPOSSIBLE: [(usize, usize, f32); 3] =
    [(407, 391, 1205.22), (1626, 769, 421.07), (1652, 675, 364.63)];

/// Those, and the lone cells of 10 mm/h and more that have over ten times the rate of each of at
/// least five measured neighbours; and what is lost when all take the median of what is measured
/// around. Counted with a few lines of `NumPy` 2 on the whole picture.
const CHANGED: usize = 13;
const GONE_MM_H: f64 = 2329.13;

pub(crate) fn of_the_european_composite(folder: &Path) -> Result<(), Failed> {
    let field = whole(folder, RATE_FIRST)?;
    let before = Totals::of(&field);
    for (row, column, rate) in IMPOSSIBLE {
        let found = field.rain_rate_mm_h[[row, column]];
        ensure((found - rate).abs() < 0.01, || format!("{row}, {column}: {found} mm/h"))?;
    }
    let mended = without_clutter(field.clone());
    let after = Totals::of(&mended.value);
    let changed = field
        .rain_rate_mm_h
        .iter()
        .zip(&mended.value.rain_rate_mm_h)
        .filter(|(before, after)| before.to_bits() != after.to_bits())
        .count();
    ensure(changed == CHANGED, || format!("{changed} cells changed"))?;
    ensure(after.not_measured == before.not_measured, || format!("{after:?}"))?;
    ensure(after.largest_mm_h < 300.0, || format!("{after:?}"))?;
    let gone_mm_h = before.sum_mm_h - after.sum_mm_h;
    // Thirteen rates of two decimals.
    ensure((gone_mm_h - GONE_MM_H).abs() < 0.05, || format!("{gone_mm_h} mm/h gone"))?;
    // All but those thirteen are as wet as they were.
    ensure(before.wet - after.wet <= CHANGED, || format!("{before:?} {after:?}"))
}
