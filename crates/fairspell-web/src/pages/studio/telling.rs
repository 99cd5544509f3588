//! How she is told: e-mail to herself, messages on her devices, the calendar's alarms.

use axum::{
    http::{HeaderMap, Uri, header},
    response::Response,
};
use fairspell_store::PushSubscription;
use fairspell_tell::{
    MailSettings, Subscription, TellError,
    mail::{self, Mailbox, Security},
};
use fairspell_words::screens::{shell, telling as words};
use maud::{Markup, html};

use super::{done, part};
use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    guard,
    pages::{calendar::token, people::email_address},
    skies::House,
    telling::{Channels, channels, keep_calendar, keep_mail, push_key},
    visit::{Posted, Visit},
};

const SECURITIES: [(Security, &str, &str); 3] = [
    (Security::Tls, "tls", words::SECURITY_TLS),
    (Security::StartTls, "starttls", words::SECURITY_STARTTLS),
    (Security::None, "none", words::SECURITY_NONE),
];

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

fn fields_of(mail: Option<&MailSettings>) -> Fields {
    let Some(mail) = mail else { return Fields::of([("port", "465"), ("security", "tls")]) };
    let security = SECURITIES.iter().find(|(known, ..)| *known == mail.security);
    Fields::of([
        ("host", mail.host.clone()),
        ("port", mail.port.to_string()),
        ("security", security.map_or("", |(_, value, _)| value).to_owned()),
        ("user", mail.user.clone()),
        ("mail_from", mail.from.address.clone()),
        ("mail_to", mail.to.address.clone()),
    ])
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

fn mail_form(visit: &Visit, channels: &Channels, fields: &Fields) -> Markup {
    let field = |name, label| Field::new(fields, name, label);
    let port = Input::Number { from: 1.0, to: 65535.0, step: 1.0 };
    let securities = SECURITIES.map(|(_, value, words)| (value, words));
    let has_password = channels.mail.as_ref().is_some_and(|mail| !mail.password.is_empty());
    let kept = if has_password { words::PASSWORD_KEPT } else { words::PASSWORD_HINT };
    html! {
        @if channels.mail.is_none() { p { (words::MAIL_OFF) } }
        @if let Some(wrong) = fields.wrong("test") { p.wrong role="alert" { (wrong) } }
        form method="post" action="/studio/telling" {
            (visit.form_field())
            input type="hidden" name="do" value="mail";
            @if fields.wrong("test").or(fields.wrong("push")).is_none() { (mistakes(fields)) }
            (field("host", words::HOST).hint(words::HOST_HINT).needed().input(Input::Text))
            (field("port", words::PORT).hint(words::PORT_HINT).needed().input(port))
            (field("security", words::SECURITY).needed().select(&securities))
            (field("user", words::USER).hint(words::USER_HINT).input(Input::Text))
            (field("password", words::PASSWORD).hint(kept).input(Input::NewPassphrase))
            (field("mail_from", words::FROM).needed().input(Input::Email))
            (field("mail_to", words::TO).hint(words::TO_HINT).needed().input(Input::Email))
            div.buttons { button.main { (shell::SAVE) } }
        }
        @if channels.mail.is_some() {
            p { (words::TEST_MEANS) }
            div.buttons {
                form method="post" action="/studio/telling/test" {
                    (visit.form_field())
                    button { (words::TEST) }
                }
                form method="post" action="/studio/telling" {
                    (visit.form_field())
                    button name="do" value="mail-off" { (words::MAIL_REMOVE) }
                }
            }
        }
    }
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

/// The mail settings of a form; `None` when something in them is wrong.
fn read(fields: &mut Fields, house: &House, known: Option<&MailSettings>) -> Option<MailSettings> {
    let host = fields.need("host", words::HOST_WRONG, |text| Some(text.to_owned()));
    let port = fields.need("port", words::PORT_WRONG, |text| text.parse().ok());
    let security = fields.need("security", words::SECURITY_WRONG, |text| {
        SECURITIES.iter().find(|(_, value, _)| *value == text).map(|(security, ..)| *security)
    });
    let from = fields.need("mail_from", words::ADDRESS_WRONG, email_address);
    let to = fields.need("mail_to", words::ADDRESS_WRONG, email_address);
    let (host, user) = (host?, fields.text("user").to_owned());
    let password = password(fields, &host, &user, known);
    let mail = MailSettings {
        host,
        port: port?,
        security: security?,
        user,
        password: password?,
        from: Mailbox { name: house.studio.name.clone(), address: from? },
        to: Mailbox { name: house.studio.owner.clone(), address: to? },
    };
    let Err(error) = mail.check() else { return Some(mail) };
    let (field, why) = match error {
        TellError::MailInTheOpen { .. } => ("security", words::IN_THE_OPEN),
        TellError::MailSetting { what: "port", .. } => ("port", words::PORT_WRONG),
        TellError::MailSetting { what: "from", .. } => ("mail_from", words::ADDRESS_WRONG),
        TellError::MailSetting { what: "to", .. } => ("mail_to", words::ADDRESS_WRONG),
        _ => ("host", words::HOST_WRONG),
    };
    fields.refuse(field, why);
    None
}

/// What was typed, or the one that is kept: but never for another server or another user, so that
/// nobody can have it sent to a server of his own.
fn password(
    fields: &mut Fields,
    host: &str,
    user: &str,
    known: Option<&MailSettings>,
) -> Option<String> {
    if user.is_empty() {
        return Some(String::new());
    }
    if let Some(typed) = fields.filled("password") {
        return Some(typed.to_owned());
    }
    let kept = known.filter(|known| known.host == host && known.user == user);
    if kept.is_none() {
        fields.refuse("password", words::PASSWORD_WRONG);
    }
    kept.map(|known| known.password.clone())
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
