//! What she is told: once, with what it rests on, by each way she has set up.

use std::collections::{BTreeMap, HashSet};

use fairspell_store::StoreError;
use fairspell_studio::{
    Ruling, SourceState, agreed,
    notice::{Answers, Asked, Known, Look, Notice, NoticeKind, Told, notices},
    outlook::SourceKind,
};
use fairspell_tell::{
    Delivery, Message, Went, deliver,
    web_push::{Sender, client},
};
use fairspell_words::notices::{About, notice_words};
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{
    app::App,
    skies::{House, Skies},
    telling,
};

/// What is remembered of a session between two looks.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Remembered {
    /// The ruling that she knows of.
    ruling: Ruling,
    as_of: Timestamp,
    told_at: Option<Timestamp>,
    /// What the last look saw.
    last_ruling: Ruling,
    last_as_of: Timestamp,
    last_sources: Vec<(SourceKind, SourceState)>,
}

/// What has still to go out, with every try so far.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Outbox {
    messages: Vec<Message>,
    written_at: BTreeMap<String, Timestamp>,
    tries: Vec<Delivery>,
}

const REMEMBERED: &str = "remembered_standings";
const OUTBOX: &str = "outbox";

/// A message that has not gone out after so long is given up: its news is old.
const GIVEN_UP_AFTER: SignedDuration = SignedDuration::from_hours(12);

/// Keeps where every session stands now, and notes what she has to be told of it.
pub(crate) async fn note(app: &App, skies: &Skies) -> Result<(), StoreError> {
    let Some(house) = skies.house.as_deref() else { return Ok(()) };
    let mut known: BTreeMap<String, Remembered> =
        app.store.setting(REMEMBERED).await?.unwrap_or_default();
    let mut asked = BTreeMap::new();
    for sky in skies.coming() {
        app.store.keep_ruling(&sky.standing.outlook, &sky.standing.ruling).await?;
        if let Some(of) = asked_of(app, &sky.session.id).await? {
            asked.insert(sky.session.id.clone(), of);
        }
    }
    let sessions: Vec<Known<'_>> = skies
        .coming()
        .map(|sky| {
            let before = known.get(&sky.session.id);
            Known {
                told: before.map(|before| Told {
                    ruling: &before.ruling,
                    as_of: before.as_of,
                    told_at: before.told_at,
                }),
                last_look: before.map(|before| Look {
                    ruling: &before.last_ruling,
                    as_of: before.last_as_of,
                    sources: &before.last_sources,
                }),
                now: &sky.standing.outlook,
                ruling: &sky.standing.ruling,
                gates: &sky.standing.gates,
                asked: asked.get(&sky.session.id).copied(),
            }
        })
        .collect();
    let notices = notices(&sessions);
    drop(sessions);
    let mut outbox: Outbox = app.store.setting(OUTBOX).await?.unwrap_or_default();
    for notice in &notices {
        if let Some(message) = keep(app, house, skies, notice).await? {
            outbox.written_at.insert(message.key.clone(), app.clock.real());
            outbox.messages.push(message);
        }
    }
    remember(&mut known, skies, &notices);
    app.store.save_setting(REMEMBERED, &known).await?;
    if !notices.is_empty() {
        app.store.save_setting(OUTBOX, &outbox).await?;
        app.fetch_soon();
    }
    Ok(())
}

/// Forgets sessions: their family was erased, and nothing more is to be told of them.
pub(crate) async fn forget(app: &App, sessions: &[&str]) -> Result<(), StoreError> {
    let mut known: BTreeMap<String, Remembered> =
        app.store.setting(REMEMBERED).await?.unwrap_or_default();
    known.retain(|session, _| !sessions.contains(&session.as_str()));
    app.store.save_setting(REMEMBERED, &known).await?;
    let mut outbox: Outbox = app.store.setting(OUTBOX).await?.unwrap_or_default();
    let is_theirs =
        |message: &Message| sessions.iter().any(|session| message.path == address_of(session));
    let gone: HashSet<String> =
        outbox.messages.iter().filter(|m| is_theirs(m)).map(|m| m.key.clone()).collect();
    outbox.messages.retain(|message| !gone.contains(&message.key));
    outbox.tries.retain(|delivery| !gone.contains(&delivery.key));
    outbox.written_at.retain(|key, _| !gone.contains(key));
    app.store.save_setting(OUTBOX, &outbox).await
}

/// Where a message about a session leads.
fn address_of(session: &str) -> String {
    format!("/sessions/{session}")
}

/// The answer that a session's newest letter asked for.
async fn asked_of(app: &App, session: &str) -> Result<Option<Asked>, StoreError> {
    let Some(letter) = app.store.newest_letter(session).await? else { return Ok(None) };
    if letter.reply_by.is_none() {
        return Ok(None);
    }
    let answers = app.store.answers_of_letter(&letter.id).await?;
    let agreement = agreed(&answers, &letter.facts.sitter, &letter.facts.guardian);
    let answers = Answers::of(&agreement, &letter.facts.guardian);
    Ok(Some(Asked { reply_by: letter.reply_by, answers }))
}

