//! What the policy says of an outlook, and by which rule.
//!
//! Each gate has its own question. Up to the last reading it is the chance of **any rain** in the
//! booked hours, because that is what a family can weigh against another date. From the styling
//! chair on, money is sunk, and the question is the chance of **one dry gap** long enough, before
//! last usable light.
//!
//! In this order:
//!
//! 1. danger decides alone: a stop-tier official warning over session or drive, heat, cold, gusts ->
//!    must move;
//! 2. a source that the ruling needs is missing or stale -> unknown, never settled;
//! 3. the figure of the gate's question gives the band; from the morning reading on a likely gap keeps
//!    likely rain from becoming "advise moving";
//! 4. some things can only make that graver: hold-tier warnings, wind that no spot bears, gusts that
//!    we estimate, thunder in the forecast, a check that could not be made.

use fairspell_chance::{Chance, Character, Probability};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{
    Band, Gate, GateKind, Outlook, Session, Studio, Tier,
    gate::{latest_leave, next_gate, quarter_after},
    outlook::{SourceKind, SourceState, Sourced, WarningSeen},
    spot::Cover,
};

/// How long before she looks at a doubtful sky again, minutes, before the quarter hour is filled.
pub const NEXT_LOOK_MIN: u32 = 20;

/// What is asked of the sky at this moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Question {
    /// More than 48 hours ahead: only whether to say that we are watching.
    TooEarly,
    /// The chance of any rain in the booked hours.
    AnyRain,
    /// The chance of one dry gap of the needed length before last usable light.
    DryGap,
}

/// What to do, from the styling chair on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Go, and start as planned.
    Go,
    /// Wait and look again then.
    WaitUntil(Timestamp),
    /// Stay at home.
    DontGo,
}

/// The rule that put the outlook in its band, with the figures it looked at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "rule")]
pub enum Rule {
    /// An official warning that says "not here, not now".
    StopWarning {
        /// The warning.
        warning: WarningSeen,
    },
    /// Too hot by the larger of air temperature and heat index.
    TooHot {
        /// What it feels like.
        felt: Sourced<f64>,
        /// The owner's limit, °C.
        limit_c: f64,
    },
    /// Too cold by the felt temperature.
    TooCold {
        /// What it feels like.
        felt: Sourced<f64>,
        /// The owner's limit, °C.
        limit_c: f64,
    },
    /// Gusts above the owner's limit.
    TooWindy {
        /// The strongest gust.
        gust: Sourced<f64>,
        /// The owner's limit, km/h.
        limit_km_h: f64,
    },
    /// Sources that the ruling needs are missing or too old.
    NotKnown {
        /// Which.
        missing: Vec<SourceKind>,
    },
    /// Too early: the forecast does not reach the session yet.
    BeyondForecast,
    /// The chance of any rain in the booked hours.
    AnyRain {
        /// The chance.
        chance: Sourced<Chance>,
        /// As it is shown and judged, %.
        percent: u8,
    },
    /// The chance of one dry gap.
    DryGap {
        /// The chance.
        chance: Sourced<Chance>,
        /// As it is shown and judged, %.
        percent: u8,
        /// The gap's length, minutes.
        gap_min: u32,
    },
    /// Rain is likely, but so is a long enough gap.
    GapKeepsIt {
        /// The chance of the rain that is likely.
        rain: Sourced<Chance>,
        /// Which rain it speaks of.
        of: RainEvent,
        /// The chance of the gap.
        chance: Sourced<Chance>,
        /// As it is shown and judged, %.
        percent: u8,
        /// The gap's length, minutes.
        gap_min: u32,
    },
    /// An official warning by which we advise another date.
    HoldWarning {
        /// The warning.
        warning: WarningSeen,
    },
    /// No spot of the studio bears the gusts.
    NoSpotBearsWind {
        /// The strongest gust in the open.
        gust: Sourced<f64>,
    },
    /// Rain alone would be settled, but the forecast mentions thunder.
    ThunderMentioned {
        /// Who mentions it.
        thunder: Sourced<bool>,
    },
    /// Nothing speaks against it, but something could not be looked at.
    NotChecked {
        /// What.
        unchecked: Vec<Check>,
    },
}

