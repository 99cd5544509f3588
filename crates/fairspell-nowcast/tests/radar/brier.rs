//! The nowcast against what came, on the American mosaic of 2019-06-10.

use std::path::Path;

use fairspell_chance::{Outcome, brier_score};
use fairspell_ground::LatLon;
use fairspell_nowcast::{
    Cut, Nowcast, RainField, ReadOptions,
    advect::{Position, value_at},
    level::WET_RATE_MM_H,
};
use jiff::{SignedDuration, Timestamp};
use libtest_mimic::Failed;

/// Pictures are four minutes apart, from 00:00 to 01:08.
const PICTURES: i64 = 18;
const STEP_MIN: i64 = 4;

/// Scored: rows 1660 to 2199 and columns 4200 to 4879 of the mosaic, every 30th cell of each.
const NORTH_DEG: f64 = 38.395;
const WEST_DEG: f64 = -87.995;
const ROWS: u32 = 540;
const COLUMNS: u32 = 680;
const EVERY: usize = 30;

/// The chance of rain 8 to 28 minutes ahead, at a few hundred places and several starts, must beat
/// "wet stays wet, dry stays dry" by a third in Brier score.
pub(crate) fn rain_soon_beats_persistence_by_a_third(folder: &Path) -> Result<(), Failed> {
    let fields = pictures(folder)?;
    let (mut ours, mut persistence) = (Vec::new(), Vec::new());
    for newest in [3, 7, 10] {
        let issued = fields[newest].valid_time;
        let nowcast = Nowcast::from_fields(fields.clone(), issued)?.value;
        let from = issued + SignedDuration::from_mins(8);
        let to = issued + SignedDuration::from_mins(28);
        for place in places()? {
            let (Some(wet_now), Some(came)) =
                (wet(&fields[newest], place), came(&fields, place, from, to))
            else {
                return Err(format!("{place} is not measured").into());
            };
            let p_rain = nowcast.at(place)?.p_rain(from, to).ok_or("no answer")?;
            ours.push(Outcome { p: p_rain, happened: came });
            let p = if wet_now { 1.0 } else { 0.0 };
            persistence.push(Outcome { p: p.try_into()?, happened: came });
        }
    }
    let (ours, persistence) = (score(&ours)?, score(&persistence)?);
    crate::ensure(ours <= persistence * 2.0 / 3.0, || {
        format!("Brier score {ours:.4}, persistence {persistence:.4}")
    })
}

/// All pictures, cut to all within 320 km of the middle of the scored part.
fn pictures(folder: &Path) -> Result<Vec<RainField>, Failed> {
    let options = ReadOptions {
        cut: Some(Cut { centre: LatLon::new(35.7, -84.6)?, radius_km: 320.0 }),
        ..ReadOptions::default()
    };
    let picture = |index| {
        let minutes = index * STEP_MIN;
        let (hour, minute) = (minutes / 60, minutes % 60);
        let name = format!("mrms/PrecipRate_00.00_20190610-{hour:02}{minute:02}00.grib2");
        crate::field(folder, &name, &options)
    };
    (0..PICTURES).map(picture).collect()
}

/// Centres of the scored cells.
fn places() -> Result<Vec<LatLon>, Failed> {
    let mut places = Vec::new();
    for row in (0..ROWS).step_by(EVERY) {
        for column in (0..COLUMNS).step_by(EVERY) {
            let (south, east) = (f64::from(row) * 0.01, f64::from(column) * 0.01);
            places.push(LatLon::new(NORTH_DEG - south, WEST_DEG + east)?);
        }
    }
    Ok(places)
}

/// Whether a cell is wet; `None` where not measured.
fn wet(field: &RainField, place: LatLon) -> Option<bool> {
    let (row, column) = field.grid.cell_of(place)?;
    let rate =
        value_at(&field.rain_rate_mm_h, Position { row: row.round(), column: column.round() });
    rate.is_finite().then_some(rate >= f64::from(WET_RATE_MM_H))
}

/// Whether it was wet in any picture of a window; `None` where one was not measured.
fn came(fields: &[RainField], place: LatLon, from: Timestamp, to: Timestamp) -> Option<bool> {
    let window = fields.iter().filter(|field| (from..=to).contains(&field.valid_time));
    window.map(|field| wet(field, place)).try_fold(false, |any, wet| Some(any || wet?))
}

fn score(outcomes: &[Outcome]) -> Result<f64, Failed> {
    brier_score(outcomes).ok_or_else(|| "nothing was scored".into())
}
