//! What the photographer is told unasked: a subject, a few sentences, and a line for a locked screen.

use fairspell_studio::{
    Band, Gate, Notice, NoticeKind, Outlook, Rule, Ruling, Session, Sourced, Step,
    outlook::SourceKind,
};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    cautions::{ADVICE_ONLY, cautions_of, cautions_of_ruling},
    clock::{clock, date, date_and_clock, moment},
    figure::Reader,
    labels::standing_line,
    names::{band_name, gate_name, source_name},
    numbers::with_unit,
    sky::warning,
    sources::{by_hand, source_state},
    text::{and_list, capital, one_line},
};

/// Most letters of a subject: what a telephone shows of it in one line.
const SUBJECT_MAX: usize = 60;

/// Most letters of a first name on a locked screen.
const FIRST_NAME_MAX: usize = 24;

/// A notice in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoticeWords {
    /// Its first glance, sixty letters at most.
    pub subject: String,
    /// Its text, paragraphs apart by an empty line.
    pub body: String,
    /// For a telephone's locked screen: the sitter's first name and the state, no surname, no place.
    ///
    /// The first name is the first word of the name by which letters call the sitter.
    pub short: String,
}

/// What a notice is about.
#[derive(Debug, Clone, Copy)]
pub struct About<'a> {
    /// The session.
    pub session: &'a Session,
    /// Its sky, the one that the notice rests on.
    pub outlook: &'a Outlook,
    /// Where that put it.
    pub ruling: &'a Ruling,
    /// The studio's zone.
    pub zone: &'a TimeZone,
}

/// Words a notice: what happened as of when, on which figures, what to do and until when, and where
/// there is danger its cautions.
///
/// Names of sitter and guardian stand in the e-mail, for it goes to the photographer herself; ways to
/// reach them stand nowhere.
pub fn notice_words(notice: &Notice, about: &About<'_>) -> NoticeWords {
    let (subject, paragraphs, state) = match &notice.kind {
        NoticeKind::MustMove { danger, has_begun } => must_move(danger, *has_begun, about),
        NoticeKind::BandChanged { from, to } => band_changed(*from, *to, about),
        NoticeKind::AnswerMissing { gate, reply_by } => answer_missing(*gate, *reply_by, about),
        NoticeKind::AnswersDiffer { gate } => answers_differ(*gate, about),
        NoticeKind::SourceSilent { source, last_heard } => silent(*source, *last_heard, about),
    };
    let name = one_line(&about.session.sitter);
    let first = name.split(' ').next().filter(|first| !first.is_empty()).unwrap_or("A session");
    NoticeWords {
        subject,
        body: paragraphs.join("\n\n"),
        short: format!("{}: {state}", shortened(first, FIRST_NAME_MAX)),
    }
}

/// Subject, paragraphs, and the state in two or three words.
type Said = (String, Vec<String>, String);

fn must_move(danger: &Rule, has_begun: bool, about: &About<'_>) -> Said {
    let (session, start) = (session(about), start(about));
    let (before, first, state) = if has_begun {
        let stop = "Stop now and bring everyone to safety; everything else can wait.";
        let why = format!("As of {}, this is why, for {session} on {start}:", as_of(about));
        ("Stop now: ", format!("{stop} {why}"), "stop now")
    } else {
        let what_to_do = if about.ruling.step == Some(Step::DontGo) {
            format!("Don't go. Tell {} now; another date can be found afterwards.", family(about))
        } else {
            format!("Offer {} another date; the session's page has the letter.", family(about))
        };
        let must_move =
            format!("As of {}: {session} on {start} must move. {what_to_do}", as_of(about));
        ("Must move: ", must_move, "must move")
    };
    let subject = with_name(before, about, &format!(", {start}"));
    let mut paragraphs = vec![first, danger_line(danger, about)];
    paragraphs.extend(cautions_of(danger).into_iter().map(str::to_owned));
    paragraphs.push(ADVICE_ONLY.to_owned());
    (subject, paragraphs, state.to_owned())
}

