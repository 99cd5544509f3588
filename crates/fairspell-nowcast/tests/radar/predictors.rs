//! What the two formulas read at every point, with what came, in a table: `reference/refit.py` fits
//! them to it.

use std::{env, path::Path};

use fairspell_ground::LatLon;
use fairspell_nowcast::{Nowcast, Predictors, RainField, Spot, level::WET_RATE_MM_H};
use jiff::{SignedDuration, Timestamp};
use libtest_mimic::{Completion, Failed};
use rayon::prelude::*;

use crate::scores::{GAP_MIN, asked, pictures, points, ready};

/// Names the file that the table is written to; without it nothing is done.
const VARIABLE: &str = "FAIRSPELL_PREDICTORS_CSV";

/// Windows that the formulas are fitted on, minutes ahead.
const WINDOWS_MIN: [(i64, i64); 6] = [(0, 30), (0, 60), (15, 45), (30, 90), (30, 120), (60, 180)];

/// Those long enough for a gap, minutes.
const GAP_WINDOW_MIN: i64 = 60;

pub(crate) fn are_written() -> Result<Completion, Failed> {
    let Some(folder) = env::var_os(crate::VARIABLE) else {
        return Ok(Completion::ignored_with(format!("needs {}", crate::VARIABLE)));
    };
    let Some(table) = env::var_os(VARIABLE) else {
        return Ok(Completion::ignored_with(format!("needs {VARIABLE}")));
    };
    let mut table = csv::Writer::from_path(table)?;
    let mut header: Vec<String> =
        ["event", "start", "from_min", "to_min", "point"].map(String::from).to_vec();
    header.extend(Predictors::RAIN.map(|name| format!("rain_{name}")));
    header.push("rain_came".to_owned());
    header.extend(Predictors::GAP.map(|name| format!("gap_{name}")));
    header.push("gap_came".to_owned());
    table.write_record(&header)?;
    for event in ["fmi", "mrms", "opera"] {
        for row in rows(Path::new(&folder), event)? {
            table.write_record(row)?;
        }
    }
    table.flush()?;
    Ok(Completion::Completed)
}

/// One row a start, window and point: the starts that are scored, the windows whose pictures are all
/// at hand.
fn rows(folder: &Path, event: &str) -> Result<Vec<Vec<String>>, Failed> {
    let points = points(folder, event)?;
    let pictures = pictures(folder, event, &points)?;
    let ready = ready(&pictures)?;
    let [.., before, last] = &pictures[..] else { return Err("too few pictures".into()) };
    let step = last.valid_time.duration_since(before.valid_time);
    let mut rows = Vec::new();
    for start in asked(event)?.into_keys() {
        let nowcast = Nowcast::from_fields(ready.clone(), start)?.value;
        let spots = points.iter().map(|point| nowcast.at(*point)).collect::<Result<Vec<_>, _>>()?;
        for (from_min, to_min) in WINDOWS_MIN {
            let [from, to] =
                [from_min, to_min].map(|minutes| start + SignedDuration::from_mins(minutes));
            if last.valid_time + step <= to {
                continue;
            }
            let window: Vec<&RainField> = pictures
                .iter()
                .filter(|picture| picture.valid_time > start)
                .filter(|picture| (from..=to).contains(&picture.valid_time))
                .collect();
            let with_gap = to_min - from_min >= GAP_WINDOW_MIN;
            let row = |(index, (point, spot)): (usize, (&LatLon, &Spot<'_>))| {
                let mut row = vec![event.to_owned(), start.to_string()];
                row.extend([from_min, to_min].map(|minutes| minutes.to_string()));
                row.push(index.to_string());
                row.extend(values(*point, spot, (from, to), &window, step, with_gap)?);
                Ok(row)
            };
            let found: Result<Vec<Vec<String>>, Failed> =
                points.par_iter().zip(&spots).enumerate().map(row).collect();
            rows.extend(found?);
        }
    }
    Ok(rows)
}

/// Predictors and outcomes at one point; those of the gap are empty in windows too short for it.
fn values(
    point: LatLon,
    spot: &Spot<'_>,
    (from, to): (Timestamp, Timestamp),
    window: &[&RainField],
    step: SignedDuration,
    with_gap: bool,
) -> Result<Vec<String>, Failed> {
    let wet = window.iter().map(|picture| {
        let rate = picture.rain_rate_at(point).ok_or("a point is not measured")?;
        Ok(rate >= WET_RATE_MM_H)
    });
    let wet: Vec<bool> = wet.collect::<Result<_, Failed>>()?;
    let predictors = spot.predictors(from, to, GAP_MIN).ok_or("no predictors")?;
    let gap = predictors.gap.filter(|_| with_gap);
    let all = predictors.rain.into_iter().chain(gap.into_iter().flatten());
    crate::ensure(all.clone().all(f64::is_finite), || format!("{point}: {predictors:?}"))?;
    let number = |value: f64| format!("{value:.5}");
    let came = |came: bool| u8::from(came).to_string();
    let mut values: Vec<String> = predictors.rain.map(number).to_vec();
    values.push(came(wet.contains(&true)));
    if let Some(gap) = gap {
        let run = (GAP_MIN * 60.0 / step.as_secs_f64() - 1e-6).ceil();
        let longest = wet.split(|wet| *wet).map(<[bool]>::len).max().unwrap_or(0);
        values.extend(gap.map(number));
        values.push(came(longest as f64 >= run));
    } else {
        values.extend(std::iter::repeat_n(String::new(), Predictors::GAP.len() + 1));
    }
    Ok(values)
}
