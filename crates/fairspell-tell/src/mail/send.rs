//! Handing a message to the mail server.

use std::time::Duration;

use lettre::{
    AsyncSmtpTransport, AsyncTransport, Message, Tokio1Executor,
    transport::smtp::{
        Error,
        authentication::Credentials,
        client::{Tls, TlsParameters},
        extension::ClientId,
    },
};

use super::{MailSettings, Security};
use crate::TellError;

/// How long the server may take for one answer, seconds.
const ANSWER_S: u64 = 10;

/// How long the whole may take, seconds.
const WHOLE_S: u64 = 30;

/// Hands a message to the server of the settings.
///
/// # Errors
///
/// [`TellError`] by cause: cannot reach, no secure connection, refused sign-in, refused address,
/// later, refused.
pub async fn send(settings: &MailSettings, message: &Message) -> Result<(), TellError> {
    settings.check()?;
    let transport = transport(settings)?;
    let text = message.formatted();
    let sending = transport.send_raw(message.envelope(), &text);
    match tokio::time::timeout(Duration::from_secs(WHOLE_S), sending).await {
        Ok(Ok(_)) => Ok(()),
        Ok(Err(error)) => Err(cause(settings, &error)),
        Err(_) => Err(cannot_reach(settings)),
    }
}

fn transport(settings: &MailSettings) -> Result<AsyncSmtpTransport<Tokio1Executor>, TellError> {
    let host = &settings.host;
    let parameters = || {
        TlsParameters::new(host.clone()).map_err(|error| not_secure(settings, error.to_string()))
    };
    let tls = match settings.security {
        Security::Tls => Tls::Wrapper(parameters()?),
        Security::StartTls => Tls::Required(parameters()?),
        Security::None => Tls::None,
    };
    let mut builder = AsyncSmtpTransport::<Tokio1Executor>::builder_dangerous(host.clone())
        .port(settings.port)
        .tls(tls)
        .timeout(Some(Duration::from_secs(ANSWER_S)))
        // The machine's own name is nobody's business.
        .hello_name(ClientId::Domain("localhost".to_owned()));
    if !settings.user.is_empty() {
        let (user, password) = (settings.user.clone(), settings.password.clone());
        builder = builder.credentials(Credentials::new(user, password));
    }
    Ok(builder.build())
}

/// What the server's answer means for her.
///
/// # Source
///
/// RFC 4954, section 6 (530, 534, 535, 538: signing in); RFC 5321, section 4.2.3, and RFC 7504
/// (550, 551, 553, 556: an address).
fn cause(settings: &MailSettings, error: &Error) -> TellError {
    if error.is_tls() {
        return not_secure(settings, what_it_says(error));
    }
    if let Some(status) = error.status() {
        let says = what_it_says(error);
        return match u16::from(status) {
            530 | 534 | 535 | 538 => TellError::SignIn(says),
            550 | 551 | 553 | 556 => TellError::Address(says),
            400..500 => TellError::Later(says),
            _ => TellError::Refused(says),
        };
    }
    if error.is_client() {
        // The server offers less than the settings ask for: no STARTTLS, or no way to sign in.
        return match settings.security {
            Security::StartTls => not_secure(settings, what_it_says(error)),
            _ => TellError::SignIn(what_it_says(error)),
        };
    }
    if error.is_response() {
        return TellError::Refused(what_it_says(error));
    }
    cannot_reach(settings)
}

fn cannot_reach(settings: &MailSettings) -> TellError {
    TellError::CannotReach { host: settings.host.clone(), port: settings.port }
}

fn not_secure(settings: &MailSettings, why: String) -> TellError {
    TellError::NotSecure { host: settings.host.clone(), why }
}

/// The other side's own words, on one line and not endless.
fn what_it_says(error: &Error) -> String {
    let text = super::settings::on_one_line(&error.to_string());
    text.chars().take(200).collect()
}
