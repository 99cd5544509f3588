//! How she is told, and when she was last.

use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::moment,
    text::{and_list, one_line},
};

/// The page's heading.
pub const HEADING: &str = "How you are told";
/// What she is told, and when.
pub const MEANS: &str = "You are told once when where a session stands has changed, when it must move, \
                         when an answer is missing an hour before a decision, and when a source has \
                         gone silent.";

/// Her e-mail.
pub const MAIL: &str = "By e-mail to yourself";
/// E-mail is not set up.
pub const MAIL_OFF: &str = "Not set up.";
/// The server's field.
pub const HOST: &str = "Mail server";
/// What it looks like.
pub const HOST_HINT: &str = "Your mail provider names it, such as smtp.example.org.";
/// The port's field.
pub const PORT: &str = "Port";
/// Which are usual.
pub const PORT_HINT: &str = "Usually 465 or 587.";
/// The encryption's field.
pub const SECURITY: &str = "How the way there is kept private";
/// From the first byte.
pub const SECURITY_TLS: &str = "Encrypted throughout (usually port 465)";
/// After the greeting.
pub const SECURITY_STARTTLS: &str = "Encrypted after the greeting (usually port 587)";
/// Not at all.
pub const SECURITY_NONE: &str = "Not encrypted: only for a server on this computer";
/// The user's field.
pub const USER: &str = "User name";
/// When it stays empty.
pub const USER_HINT: &str = "Empty where the server asks for none.";
/// The password's field.
pub const PASSWORD: &str = "Password";
/// A password is kept.
pub const PASSWORD_KEPT: &str = "One is kept and never shown. Leave this empty to keep it. For another \
                                 server or user name it has to be typed again.";
/// None is kept.
pub const PASSWORD_HINT: &str = "Many providers give a password of its own for programs.";
/// The sender's field.
pub const FROM: &str = "From";
/// The receiver's field.
pub const TO: &str = "To";
/// Whom the receiver should be.
pub const TO_HINT: &str = "Your own address: this is never sent to a family.";
/// Sends a test.
pub const TEST: &str = "Send a test";
/// What the test does.
pub const TEST_MEANS: &str = "Sends one e-mail now, with what is saved.";
/// Takes the settings away.
pub const MAIL_REMOVE: &str = "Stop telling me by e-mail";
/// The server is missing or impossible.
pub const HOST_WRONG: &str = "Please give the server's name alone, such as smtp.example.org.";
/// The port is impossible.
pub const PORT_WRONG: &str = "Please give a whole number from 1 to 65535.";
/// No encryption was chosen.
pub const SECURITY_WRONG: &str = "Please choose one.";
/// Only this machine without encryption.
pub const IN_THE_OPEN: &str =
    "Without encryption everybody on the way could read it: only for a server on this computer.";
/// The password has to be typed again.
pub const PASSWORD_WRONG: &str = "Please type the password: none is kept for this server and user \
                                  name.";
/// An address is impossible.
pub const ADDRESS_WRONG: &str = "Please give one e-mail address, such as name@example.org.";
/// There is nothing to test.
pub const NOTHING_TO_TEST: &str = "E-mail is not set up yet, so there is nothing to test.";
/// The demo sends nothing.
pub const DEMO_SENDS_NOTHING: &str = "The demo sends nothing.";
/// The test went out.
pub const TEST_SENT: &str = "The mail server took the test. Look whether it arrives.";
/// The test e-mail's first line.
pub const TEST_TITLE: &str = "A test from your studio";
/// The test e-mail's text.
pub const TEST_TEXT: &str = "This is the test that you asked for. When a session needs you, you will \
                             hear of it this way.";

/// Push messages.
pub const PUSH: &str = "By a message on this device";
/// What they are.
pub const PUSH_MEANS: &str = "A short line on the screen of the telephone or computer, even while this \
                              page is closed. The browser's maker carries it and cannot read it.";
