//! When moving is worth its cost: the cost-loss rule, with the other date's own rain in it.
//!
//! Keeping the date costs `p L`: the loss `L` of a spoilt evening, with the chance `p` that it is spoilt.
//! Moving costs `C` for sure, and the other date may be spoilt too, with chance `q`: `C + q L`. So
//! moving is worth it where
//!
//! ```text
//! p > C / L + q
//! ```
//!
//! The threshold rises as money is sunk: a flat "50 %" is right at one moment only. Waiting for the
//! next forecast costs `C' - C` where one moves in the end, and may save the move altogether;
//! [`cost_of_waiting`] weighs the one against the other.
//!
//! Storms are outside of all this: there the loss is not money.
//!
//! # Source
//!
//! J. C. Thompson, "On the operational deficiencies in categorical weather forecasts", Bull. Amer.
//! Meteor. Soc. 33 (1952), 223-226; A. H. Murphy, "The value of climatological, categorical and
//! probabilistic forecasts in the cost-loss ratio situation", Monthly Weather Review 105 (1977),
//! 803-816. The other date's own risk is our addition.

use statrs::function::beta::beta_reg;

use crate::Probability;

/// What stands on both sides of a decision to move, in any one currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CostLoss {
    /// What moving costs, whatever the weather then does.
    pub cost: f64,
    /// What a spoilt evening costs.
    pub loss: f64,
    /// The chance that the other date is spoilt.
    pub p_other: Probability,
}

impl CostLoss {
    /// The chance of a spoilt evening above which moving is worth it; above 1 it never is.
    ///
    /// `None` where nothing is lost (`loss` is not above 0) or a figure is not finite.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_chance::{CostLoss, Probability};
    ///
    /// // 590 are at stake, the reserve evening has 20 % of its own.
    /// let q = Probability::from_percent(20.0).expect("a percentage");
    /// let early = CostLoss { cost: 20.0, loss: 590.0, p_other: q };
    /// let late = CostLoss { cost: 270.0, ..early };
    /// let percent = |it: CostLoss| (100.0 * it.threshold().expect("something is at stake")).round();
    /// assert_eq!((percent(early), percent(late)), (23.0, 66.0));
    /// ```
    pub fn threshold(&self) -> Option<f64> {
        let is_usable = self.cost.is_finite() && self.loss.is_finite() && self.loss > 0.0;
        is_usable.then(|| self.cost / self.loss + self.p_other.get())
    }

    /// What keeping the date is expected to cost.
    pub fn cost_of_keeping(&self, p: Probability) -> f64 {
        p.get() * self.loss
    }

    /// What moving is expected to cost.
    pub fn cost_of_moving(&self) -> f64 {
        self.cost + self.p_other.get() * self.loss
    }

    /// The lower of the two.
    pub fn least(&self, p: Probability) -> f64 {
        self.cost_of_keeping(p).min(self.cost_of_moving())
    }
}

/// What it is expected to cost to wait for a sharper forecast and to do the better thing then.
///
/// The coming forecast `P'` is not known, but today's `p` is its mean, and it will say more of it the
/// more the forecast gains until then. We let it be beta distributed with variance
/// `sharpening p (1 - p)`: 0 is the same forecast again, 1 is to know. Then
///
/// ```text
/// E[min(P' L, K)] = L ( p I_t(a + 1, b) + t (1 - I_t(a, b)) ),   K = C' + q L,  t = K / L
/// ```
///
/// with `I` the regularised incomplete beta function, `a = p n`, `b = (1 - p) n`, `n = 1/sharpening - 1`.
///
/// - `then`: what stands on both sides at the next decision.
/// - `sharpening`: 0 to 1; see [`sharpening`].
///
/// `None` where a figure makes no sense.
///
/// # Examples
///
/// ```
/// use fairspell_chance::{CostLoss, Probability, cost_loss::cost_of_waiting};
///
/// let p = Probability::from_percent(50.0).expect("a percentage");
/// let then = CostLoss { cost: 100.0, loss: 400.0, p_other: Probability::ZERO };
/// // Whoever will know moves half of the time, for 100.
/// assert_eq!(cost_of_waiting(p, &then, 1.0), Some(50.0));
/// // Whoever learns nothing moves.
/// assert_eq!(cost_of_waiting(p, &then, 0.0), Some(100.0));
/// ```
///
/// # Source
///
/// The mean of a minimum under a beta distribution is elementary; the beta distribution for a coming
/// probability is our choice, being the one with two parameters on 0 to 1.
pub fn cost_of_waiting(p: Probability, then: &CostLoss, sharpening: f64) -> Option<f64> {
    then.threshold()?;
    if !(0.0..=1.0).contains(&sharpening) {
        return None;
    }
    let chance = p.get();
    let ceiling = then.cost_of_moving();
    let t = (ceiling / then.loss).clamp(0.0, 1.0);
    let is_sure = chance <= 0.0 || chance >= 1.0;
    if is_sure || sharpening < 1e-9 || t >= 1.0 {
        return Some(then.least(p));
    }
    if t <= 0.0 {
        return Some(0.0);
    }
    let n = 1.0 / sharpening - 1.0;
    if n < 1e-6 {
        // Whoever will know moves on a spoilt evening only.
        return Some(chance * ceiling);
    }
    let (a, b) = (chance * n, (1.0 - chance) * n);
    Some(then.loss * (chance * beta_reg(a + 1.0, b, t) + t * (1.0 - beta_reg(a, b, t))))
}

