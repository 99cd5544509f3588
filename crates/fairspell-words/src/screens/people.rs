//! Families: who they are, what they were told and answered, and how they are forgotten.

use fairspell_studio::{Person, Role, Session};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::{date_and_clock, moment},
    text::{and_list, capital, one_line},
};

/// The page's heading.
pub const HEADING: &str = "People";
/// Begins a new person.
pub const NEW: &str = "New person";
/// Heads an empty form.
pub const NEW_HEADING: &str = "A new person";
/// There is nobody.
pub const NOBODY: &str = "Nobody is here yet. People come in with a session, or one by one.";
/// Families with a session to come.
pub const COMING: &str = "With a session to come";
/// Families whose session is over.
pub const OVER: &str = "With a session that is over";
/// People who are in no session.
pub const WITHOUT_SESSION: &str = "In no session";
/// Nothing was sent to a family.
pub const NO_LETTER: &str = "No letter has gone out to them.";
/// The name's field.
pub const NAME: &str = "Name, as letters call her or him";
/// The role's field.
pub const ROLE: &str = "Who that is";
/// The address's field.
pub const EMAIL: &str = "E-mail address";
/// What it is for.
pub const EMAIL_HINT: &str = "Letters open in your mail program with it.";
/// The number's field.
pub const PHONE: &str = "Telephone number";
/// How it may be written.
pub const PHONE_HINT: &str = "Written as you like, with the country's number where it is abroad.";
/// There is no name.
pub const NAME_WRONG: &str = "Please give a name.";
/// There is no role.
pub const ROLE_WRONG: &str = "Please choose one.";
/// The address cannot be one.
pub const EMAIL_WRONG: &str =
    "That does not look like an e-mail address. One looks like name@example.org.";
/// The number cannot be one.
pub const PHONE_WRONG: &str =
    "That does not look like a telephone number. It needs digits, such as +61 2 5550 1234.";
/// What was sent and answered.
pub const RECORD: &str = "Letters and answers";
/// The person's sessions.
pub const SESSIONS: &str = "Sessions";
/// The person is in no session.
pub const NO_SESSION: &str = "In no session.";
/// Heads what cannot be taken back.
pub const TAKE_AWAY: &str = "Taking away";
/// What deleting does.
pub const DELETE_MEANS: &str = "Deleting takes this person out of your lists. It can be undone; \
                                letters and answers stay in the record.";
/// Deletes.
pub const DELETE: &str = "Delete this person";
/// What erasing does.
pub const ERASE_MEANS: &str =
    "Erasing is for a family that asks to be forgotten. It cannot be undone.";
/// Leads to the question.
pub const ERASE: &str = "Erase this family";
/// Heads the question.
pub const ERASE_HEADING: &str = "Erase this family?";
/// Heads what goes.
pub const GOES: &str = "What goes, for good";
/// Heads what stays.
pub const STAYS: &str = "What stays";
/// The texts that go.
pub const GOES_TEXTS: &str = "The texts of all letters to them, of their answers, and of what you \
                              were told about them; a letter that you have begun";
/// The former versions that go.
pub const GOES_CHANGES: &str = "Everything that the journal holds of changes to their names, \
                                addresses and sessions; none of it can be undone afterwards";
/// What can be proved.
pub const STAYS_PROOF: &str = "What was agreed can still be proved, but no longer read: that a letter \
                               went out, that it was answered, and when, stays in the journal as a seal";
/// The session's row.
pub const STAYS_SESSIONS: &str = "The sessions themselves with their dates, places and skies, under \
                                  no name, so that your season's record stays whole";
/// What the program cannot reach.
pub const STAYS_ELSEWHERE: &str = "What lies outside this studio: sent e-mails and messages, and \
                                   backups made before today. Delete those yourself, and make a new \
                                   backup afterwards";
/// The tick.
pub const SURE: &str = "I have read this. Erase them.";
/// The tick is missing.
pub const SURE_WRONG: &str = "Please tick this first. Nothing has been erased.";
/// Erases.
pub const ERASE_BUTTON: &str = "Erase for good";
/// Stands for the names of a family that was erased.
pub const ERASED_NAME: &str = "a family that was erased";

/// What a person is to a session.
pub fn role(role: Role) -> &'static str {
    match role {
        Role::Sitter => "portrayed",
        Role::Guardian => "the adult who agrees and pays",
        Role::Companion => "comes along",
    }
}

/// A session of a family: "Linh, with Quoc: Thu 3 Sep, 15:15".
pub fn family(session: &Session) -> String {
    let (sitter, guardian) = (one_line(&session.sitter), one_line(&session.guardian));
    let when = date_and_clock(session.start);
    if sitter == guardian || guardian.is_empty() {
        format!("{sitter}: {when}")
    } else {
        format!("{sitter}, with {guardian}: {when}")
    }
}

/// A person in a list: "Quoc, the adult who agrees and pays; quoc@example.org".
pub fn person(person: &Person) -> String {
    let reached: Vec<String> =
        [&person.email, &person.phone].into_iter().flatten().map(|way| one_line(way)).collect();
    let reached = if reached.is_empty() { "no address yet".to_owned() } else { reached.join(", ") };
    format!("{}; {reached}", capital(role(person.role)))
}

/// What they were told last: "Last told Wed 2 Sep, 18:05: Still on".
pub fn last_told(at: Timestamp, title: &str, zone: &TimeZone) -> String {
    format!("Last told {}: {}", moment(at, zone), one_line(title))
}

/// Who is erased: "The names, addresses and telephone numbers of Linh and Quoc".
pub fn goes_people(names: &[String]) -> String {
    let names: Vec<String> = names.iter().map(|name| one_line(name)).collect();
    if names.is_empty() {
        "All names in these sessions".to_owned()
    } else {
        format!("The names, addresses and telephone numbers of {}", and_list(&names))
    }
}

/// Whose sessions lose their names: "The names in these sessions: ...".
pub fn goes_session(session: &Session) -> String {
    format!("The names in the session of {}", date_and_clock(session.start))
}
