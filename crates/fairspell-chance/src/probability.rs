//! A probability, and a probability together with its range.

use serde::{Deserialize, Serialize};

/// A probability, 0 to 1, checked when it is made.
///
/// Pages print it as per cent; until then it stays 0 to 1. What it is the probability *of* (which
/// hours, which place, which amount) stands in the name of whatever holds it.
///
/// # Examples
///
/// ```
/// use fairspell_chance::Probability;
///
/// // The forecast says 30 % for the booked hours.
/// let p_rain = Probability::from_percent(30.0).expect("a percentage");
/// assert_eq!(p_rain.get(), 0.3);
///
/// // A service that sends 130 % has sent nothing that we can use.
/// assert_eq!(Probability::from_percent(130.0), None);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Probability(f64);

impl Probability {
    /// Never.
    pub const ZERO: Self = Self(0.0);
    /// Always.
    pub const ONE: Self = Self(1.0);

    /// `None` for a value outside 0..=1 and for one that is not a number.
    pub fn new(p: f64) -> Option<Self> {
        // Adding zero turns -0.0 into 0.0, which prints better.
        (0.0..=1.0).contains(&p).then_some(Self(p + 0.0))
    }

    /// From per cent, as services publish it. `None` outside 0..=100.
    pub fn from_percent(percent: f64) -> Option<Self> {
        Self::new(percent / 100.0)
    }

    /// For values computed by us, where rounding may have carried one past 0 or 1 by a hair.
    ///
    /// Never for a value from outside, which [`Probability::new`] checks.
    ///
    /// # Panics
    ///
    /// When the value is not a number: that is a mistake of ours, and "don't know" must not become
    /// a probability.
    pub fn clamped(p: f64) -> Self {
        assert!(!p.is_nan(), "a computed probability is not a number");
        Self(p.clamp(0.0, 1.0) + 0.0)
    }

    /// The value, 0 to 1.
    pub fn get(self) -> f64 {
        self.0
    }

    /// The probability that it does not happen.
    #[must_use]
    pub fn complement(self) -> Self {
        Self(1.0 - self.0)
    }
}

impl TryFrom<f64> for Probability {
    type Error = String;

    fn try_from(p: f64) -> Result<Self, Self::Error> {
        Self::new(p).ok_or_else(|| format!("expected a probability from 0 to 1, found `{p}`"))
    }
}

impl From<Probability> for f64 {
    fn from(p: Probability) -> Self {
        p.get()
    }
}

/// A probability with the range that honest people could place it in.
///
/// The centre is what a ruling reads; the ends say how far another reading of the same facts would
/// go. Always `low <= centre <= high`: made by [`Chance::new`], which checks, or computed here.
///
/// # Examples
///
/// ```
/// use fairspell_chance::{Chance, Probability};
///
/// let p = |value| Probability::new(value).expect("0 to 1");
/// let p_rain = Chance::new(p(0.3), p(0.4), p(0.6)).expect("in order");
///
/// // The chance that it stays dry has the same range, seen from the other side.
/// let p_dry = p_rain.complement();
/// assert_eq!((p_dry.low.get(), p_dry.centre.get()), (0.4, 0.6));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Ends", into = "Ends")]
#[non_exhaustive] // so that no literal elsewhere gets round the check
pub struct Chance {
    /// The lower end.
    pub low: Probability,
    /// The figure itself.
    pub centre: Probability,
    /// The upper end.
    pub high: Probability,
}

impl Chance {
    /// `None` unless `low <= centre <= high`.
    pub fn new(low: Probability, centre: Probability, high: Probability) -> Option<Self> {
        (low <= centre && centre <= high).then_some(Self { low, centre, high })
    }

    /// A figure without doubt about itself: both ends are its centre.
    pub fn certain(p: Probability) -> Self {
        Self { low: p, centre: p, high: p }
    }

    /// A computed centre with the figures that other readings of the same facts gave, in any order.
    pub(crate) fn spanning(centre: f64, others: impl IntoIterator<Item = f64>) -> Self {
        let (low, high) = others
            .into_iter()
            .fold((centre, centre), |(low, high), other| (low.min(other), high.max(other)));
        Self {
            low: Probability::clamped(low),
            centre: Probability::clamped(centre),
            high: Probability::clamped(high),
        }
    }

    /// The same figure, with ends wide enough to hold another reading of the same facts.
    #[must_use]
    pub fn widened_to(&self, other: &Self) -> Self {
        Self::spanning(
            self.centre.get(),
            [self.low, self.high, other.low, other.high].map(Probability::get),
        )
    }

    /// The chance that it does not happen; the ends change places.
    #[must_use]
    pub fn complement(&self) -> Self {
        Self {
            low: self.high.complement(),
            centre: self.centre.complement(),
            high: self.low.complement(),
        }
    }

    /// Mixes two figures for the same hours, place and amount: `weight` of this one, the rest of
    /// the other, for each of the three numbers.
    ///
    /// Linear in the weight, so that a weight that changes smoothly never makes a figure jump, and
    /// defined at 0 and 1, where mixing of odds is not. A weight outside 0..=1 counts as the nearer
    /// end.
    ///
    /// # Panics
    ///
    /// When the weight is not a number.
    #[must_use]
    pub fn blend(&self, other: &Self, weight: f64) -> Self {
        let weight = Probability::clamped(weight).get();
        let mix = |own: Probability, other: Probability| {
            Probability::clamped(weight * own.get() + (1.0 - weight) * other.get())
        };
        Self {
            low: mix(self.low, other.low),
            centre: mix(self.centre, other.centre),
            high: mix(self.high, other.high),
        }
    }
}

/// How a [`Chance`] is written down.
#[derive(Serialize, Deserialize)]
struct Ends {
    low: Probability,
    centre: Probability,
    high: Probability,
}

impl TryFrom<Ends> for Chance {
    type Error = String;

    fn try_from(ends: Ends) -> Result<Self, Self::Error> {
        Self::new(ends.low, ends.centre, ends.high).ok_or_else(|| {
            format!(
                "expected low <= centre <= high, found `{} {} {}`",
                ends.low.get(),
                ends.centre.get(),
                ends.high.get()
            )
        })
    }
}

impl From<Chance> for Ends {
    fn from(chance: Chance) -> Self {
        Self { low: chance.low, centre: chance.centre, high: chance.high }
    }
}