/// Keeps a notice in the record; `None` when it stands there already.
async fn keep(
    app: &App,
    house: &House,
    skies: &Skies,
    notice: &Notice,
) -> Result<Option<Message>, StoreError> {
    let Some(sky) = skies.of(&notice.session) else { return Ok(None) };
    let about = About {
        session: &sky.session,
        outlook: &sky.standing.outlook,
        ruling: &sky.standing.ruling,
        zone: &house.zone,
    };
    let words = notice_words(notice, &about);
    let session = Some(notice.session.as_str());
    let kind = kind_name(&notice.kind);
    let is_new =
        app.store.remember_notice(&notice.key, kind, session, notice.at, &words.subject).await?;
    Ok(is_new.then(|| Message {
        key: notice.key.clone(),
        urgency: notice.urgency,
        subject: words.subject,
        body: words.body,
        short: words.short,
        path: address_of(&notice.session),
    }))
}

fn kind_name(kind: &NoticeKind) -> &'static str {
    match kind {
        NoticeKind::MustMove { .. } => "must_move",
        NoticeKind::BandChanged { .. } => "band_changed",
        NoticeKind::AnswerMissing { .. } => "answer_missing",
        NoticeKind::AnswersDiffer { .. } => "answers_differ",
        NoticeKind::SourceSilent { .. } => "source_silent",
    }
}

/// What she knows from now on: rulings that she was told of, or that are the first of their session.
fn remember(known: &mut BTreeMap<String, Remembered>, skies: &Skies, notices: &[Notice]) {
    let told: HashSet<&str> = notices
        .iter()
        .filter(|notice| {
            matches!(notice.kind, NoticeKind::BandChanged { .. } | NoticeKind::MustMove { .. })
        })
        .map(|notice| notice.session.as_str())
        .collect();
    let coming: HashSet<&str> = skies.coming().map(|sky| sky.session.id.as_str()).collect();
    known.retain(|session, _| coming.contains(session.as_str()));
    for sky in skies.coming() {
        let (outlook, ruling) = (&sky.standing.outlook, &sky.standing.ruling);
        let is_told = told.contains(sky.session.id.as_str());
        let before = known.remove(&sky.session.id).filter(|_| !is_told);
        let fresh = Remembered {
            ruling: ruling.clone(),
            as_of: outlook.as_of,
            told_at: is_told.then_some(outlook.as_of),
            last_ruling: ruling.clone(),
            last_as_of: outlook.as_of,
            last_sources: outlook.sources.clone(),
        };
        let now = match before {
            Some(before) => Remembered {
                ruling: before.ruling,
                as_of: before.as_of,
                told_at: before.told_at,
                ..fresh
            },
            None => fresh,
        };
        known.insert(sky.session.id.clone(), now);
    }
}

/// Sends what has still to go out, by every way that she has set up.
pub(crate) async fn send_out(app: &App) -> Result<(), StoreError> {
    let mut outbox: Outbox = app.store.setting(OUTBOX).await?.unwrap_or_default();
    if outbox.messages.is_empty() {
        return Ok(());
    }
    let now = app.clock.real();
    let ways = telling::ways(app).await?;
    let sender = Sender { vapid_key: &ways.vapid_key, contact: &ways.contact };
    let (messages, tries) = (&outbox.messages, &outbox.tries);
    let random = || app.machine.random_bytes::<48>();
    let post = match client() {
        Ok(post) => post,
        Err(error) => {
            tracing::error!("nothing can be sent: {error}");
            return Ok(());
        }
    };
    let tried = deliver(messages, &ways.channels, tries, &sender, &post, random, now).await;
    for delivery in &tried {
        let outcome = match &delivery.went {
            Went::Out => Ok(()),
            Went::TryLater { why, .. } | Went::Refused { why } => Err(why.as_str()),
            Went::Gone => Err("this browser no longer takes messages"),
        };
        app.store.note_delivery(&delivery.key, &delivery.channel, delivery.at, outcome).await?;
        if delivery.went == Went::Gone {
            telling::drop_way(app, &delivery.channel).await?;
        }
    }
    outbox.tries.extend(tried);
    let is_done = |message: &Message| {
        let written_at = outbox.written_at.get(&message.key).copied().unwrap_or(now);
        let is_out = ways.channels.iter().all(|channel| {
            outbox.tries.iter().any(|delivery| {
                delivery.key == message.key
                    && delivery.channel == channel.id
                    && !matches!(delivery.went, Went::TryLater { .. })
            })
        });
        is_out || now.duration_since(written_at) > GIVEN_UP_AFTER
    };
    let done: HashSet<String> =
        outbox.messages.iter().filter(|m| is_done(m)).map(|m| m.key.clone()).collect();
    outbox.messages.retain(|message| !done.contains(&message.key));
    outbox.tries.retain(|delivery| !done.contains(&delivery.key));
    outbox.written_at.retain(|key, _| !done.contains(key));
    app.store.save_setting(OUTBOX, &outbox).await
}
