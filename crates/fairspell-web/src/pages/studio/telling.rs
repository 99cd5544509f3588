//! How she is told: e-mail to herself, messages on her devices, the calendar's alarms.

mod mail_form;

use axum::{
    http::{HeaderMap, Uri, header},
    response::Response,
};
use fairspell_store::PushSubscription;
use fairspell_tell::{MailSettings, Subscription, TellError, mail};
use fairspell_words::screens::telling as words;
use maud::{Markup, html};

use mail_form::{fields_of, mail_form, read};

use super::{done, part};
use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    guard,
    pages::calendar::token,
    skies::House,
    telling::{Channels, channels, keep_calendar, keep_mail, push_key},
    visit::{Posted, Visit},
};

/// Where the page was asked for: it decides what a browser allows, and how others reach us.
struct Here<'a> {
    headers: &'a HeaderMap,
    uri: &'a Uri,
}

impl Here<'_> {
    fn host(&self) -> &str {
        let named = self.headers.get(header::HOST).and_then(|value| value.to_str().ok());
        named.unwrap_or_default()
    }

    /// Whether browsers take the origin for a secure one.
    fn is_secure(&self, app: &Shared) -> bool {
        let host = self.host();
        let name = host.rsplit_once(':').map_or(host, |(name, _)| name);
        let is_this_machine = matches!(name, "localhost" | "[::1]") || name.starts_with("127.");
        let is_public = guard::came_by_public_address(app, self.headers, self.uri);
        is_this_machine || (guard::is_secure(app) && is_public)
    }

    /// The studio's address, as calendar programs should use it.
    fn base(&self, app: &Shared) -> String {
        let public = app.settings.public_url.clone();
        public.unwrap_or_else(|| format!("http://{}", self.host()))
    }
}

/// `GET /studio/telling`.
pub(crate) async fn edit(
    visit: Visit,
    headers: HeaderMap,
    uri: Uri,
) -> Result<Response, PageError> {
    let here = Here { headers: &headers, uri: &uri };
    let channels = channels(&visit.app).await?;
    let fields = fields_of(channels.mail.as_ref());
    telling_page(&visit, &here, &channels, &fields).await
}

async fn telling_page(
    visit: &Visit,
    here: &Here<'_>,
    channels: &Channels,
    fields: &Fields,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let key = push_key(app).await?.public_text();
    let body = html! {
        p { (words::MEANS) }
        h2 { (words::MAIL) }
        (mail_form(visit, channels, fields))
        h2 { (words::PUSH) }
        p { (words::PUSH_MEANS) }
        @if let Some(wrong) = fields.wrong("push") { p.wrong role="alert" { (wrong) } }
        @if here.is_secure(app) { (push_form(visit, &key)) } @else { p { (words::PUSH_NOT_HERE) } }
        (devices(visit, house, channels))
        h2 { (words::CALENDAR) }
        p { (words::CALENDAR_MEANS) }
        (calendar(visit, here, channels))
    };
    Ok(part(visit, words::HEADING, &body))
}

/// Filled in by script, where the browser can do it.
fn push_form(visit: &Visit, key: &str) -> Markup {
    html! {
        form method="post" action="/studio/telling/push" data-push-key=(key) hidden {
            (visit.form_field())
            input type="hidden" name="endpoint";
            input type="hidden" name="p256dh";
            input type="hidden" name="auth";
            button { (words::PUSH_BUTTON) }
        }
        p.quiet { (words::PUSH_SCRIPT) }
    }
}