/// The two rains that are kept apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RainEvent {
    /// At least the service's small amount in its period.
    AnyRain,
    /// At least 0.1 mm/h at some moment.
    WetMinute,
}

/// A safety check that needs a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Check {
    /// Heat and cold.
    Temperature,
    /// Gusts.
    Gusts,
    /// Official warnings: no service is read for this place, or one gives its area by codes that the
    /// studio has not.
    WarningsByHand,
    /// Radar: no service is read for this place.
    RadarByHand,
}

/// A spot whose limit is passed, and where its looks go instead.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SpotChange {
    /// The spot that is left out, by id.
    pub from: String,
    /// The spot that takes its looks, by id.
    pub to: String,
    /// The gust to expect at the spot left out, km/h.
    pub gust_km_h: f64,
}

/// What the artist's free-change limit asks of us while it lies ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct ArtistAdvice {
    /// Until when a change is free.
    pub free_until: Timestamp,
    /// Whether the sky already speaks for moving before that.
    pub move_before: bool,
}

/// Where a session stands at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ruling {
    /// The band.
    pub band: Band,
    /// What to do, from the styling chair on.
    pub step: Option<Step>,
    /// What was asked.
    pub question: Question,
    /// The rule that decided.
    pub rule: Rule,
    /// What the gate's own figure said, where another rule made the band graver.
    pub figure: Option<Rule>,
    /// The bands at the two ends of the figure's range, low then high, where they differ.
    pub ends_disagree: Option<(Band, Band)>,
    /// Spots whose limits are passed.
    pub spot_changes: Vec<SpotChange>,
    /// What could not be checked.
    pub unchecked: Vec<Check>,
    /// The artist's limit, while it lies ahead.
    pub artist: Option<ArtistAdvice>,
    /// When the next decision falls.
    pub next_gate: Option<Gate>,
}

/// A chance as whole per cent: what people are shown, and what is judged.
///
/// Judging the shown number means that nobody ever reads "30 %" beside a band that starts above it.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a probability times a hundred, rounded, is 0 to 100"
)]
pub fn whole_percent(p: Probability) -> u8 {
    (p.get() * 100.0).round() as u8
}

/// What is asked of the sky at a moment, given the session's gates.
pub fn question_at(gates: &[Gate], as_of: Timestamp) -> Question {
    let passed = |kind| gates.iter().any(|gate| gate.kind == kind && gate.at <= as_of);
    if passed(GateKind::Chair) {
        Question::DryGap
    } else if passed(GateKind::TwoDays) {
        Question::AnyRain
    } else {
        Question::TooEarly
    }
}

/// Puts an outlook in a band by the studio's policy.
///
/// `gates` are the session's, as [`crate::gates`] gives them.
pub fn rule(studio: &Studio, session: &Session, gates: &[Gate], outlook: &Outlook) -> Ruling {
    let mut ruling = ruled(studio, session, gates, outlook, question_at(gates, outlook.as_of));
    if has_begun(gates, outlook.as_of) && ruling.band != Band::MustMove {
        // She is there, and once begun we finish: there is nowhere to go or not to go.
        ruling.step = None;
    }
    ruling
}

/// Whether to drive off, by the studio's policy: the chance of one dry gap is asked for whatever the
/// gate, and the answer always has a step unless something is not known.
///
/// `gates` are the session's; the outlook's chance of a gap should be that of the hours from arrival on.
pub fn rule_leaving(
    studio: &Studio,
    session: &Session,
    gates: &[Gate],
    outlook: &Outlook,
) -> Ruling {
    ruled(studio, session, gates, outlook, Question::DryGap)
}

fn ruled(
    studio: &Studio,
    session: &Session,
    gates: &[Gate],
    outlook: &Outlook,
    question: Question,
) -> Ruling {
    let mut ruling = Ruling {
        band: Band::Unknown,
        step: None,
        question,
        rule: Rule::NotKnown { missing: Vec::new() },
        figure: None,
        ends_disagree: None,
        spot_changes: Vec::new(),
        unchecked: unchecked(outlook, question),
        artist: None,
        next_gate: next_gate(gates, outlook.as_of),
    };
    judge_sky(&mut ruling, studio, session, gates, outlook);
    ruling.artist = artist_advice(studio, gates, outlook, ruling.band);
    ruling
}

