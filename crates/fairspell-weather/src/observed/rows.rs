//! Rows of one station as they are met, and a record in order made of them.

use std::{collections::BTreeMap, fmt};

use fairspell_ground::LatLon;
use jiff::{SignedDuration, Timestamp, civil::Date};

use super::{ObservedFault, ObservedRemark};
use crate::WeatherError;

/// How many mm an inch has.
pub(super) const MM_PER_INCH: f64 = 25.4;

/// The longest piece of a row that a remark repeats.
const TEXT_CHARS: usize = 60;

/// When an hour begins, or which day: what orders a record.
pub(super) trait Stamp: Copy + Ord + fmt::Display {
    /// How long it lasts.
    const LENGTH: SignedDuration;
    /// The most that can fall in it, mm.
    const AMOUNT_MAX_MM: f64;
    /// How long after an earlier one.
    fn since(self, earlier: Self) -> SignedDuration;
    /// The next one.
    fn next(self) -> Option<Self>;
}

impl Stamp for Timestamp {
    const LENGTH: SignedDuration = SignedDuration::from_hours(1);
    // More than the greatest on record: 305 mm in 42 minutes (Holt, Missouri, 1947).
    const AMOUNT_MAX_MM: f64 = 400.0;

    fn since(self, earlier: Self) -> SignedDuration {
        self.duration_since(earlier)
    }

    fn next(self) -> Option<Self> {
        self.checked_add(Self::LENGTH).ok()
    }
}

impl Stamp for Date {
    const LENGTH: SignedDuration = SignedDuration::from_hours(24);
    // More than the greatest on record: 1825 mm (Foc-Foc, Réunion, 1966).
    const AMOUNT_MAX_MM: f64 = 2000.0;

    fn since(self, earlier: Self) -> SignedDuration {
        self.duration_since(earlier)
    }

    fn next(self) -> Option<Self> {
        self.tomorrow().ok()
    }
}

/// What a row says of its hour or day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Amount {
    /// So many mm; checked when it is put in.
    Mm(f64),
    /// Nothing, and why.
    Unknown(ObservedFault),
}

impl Amount {
    /// A number in some unit; blank, `NA` and the like are marks of a missing one.
    pub(super) fn parsed(text: &str, mm: f64) -> Amount {
        let text = text.trim();
        let marks = ["", "na", "nan", "null", "none", "-9999", "9999"];
        if marks.contains(&text.to_ascii_lowercase().as_str()) {
            return Amount::Unknown(ObservedFault::NotMeasured);
        }
        match text.parse::<f64>() {
            // To a millionth: three tenths are 0.3, not 0.30000000000000004.
            Ok(value) => Amount::Mm((value * mm * 1e6).round() / 1e6),
            Err(_) => Amount::Unknown(ObservedFault::Odd),
        }
    }
}

/// How often something was met, and where first.
pub(super) type Tallies = BTreeMap<ObservedFault, (usize, String)>;

/// Counts one more fault.
pub(super) fn tally(tallies: &mut Tallies, fault: ObservedFault, first: impl fmt::Display) {
    tallies.entry(fault).or_insert_with(|| (0, first.to_string())).0 += 1;
}

/// Tallies as remarks.
pub(super) fn note(tallies: Tallies, station: &str, remarks: &mut Vec<ObservedRemark>) {
    remarks.extend(tallies.into_iter().map(|(fault, (count, first))| ObservedRemark {
        station: station.to_owned(),
        fault,
        count,
        first,
    }));
}

/// A row as a remark shows it: its line, counted from 1, and how it begins.
pub(super) fn shown(line: u64, text: &str) -> String {
    let text: String = text.chars().take(TEXT_CHARS).collect();
    format!("line {line} `{text}`")
}

/// The rows of one station.
#[derive(Debug, Clone)]
pub(super) struct Rows<K> {
    pub(super) name: Option<String>,
    pub(super) position: Option<LatLon>,
    met: Vec<(K, Option<f64>)>,
    tallies: Tallies,
}

