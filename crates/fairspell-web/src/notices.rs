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
use serde::{Deserialize, Serialize, de::DeserializeOwned};

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
    let _noting = app.noting.lock().await;
    let mut known: BTreeMap<String, Remembered> = read(app, REMEMBERED).await?;
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
    let mut new: Vec<(&Notice, Message)> = Vec::new();
    for notice in &notices {
        new.extend(message(app, house, skies, notice).await?.map(|message| (notice, message)));
    }
    // What has to go out first: if anything fails after it, she is told all the same.
    if !new.is_empty() {
        let mut outbox: Outbox = read(app, OUTBOX).await?;
        outbox.take_in(new.iter().map(|(_, message)| message), app.clock.real());
        app.store.save_setting(OUTBOX, &outbox).await?;
        app.fetch_soon();
    }
    for (notice, message) in &new {
        let (kind, session) = (kind_name(&notice.kind), Some(notice.session.as_str()));
        app.store.remember_notice(&notice.key, kind, session, notice.at, &message.subject).await?;
    }
    remember(&mut known, skies, &notices);
    app.store.save_setting(REMEMBERED, &known).await
}

/// What was kept under a name. A shape that this version does not know is begun anew: not to be told
/// for good would be worse than to be told twice.
async fn read<T: Default + DeserializeOwned>(app: &App, name: &str) -> Result<T, StoreError> {
    match app.store.setting(name).await {
        Err(StoreError::Damaged { what }) => {
            tracing::error!("what was remembered is begun anew: {what}");
            Ok(T::default())
        }
        kept => Ok(kept?.unwrap_or_default()),
    }
}

impl Outbox {
    /// Takes messages in that do not lie in it yet.
    fn take_in<'a>(&mut self, messages: impl Iterator<Item = &'a Message>, now: Timestamp) {
        for message in messages {
            if self.messages.iter().all(|known| known.key != message.key) {
                self.written_at.insert(message.key.clone(), now);
                self.messages.push(message.clone());
            }
        }
    }

    /// Drops messages with everything about them.
    fn drop_all(&mut self, gone: impl Fn(&Message) -> bool) {
        let keys: HashSet<String> =
            self.messages.iter().filter(|m| gone(m)).map(|m| m.key.clone()).collect();
        self.messages.retain(|message| !keys.contains(&message.key));
        self.tries.retain(|delivery| !keys.contains(&delivery.key));
        self.written_at.retain(|key, _| !keys.contains(key));
    }
}

/// Forgets sessions: their family was erased, and nothing more is to be told of them.
pub(crate) async fn forget(app: &App, sessions: &[&str]) -> Result<(), StoreError> {
    let _noting = app.noting.lock().await;
    let mut known: BTreeMap<String, Remembered> = read(app, REMEMBERED).await?;
    known.retain(|session, _| !sessions.contains(&session.as_str()));
    app.store.save_setting(REMEMBERED, &known).await?;
    let mut outbox: Outbox = read(app, OUTBOX).await?;
    outbox.drop_all(|message| sessions.iter().any(|session| message.path == address_of(session)));
    app.store.save_setting(OUTBOX, &outbox).await
}

/// Where a message about a session leads.
fn address_of(session: &str) -> String {
    format!("/sessions/{session}")
}

/// The answer that a session's newest letter asked for.
async fn asked_of(app: &App, session: &str) -> Result<Option<Asked>, StoreError> {
    let Some(letter) = app.store.newest_letter(session).await? else { return Ok(None) };
    let answers = app.store.answers_of_letter(&letter.id).await?;
    let agreement = agreed(&answers, &letter.facts.sitter, &letter.facts.guardian);
    let answers = Answers::of(&agreement, &letter.facts.guardian);
    if letter.reply_by.is_none() && answers != Answers::Differ {
        // Nothing was asked; only a difference has to be talked over.
        return Ok(None);
    }
    Ok(Some(Asked { reply_by: letter.reply_by, answers }))
}

/// A notice in words, ready to go out; `None` when she was told of it already.
async fn message(
    app: &App,
    house: &House,
    skies: &Skies,
    notice: &Notice,
) -> Result<Option<Message>, StoreError> {
    let Some(sky) = skies.of(&notice.session) else { return Ok(None) };
    let told = app.store.told_about(&notice.session).await?;
    if told.iter().any(|told| told.key == notice.key) {
        return Ok(None);
    }
    let about = About {
        session: &sky.session,
        outlook: &sky.standing.outlook,
        ruling: &sky.standing.ruling,
        zone: &house.zone,
    };
    let words = notice_words(notice, &about);
    Ok(Some(Message {
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
    let mut outbox: Outbox = read(app, OUTBOX).await?;
    if outbox.messages.is_empty() || app.settings.is_demo {
        return Ok(());
    }
    // Tries that could not be kept, while the disk was full, count as well.
    outbox.tries.extend(app.unkept_tries().iter().cloned());
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
        let (key, channel) = (&delivery.key, &delivery.channel);
        if let Err(error) = app.store.note_delivery(key, channel, delivery.at, outcome).await {
            tracing::error!("a delivery could not be noted: {error}");
        }
        if delivery.went == Went::Gone {
            telling::drop_way(app, channel).await?;
        }
    }
    app.unkept_tries().extend(tried);
    let _noting = app.noting.lock().await;
    // Anew: sending takes its time, and more may have come in, or been forgotten, meanwhile.
    let mut outbox: Outbox = read(app, OUTBOX).await?;
    outbox.tries.extend(app.unkept_tries().iter().cloned());
    let tries = outbox.tries.clone();
    let written_at = outbox.written_at.clone();
    outbox.drop_all(|message| {
        let written_at = written_at.get(&message.key).copied().unwrap_or(now);
        let is_out = ways.channels.iter().all(|channel| {
            tries.iter().any(|delivery| {
                delivery.key == message.key
                    && delivery.channel == channel.id
                    && !matches!(delivery.went, Went::TryLater { .. })
            })
        });
        is_out || now.duration_since(written_at) > GIVEN_UP_AFTER
    });
    app.store.save_setting(OUTBOX, &outbox).await?;
    app.unkept_tries().clear();
    Ok(())
}