fn devices(visit: &Visit, house: &House, channels: &Channels) -> Markup {
    html! {
        h3 { (words::PUSH_DEVICES) }
        @if channels.devices.is_empty() {
            p { (words::PUSH_NONE) }
        } @else {
            ul.lines {
                @for device in &channels.devices {
                    @let line = words::device(service(device), device.at, &house.zone);
                    li {
                        (line)
                        form method="post" action="/studio/telling" {
                            (visit.form_field())
                            input type="hidden" name="do" value="push-off";
                            input type="hidden" name="endpoint" value=(device.endpoint);
                            button.plain aria-label=(format!("{}: {line}", words::PUSH_REMOVE)) {
                                (words::PUSH_REMOVE)
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The host that carries the messages; the rest of the address is the device's secret.
fn service(device: &PushSubscription) -> &str {
    let rest = device.endpoint.split("://").nth(1).unwrap_or_default();
    rest.split('/').next().unwrap_or_default()
}

fn calendar(visit: &Visit, here: &Here<'_>, channels: &Channels) -> Markup {
    let app = &visit.app;
    let feed = channels.calendar;
    let address = format!("{}/calendar/{}", here.base(app), token(&app.secrets, feed.number));
    let button = |value: &str, label: &str| {
        html! {
            form method="post" action="/studio/telling" {
                (visit.form_field())
                button name="do" value=(value) { (label) }
            }
        }
    };
    html! {
        @if feed.is_on {
            p { code #calendar-address { (address) } }
            @if app.settings.public_url.is_none() { p.quiet { (words::CALENDAR_LOCAL) } }
            p { (words::CALENDAR_RENEW_MEANS) }
            div.buttons {
                button data-copy="#calendar-address" data-copied=(words::COPIED) hidden { (words::COPY) }
                (button("calendar-new", words::CALENDAR_RENEW))
                (button("calendar-off", words::CALENDAR_REMOVE))
            }
        } @else {
            p { (words::CALENDAR_OFF) }
            div.buttons { (button("calendar-new", words::CALENDAR_MAKE)) }
        }
    }
}

/// `POST /studio/telling`.
pub(crate) async fn save(
    headers: HeaderMap,
    uri: Uri,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let mut known = channels(app).await?;
    match fields.text("do") {
        "mail-off" => keep_mail(app, None).await?,
        "push-off" => {
            app.store.drop_push_subscription(fields.text("endpoint")).await?;
        }
        way @ ("calendar-new" | "calendar-off") => {
            // Counted up either way: an address that was ended never comes back.
            known.calendar.number = known.calendar.number.wrapping_add(1);
            known.calendar.is_on = way == "calendar-new";
            keep_calendar(app, known.calendar).await?;
        }
        _ => {
            let skies = app.skies();
            let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
            let Some(mail) = read(&mut fields, house, known.mail.as_ref()) else {
                let here = Here { headers: &headers, uri: &uri };
                return telling_page(&visit, &here, &known, &fields).await;
            };
            keep_mail(app, Some(&mail)).await?;
        }
    }
    Ok(done("telling", "kept"))
}

/// `POST /studio/telling/push`: this browser takes messages from now on.
pub(crate) async fn subscribe(
    headers: HeaderMap,
    uri: Uri,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let subscription = PushSubscription {
        endpoint: fields.text("endpoint").to_owned(),
        p256dh: fields.text("p256dh").to_owned(),
        auth: fields.text("auth").to_owned(),
        at: app.clock.real(),
    };
    let PushSubscription { endpoint, p256dh, auth, .. } = &subscription;
    if Subscription::new(endpoint, p256dh, auth).is_err() {
        fields.refuse("push", words::PUSH_WRONG);
        return again(&visit, &headers, &uri, &fields, "push").await;
    }
    app.store.save_push_subscription(&subscription).await?;
    Ok(done("telling", "kept"))
}

/// `POST /studio/telling/test`: one e-mail to herself, now.
pub(crate) async fn test(
    headers: HeaderMap,
    uri: Uri,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let mail = channels(app).await?.mail;
    let tested = match mail {
        _ if app.settings.is_demo => Err(words::DEMO_SENDS_NOTHING.to_owned()),
        None => Err(words::NOTHING_TO_TEST.to_owned()),
        Some(mail) => send_test(app, &mail).await.map_err(|e| words::test_failed(&e.to_string())),
    };
    match tested {
        Ok(()) => Ok(done("telling", "told")),
        Err(why) => {
            fields.refuse("test", why);
            again(&visit, &headers, &uri, &fields, "test").await
        }
    }
}

async fn send_test(app: &Shared, settings: &MailSettings) -> Result<(), TellError> {
    let now = app.clock.real();
    let key = format!("test-{now}");
    let message = mail::message(settings, words::TEST_TITLE, words::TEST_TEXT, now, &key)?;
    mail::send(settings, &message).await
}

/// The page with what is saved, and one mistake that is none of its fields'.
async fn again(
    visit: &Visit,
    headers: &HeaderMap,
    uri: &Uri,
    fields: &Fields,
    what: &str,
) -> Result<Response, PageError> {
    let channels = channels(&visit.app).await?;
    let mut shown = fields_of(channels.mail.as_ref());
    shown.refuse(what, fields.wrong(what).unwrap_or_default());
    telling_page(visit, &Here { headers, uri }, &channels, &shown).await
}