/// Whether the session has begun.
pub fn has_begun(gates: &[Gate], as_of: Timestamp) -> bool {
    gates.iter().any(|gate| gate.kind == GateKind::Arrival && gate.at < as_of)
}

/// Band, step and rule, in the order that this module's page gives.
fn judge_sky(
    ruling: &mut Ruling,
    studio: &Studio,
    session: &Session,
    gates: &[Gate],
    outlook: &Outlook,
) {
    let question = ruling.question;
    if let Some(danger) = danger(studio, outlook) {
        ruling.band = Band::MustMove;
        ruling.rule = danger;
        ruling.step = (question == Question::DryGap).then_some(Step::DontGo);
        return;
    }
    let missing = missing(outlook, question);
    if !missing.is_empty() {
        ruling.rule = Rule::NotKnown { missing };
        return;
    }
    match question {
        Question::TooEarly => judge_early(ruling, studio, outlook),
        Question::AnyRain => judge_any_rain(ruling, studio, gates, outlook),
        Question::DryGap => judge_gap(ruling, studio, session, outlook),
    }
    if ruling.band == Band::Unknown {
        return;
    }
    make_graver(ruling, studio, session, outlook);
    if question == Question::TooEarly {
        ruling.band = ruling.band.min(Band::Watch);
    }
}

/// Danger to people, whatever the rain: the gravest official warning first, then the owner's limits.
///
/// Judged on the worst that is known, even where other hours are not; in whole degrees and km/h, as
/// they are shown.
fn danger(studio: &Studio, outlook: &Outlook) -> Option<Rule> {
    let limits = &studio.policy.limits;
    let comfort = &outlook.comfort;
    if let Some(warning) = outlook.warnings.iter().find(|warning| warning.tier == Tier::Stop) {
        return Some(Rule::StopWarning { warning: warning.clone() });
    }
    if let Some(felt) =
        comfort.felt_max_c.as_ref().filter(|f| f.value.round() >= limits.heat_from_c)
    {
        return Some(Rule::TooHot { felt: felt.clone(), limit_c: limits.heat_from_c });
    }
    if let Some(felt) =
        comfort.felt_min_c.as_ref().filter(|f| f.value.round() < limits.cold_below_c)
    {
        return Some(Rule::TooCold { felt: felt.clone(), limit_c: limits.cold_below_c });
    }
    too_windy(studio, outlook).filter(|(_, our_estimate)| !our_estimate).map(|(rule, _)| rule)
}

/// Gusts above the owner's limit, and whether they are only our own estimate from the mean wind: that
/// advises, but does not order.
fn too_windy(studio: &Studio, outlook: &Outlook) -> Option<(Rule, bool)> {
    let limit_km_h = studio.policy.limits.gust_above_km_h;
    let gust = outlook.comfort.wind_gust_km_h.as_ref().filter(|g| g.value.round() > limit_km_h)?;
    Some((Rule::TooWindy { gust: gust.clone(), limit_km_h }, gust.our_estimate))
}

/// The sources that this question needs and that are not sound.
fn missing(outlook: &Outlook, question: Question) -> Vec<SourceKind> {
    let needed: &[SourceKind] = match question {
        Question::TooEarly | Question::AnyRain => &[SourceKind::Forecast, SourceKind::Warnings],
        Question::DryGap => &[SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar],
    };
    let early_and_beyond = |kind: SourceKind| {
        question == Question::TooEarly
            && matches!(outlook.source(kind), SourceState::NotCovering { .. })
    };
    needed
        .iter()
        .copied()
        .filter(|kind| !outlook.source(*kind).is_sound() && !early_and_beyond(*kind))
        .collect()
}

/// Checks for which the outlook has no figure.
fn unchecked(outlook: &Outlook, question: Question) -> Vec<Check> {
    let comfort = &outlook.comfort;
    let no_service = |kind| matches!(outlook.source(kind), SourceState::NoneHere);
    let warnings_by_hand =
        no_service(SourceKind::Warnings) || !outlook.unplaced_warnings.is_empty();
    [
        (Check::Temperature, !comfort.temperature_is_complete),
        (Check::Gusts, !comfort.gusts_are_complete),
        (Check::WarningsByHand, warnings_by_hand),
        (Check::RadarByHand, question == Question::DryGap && no_service(SourceKind::Radar)),
    ]
    .into_iter()
    .filter_map(|(check, is_missing)| is_missing.then_some(check))
    .collect()
}

