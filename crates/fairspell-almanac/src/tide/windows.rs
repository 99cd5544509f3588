//! When a spot can be used: from when to when the water stands low enough, or high enough.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::Tide;
use crate::search::at_ms;

/// A stretch of time, both ends to the second.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct TideSpan {
    /// Its start.
    pub from: Timestamp,
    /// Its end.
    pub to: Timestamp,
}

/// Between which heights a spot can be used, m above the tide's datum.
///
/// A marsh path that floods has only the upper one, a bay that falls dry only the lower.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TideLimits {
    /// The lowest water at which it still can be used.
    #[serde(default)]
    pub usable_from_m: Option<f64>,
    /// The highest.
    #[serde(default)]
    pub usable_to_m: Option<f64>,
}

impl TideLimits {
    /// Whether a height lies between them, ends included. A limit that is not a number closes the
    /// spot.
    pub fn allow(&self, height_m: f64) -> bool {
        self.usable_from_m.is_none_or(|from_m| height_m >= from_m)
            && self.usable_to_m.is_none_or(|to_m| height_m <= to_m)
    }
}

impl Tide {
    /// When the water stands at or below a height.
    ///
    /// See [`Tide::usable`] for what is the same in both.
    pub fn spans_below(&self, limit_m: f64, from: Timestamp, to: Timestamp) -> Vec<TideSpan> {
        self.usable(TideLimits { usable_from_m: None, usable_to_m: Some(limit_m) }, from, to)
    }

    /// When the water stands at or above a height.
    ///
    /// See [`Tide::usable`] for what is the same in both.
    pub fn spans_above(&self, limit_m: f64, from: Timestamp, to: Timestamp) -> Vec<TideSpan> {
        self.usable(TideLimits { usable_from_m: Some(limit_m), usable_to_m: None }, from, to)
    }

    /// When a spot can be used between two moments, as far as its tide goes.
    ///
    /// The figures are those of still water: leave room for swell and wind, and more for an
    /// onshore gale.
    ///
    /// - `limits`: heights above the tide's datum, the same that the spot's were taken from.
    ///
    /// In order, to the second; none where the water never stands right. Where the tide is not
    /// known (outside a table) there is no window: ask [`Tide::known`] to tell that from a spot
    /// under water.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_almanac::tide::{Tide, TideLimits, TideTable};
    ///
    /// let printed = "time,height_m\n\
    ///     2026-09-08T11:00+10:00,0.50\n2026-09-08T17:10+10:00,1.60\n2026-09-08T23:30+10:00,0.60\n";
    /// let tide = Tide::Table(TideTable::from_csv(printed, None)?);
    ///
    /// // The boards stand dry up to 1.55 m: not from twenty past four to five past six.
    /// let boards = TideLimits { usable_to_m: Some(1.55), ..TideLimits::default() };
    /// let dry = tide.usable(boards, "2026-09-08T15:00+10:00".parse()?, "2026-09-08T20:00+10:00".parse()?);
    /// assert_eq!(dry.len(), 2);
    /// assert_eq!(dry[0].to, "2026-09-08T16:19:24+10:00".parse()?);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn usable(&self, limits: TideLimits, from: Timestamp, to: Timestamp) -> Vec<TideSpan> {
        let Some(known) = self.known(from, to) else {
            return Vec::new();
        };
        let mut turns = vec![known.from];
        let inside = self.extremes(known.from, known.to);
        // Rounding to the second may have put a turn just outside.
        turns.extend(inside.iter().map(|turn| turn.time.clamp(known.from, known.to)));
        turns.push(known.to);
        let levels: Vec<f64> =
            [limits.usable_from_m, limits.usable_to_m].into_iter().flatten().collect();

        // From one cut to the next the water passes neither limit.
        let mut cuts = vec![known.from.as_millisecond()];
        for pair in turns.windows(2) {
            let (low_ms, high_ms) = (pair[0].as_millisecond(), pair[1].as_millisecond());
            let mut between: Vec<i64> = levels
                .iter()
                .filter_map(|level_m| self.passes(*level_m, low_ms, high_ms))
                .collect();
            between.sort_unstable();
            cuts.extend(between);
            cuts.push(high_ms);
        }
        let mut spans: Vec<TideSpan> = Vec::new();
        for pair in cuts.windows(2).filter(|pair| pair[0] < pair[1]) {
            let middle = at_ms(i64::midpoint(pair[0], pair[1]));
            if !self.height_m(middle).is_some_and(|height_m| limits.allow(height_m)) {
                continue;
            }
            let span = TideSpan { from: at_ms(pair[0]), to: at_ms(pair[1]) };
            match spans.last_mut() {
                Some(last) if last.to == span.from => last.to = span.to,
                _ => spans.push(span),
            }
        }
        spans
    }

    /// The part of a stretch of time for which this tide is known.
    ///
    /// All of it from harmonic constants, for a table what lies between its first and last row;
    /// `None` if that is nothing, or `to` is not after `from`.
    pub fn known(&self, from: Timestamp, to: Timestamp) -> Option<TideSpan> {
        let (from, to) = match self {
            Tide::Harmonic(_) => (from, to),
            Tide::Table(table) => {
                let rows = table.rows();
                (from.max(rows.first()?.time), to.min(rows.last()?.time))
            }
        };
        (from < to).then_some(TideSpan { from, to })
    }

    /// When the water passes a level between two neighbouring turns, to the nearest second.
    fn passes(&self, level_m: f64, mut low_ms: i64, mut high_ms: i64) -> Option<i64> {
        let above = |ms: i64| self.height_m(at_ms(ms)).map(|height_m| height_m > level_m);
        let (first_ms, last_ms) = (low_ms, high_ms);
        let begins_above = above(low_ms)?;
        if begins_above == above(high_ms)? {
            return None;
        }
        while high_ms - low_ms > 100 {
            let middle_ms = i64::midpoint(low_ms, high_ms);
            if above(middle_ms)? == begins_above {
                low_ms = middle_ms;
            } else {
                high_ms = middle_ms;
            }
        }
        let second_ms = (i64::midpoint(low_ms, high_ms) + 500).div_euclid(1000) * 1000;
        Some(second_ms.clamp(first_ms, last_ms))
    }
}
