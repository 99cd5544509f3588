//! Each message once by each channel, and what became of it.

use fairspell_studio::notice::Urgency;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{
    MailSettings, Outcome, Subscription, TellError, mail, next_try,
    web_push::{Fresh, Post, Push, PushRequest, Sender, push_request},
};

/// How long a push service keeps a message for a telephone that is switched off, seconds: six hours.
/// A notice of this morning must not ring tomorrow.
const TTL_S: u32 = 6 * 60 * 60;

/// One notice in words, ready to go out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Message {
    /// The notice's key.
    pub key: String,
    /// How soon she should hear of it.
    pub urgency: Urgency,
    /// The e-mail's first glance.
    pub subject: String,
    /// The e-mail's text.
    pub body: String,
    /// What a locked telephone may show.
    pub short: String,
    /// The page that it opens, from the studio's own address on: "/sessions/linh".
    pub path: String,
}

/// How she can be told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Channel {
    /// What it is called in the record.
    pub id: String,
    /// What it is.
    pub by: By,
}

/// The ways to tell her.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum By {
    /// E-mail to herself.
    Mail(MailSettings),
    /// Web push to one browser.
    Push(Subscription),
}

/// What became of one try.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "went")]
pub enum Went {
    /// It is out.
    Out,
    /// Not yet.
    TryLater {
        /// How long the other side asks us to wait, seconds.
        after_s: Option<i64>,
        /// Why.
        why: String,
    },
    /// The channel has ended: drop it.
    Gone,
    /// No, and trying again is no use.
    Refused {
        /// Why.
        why: String,
    },
}

/// One try, for the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Delivery {
    /// The message's key.
    pub key: String,
    /// The channel's id.
    pub channel: String,
    /// When.
    pub at: Timestamp,
    /// What became of it.
    pub went: Went,
}

/// Whether a message is due by a channel, given every try so far.
///
/// Due are a first try, and another one whose time has come ([`next_try`], or later where the other
/// side asks for it). What is out, was refused, or whose channel has ended is not.
pub fn is_due(key: &str, channel: &str, record: &[Delivery], now: Timestamp) -> bool {
    let of_channel = || record.iter().filter(|delivery| delivery.channel == channel);
    if of_channel().any(|delivery| delivery.went == Went::Gone) {
        return false;
    }
    let tries: Vec<&Delivery> = of_channel().filter(|delivery| delivery.key == key).collect();
    let Some(last) = tries.iter().max_by_key(|delivery| delivery.at) else { return true };
    if !tries.iter().all(|delivery| matches!(delivery.went, Went::TryLater { .. })) {
        return false;
    }
    let Went::TryLater { after_s, .. } = last.went else { return false };
    let asked = after_s.map_or(last.at, |s| {
        last.at.checked_add(SignedDuration::from_secs(s)).unwrap_or(Timestamp::MAX)
    });
    next_try(tries.len(), last.at).is_some_and(|next| next.max(asked) <= now)
}

/// Sends what is due, each message once by each channel, and returns what became of it.
///
/// - `record`: every try so far of these messages and channels.
/// - `sender`: who signs push messages.
/// - `post`: what posts them, usually [`crate::web_push::client`].
/// - `random`: 48 random bytes a call.
/// - `now`: the moment of these tries.
///
/// E-mail and push go side by side, so that a mail server that hangs does not hold up a warning.
pub async fn deliver(
    messages: &[Message],
    channels: &[Channel],
    record: &[Delivery],
    sender: &Sender<'_>,
    post: &impl Post,
    mut random: impl FnMut() -> [u8; 48],
    now: Timestamp,
) -> Vec<Delivery> {
    let (mut mails, mut pushes) = (Vec::new(), Vec::new());
    for channel in channels {
        let due = messages.iter().filter(|of| is_due(&of.key, &channel.id, record, now));
        for message in due {
            match &channel.by {
                By::Mail(settings) => mails.push((message, channel, settings)),
                By::Push(subscription) => {
                    let fresh = Fresh::from_random(&random());
                    let request = request(message, subscription, sender, &fresh, now);
                    pushes.push((message, channel, request));
                }
            }
        }
    }
    let done = |message: &Message, channel: &Channel, went| Delivery {
        key: message.key.clone(),
        channel: channel.id.clone(),
        at: now,
        went,
    };
    let by_push = async {
        let mut tried = Vec::new();
        for (message, channel, request) in pushes {
            tried.push(done(message, channel, went_by_push(request, post, now).await));
        }
        tried
    };
    let by_mail = async {
        let mut tried = Vec::new();
        for (message, channel, settings) in mails {
            tried.push(done(message, channel, went_by_mail(message, settings, now).await));
        }
        tried
    };
    let (by_push, by_mail) = tokio::join!(by_push, by_mail);
    by_push.into_iter().chain(by_mail).collect()
}

/// What the page's service worker gets.
#[derive(Serialize)]
struct Payload<'a> {
    text: &'a str,
    tag: String,
    path: &'a str,
}

fn request(
    message: &Message,
    subscription: &Subscription,
    sender: &Sender<'_>,
    fresh: &Fresh,
    now: Timestamp,
) -> Result<PushRequest, TellError> {
    let tag = crate::web_push::topic(&message.key);
    let payload = Payload { text: &message.short, tag, path: &message.path };
    let payload = serde_json::to_vec(&payload).expect("texts are always JSON");
    let push =
        Push { payload: &payload, ttl_s: TTL_S, urgency: message.urgency, key: &message.key };
    push_request(subscription, &push, sender, fresh, now)
}

async fn went_by_push(
    request: Result<PushRequest, TellError>,
    post: &impl Post,
    now: Timestamp,
) -> Went {
    let outcome = match request {
        Ok(request) => post.post(&request, now).await,
        Err(TellError::Key) => Outcome::TryLater { after: None },
        Err(error) => return Went::Refused { why: error.to_string() },
    };
    match outcome {
        Outcome::Delivered => Went::Out,
        Outcome::Gone => Went::Gone,
        Outcome::TryLater { after } => Went::TryLater {
            after_s: after.map(|after| after.as_secs()),
            why: "the push service did not take it yet".to_owned(),
        },
        Outcome::Refused { status } => {
            Went::Refused { why: format!("the push service refused it with status {status}") }
        }
    }
}

async fn went_by_mail(message: &Message, settings: &MailSettings, now: Timestamp) -> Went {
    let sent = match mail::message(settings, &message.subject, &message.body, now, &message.key) {
        Ok(message) => mail::send(settings, &message).await,
        Err(error) => Err(error),
    };
    match sent {
        Ok(()) => Went::Out,
        Err(error) if error.is_passing() => {
            Went::TryLater { after_s: None, why: error.to_string() }
        }
        Err(error) => Went::Refused { why: error.to_string() },
    }
}