/// Subscribes.
pub const PUSH_BUTTON: &str = "Tell me on this device";
/// Why it does not work here.
pub const PUSH_NOT_HERE: &str = "Browsers allow this only over a secure address (https), or on the \
                                 computer on which the studio runs. This page was opened over \
                                 neither.";
/// It needs script.
pub const PUSH_SCRIPT: &str = "The button appears where the browser can do it; it needs script.";
/// Devices that are told.
pub const PUSH_DEVICES: &str = "Devices that are told";
/// No device is told.
pub const PUSH_NONE: &str = "None yet.";
/// What the browser sent cannot be used.
pub const PUSH_WRONG: &str = "The browser's answer could not be used. Nothing was saved; please try \
                              once more.";
/// Ends one.
pub const PUSH_REMOVE: &str = "Stop";

/// The private calendar.
pub const CALENDAR: &str = "By an alarm in your calendar";
/// What it does.
pub const CALENDAR_MEANS: &str = "Your calendar program can subscribe to this address. It shows your \
                                  sessions and rings at every moment by which you have to decide, even \
                                  while the studio is off. It names the sitters, so keep the address to \
                                  yourself.";
/// There is no address yet.
pub const CALENDAR_OFF: &str = "There is no address yet.";
/// Makes one.
pub const CALENDAR_MAKE: &str = "Make an address";
/// Makes another one.
pub const CALENDAR_RENEW: &str = "New address";
/// What that does.
pub const CALENDAR_RENEW_MEANS: &str =
    "A new address ends the old one: whoever had it sees nothing any more.";
/// Ends it.
pub const CALENDAR_REMOVE: &str = "End the address";
/// The program reaches this address only at home.
pub const CALENDAR_LOCAL: &str = "This address works only where this computer can be reached.";
/// What calendar programs call it.
pub const CALENDAR_NAME: &str = "Sessions and decisions";
/// Copies it.
pub const COPY: &str = "Copy the address";
/// Says that it was copied.
pub const COPIED: &str = "Copied";

/// A device that is told: "updates.example.net, since Wed 2 Sep, 18:05".
pub fn device(service: &str, since: Timestamp, zone: &TimeZone) -> String {
    format!("Through {}, since {}", one_line(service), moment(since, zone))
}

/// The test did not go out.
pub fn test_failed(why: &str) -> String {
    format!("The test did not go out: {why}. Nothing was changed.")
}

/// The channels in one line: "By e-mail, on 2 devices and by the calendar's alarms".
pub fn channels(mail: bool, devices: usize, calendar: bool) -> Option<String> {
    let mut ways = Vec::new();
    if mail {
        ways.push("by e-mail".to_owned());
    }
    match devices {
        0 => {}
        1 => ways.push("on one device".to_owned()),
        _ => ways.push(format!("on {devices} devices")),
    }
    if calendar {
        ways.push("by the calendar's alarms".to_owned());
    }
    (!ways.is_empty()).then(|| format!("You are told {}.", and_list(&ways)))
}

/// What she was told last: "Wed 2 Sep, 18:05: Linh: now watch".
pub fn told(at: Timestamp, words: &str, zone: &TimeZone) -> String {
    format!("{}: {}", moment(at, zone), one_line(words))
}

/// How one way went: "By e-mail, Wed 2 Sep, 18:05: it went out".
pub fn delivery(channel: &str, at: Timestamp, failure: Option<&str>, zone: &TimeZone) -> String {
    let channel = match channel.split(':').next() {
        Some("mail") => "By e-mail".to_owned(),
        Some("push") => "On a device".to_owned(),
        _ => one_line(channel),
    };
    let when = moment(at, zone);
    match failure {
        None => format!("{channel}, {when}: it went out"),
        Some(why) => format!("{channel}, {when}: it did not go out ({})", one_line(why)),
    }
}

/// It was tried by no way.
pub const NOT_TRIED: &str = "It has not gone out by any way; you see it here.";