fn judge_early(ruling: &mut Ruling, studio: &Studio, outlook: &Outlook) {
    if let Some(chance) = &outlook.p_any_rain {
        judge(ruling, chance, |percent| studio.policy.any_rain.band_of_percent(percent));
        ruling.ends_disagree =
            ruling.ends_disagree.map(|(low, high)| (low.min(Band::Watch), high.min(Band::Watch)));
        ruling.ends_disagree = ruling.ends_disagree.filter(|(low, high)| low != high);
    } else {
        ruling.band = Band::Watch;
        ruling.rule = Rule::BeyondForecast;
    }
}

fn judge_any_rain(ruling: &mut Ruling, studio: &Studio, gates: &[Gate], outlook: &Outlook) {
    let policy = &studio.policy;
    let Some(chance) = &outlook.p_any_rain else {
        ruling.rule = Rule::NotKnown { missing: vec![SourceKind::Forecast] };
        return;
    };
    judge(ruling, chance, |percent| policy.any_rain.band_of_percent(percent));
    let read_on_the_day =
        gates.iter().any(|gate| gate.kind == GateKind::MorningReading && gate.at <= outlook.as_of);
    let likely_gap = outlook
        .p_gap
        .as_ref()
        .filter(|gap| whole_percent(gap.value.centre) >= policy.gap.go_from_percent);
    if let (Band::AdviseMoving, true, Some(gap)) = (ruling.band, read_on_the_day, likely_gap) {
        ruling.band = Band::FamilysChoice;
        ruling.rule = Rule::GapKeepsIt {
            rain: chance.clone(),
            of: RainEvent::AnyRain,
            chance: gap.clone(),
            percent: whole_percent(gap.value.centre),
            gap_min: policy.rescue_set_min,
        };
    }
}

/// Sets band, rule and disagreement of the ends by a chance of any rain.
fn judge(ruling: &mut Ruling, chance: &Sourced<Chance>, band_of: impl Fn(u8) -> Band) {
    let percent = whole_percent(chance.value.centre);
    ruling.band = band_of(percent);
    ruling.rule = Rule::AnyRain { chance: chance.clone(), percent };
    ruling.ends_disagree = ends(&chance.value, band_of);
}

fn ends(chance: &Chance, band_of: impl Fn(u8) -> Band) -> Option<(Band, Band)> {
    let low = band_of(whole_percent(chance.low));
    let high = band_of(whole_percent(chance.high));
    (low != high).then_some((low, high))
}

fn judge_gap(ruling: &mut Ruling, studio: &Studio, session: &Session, outlook: &Outlook) {
    let policy = &studio.policy;
    let Some(chance) = &outlook.p_gap else {
        let missing = match outlook.source(SourceKind::Radar) {
            SourceState::NoneHere => SourceKind::Forecast,
            _ => SourceKind::Radar,
        };
        ruling.rule = Rule::NotKnown { missing: vec![missing] };
        return;
    };
    let percent = whole_percent(chance.value.centre);
    let gap_min = policy.rescue_set_min;
    ruling.band = policy.gap.band_of_percent(percent);
    ruling.ends_disagree = ends(&chance.value, |percent| policy.gap.band_of_percent(percent));
    let likely_rain = outlook.p_wet_minute.as_ref().filter(|wet| {
        whole_percent(wet.value.centre) > policy.any_rain.advise_above_percent
            && percent >= policy.gap.go_from_percent
    });
    ruling.rule = match likely_rain {
        Some(rain) => Rule::GapKeepsIt {
            rain: rain.clone(),
            of: RainEvent::WetMinute,
            chance: chance.clone(),
            percent,
            gap_min,
        },
        None => Rule::DryGap { chance: chance.clone(), percent, gap_min },
    };
    let last_usable = outlook.light.last_usable.unwrap_or(outlook.window.to);
    let latest = latest_leave(session, gap_min, last_usable);
    let next_look = quarter_after(outlook.as_of, NEXT_LOOK_MIN);
    ruling.step = Some(if percent >= policy.gap.go_from_percent {
        Step::Go
    } else if percent >= policy.gap.wait_from_percent && next_look <= latest {
        Step::WaitUntil(next_look)
    } else {
        Step::DontGo
    });
}

