//! The log as text, from a sheet that has no signal.
//!
//! A sheet that cannot reach the studio gives its log as text, to be sent by whatever message goes
//! through and pasted into the session's page: one line for people, then one JSON object on a line.
//! On its way it may have been wrapped, quoted or cut off.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// The version of the text that we read and write.
pub const VERSION: u64 = 1;
/// The member that marks it and holds its version.
const MARK: &str = "fairspell_field_log";
/// A message has not more braces before its log.
const BRACES_MAX: usize = 50;

/// A log as text.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LogText {
    /// The version of this format: 1.
    #[serde(rename = "fairspell_field_log")]
    pub version: u64,
    /// The session, by id.
    pub session: String,
    /// The digest of the sheet on which it was tapped.
    #[serde(default)]
    pub sheet_digest: String,
    /// When it was written, by the phone's clock.
    pub written_at: Timestamp,
    /// The events as the phone has them.
    pub events: Vec<Value>,
}

/// Why a text cannot be taken in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LogTextError {
    /// There is no log in it.
    #[error("there is no field log in this text")]
    NoLog,
    /// It ends in the middle.
    #[error("the field log is cut off")]
    CutOff,
    /// Something in it was changed on the way.
    #[error("the field log is garbled")]
    Garbled,
    /// It is of another session.
    #[error("the field log is of session `{found}`")]
    OtherSession {
        /// The session it is of.
        found: String,
    },
    /// It is of another version.
    #[error("the field log is of version {found}, and this program reads {VERSION}")]
    OtherVersion {
        /// The version it is of.
        found: u64,
    },
}

/// Reads a log out of a text that was pasted: whatever stands before and after it, also where a
/// message was wrapped into lines.
///
/// - `session`: whose log it has to be.
///
/// # Errors
///
/// What is wrong with it; nothing of it is then taken.
///
/// # Examples
///
/// ```
/// use fairspell_studio::field_text::{LogTextError, read_log_text};
///
/// let text = "Field log of Linh, 12 taps\n{\"fairspell_field_log\": 1, \"session\": \"2026-09-03-linh\", \
///             \"sheet_digest\": \"\", \"written_at\": \"2026-09-03T08:00:00Z\", \"events\": []}";
/// assert!(read_log_text(text, "2026-09-03-linh").is_ok());
/// assert_eq!(read_log_text(&text[..90], "2026-09-03-linh"), Err(LogTextError::CutOff));
/// ```
pub fn read_log_text(text: &str, session: &str) -> Result<LogText, LogTextError> {
    let value = marked_object(text)?;
    match value[MARK].as_u64() {
        Some(VERSION) => {}
        Some(found) => return Err(LogTextError::OtherVersion { found }),
        None => return Err(LogTextError::Garbled),
    }
    let read: LogText = serde_json::from_value(value).map_err(|_| LogTextError::Garbled)?;
    if read.session == session {
        Ok(read)
    } else {
        Err(LogTextError::OtherSession { found: read.session })
    }
}

/// The object with our mark among its members, wherever it begins.
///
/// Between two words of a note a line may have been broken, which JSON does not allow; then the break
/// was a blank, and elsewhere in JSON it is as good as one.
fn marked_object(text: &str) -> Result<Value, LogTextError> {
    let text = text.replace("\r\n", " ").replace('\n', " ");
    let mark = text.find(MARK).ok_or(LogTextError::NoLog)?;
    let mut problem = LogTextError::Garbled;
    for (begin, _) in text[..mark].match_indices('{').take(BRACES_MAX) {
        let read = serde_json::Deserializer::from_str(&text[begin..]).into_iter::<Value>().next();
        match read {
            Some(Ok(value)) if value.get(MARK).is_some() => return Ok(value),
            Some(Err(error)) if error.is_eof() => problem = LogTextError::CutOff,
            Some(Ok(_) | Err(_)) | None => {}
        }
    }
    Err(problem)
}
