//! What radar tells of the hours ahead as a whole, in figures that agree with each other.

use fairspell_chance::Probability;
use jiff::Timestamp;

use crate::evenings::{BestStart, Evenings, Spread, Turn};
use crate::spot::Spot;

/// The hours ahead of one place, gaps first; see [`Spot::ahead`].
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    /// The last moment that is told.
    pub until: Timestamp,
    /// Chance of the dry gap that was asked about.
    pub p_gap: Option<Probability>,
    /// When the gap would best begin; no likelier than the gap.
    pub best_start: Option<BestStart>,
    /// The longest dry stretch.
    pub longest_gap: Option<Spread>,
    /// How long the first gap lasts that is long enough.
    pub gap_duration: Option<Spread>,
    /// Chance that it rains at the moment of the question.
    pub rain_now: Option<Probability>,
    /// Rain that begins; no likelier than any rain.
    pub begins: Option<Turn>,
    /// Rain that ends, the one that falls now or comes first; no likelier than any rain.
    pub ends: Option<Turn>,
    /// Wet minutes.
    pub wet_minutes: Option<Spread>,
    /// Chances of at least 1 and 5 mm/h at some moment; no likelier than any rain.
    pub p_at_least: [Option<Probability>; 2],
}

impl Ahead {
    /// Counted in plausible evenings, where nothing is stated; where both are there and differ a
    /// little, what is stated has the last word, so that two figures of the same hours never say two
    /// things.
    pub fn new(spot: &Spot<'_>, evenings: &Evenings, gap_min: f64) -> Self {
        let (from, until) = (evenings.issued(), evenings.until());
        let p_rain = spot.p_rain(from, until).unwrap_or(Probability::ONE);
        let within = |p: Probability| if p.get() > p_rain.get() { p_rain } else { p };
        let turn = |turn: Turn| Turn { p: within(turn.p), ..turn };
        let p_gap =
            spot.p_gap(from, until, gap_min).or_else(|| evenings.p_gap(from, until, gap_min));
        Ahead {
            until,
            p_gap,
            best_start: p_gap.and_then(|p_gap| {
                evenings.best_start(gap_min, from, until).map(|best| best.no_likelier_than(p_gap))
            }),
            longest_gap: evenings.longest_gap_min(),
            gap_duration: evenings.gap_duration(gap_min),
            rain_now: spot.minutes().first().and_then(|now| now.p_rain),
            begins: evenings.onset().map(turn),
            ends: evenings.end().map(turn),
            wet_minutes: evenings.wet_minutes(),
            p_at_least: [1.0, 5.0]
                .map(|mm_h| evenings.p_rate_at_least(from, until, mm_h).map(within)),
        }
    }
}
