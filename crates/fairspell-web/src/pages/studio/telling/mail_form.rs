//! Her mail server as a form: its password goes in and never comes out.

use fairspell_tell::{
    MailSettings, TellError,
    mail::{Mailbox, Security},
};
use fairspell_words::screens::{shell, telling as words};
use maud::{Markup, html};

use crate::{
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    pages::people::email_address,
    skies::House,
    telling::Channels,
    visit::Visit,
};

const SECURITIES: [(Security, &str, &str); 3] = [
    (Security::Tls, "tls", words::SECURITY_TLS),
    (Security::StartTls, "starttls", words::SECURITY_STARTTLS),
    (Security::None, "none", words::SECURITY_NONE),
];

/// The form as it stands.
pub(super) fn fields_of(mail: Option<&MailSettings>) -> Fields {
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

/// The form, with a test where there is something to test.
pub(super) fn mail_form(visit: &Visit, channels: &Channels, fields: &Fields) -> Markup {
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

/// The mail settings of a form; `None` when something in them is wrong.
pub(super) fn read(
    fields: &mut Fields,
    house: &House,
    known: Option<&MailSettings>,
) -> Option<MailSettings> {
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