fn band_changed(from: Band, to: Band, about: &About<'_>) -> Said {
    let (from, now) = (band_name(from), band_name(to));
    let day = date(about.session.start.date());
    let subject = with_name("", about, &format!(", {day}: now {now}"));
    let mut paragraphs = vec![
        format!(
            "As of {}: {} on {} went from \"{from}\" to \"{now}\".",
            as_of(about),
            session(about),
            start(about)
        ),
        format!("{}.", capital(&standing_line(about.ruling, about.outlook, about.zone))),
        what_to_do(to, about),
    ];
    if about.ruling.step != Some(Step::DontGo) {
        paragraphs.extend(next_gate(about));
    }
    let cautions = cautions_of_ruling(&about.ruling.rule, about.ruling.question);
    paragraphs.extend(cautions.into_iter().map(str::to_owned));
    paragraphs.push(ADVICE_ONLY.to_owned());
    (subject, paragraphs, format!("now {now}"))
}

fn what_to_do(band: Band, about: &About<'_>) -> String {
    match (about.ruling.step, band) {
        (Some(Step::DontGo), _) => {
            format!("Tell {} that you are not going, and offer another date.", family(about))
        }
        (Some(Step::WaitUntil(then)), _) => {
            format!("Wait, and look again at {}.", clock(then, about.zone))
        }
        (Some(Step::Go), _) => "Go, and start as planned.".to_owned(),
        (None, Band::Settled) => "Nothing has to be decided now.".to_owned(),
        (None, Band::Watch) => "Nothing has to be decided yet; keep an eye on it.".to_owned(),
        (None, Band::FamilysChoice) => {
            format!("The choice is with {}; the session's page has the letter.", family(about))
        }
        (None, Band::AdviseMoving | Band::MustMove) => {
            format!("Offer {} another date; the session's page has the letter.", family(about))
        }
        (None, Band::Unknown) => not_known(about),
    }
}

fn not_known(about: &About<'_>) -> String {
    let Rule::NotKnown { missing } = &about.ruling.rule else { return NOT_DRY.to_owned() };
    let state = |kind: &SourceKind| {
        source_state(*kind, about.outlook.source(*kind), about.outlook.as_of, about.zone)
    };
    let mut lines: Vec<String> = missing.iter().map(state).collect();
    lines.push(NOT_DRY.to_owned());
    lines.extend(missing.iter().map(|kind| yourself(*kind)));
    lines.join(" ")
}

/// What every sentence about a missing source comes to.
const NOT_DRY: &str = "What is missing is not dry; it is not known.";

fn answer_missing(gate: Gate, reply_by: Option<Timestamp>, about: &About<'_>) -> Said {
    let asked = reply_by
        .map_or_else(String::new, |by| format!(" It was asked for by {}.", moment(by, about.zone)));
    let subject = with_name("No answer yet: ", about, &by_clock(gate, about));
    let paragraphs = vec![
        format!(
            "As of {}: the answer for {} on {} is missing.{asked}",
            as_of(about),
            session(about),
            start(about)
        ),
        decided_by(gate, about),
        format!("Call {}, or go by what your letter says of silence.", family(about)),
        format!("{}.", capital(&standing_line(about.ruling, about.outlook, about.zone))),
    ];
    (subject, with_danger(paragraphs, about), "no answer yet".to_owned())
}

fn answers_differ(gate: Gate, about: &About<'_>) -> Said {
    let subject = with_name("Two answers differ: ", about, &by_clock(gate, about));
    let paragraphs = vec![
        format!(
            "As of {}: the two answers for {} on {} are not the same.",
            as_of(about),
            session(about),
            start(about)
        ),
        decided_by(gate, about),
        format!("Speak with {}; until they agree nothing is agreed.", family(about)),
        format!("{}.", capital(&standing_line(about.ruling, about.outlook, about.zone))),
    ];
    (subject, with_danger(paragraphs, about), "two answers differ".to_owned())
}

