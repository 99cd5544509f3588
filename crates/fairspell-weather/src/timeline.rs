//! Values with periods, brought into the order of time.

use jiff::{SignedDuration, Timestamp};

use crate::{
    Remark, estimate,
    forecast::{Basis, RainAmount, RainStatement},
    interval,
    nws_periods::Listed,
};

/// How far from the time at which a forecast was made a period may lie. Beyond it something is wrong
/// with the document, and hours without end would fill the memory.
const REACH: SignedDuration = SignedDuration::from_hours(31 * 24);

/// Whether a period can belong to a forecast made at a time.
pub(crate) fn is_within_reach(from: Timestamp, to: Timestamp, reference_time: Timestamp) -> bool {
    interval::is_usable(from, to)
        && from.duration_since(reference_time).abs() <= REACH
        && to.duration_since(reference_time).abs() <= REACH
}

/// Sorted by time. Of two periods that overlap the one that begins later is left out and remarked on.
pub(crate) fn in_order<T>(mut listed: Vec<Listed<T>>, remarks: &mut Vec<Remark>) -> Vec<Listed<T>> {
    listed.sort_by_key(|period| period.from);
    let mut kept: Vec<Listed<T>> = Vec::with_capacity(listed.len());
    for period in listed {
        if kept.last().is_some_and(|last| period.from < last.to) {
            Remark::Overlap { from: period.from, to: period.to }.note(remarks);
        } else {
            kept.push(period);
        }
    }
    kept
}

/// Remarks on the time between neighbouring periods that nothing is said of.
pub(crate) fn remark_gaps<T>(ordered: &[Listed<T>], remarks: &mut Vec<Remark>) {
    for pair in ordered.windows(2) {
        if pair[0].to < pair[1].from {
            Remark::MissingHours { from: pair[0].to, to: pair[1].from }.note(remarks);
        }
    }
}

/// Gives each statement the amount of just its period, and makes statements of our own from amounts
/// where no chance is stated.
///
/// An amount that shares only a part of its period with stated chances is left out: nobody knows in
/// which part it falls.
pub(crate) fn with_amounts(
    mut rain: Vec<RainStatement>,
    amounts: &[RainAmount],
    threshold_mm: f64,
) -> Vec<RainStatement> {
    for amount in amounts {
        let shared: Vec<usize> = rain
            .iter()
            .enumerate()
            .filter(|(_, statement)| statement.from < amount.to && amount.from < statement.to)
            .map(|(index, _)| index)
            .collect();
        if let [only] = shared[..] {
            let statement = &mut rain[only];
            if statement.p_rain.is_some() {
                if (statement.from, statement.to) == (amount.from, amount.to) {
                    statement.amount = Some(*amount);
                }
                continue;
            }
        }
        let replaces_only_open_ones = shared.iter().all(|&index| {
            let statement = &rain[index];
            statement.p_rain.is_none() && amount.from <= statement.from && statement.to <= amount.to
        });
        if replaces_only_open_ones {
            let spread = estimate::p_rain_from_amount(amount, threshold_mm);
            rain.retain(|statement| statement.to <= amount.from || amount.to <= statement.from);
            rain.push(RainStatement {
                from: amount.from,
                to: amount.to,
                p_rain: Some(spread.centre),
                threshold_mm,
                basis: Basis::OurEstimate,
                spread: Some(spread),
                amount: Some(*amount),
            });
        }
    }
    rain.sort_by_key(|statement| statement.from);
    rain
}
