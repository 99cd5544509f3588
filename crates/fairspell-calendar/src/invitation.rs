//! A family's own copy of the date.

use fairspell_studio::{Session, SessionError, Studio};
use fairspell_words::calendar::{invitation_text, invitation_title};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    feed::{meeting_spot, session_lines, text},
    plain::one_line,
    write::Writer,
};

/// A calendar file with the session alone, for the family: place and time, nothing of the weather.
///
/// A later file with the same session replaces it in their calendar, for example after a move.
///
/// - `reply_to`: the studio's e-mail address, where it has one.
/// - `now`: when it is written.
///
/// # Errors
///
/// A [`SessionError`] for a start that does not exist or comes twice.
///
/// # Source
///
/// RFC 5546, section 3.2.1: a published event names its organizer and invites nobody.
pub fn session_invitation(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    reply_to: Option<&str>,
    now: Timestamp,
) -> Result<String, SessionError> {
    let hours = session.booked(zone)?;
    let spot = meeting_spot(studio, session).map(|spot| spot.name.as_str());
    // Without an address this is what programs write for nobody to answer to.
    let address = reply_to
        .map(one_line)
        .filter(|address| !address.is_empty())
        .map_or_else(|| "invalid:nomail".to_owned(), |address| format!("mailto:{address}"));
    // A quotation mark cannot stand in a parameter (RFC 5545, section 3.1).
    let owner = text(&studio.owner).replace('"', "'");
    let mut calendar = Writer::new();
    calendar.value("METHOD", "PUBLISH");
    calendar.component("VEVENT", |event| {
        session_lines(event, studio, session, hours, now);
        event.text("SUMMARY", &text(&invitation_title(&studio.owner)));
        event.text("DESCRIPTION", &text(&invitation_text(&session.sitter, spot, session.start)));
        event.value(&format!("ORGANIZER;CN=\"{owner}\""), &address);
    });
    Ok(calendar.finish())
}