fn silent(source: SourceKind, last_heard: Timestamp, about: &About<'_>) -> Said {
    let name = source_name(source);
    let subject =
        format!("{}: nothing new since {}", capital(name), moment(last_heard, about.zone));
    let state = source_state(source, about.outlook.source(source), about.outlook.as_of, about.zone);
    let mut paragraphs = vec![
        format!("As of {}. {state} {NOT_DRY}", as_of(about)),
        yourself(source),
        format!("The first who needs it: {} on {}.", session(about), start(about)),
    ];
    paragraphs.extend(next_gate(about));
    (subject, paragraphs, format!("{name} silent"))
}

/// The danger that decided, with hours, place, source and age.
fn danger_line(danger: &Rule, about: &About<'_>) -> String {
    let reader = Reader { now: about.outlook.as_of, zone: about.zone };
    let over = |figure: &Sourced<f64>, what: &str, unit: &str, limit: f64| {
        let (value, limit) = (with_unit(figure.value, 0, unit), with_unit(limit, 0, unit));
        format!("{what} {value}, your limit is {limit}; {}.", reader.provenance(figure))
    };
    match danger {
        Rule::StopWarning { warning: seen } => format!("{}.", warning(seen, reader)),
        Rule::TooHot { felt, limit_c } | Rule::TooCold { felt, limit_c } => {
            over(felt, "It feels like", "°C", *limit_c)
        }
        Rule::TooWindy { gust, limit_km_h } => over(gust, "Gusts of", "km/h", *limit_km_h),
        _ => format!("{}.", capital(&standing_line(about.ruling, about.outlook, about.zone))),
    }
}

/// Cautions after sentences that a danger stands behind.
fn with_danger(mut paragraphs: Vec<String>, about: &About<'_>) -> Vec<String> {
    let cautions = cautions_of(&about.ruling.rule);
    if !cautions.is_empty() {
        paragraphs.extend(cautions.into_iter().map(str::to_owned));
        paragraphs.push(ADVICE_ONLY.to_owned());
    }
    paragraphs
}

fn yourself(source: SourceKind) -> String {
    format!("{}.", capital(by_hand(source)))
}

fn next_gate(about: &About<'_>) -> Option<String> {
    let gate = about.ruling.next_gate?;
    let (at, name) = (moment(gate.at, about.zone), gate_name(gate.kind));
    Some(format!("The next moment to decide is {at}: {name}."))
}

fn decided_by(gate: Gate, about: &About<'_>) -> String {
    format!("Decide by {}: {}.", moment(gate.at, about.zone), gate_name(gate.kind))
}

fn by_clock(gate: Gate, about: &About<'_>) -> String {
    format!(", decide by {}", clock(gate.at, about.zone))
}

fn as_of(about: &About<'_>) -> String {
    moment(about.outlook.as_of, about.zone)
}

fn start(about: &About<'_>) -> String {
    date_and_clock(about.session.start)
}

/// "Linh's session".
fn session(about: &About<'_>) -> String {
    match one_line(&about.session.sitter) {
        name if name.is_empty() => "the session".to_owned(),
        name => format!("{name}'s session"),
    }
}

/// "Linh and Quoc", once only where one person is both.
fn family(about: &About<'_>) -> String {
    let mut names = vec![one_line(&about.session.sitter), one_line(&about.session.guardian)];
    names.retain(|name| !name.is_empty());
    names.dedup();
    if names.is_empty() { "the family".to_owned() } else { and_list(&names) }
}

/// A subject around the sitter's name, which gives way where all of it would be too long.
fn with_name(before: &str, about: &About<'_>, after: &str) -> String {
    let room = SUBJECT_MAX.saturating_sub(before.chars().count() + after.chars().count());
    format!("{before}{}{after}", shortened(&one_line(&about.session.sitter), room))
}

fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}