/// What can only make a band graver: warnings, wind at the spots, thunder, checks that were not made.
fn make_graver(ruling: &mut Ruling, studio: &Studio, session: &Session, outlook: &Outlook) {
    if !ruling.unchecked.is_empty() {
        let unchecked = ruling.unchecked.clone();
        raise(ruling, Band::Watch, Rule::NotChecked { unchecked });
        let is_missing = !outlook.unplaced_warnings.is_empty()
            || ruling.unchecked.iter().any(|c| matches!(c, Check::Temperature | Check::Gusts));
        if is_missing && ruling.step == Some(Step::Go) {
            ruling.step = Some(Step::WaitUntil(quarter_after(outlook.as_of, NEXT_LOOK_MIN)));
        }
    }
    if let Some(thunder) = outlook.comfort.thunder.as_ref().filter(|thunder| thunder.value) {
        raise(ruling, Band::Watch, Rule::ThunderMentioned { thunder: thunder.clone() });
    }
    if let Some(gust) = &outlook.comfort.wind_gust_km_h {
        match spot_changes(studio, session, gust.value) {
            Some(changes) => ruling.spot_changes = changes,
            None => raise(ruling, Band::AdviseMoving, Rule::NoSpotBearsWind { gust: gust.clone() }),
        }
    }
    if let Some((estimated_gust, _)) = too_windy(studio, outlook) {
        raise(ruling, Band::AdviseMoving, estimated_gust);
    }
    if let Some(warning) = outlook.warnings.iter().find(|warning| warning.tier == Tier::Hold) {
        raise(ruling, Band::AdviseMoving, Rule::HoldWarning { warning: warning.clone() });
    }
}

/// Raises a band to at least `band`, and keeps what the figure alone had said.
fn raise(ruling: &mut Ruling, band: Band, rule: Rule) {
    if ruling.band >= band {
        return;
    }
    ruling.band = band;
    let overruled = std::mem::replace(&mut ruling.rule, rule);
    ruling.figure.get_or_insert(overruled);
    if band == Band::AdviseMoving {
        ruling.step = ruling.step.map(|_| Step::DontGo);
    }
}

/// Where the looks of spots beyond their wind limit go; `None` when nowhere bears it.
///
/// Only spots near the one left out: the session's own first, roofs before open sky.
fn spot_changes(studio: &Studio, session: &Session, gust_km_h: f64) -> Option<Vec<SpotChange>> {
    let planned = |id: &str| session.looks.iter().any(|look| look.spot == id);
    let mut changes: Vec<SpotChange> = Vec::new();
    for look in &session.looks {
        let Some(spot) = studio.spot(&look.spot) else { continue };
        if spot.bears_gust(gust_km_h) || changes.iter().any(|change| change.from == spot.id) {
            continue;
        }
        let to = studio
            .spots
            .iter()
            .filter(|other| other.bears_gust(gust_km_h) && other.is_near(spot.position))
            .min_by_key(|other| (!planned(&other.id), other.cover != Cover::Roof))?;
        changes.push(SpotChange {
            from: spot.id.clone(),
            to: to.id.clone(),
            gust_km_h: spot.gust_km_h(gust_km_h),
        });
    }
    Some(changes)
}

fn artist_advice(
    studio: &Studio,
    gates: &[Gate],
    outlook: &Outlook,
    band: Band,
) -> Option<ArtistAdvice> {
    let limit = gates.iter().find(|gate| gate.kind == GateKind::ArtistLimit)?;
    if limit.at < outlook.as_of {
        return None;
    }
    let bands = &studio.policy.any_rain;
    let steady = outlook.character.as_ref().is_none_or(|c| c.value == Character::Steady);
    let likely_steady_rain = outlook.p_any_rain.as_ref().is_some_and(|chance| {
        whole_percent(chance.value.centre) > bands.advise_above_percent && steady
    });
    let danger = (Band::AdviseMoving..=Band::MustMove).contains(&band);
    Some(ArtistAdvice { free_until: limit.at, move_before: danger || likely_steady_rain })
}
