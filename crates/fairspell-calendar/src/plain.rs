//! Texts that somebody typed elsewhere, made plain.

use crate::{About, Origin, Remark, defuse::undefused};

/// The longest text that is kept, characters.
const LONGEST: usize = 200;

/// A text on one line: blanks joined to single ones, control characters dropped.
///
/// Marks that turn the direction of what follows are dropped as well, for they would turn the
/// sentence that a name stands in; the joiners that scripts need stay.
pub(crate) fn one_line(text: &str) -> String {
    let shown: String = text
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c })
        .filter(|c| !c.is_control() && !turns_direction(*c))
        .collect();
    shown.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn turns_direction(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// A text cut to so many characters; whether it had to be.
pub(crate) fn cut(text: &str, most: usize) -> (String, bool) {
    match text.char_indices().nth(most) {
        Some((end, _)) => (text[..end].trim_end().to_owned(), true),
        None => (text.to_owned(), false),
    }
}

/// As much of a foreign text as a remark quotes.
pub(crate) fn quoted(text: &str) -> String {
    cut(&one_line(text), 60).0
}

/// Makes the texts of one booking plain, and remembers what had to be changed.
pub(crate) struct Plain<'a> {
    /// Where the booking stands.
    pub(crate) origin: &'a Origin,
    /// All remarks of the file.
    pub(crate) remarks: &'a mut Vec<Remark>,
}

impl Plain<'_> {
    /// Remembers that something is the matter.
    pub(crate) fn remark(&mut self, about: About) {
        self.remarks.push(Remark { origin: self.origin.clone(), about });
    }

    /// A text; `None` where nothing is left of it.
    pub(crate) fn text(&mut self, raw: &str) -> Option<String> {
        let (text, was_cut) = cut(undefused(&one_line(raw)), LONGEST);
        if was_cut {
            self.remark(About::Cut(cut(&text, 20).0));
        }
        Some(text).filter(|text| !text.is_empty())
    }

    /// An e-mail address: something on both sides of one @, without blanks.
    pub(crate) fn email(&mut self, raw: &str) -> Option<String> {
        let text = one_line(raw);
        if text.is_empty() {
            return None;
        }
        let is_usable = text.len() <= LONGEST
            && !text.contains([' ', ',', ';', '<', '>', '"', '\'', '(', ')'])
            && text.split_once('@').is_some_and(|(name, host)| {
                !name.is_empty() && !host.is_empty() && !host.contains('@')
            });
        if !is_usable {
            self.remark(About::EmailUnusable(quoted(&text)));
        }
        Some(text).filter(|_| is_usable)
    }

    /// A telephone number: digits and what people put between them.
    pub(crate) fn phone(&mut self, raw: &str) -> Option<String> {
        let text = one_line(raw);
        let text = undefused(&text);
        if text.is_empty() {
            return None;
        }
        let digits = text.chars().filter(char::is_ascii_digit).count();
        let is_usable = (3..=20).contains(&digits)
            && text.len() <= 40
            && text.chars().all(|c| c.is_ascii_digit() || "+-./() ".contains(c));
        if !is_usable {
            self.remark(About::PhoneUnusable(quoted(text)));
        }
        Some(text.to_owned()).filter(|_| is_usable)
    }
}
