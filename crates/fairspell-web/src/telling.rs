//! The ways in which she can be told, as they are set up, and when she was told last.

use fairspell_store::{PushSubscription, StoreError, Told};
use fairspell_tell::{Channel, MailSettings, Subscription, VapidKey, deliver::By, web_push::topic};
use fairspell_words::screens::{now as now_words, telling as words};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use crate::{app::App, skies::House, watch::CONTACT};

/// Under which name her mail server is kept.
const MAIL: &str = "mail";
/// Under which name the studio's key for push services is kept.
const PUSH_KEY: &str = "push_key";
/// Under which name the private calendar is kept.
const CALENDAR: &str = "calendar";

/// Draws for a key before we give up: one in four thousand million is none.
const DRAWS: usize = 4;

/// The private calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(crate) struct CalendarFeed {
    /// Stands in the address; counted up to end the address before.
    pub(crate) number: u32,
    /// Whether the address leads anywhere.
    pub(crate) is_on: bool,
}

/// What is set up.
#[derive(Debug)]
pub(crate) struct Channels {
    /// E-mail to herself.
    pub(crate) mail: Option<MailSettings>,
    /// Browsers that take push messages.
    pub(crate) devices: Vec<PushSubscription>,
    /// The calendar's alarms.
    pub(crate) calendar: CalendarFeed,
}

impl Channels {
    /// In one line; `None` when there is none.
    pub(crate) fn line(&self) -> Option<String> {
        words::channels(self.mail.is_some(), self.devices.len(), self.calendar.is_on)
    }
}

/// What can send, with what it needs.
#[derive(Debug)]
pub(crate) struct Ways {
    /// The studio's key for push services.
    pub(crate) vapid_key: VapidKey,
    /// Where push services can reach her.
    pub(crate) contact: String,
    /// E-mail, and a way for each browser.
    pub(crate) channels: Vec<Channel>,
}

/// What is set up.
pub(crate) async fn channels(app: &App) -> Result<Channels, StoreError> {
    Ok(Channels {
        mail: app.store.setting::<Option<MailSettings>>(MAIL).await?.flatten(),
        devices: app.store.push_subscriptions().await?,
        calendar: calendar(app).await?,
    })
}

/// The private calendar.
pub(crate) async fn calendar(app: &App) -> Result<CalendarFeed, StoreError> {
    Ok(app.store.setting(CALENDAR).await?.unwrap_or_default())
}

/// Keeps the private calendar.
pub(crate) async fn keep_calendar(app: &App, feed: CalendarFeed) -> Result<(), StoreError> {
    app.store.save_setting(CALENDAR, &feed).await
}

/// Keeps her mail server, or that there is none.
pub(crate) async fn keep_mail(app: &App, mail: Option<&MailSettings>) -> Result<(), StoreError> {
    app.store.save_setting(MAIL, &mail).await
}

/// What can send.
pub(crate) async fn ways(app: &App) -> Result<Ways, StoreError> {
    let Channels { mail, devices, .. } = channels(app).await?;
    let by_mail = mail.map(|mail| Channel { id: "mail".to_owned(), by: By::Mail(mail) });
    let by_push = devices.iter().filter_map(|device| {
        let subscription =
            Subscription::new(&device.endpoint, &device.p256dh, &device.auth).ok()?;
        Some(Channel { id: push_id(device), by: By::Push(subscription) })
    });
    Ok(Ways {
        vapid_key: push_key(app).await?,
        contact: push_contact(app).await?,
        channels: by_mail.into_iter().chain(by_push).collect(),
    })
}

/// Drops a way that has ended: a browser that no longer takes messages.
pub(crate) async fn drop_way(app: &App, id: &str) -> Result<(), StoreError> {
    for device in app.store.push_subscriptions().await? {
        if push_id(&device) == id {
            app.store.drop_push_subscription(&device.endpoint).await?;
        }
    }
    Ok(())
}

/// What a browser is called in the record: nothing that could be posted to.
fn push_id(device: &PushSubscription) -> String {
    format!("push:{}", topic(&device.endpoint))
}

/// The studio's key for push services, made when there is none.
pub(crate) async fn push_key(app: &App) -> Result<VapidKey, StoreError> {
    if let Some(text) = app.store.setting::<String>(PUSH_KEY).await? {
        return text.parse().map_err(|error| StoreError::Other(Box::new(error)));
    }
    let drawn = (0..DRAWS).find_map(|_| VapidKey::generate(&app.machine.random_bytes()).ok());
    let key = drawn.ok_or_else(|| StoreError::Other("no key could be drawn".into()))?;
    app.store.save_setting(PUSH_KEY, &key.to_private_text()).await?;
    Ok(key)
}

/// Where push services can reach her; they ask for something even where she has given nothing.
async fn push_contact(app: &App) -> Result<String, StoreError> {
    let contact: Option<String> = app.store.setting(CONTACT).await?;
    let contact = contact.filter(|contact| !contact.is_empty());
    Ok(contact.map_or_else(
        || "mailto:nobody@example.invalid".to_owned(),
        |contact| if contact.contains('@') { format!("mailto:{contact}") } else { contact },
    ))
}

/// What she was told last, whether it went out, and by which ways she is told.
pub(crate) fn last_told(house: &House, told: Option<&Told>, channels: &Channels) -> Markup {
    html! {
        @match told {
            None => p { (now_words::NEVER_TOLD) },
            Some(told) => {
                p {
                    @match &told.session {
                        Some(session) => a href=(format!("/sessions/{session}")) {
                            (words::told(told.at, &told.words, &house.zone))
                        },
                        None => (words::told(told.at, &told.words, &house.zone)),
                    }
                }
                @if told.deliveries.is_empty() {
                    p.quiet { (words::NOT_TRIED) }
                } @else {
                    ul {
                        @for one in &told.deliveries {
                            li {
                                (words::delivery(
                                    &one.channel,
                                    one.at,
                                    one.failure.as_deref(),
                                    &house.zone,
                                ))
                            }
                        }
                    }
                }
            },
        }
        p.quiet {
            @match channels.line() {
                Some(line) => (line),
                None => (now_words::NO_CHANNEL),
            }
            " " a href="/studio/telling" { (now_words::SET_UP_TELLING) }
        }
    }
}