/// How much of a forecast's remaining doubt the next one takes away, from the skills of both.
///
/// A calibrated forecast with Brier skill score `S` explains the share `S` of the variance of wet and
/// dry; what is left is `1 - S`. The next one with `S'` takes `(S' - S) / (1 - S)` of that.
///
/// `None` unless `0 <= skill_now < 1` and `skill_then <= 1`; a forecast that gains nothing gives 0.
///
/// # Source
///
/// The law of total variance, with the resolution of A. H. Murphy, "A new vector partition of the
/// probability score", J. Appl. Meteor. 12 (1973), 595-600.
pub fn sharpening(skill_now: f64, skill_then: f64) -> Option<f64> {
    let is_usable = (0.0..1.0).contains(&skill_now) && (0.0..=1.0).contains(&skill_then);
    is_usable.then(|| ((skill_then - skill_now) / (1.0 - skill_now)).max(0.0))
}

/// Brier skill score to expect of a calibrated chance of rain in a session's hours, so many hours ahead.
///
/// # Source
///
/// Measured on open records: 0.36 at two hours and 0.23 at four (hourly chances made from observations
/// at three New York airports in 2013, each month from the other eleven), 0.25 at a day and 0.06 at two
/// (daily chances at Tampere, 2003, calibrated on the first half of the year). Between them we draw
/// straight lines, with the four-hour figure raised to the day's: a service's forecast knows more than
/// one station does. Nothing is left after a week (our choice).
pub fn skill_at_lead(lead_h: f64) -> f64 {
    const KNOTS: [(f64, f64); 5] =
        [(2.0, 0.36), (4.0, 0.28), (24.0, 0.25), (48.0, 0.06), (168.0, 0.0)];
    let lead_h = lead_h.max(KNOTS[0].0);
    let pair = KNOTS.windows(2).find(|pair| lead_h <= pair[1].0);
    pair.map_or(0.0, |pair| {
        let ((from_h, from), (to_h, to)) = (pair[0], pair[1]);
        from + (to - from) * (lead_h - from_h) / (to_h - from_h)
    })
}

/// What forecasts are worth to somebody who acts at a ratio of cost to loss: 1 like knowing, 0 like the
/// climate alone, below 0 worse than that.
///
/// - `ratio`: cost over loss, above 0 and below 1.
/// - `base_rate`: how often the event comes.
/// - `hit_rate`, `false_alarm_rate`: how often it had been warned of when it came, and when it did not.
///
/// `None` where climate leaves nothing to gain, or a figure is out of its range.
///
/// # Source
///
/// D. S. Richardson, "Skill and relative economic value of the ECMWF ensemble prediction system", Quart.
/// J. Roy. Meteor. Soc. 126 (2000), 649-667.
pub fn relative_value(
    ratio: f64,
    base_rate: f64,
    hit_rate: f64,
    false_alarm_rate: f64,
) -> Option<f64> {
    let is_rate = |rate: f64| (0.0..=1.0).contains(&rate);
    if ![ratio, base_rate, hit_rate, false_alarm_rate].into_iter().all(is_rate) {
        return None;
    }
    let climate = ratio.min(base_rate);
    let most = climate - base_rate * ratio;
    let ours = climate - false_alarm_rate * ratio * (1.0 - base_rate)
        + hit_rate * base_rate * (1.0 - ratio)
        - base_rate;
    (most > 0.0).then(|| ours / most)
}