impl<K> Default for Rows<K> {
    fn default() -> Self {
        Rows { name: None, position: None, met: Vec::new(), tallies: Tallies::new() }
    }
}

impl<K: Stamp> Rows<K> {
    /// Puts a row in.
    pub(super) fn put(&mut self, at: K, amount: Amount) {
        let amount_mm = match amount {
            Amount::Mm(mm) if (0.0..=K::AMOUNT_MAX_MM).contains(&mm) => Some(mm),
            Amount::Mm(_) => {
                tally(&mut self.tallies, ObservedFault::Odd, at);
                None
            }
            Amount::Unknown(fault) => {
                tally(&mut self.tallies, fault, at);
                None
            }
        };
        if self.met.last().is_some_and(|(last, _)| at < *last) {
            tally(&mut self.tallies, ObservedFault::OutOfOrder, at);
        }
        self.met.push((at, amount_mm));
    }

    /// The rows in order, none twice, with remarks on what was wrong.
    pub(super) fn finish(
        mut self,
        station: &str,
        remarks: &mut Vec<ObservedRemark>,
    ) -> Result<Vec<(K, Option<f64>)>, WeatherError> {
        self.met.sort_by_key(|(at, _)| *at);
        let mut rows = Vec::with_capacity(self.met.len());
        for same in self.met.chunk_by(|one, other| one.0 == other.0) {
            let at = same[0].0;
            let mut known = same.iter().filter_map(|(_, amount_mm)| *amount_mm);
            let first = known.next();
            let agree = known.all(|other| Some(other) == first);
            if !agree {
                tally(&mut self.tallies, ObservedFault::Conflict, at);
            }
            rows.push((at, first.filter(|_| agree)));
        }
        check_steps(&rows)?;
        let rows = self.spaced(rows);
        note(self.tallies, station, remarks);
        Ok(rows)
    }

    /// Leaves out what overlaps an earlier row, and counts what is missing in between.
    ///
    /// Rain in a row that is left out makes the earlier one unknown where that was dry: nobody can say in
    /// which of the two it fell.
    fn spaced(&mut self, rows: Vec<(K, Option<f64>)>) -> Vec<(K, Option<f64>)> {
        let mut spaced: Vec<(K, Option<f64>)> = Vec::with_capacity(rows.len());
        let mut missing = 0;
        for row in rows {
            if let Some((last, amount_mm)) = spaced.last_mut() {
                let since = row.0.since(*last);
                if since < K::LENGTH {
                    tally(&mut self.tallies, ObservedFault::Overlap, row.0);
                    let (is_dry, has_rain) = (*amount_mm == Some(0.0), row.1 != Some(0.0));
                    if is_dry && has_rain {
                        *amount_mm = None;
                    }
                    continue;
                }
                let lacking = since.as_secs() / K::LENGTH.as_secs() - 1;
                if let (1.., Some(first)) = (lacking, last.next()) {
                    missing += usize::try_from(lacking).unwrap_or(usize::MAX);
                    self.tallies
                        .entry(ObservedFault::Gap)
                        .or_insert_with(|| (0, first.to_string()))
                        .0 = missing;
                }
            }
            spaced.push(row);
        }
        spaced
    }
}

/// Rows mostly closer than their length are of another kind.
fn check_steps<K: Stamp>(rows: &[(K, Option<f64>)]) -> Result<(), WeatherError> {
    let close = rows.windows(2).filter(|pair| pair[1].0.since(pair[0].0) < K::LENGTH);
    let (count, first) = close.fold((0, None), |(count, first), pair| {
        (count + 1, first.or(Some(pair[1].0.since(pair[0].0))))
    });
    match first {
        Some(step) if 2 * count > rows.len() => Err(WeatherError::WrongDocument {
            expected: "one row for each hour",
            found: format!("rows {} minutes apart", step.as_mins()),
        }),
        _ => Ok(()),
    }
}
