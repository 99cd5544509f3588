//! The message as it goes out.

use std::time::{Duration, SystemTime};

use jiff::Timestamp;
use lettre::{
    Message,
    message::header::{ContentType, HeaderName, HeaderValue, MIME_VERSION_1_0},
};

use super::{MailSettings, settings::on_one_line};
use crate::{TellError, web_push::topic};

/// A message to the photographer.
///
/// - `date`: when it was written.
/// - `key`: the same for the same notice: it makes the Message-ID, so that a message that goes out
///   twice after all is seen as one.
///
/// # Errors
///
/// [`TellError::MailSetting`] for an address that cannot be.
///
/// # Source
///
/// RFC 5322 and RFC 2047 for the header, RFC 3834 for "Auto-Submitted", which keeps holiday notes
/// from answering.
pub fn message(
    settings: &MailSettings,
    subject: &str,
    body: &str,
    date: Timestamp,
    key: &str,
) -> Result<Message, TellError> {
    let from = settings.from.checked("from")?;
    let to = settings.to.checked("to")?;
    let id = format!("<{}@{}>", topic(key), from.email.domain());
    let automatic = HeaderName::new_from_ascii_str("Auto-Submitted");
    Message::builder()
        .date(system_time(date))
        .from(from)
        .to(to)
        .message_id(Some(id))
        .subject(on_one_line(subject))
        .raw_header(HeaderValue::new(automatic, "auto-generated".to_owned()))
        .header(MIME_VERSION_1_0)
        .header(ContentType::TEXT_PLAIN)
        .body(body.to_owned())
        .map_err(|cause| TellError::MailSetting { what: "from, to", value: cause.to_string() })
}

/// Whole seconds from 1970 on, which is all that a mail's date can say here.
fn system_time(date: Timestamp) -> SystemTime {
    let seconds = u64::try_from(date.as_second()).unwrap_or(0);
    SystemTime::UNIX_EPOCH + Duration::from_secs(seconds)
}
