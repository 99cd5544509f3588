//! What the photographer is told unasked, and when.
//!
//! She is told once when
//!
//! 1. a session's band changes, before it has begun;
//! 2. a must-move appears, even while she is out there;
//! 3. a gate is an hour off while an answer is missing, or two answers differ;
//! 4. a source that a session needs has gone silent.
//!
//! A band that goes back and forth is told at most once in twenty minutes; danger always at once.

use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{
    Agreement, Band, Gate, Outlook, Question, Rule, Ruling, SourceState,
    gate::next_gate,
    outlook::{SourceKind, WarningSeen},
    ruling::has_begun,
};

/// How long before a gate a missing answer is told (our choice: time for one call and one more).
const BEFORE_GATE: SignedDuration = SignedDuration::from_mins(60);

/// How long a change of band that is no danger waits after the last one (our choice: four radar
/// pictures, so that a shower on a threshold does not ring five times).
const BETWEEN_BANDS: SignedDuration = SignedDuration::from_mins(20);

/// How soon she should hear of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Urgency {
    /// It may wake her.
    Now,
    /// With the next look at the telephone.
    Soon,
}

/// What she is told, with its figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "notice")]
pub enum NoticeKind {
    /// Something makes the session dangerous.
    MustMove {
        /// What.
        danger: Box<Rule>,
        /// Whether the session has begun, so that people are out there.
        has_begun: bool,
    },
    /// Where the session stands has changed.
    BandChanged {
        /// Where it stood when she was last told.
        from: Band,
        /// Where it stands.
        to: Band,
    },
    /// An answer that was asked for has not come.
    AnswerMissing {
        /// What is decided next.
        gate: Gate,
        /// By when it was asked for.
        reply_by: Option<Timestamp>,
    },
    /// Two people gave two answers.
    AnswersDiffer {
        /// What is decided next.
        gate: Gate,
    },
    /// A source has gone silent.
    SourceSilent {
        /// Which.
        source: SourceKind,
        /// When it was last heard: its last forecast's or picture's time.
        last_heard: Timestamp,
    },
}

/// One thing that she is told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Notice {
    /// The same for the same event, whoever asks again: what has gone out under it never goes twice.
    pub key: String,
    /// The session, by id; for a silent source the first that needs it.
    pub session: String,
    /// The moment of the outlook that it rests on.
    pub at: Timestamp,
    /// How soon she should hear of it.
    pub urgency: Urgency,
    /// What it is.
    pub kind: NoticeKind,
}

/// The ruling that she knows of.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// The ruling of the last notice of a band or a must-move; before any, the first that was kept.
    pub ruling: &'a Ruling,
    /// The moment of its outlook.
    pub as_of: Timestamp,
    /// When she was told of it; `None` for the first that was kept.
    pub told_at: Option<Timestamp>,
}

/// What the last look saw, whether she was told of it or not.
#[derive(Debug, Clone, Copy)]
pub struct Look<'a> {
    /// Its ruling.
    pub ruling: &'a Ruling,
    /// The moment of its outlook.
    pub as_of: Timestamp,
    /// How the sources stood.
    pub sources: &'a [(SourceKind, SourceState)],
}

/// How the answers to the newest letter stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answers {
    /// None has come.
    Missing,
    /// What came is enough to go by.
    Given,
    /// They do not say the same.
    Differ,
}

impl Answers {
    /// How the answers stand, as far as she has to be told.
    ///
    /// One answer is enough when it is the guardian's: the sitter's alone is not, because the adult
    /// consents and pays.
    pub fn of(agreement: &Agreement, guardian: &str) -> Self {
        match agreement {
            Agreement::Nobody => Answers::Missing,
            Agreement::One { waiting_for, .. } if waiting_for == guardian => Answers::Missing,
            Agreement::One { .. } | Agreement::Both { .. } => Answers::Given,
            Agreement::Differ { .. } => Answers::Differ,
        }
    }
}

