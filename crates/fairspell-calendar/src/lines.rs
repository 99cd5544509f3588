//! The lines and components that every iCalendar file is made of.

use crate::decode::decoded;

/// How deep components may lie in each other; the standard needs three.
const DEEPEST: usize = 8;

/// One property: its name, its parameters, its value still escaped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Property {
    /// Its name, in capitals.
    pub(crate) name: String,
    /// Parameters with their names in capitals.
    pub(crate) parameters: Vec<(String, String)>,
    /// The value as written.
    pub(crate) value: String,
}

impl Property {
    /// A parameter by its name, in capitals.
    pub(crate) fn parameter(&self, name: &str) -> Option<&str> {
        self.parameters.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }
}

/// A calendar, an event, a time zone: properties, and components inside.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Component {
    /// What it is: `VEVENT`.
    pub(crate) kind: String,
    /// Its properties, in order.
    pub(crate) properties: Vec<Property>,
    /// The components inside, in order.
    pub(crate) inside: Vec<Component>,
    /// Whether its end was there.
    pub(crate) is_whole: bool,
}

impl Component {
    /// The first property of a name.
    pub(crate) fn property(&self, name: &str) -> Option<&Property> {
        self.properties.iter().find(|property| property.name == name)
    }

    /// All properties of a name.
    pub(crate) fn properties<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Property> {
        self.properties.iter().filter(move |property| property.name == name)
    }

    /// The components inside of a kind.
    pub(crate) fn all<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a Component> {
        self.inside.iter().filter(move |component| component.kind == kind)
    }
}

/// Whether a text is a calendar.
pub(crate) fn is_calendar(text: &str) -> bool {
    let first = text.trim_start().as_bytes();
    let begin = b"BEGIN:VCALENDAR";
    first.len() >= begin.len() && first[..begin.len()].eq_ignore_ascii_case(begin)
}

/// The outermost components of a file. What is no line of the format is passed over.
///
/// # Source
///
/// RFC 5545, sections 3.1 and 3.6.
pub(crate) fn components(bytes: &[u8]) -> Vec<Component> {
    let text = unfolded(bytes);
    // The file itself is the outermost component.
    let mut open = vec![Component::default()];
    for property in text.lines().filter_map(property) {
        match property.name.as_str() {
            "BEGIN" if open.len() <= DEEPEST => {
                let kind = property.value.trim().to_ascii_uppercase();
                open.push(Component { kind, ..Component::default() });
            }
            "END" => {
                let kind = property.value.trim().to_ascii_uppercase();
                let Some(at) = open.iter().rposition(|component| component.kind == kind) else {
                    continue;
                };
                close(&mut open, at.max(1) + 1, false);
                close(&mut open, at.max(1), true);
            }
            _ => {
                if let Some(component) = open.last_mut() {
                    component.properties.push(property);
                }
            }
        }
    }
    close(&mut open, 1, false);
    open.pop().map(|file| file.inside).unwrap_or_default()
}

/// Puts the innermost components into those around them until so many are open.
fn close(open: &mut Vec<Component>, until: usize, is_whole: bool) {
    while open.len() > until.max(1) {
        let Some(component) = open.pop() else { return };
        if let Some(around) = open.last_mut() {
            around.inside.push(Component { is_whole, ..component });
        }
    }
}

/// The text with its folded lines joined.
///
/// A program may fold in the middle of a character (section 3.1 warns of it), so bytes are joined
/// before they become text.
fn unfolded(bytes: &[u8]) -> String {
    // UTF-16 is full of zeros; joining its bytes one by one would tear them apart.
    if std::str::from_utf8(bytes).is_err() && !bytes.contains(&0) {
        return decoded(&joined(bytes)).into_owned();
    }
    let joined = joined(decoded(bytes).as_bytes());
    String::from_utf8_lossy(&joined).into_owned()
}

fn joined(bytes: &[u8]) -> Vec<u8> {
    let mut joined = Vec::with_capacity(bytes.len());
    let mut rest = bytes;
    while let Some((byte, after)) = rest.split_first() {
        rest = match rest {
            [b'\r', b'\n', b' ' | b'\t', after @ ..] | [b'\n', b' ' | b'\t', after @ ..] => after,
            _ => {
                joined.push(*byte);
                after
            }
        };
    }
    joined
}

fn property(line: &str) -> Option<Property> {
    let name_end = line.find([':', ';'])?;
    let name = line[..name_end].trim().to_ascii_uppercase();
    let mut parameters = Vec::new();
    let mut rest = &line[name_end..];
    while let Some(parameter) = rest.strip_prefix(';') {
        let end = outside_quotes(parameter, [':', ';'])?;
        if let Some((key, value)) = parameter[..end].split_once('=') {
            parameters.push((key.trim().to_ascii_uppercase(), parameter_text(value)));
        }
        rest = &parameter[end..];
    }
    let value = rest.strip_prefix(':')?.to_owned();
    Some(Property { name, parameters, value })
}

/// Where one of two characters stands for the first time outside quotation marks.
fn outside_quotes(text: &str, wanted: [char; 2]) -> Option<usize> {
    let mut is_quoted = false;
    text.char_indices().find_map(|(at, c)| {
        is_quoted ^= c == '"';
        (!is_quoted && wanted.contains(&c)).then_some(at)
    })
}

/// A parameter's value without its quotation marks; `^` escapes as RFC 6868 has them.
fn parameter_text(value: &str) -> String {
    value.replace('"', "").replace("^'", "\"").replace("^n", " ").replace("^^", "^")
}

/// A value of type TEXT without its escapes (section 3.3.11).
pub(crate) fn unescaped(value: &str) -> String {
    let mut text = String::with_capacity(value.len());
    let mut characters = value.chars();
    while let Some(c) = characters.next() {
        match (c, if c == '\\' { characters.next() } else { None }) {
            ('\\', Some('n' | 'N')) => text.push('\n'),
            ('\\', Some(escaped @ ('\\' | ';' | ',' | ':' | '"'))) => text.push(escaped),
            // Not an escape of the standard: kept as written.
            ('\\', Some(other)) => text.extend(['\\', other]),
            _ => text.push(c),
        }
    }
    text
}
