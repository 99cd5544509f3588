//! Prices of limits are moved to where the bound is highest.
//!
//! Along the price of one limit the bound is concave and made of straight pieces; its slope is by
//! how many the flow breaks the limit. Two points with slopes of opposite sign give two lines;
//! where they cross, either a new piece shows or the top is found. The same holds along any
//! direction of several prices.

use crate::{
    moves_model::{GRAIN, Units},
    moves_price::Pricing,
};

/// What became of the prices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Raised {
    /// The bound reaches what it had to.
    Beaten,
    /// The flow is the best plan of its part.
    Solved,
    /// A gap is left.
    Stuck,
}

/// A point on the bound along a direction of prices.
struct Point {
    /// How far along.
    at: Units,
    bound: Units,
    slope: Units,
}

impl Pricing<'_> {
    /// Moves each price to the top of the bound along it, until no plan of this part can be better
    /// than the one that was met, the flow is the best plan of its part, or a round gains next to
    /// nothing of what is missing.
    pub(crate) fn raise(&mut self, rounds: usize) -> Raised {
        for _ in 0..rounds {
            let (before, prices) = (self.bound(), self.prices.clone());
            let mut is_settled = true;
            for k in 0..self.prices.len() {
                if self.is_beaten() {
                    return Raised::Beaten;
                }
                let slope = self.slope(k);
                if slope > 0 || (slope < 0 && self.prices[k] > 0) {
                    is_settled = false;
                    self.climb(&[(k, 1)]);
                }
            }
            if self.is_beaten() {
                return Raised::Beaten;
            }
            if is_settled {
                return Raised::Solved;
            }
            // Two prices that chase each other halve their way for ever: go on where they lead.
            let moved = direction(&prices, &self.prices);
            if moved.len() > 1 {
                self.climb(&moved);
            }
            let missing = if self.met.is_some() { self.goal() - self.bound() } else { 0 };
            if self.bound() - before < GRAIN.max(missing / 50) {
                break;
            }
        }
        if self.is_beaten() { Raised::Beaten } else { Raised::Stuck }
    }

    /// Moves prices to the top of the bound along a direction; at a tip, just beyond it: with one
    /// price, to the side where its limit holds.
    fn climb(&mut self, along: &[(usize, Units)]) {
        let start: Vec<Units> = along.iter().map(|(k, _)| self.prices[*k]).collect();
        let (least, most) = self.reach(along);
        let mut point = self.point(along, 0);
        let (mut low, mut high) = (None, None);
        loop {
            if point.slope == 0 || point.bound >= self.goal() {
                return;
            }
            let at = point.at;
            if point.slope > 0 {
                low = Some(point);
            } else {
                high = Some(point);
            }
            let (next, expected) = match (&low, &high) {
                (Some(low), Some(high)) => {
                    let cut = crossing(low, high);
                    if cut <= low.at {
                        self.set_prices(along, &start, high.at.min(low.at + 1));
                        return;
                    }
                    (cut, Some(low.bound + low.slope * (cut - low.at)))
                }
                (Some(low), None) if at < most => {
                    let enough = (self.goal() - low.bound).max(0) / low.slope + 1;
                    ((at + enough).min(most), None)
                }
                (None, Some(_)) if at > least => (least, None),
                _ => return,
            };
            self.set_prices(along, &start, next);
            point = self.point(along, next);
            if expected.is_some_and(|expected| point.bound >= expected) {
                if point.slope > 0 && next < most {
                    self.set_prices(along, &start, next + 1);
                }
                return;
            }
        }
    }

    /// How far prices can go along a direction.
    fn reach(&self, along: &[(usize, Units)]) -> (Units, Units) {
        let (mut least, mut most) = (-self.model.price_max, self.model.price_max);
        for &(k, by) in along {
            let (down, up) = (self.prices[k], self.model.price_max - self.prices[k]);
            let (down, up) = if by > 0 { (down, up) } else { (up, down) };
            least = least.max(-(down / by.abs()));
            most = most.min(up / by.abs());
        }
        (least, most)
    }

    fn set_prices(&mut self, along: &[(usize, Units)], start: &[Units], at: Units) {
        for (&(k, by), start) in along.iter().zip(start) {
            self.set_price(k, start + by * at);
        }
    }

    fn point(&self, along: &[(usize, Units)], at: Units) -> Point {
        let slope = along.iter().map(|&(k, by)| by * self.slope(k)).sum();
        Point { at, bound: self.bound(), slope }
    }
}

/// The direction from some prices to others in small whole numbers, where there is one.
fn direction(from: &[Units], to: &[Units]) -> Vec<(usize, Units)> {
    let by: Vec<f64> = from.iter().zip(to).map(|(from, to)| (to - from) as f64).collect();
    let largest = by.iter().fold(0.0_f64, |largest, by| largest.max(by.abs()));
    let whole = |parts: u8| {
        let by = by.iter().map(|by| by / largest * f64::from(parts));
        let is_whole = by.clone().all(|by| (by - by.round()).abs() < 1e-3);
        is_whole.then(|| by.map(small).enumerate().filter(|(_, by)| *by != 0).collect())
    };
    (1..=12).find_map(whole).unwrap_or_default()
}

/// A number of at most a dozen, rounded.
#[expect(clippy::cast_possible_truncation, reason = "a dozen at most")]
fn small(value: f64) -> Units {
    value.round() as Units
}

/// Where two lines cross, rounded down.
fn crossing(low: &Point, high: &Point) -> Units {
    let apart = high.at - low.at;
    let over = high.bound - low.bound - high.slope * apart;
    low.at + over.div_euclid(low.slope - high.slope)
}