/// An answer that was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked {
    /// By when.
    pub reply_by: Option<Timestamp>,
    /// What came.
    pub answers: Answers,
}

/// What is known of one session, then and now.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The ruling that she knows of; `None` for a session that is looked at for the first time.
    pub told: Option<Told<'a>>,
    /// What the last look saw; `None` at the first.
    pub last_look: Option<Look<'a>>,
    /// The sky now.
    pub now: &'a Outlook,
    /// Where that puts the session.
    pub ruling: &'a Ruling,
    /// Its gates, in order of time.
    pub gates: &'a [Gate],
    /// The answer that is waited for.
    pub asked: Option<Asked>,
}

/// What she is to be told of these sessions, the urgent first.
///
/// Nothing is told of a session whose hours are over. A source whose silence makes a ruling unknown
/// is told with that change, not a second time by itself; one that several sessions need is told
/// once.
///
/// The caller keeps two things for each session: as [`Told`] the ruling of the last
/// [`NoticeKind::BandChanged`] or [`NoticeKind::MustMove`] (the first ruling of all, without a notice),
/// and as [`Look`] whatever the last look saw. What waits out the twenty minutes is then told by the
/// first look after them, if it still stands.
pub fn notices(sessions: &[Known<'_>]) -> Vec<Notice> {
    let mut by_start: Vec<&Known<'_>> = sessions.iter().collect();
    by_start.sort_by_key(|known| known.now.window.from);
    let mut told: Vec<Notice> = Vec::new();
    for known in by_start.into_iter().filter(|known| !is_over(known)) {
        let band = must_move(known).or_else(|| band_changed(known));
        let named = band.as_ref().map_or(&[][..], |_| missing(known.ruling));
        let silent = silences(known, named);
        let answer = answer(known);
        for notice in band.into_iter().chain(answer).chain(silent) {
            if !told.iter().any(|other| other.key == notice.key) {
                told.push(notice);
            }
        }
    }
    told.sort_by_key(|notice| notice.urgency);
    told
}

fn is_over(known: &Known<'_>) -> bool {
    known.now.as_of >= known.now.window.to.max(known.now.evening.to)
}

/// A danger that was not there at the last look, or that she has not been told of.
fn must_move(known: &Known<'_>) -> Option<Notice> {
    if known.ruling.band != Band::MustMove {
        return None;
    }
    let danger = danger_name(&known.ruling.rule);
    let is_it =
        |ruling: &Ruling| ruling.band == Band::MustMove && danger_name(&ruling.rule) == danger;
    let since = match (known.last_look, known.told) {
        // It may have gone and come again while a change of band was not told.
        (Some(look), _) if !is_it(look.ruling) => look.as_of,
        (_, Some(told)) if !is_it(told.ruling) => told.as_of,
        (_, Some(_)) => return None,
        (_, None) => known.now.as_of,
    };
    let session = &known.now.session;
    let kind = NoticeKind::MustMove {
        danger: Box::new(known.ruling.rule.clone()),
        has_begun: has_begun(known.gates, known.now.as_of),
    };
    Some(notice(known, format!("must-move/{session}/{danger}/{since}"), Urgency::Now, kind))
}

fn band_changed(known: &Known<'_>) -> Option<Notice> {
    let told = known.told?;
    let now = known.now.as_of;
    let (from, to) = (told.ruling.band, known.ruling.band);
    if from == to || to == Band::MustMove || has_begun(known.gates, now) {
        return None;
    }
    let is_danger = is_danger(&known.ruling.rule);
    let waits = told.told_at.is_some_and(|told_at| {
        (SignedDuration::ZERO..BETWEEN_BANDS).contains(&now.duration_since(told_at))
    });
    if waits && !is_danger {
        return None;
    }
    let on_the_day = known.ruling.question == Question::DryGap;
    let urgency = if is_danger || on_the_day { Urgency::Now } else { Urgency::Soon };
    // The change is dated by the ruling it leaves: however often it is looked at again before that
    // one is replaced, it stays the same change.
    let (session, since) = (&known.now.session, told.as_of);
    let key = format!("band/{session}/{from:?}/{to:?}/{since}");
    Some(notice(known, key, urgency, NoticeKind::BandChanged { from, to }))
}

fn answer(known: &Known<'_>) -> Option<Notice> {
    let asked = known.asked?;
    let gate = next_gate(known.gates, known.now.as_of)?;
    let is_near = gate.at.duration_since(known.now.as_of) <= BEFORE_GATE;
    let (name, kind) = match asked.answers {
        Answers::Missing if is_near => {
            ("answer-missing", NoticeKind::AnswerMissing { gate, reply_by: asked.reply_by })
        }
        Answers::Given | Answers::Missing => return None,
        // Both have been told that she will phone: at once, and again before each gate.
        Answers::Differ => ("answers-differ", NoticeKind::AnswersDiffer { gate }),
    };
    let key = format!("{name}/{}/{:?}/{}", known.now.session, gate.kind, gate.at);
    Some(notice(known, key, Urgency::Now, kind))
}

/// Sources that spoke at the last look and no longer do, but for those that are named already.
fn silences(known: &Known<'_>, named: &[SourceKind]) -> Vec<Notice> {
    let on_the_day = known.ruling.question == Question::DryGap;
    let urgency = if on_the_day { Urgency::Now } else { Urgency::Soon };
    needed(known.ruling.question)
        .iter()
        .filter(|kind| !named.contains(kind))
        .filter_map(|kind| {
            let source = *kind;
            let last_heard = gone_silent(known, source)?;
            // Dated by what was heard last, which all sessions share, not by the look.
            let key = format!("silent/{source:?}/{last_heard}");
            Some(notice(known, key, urgency, NoticeKind::SourceSilent { source, last_heard }))
        })
        .collect()
}

fn gone_silent(known: &Known<'_>, source: SourceKind) -> Option<Timestamp> {
    let before = known.last_look?.sources.iter().find(|(kind, _)| *kind == source);
    match (before.map(|(_, state)| state), known.now.source(source)) {
        (Some(SourceState::Fresh { .. }), SourceState::Stale { issued, .. })
        | (Some(SourceState::Fresh { issued, .. }), SourceState::Missing) => Some(*issued),
        _ => None,
    }
}

/// What a ruling needs, as [`crate::rule`] has it: radar only from the styling chair on.
fn needed(question: Question) -> &'static [SourceKind] {
    match question {
        Question::TooEarly | Question::AnyRain => &[SourceKind::Forecast, SourceKind::Warnings],
        Question::DryGap => &[SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar],
    }
}

fn missing(ruling: &Ruling) -> &[SourceKind] {
    match &ruling.rule {
        Rule::NotKnown { missing } => missing,
        _ => &[],
    }
}

fn notice(known: &Known<'_>, key: String, urgency: Urgency, kind: NoticeKind) -> Notice {
    let session = known.now.session.clone();
    Notice { key, session, at: known.now.as_of, urgency, kind }
}

/// Whether a rule speaks of danger to people rather than of wet clothes.
fn is_danger(rule: &Rule) -> bool {
    matches!(
        rule,
        Rule::StopWarning { .. }
            | Rule::HoldWarning { .. }
            | Rule::TooHot { .. }
            | Rule::TooCold { .. }
            | Rule::TooWindy { .. }
            | Rule::NoSpotBearsWind { .. }
            | Rule::ThunderMentioned { .. }
    )
}

/// What tells one danger from another: an update of the same warning is none.
fn danger_name(rule: &Rule) -> &str {
    match rule {
        Rule::StopWarning { warning: WarningSeen { event, .. } } => event,
        Rule::TooHot { .. } => "heat",
        Rule::TooCold { .. } => "cold",
        Rule::TooWindy { .. } => "gusts",
        _ => "other",
    }
}
