//! What moving costs at each gate, beside the policy: advice in money, never a ruling.
//!
//! The policy's bands are the same for everybody. What is at stake is not: each session has its own
//! gates after which somebody's money is gone. At every gate that is still to come this says what
//! moving would cost then, above which chance of rain it is worth it (`p > C / L + q`, see
//! [`fairspell_chance::cost_loss`]), and what it costs on average to let the gate pass and decide at the
//! next one, which is dearer but has a sharper forecast.
//!
//! The loss `L` is that of rain in the session's hours: a washed-out evening where no dry gap comes, a
//! thinner gallery where one does,
//!
//! ```text
//! p L = P(no gap) washed_out + (p - P(no gap)) thin_gallery
//! ```
//!
//! Storms, heat and cold are no matter of money and have no place here.

use fairspell_chance::{
    CostLoss, Probability,
    cost_loss::{cost_of_waiting, sharpening, skill_at_lead},
};
use fairspell_studio::{Gate, GateKind, Session, Studio, studio::Artist};
use jiff::Timestamp;

/// What is known of the rain, as the advice needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainRisk {
    /// The chance of any rain in the session's hours.
    pub p_rain: Probability,
    /// The chance of one dry gap long enough; `None` where nobody knows.
    pub p_gap: Option<Probability>,
    /// The chance of rain on the evening it would be moved to.
    pub p_other: Probability,
}

/// What a gate costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GateCost {
    /// The gate.
    pub gate: Gate,
    /// What moving costs at it, in the studio's currency.
    pub cost: f64,
    /// The chance of rain above which moving is worth it then; above 1 it never is.
    pub threshold: f64,
    /// Whether today's chance lies above it.
    pub is_worth_moving: bool,
    /// What letting it pass costs on average, in the studio's currency: below 0 it saves. `None` at the
    /// last gate.
    pub passing_costs: Option<f64>,
}

/// What each coming gate costs a session.
#[derive(Debug, Clone, PartialEq)]
pub struct CostAdvice {
    /// What the rain is held against.
    pub risk: RainRisk,
    /// The mean loss of an evening with rain, in the studio's currency.
    pub loss: f64,
    /// The gates that are still to come, in order of time.
    pub gates: Vec<GateCost>,
}

/// What each coming gate costs; `None` where nothing is at stake, or no gate is left.
///
/// - `gates`: those of the session, in order of time.
pub fn cost_advice(
    studio: &Studio,
    session: &Session,
    gates: &[Gate],
    as_of: Timestamp,
    risk: RainRisk,
) -> Option<CostAdvice> {
    let loss = mean_loss(studio, risk.p_rain, risk.p_gap);
    let priced: Vec<(Gate, CostLoss)> = gates
        .iter()
        .filter(|gate| gate.at > as_of && gate.kind != GateKind::FirstWord)
        .map(|gate| {
            let cost = cost_of_moving(studio, session, gates, gate.at);
            (*gate, CostLoss { cost, loss, p_other: risk.p_other })
        })
        .collect();
    let start = gates.last()?.at;
    let skill = |gate: &Gate| skill_at_lead(start.duration_since(gate.at).as_secs_f64() / 3600.0);
    let mut costs = Vec::new();
    for (index, (gate, stakes)) in priced.iter().enumerate() {
        let threshold = stakes.threshold()?;
        let passing_costs = priced.get(index + 1).and_then(|(next, then)| {
            let gained = sharpening(skill(gate), skill(next))?;
            Some(cost_of_waiting(risk.p_rain, then, gained)? - stakes.least(risk.p_rain))
        });
        costs.push(GateCost {
            gate: *gate,
            cost: stakes.cost,
            threshold,
            is_worth_moving: risk.p_rain.get() > threshold,
            passing_costs,
        });
    }
    (!costs.is_empty()).then_some(CostAdvice { risk, loss, gates: costs })
}

/// The mean loss of an evening with rain.
pub(crate) fn mean_loss(studio: &Studio, p_rain: Probability, p_gap: Option<Probability>) -> f64 {
    let stakes = &studio.policy.season.stakes;
    let (steady, showery) = (stakes.washed_out(), stakes.thin_gallery);
    let p = p_rain.get();
    let share = match p_gap {
        // Nobody knows of gaps: the dearer case, so that no one is told to keep for want of figures.
        None => 1.0,
        Some(_) if p == 0.0 => 0.0,
        Some(gap) => ((1.0 - gap.get()) / p).min(1.0),
    };
    share * steady + (1.0 - share) * showery
}

/// What moving costs at a moment: writing, the artist's terms, an evening that sells no more, and what the
/// family has spent by then.
pub(crate) fn cost_of_moving(
    studio: &Studio,
    session: &Session,
    gates: &[Gate],
    at: Timestamp,
) -> f64 {
    let stakes = &studio.policy.season.stakes;
    let at_gate = |kind| gates.iter().find(|gate| gate.kind == kind).map(|gate| gate.at);
    let is_past = |kind| at_gate(kind).is_some_and(|gate| gate < at);
    let hours_to = |moment: Option<Timestamp>| {
        moment.map_or(f64::INFINITY, |moment| moment.duration_since(at).as_secs_f64() / 3600.0)
    };
    let artist = studio.artist.as_ref().filter(|_| session.with_artist);
    let fee = artist.map_or(0.0, |artist| artist_fee(artist, hours_to(at_gate(GateKind::Chair))));
    let resells = hours_to(at_gate(GateKind::Arrival)) >= f64::from(stakes.resells_until_h);
    let evening = if resells { 0.0 } else { stakes.evening };
    let ready = if is_past(GateKind::Chair) { stakes.getting_ready } else { 0.0 };
    let both_ways_h = 2.0 * f64::from(session.drive.minutes) / 60.0;
    let road = if is_past(GateKind::LeaveBy) { both_ways_h * stakes.hour_of_driving } else { 0.0 };
    stakes.messages + fee + evening + ready + road
}

/// What the artist keeps of her fee so many hours before the chair.
pub(crate) fn artist_fee(artist: &Artist, hours_before_chair: f64) -> f64 {
    if hours_before_chair >= f64::from(artist.free_change_h) {
        0.0
    } else if hours_before_chair < f64::from(artist.full_fee_h) {
        artist.fee
    } else {
        0.5 * artist.fee
    }
}
