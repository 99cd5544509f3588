//! The tide from a printed table of high and low waters.

use std::f64::consts::PI;

use jiff::{
    Timestamp,
    civil::DateTime,
    tz::{AmbiguousOffset, TimeZone},
};

use super::{HighOrLow, TideKind, constants::is_level, error::TideError};

/// More than a diurnal tide needs from high to low water; a longer wait is a hole in the table.
const WAIT_MAX_H: i64 = 30;

/// High and low waters as a tide service prints them, with a curve between.
///
/// Between two rows the water follows half a cosine, the rule that tide tables themselves give for
/// in-between times. Before the first row and after the last nothing is known.
///
/// # Source
///
/// The cosine rule is that of the table "height of tide at any time" of printed tide tables. In
/// shallow estuaries, where the tide rises faster than it falls, it can be off by a tenth of the
/// range and more.
#[derive(Debug, Clone, PartialEq)]
pub struct TideTable {
    /// At least two, in order, each of the other kind than its neighbours.
    rows: Vec<HighOrLow>,
}

impl TideTable {
    /// From times and heights, in order.
    ///
    /// # Errors
    ///
    /// [`TideError`] where times do not ascend, heights do not go up and down in turn, a part is
    /// missing, or there are fewer than two rows.
    pub fn new(rows: &[(Timestamp, f64)]) -> Result<Self, TideError> {
        if rows.len() < 2 {
            return Err(TideError::TooShort(rows.len()));
        }
        if let Some(&(time, height_m)) = rows.iter().find(|row| !is_level(row.1)) {
            return Err(TideError::HeightAt { time, height_m });
        }
        let mut kinds = Vec::with_capacity(rows.len());
        for pair in rows.windows(2) {
            let ((before, before_m), (time, height_m)) = (pair[0], pair[1]);
            if time == before {
                return Err(TideError::EqualTimes { time });
            }
            if time < before {
                return Err(TideError::OutOfOrder { time });
            }
            let hours = time.duration_since(before).as_hours();
            if hours >= WAIT_MAX_H {
                return Err(TideError::Hole { time, hours });
            }
            let kind = if height_m > before_m {
                Some(TideKind::High)
            } else if height_m < before_m {
                Some(TideKind::Low)
            } else {
                None
            };
            let Some(kind) = kind.filter(|kind| kinds.last() != Some(kind)) else {
                return Err(TideError::NotAlternating { time, height_m });
            };
            if kinds.is_empty() {
                kinds.push(kind.other());
            }
            kinds.push(kind);
        }
        let row = |(&(time, height_m), kind)| HighOrLow { time, height_m, kind };
        Ok(TideTable { rows: rows.iter().zip(kinds).map(row).collect() })
    }

    /// From CSV with the header `time,height_m`.
    ///
    /// - `csv`: times as `2026-09-03T14:05:00+10:00`, or as `2026-09-03 14:05` where a zone is
    ///   given. Most tables are printed in standard time the whole year: then the zone is a fixed
    ///   offset, not the town's own.
    /// - `zone`: whose clock the times without an offset are by.
    ///
    /// # Errors
    ///
    /// Those of [`TideTable::new`], and those of a text that can't be read, with the line. A time
    /// that the clock change skips or repeats is one: write it with its offset.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_almanac::tide::TideTable;
    /// use jiff::tz::{TimeZone, offset};
    ///
    /// let printed = "time,height_m\n2026-09-03 12:50,0.62\n2026-09-03 19:10,1.48\n";
    /// let table = TideTable::from_csv(printed, Some(&TimeZone::fixed(offset(10))))?;
    /// let halfway = table.height_m("2026-09-03T16:00+10:00".parse()?).expect("between the rows");
    /// assert_eq!((halfway * 100.0).round(), 105.0);
    ///
    /// // The next morning is on another page.
    /// assert_eq!(table.height_m("2026-09-04T06:00+10:00".parse()?), None);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn from_csv(csv: &str, zone: Option<&TimeZone>) -> Result<Self, TideError> {
        let text = csv.trim_start_matches('\u{feff}');
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let header = reader.headers().map_err(|error| unreadable(&error, 1))?;
        if header.iter().collect::<Vec<_>>() != ["time", "height_m"] {
            let found = header.iter().collect::<Vec<_>>().join(",");
            let cause = format!("expected the header `time,height_m`, found `{found}`");
            return Err(TideError::Csv { line: 1, cause });
        }
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| unreadable(&error, 0))?;
            let line = record.position().map_or(0, csv::Position::line);
            let time = moment(&record[0], zone).map_err(|cause| TideError::Time {
                line,
                time: record[0].to_owned(),
                cause,
            })?;
            let height_m = record[1].parse().ok().filter(|height_m| is_level(*height_m));
            let Some(height_m) = height_m else {
                return Err(TideError::Height { line, height: record[1].to_owned() });
            };
            rows.push((time, height_m));
        }
        TideTable::new(&rows)
    }

    /// Height above the table's datum, m; `None` outside the table.
    pub fn height_m(&self, at: Timestamp) -> Option<f64> {
        let (before, after, part) = self.between(at)?;
        // Written as two shares, so that it goes through the rows exactly.
        let share = (1.0 - (PI * part).cos()) / 2.0;
        Some(before.height_m * (1.0 - share) + after.height_m * share)
    }

    /// How fast the water rises, m an hour; `None` outside the table.
    pub(crate) fn rate_m_h(&self, at: Timestamp) -> Option<f64> {
        let (before, after, part) = self.between(at)?;
        let hours = after.time.duration_since(before.time).as_secs_f64() / 3600.0;
        Some((after.height_m - before.height_m) / 2.0 * PI / hours * (PI * part).sin())
    }

    /// All rows, in order.
    pub fn rows(&self) -> &[HighOrLow] {
        &self.rows
    }

    /// The rows on either side of a moment, and how far it is from one to the other.
    fn between(&self, at: Timestamp) -> Option<(&HighOrLow, &HighOrLow, f64)> {
        let after = self.rows.partition_point(|row| row.time <= at);
        // The last row itself is still known.
        let after = if self.rows.last()?.time == at { self.rows.len() - 1 } else { after };
        let (before, after) = (self.rows.get(after.checked_sub(1)?)?, self.rows.get(after)?);
        let whole = after.time.duration_since(before.time).as_secs_f64();
        Some((before, after, at.duration_since(before.time).as_secs_f64() / whole))
    }
}

fn unreadable(error: &csv::Error, line: u64) -> TideError {
    let line = error.position().map_or(line, csv::Position::line);
    let cause = match error.kind() {
        csv::ErrorKind::UnequalLengths { len, .. } => {
            format!("expected a time and a height, found {len} fields")
        }
        _ => error.to_string(),
    };
    TideError::Csv { line, cause }
}

fn moment(text: &str, zone: Option<&TimeZone>) -> Result<Timestamp, String> {
    if let Ok(moment) = text.parse::<Timestamp>() {
        return Ok(moment);
    }
    let local: DateTime = text.parse().map_err(|_| "it is not a date and time".to_owned())?;
    let zone = zone.ok_or("it has no offset and no zone was given")?;
    let ambiguous = zone.to_ambiguous_timestamp(local);
    match ambiguous.offset() {
        AmbiguousOffset::Gap { .. } => Err("the clock change skips it".to_owned()),
        AmbiguousOffset::Fold { .. } => Err("the clock change makes it come twice".to_owned()),
        AmbiguousOffset::Unambiguous { .. } => {
            ambiguous.compatible().map_err(|error| error.to_string())
        }
    }
}
