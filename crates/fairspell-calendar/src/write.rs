//! The lines that an iCalendar file is made of, written.
//!
//! Written here and not by the crate `icalendar`: its version 0.17 looks for a place to fold by
//! counting characters where it means octets, and never comes back from "Жанна ... a b c" of a
//! certain length; it also puts the clock's time and a random name into every alarm.

/// The longest line, octets without its end.
const LONGEST: usize = 75;

/// A calendar in the making.
pub(crate) struct Writer(String);

impl Writer {
    /// A calendar with what every calendar begins with.
    pub(crate) fn new() -> Self {
        let mut writer = Writer(String::new());
        writer.line("BEGIN:VCALENDAR");
        writer.value("VERSION", "2.0");
        writer.value("PRODID", "-//Fairspell//Calendar//EN");
        writer.value("CALSCALE", "GREGORIAN");
        writer
    }

    /// A component with the properties that are written inside.
    pub(crate) fn component(&mut self, kind: &str, inside: impl FnOnce(&mut Self)) {
        self.value("BEGIN", kind);
        inside(self);
        self.value("END", kind);
    }

    /// A property whose value is no text: a moment, a number, a word of the standard.
    pub(crate) fn value(&mut self, name: &str, value: &str) {
        self.line(&format!("{name}:{value}"));
    }

    /// A property whose value is text, with its escapes (section 3.3.11).
    pub(crate) fn text(&mut self, name: &str, text: &str) {
        let escaped = text.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,");
        self.value(name, &escaped.replace('\n', "\\n"));
    }

    /// The whole calendar.
    pub(crate) fn finish(mut self) -> String {
        self.line("END:VCALENDAR");
        self.0
    }

    /// A line of at most 75 octets, continued on further ones where it is longer; never broken
    /// inside a character.
    ///
    /// # Source
    ///
    /// RFC 5545, section 3.1.
    fn line(&mut self, line: &str) {
        let mut octets = 0;
        // A control character cannot stand in a line, and a line end inside would begin another.
        for c in line.chars().filter(|c| !c.is_control()) {
            if octets + c.len_utf8() > LONGEST {
                self.0.push_str("\r\n ");
                octets = 1;
            }
            self.0.push(c);
            octets += c.len_utf8();
        }
        self.0.push_str("\r\n");
    }
}
