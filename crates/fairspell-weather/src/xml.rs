//! A small document as a tree, so that a reader can ask for elements by name.

use quick_xml::{Reader, XmlVersion, events::Event};

use crate::WeatherError;

/// An element, its text and its children. Comments and instructions are left out; of attributes only
/// the declared namespaces are kept.
#[derive(Debug, Default)]
pub(crate) struct Element {
    /// Without a prefix.
    pub(crate) name: String,
    pub(crate) text: String,
    pub(crate) children: Vec<Element>,
    /// The value of the namespace declaration that names this element's prefix, where it stands on
    /// this element.
    pub(crate) namespace: Option<String>,
}

/// Deeper than any warning, shallow enough to walk by recursion.
const DEPTH_MAX: usize = 32;

impl Element {
    /// The first child of a name.
    pub(crate) fn child(&self, name: &str) -> Option<&Element> {
        self.children.iter().find(|child| child.name == name)
    }

    /// All children of a name.
    pub(crate) fn children<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Element> {
        self.children.iter().filter(move |child| child.name == name)
    }

    /// The trimmed text of the first child of a name, unless it is empty.
    pub(crate) fn text_of(&self, name: &str) -> Option<&str> {
        self.child(name).map(|child| child.text.trim()).filter(|text| !text.is_empty())
    }

    /// All elements of a name, this one included, not looking inside those found.
    pub(crate) fn find_all<'a>(&'a self, name: &str, found: &mut Vec<&'a Element>) {
        if self.name == name {
            found.push(self);
            return;
        }
        for child in &self.children {
            child.find_all(name, found);
        }
    }
}

/// The root element of a document.
pub(crate) fn parse(what: &'static str, text: &str) -> Result<Element, WeatherError> {
    let unreadable = |cause: String| WeatherError::Unreadable { what, cause };
    let mut reader = Reader::from_str(text);
    let mut open: Vec<Element> = Vec::new();
    let mut root: Option<Element> = None;
    loop {
        let closed = match reader.read_event().map_err(|error| unreadable(error.to_string()))? {
            Event::Start(tag) => {
                if open.len() == DEPTH_MAX {
                    return Err(unreadable(format!(
                        "more than {DEPTH_MAX} elements inside another"
                    )));
                }
                open.push(element(&tag));
                None
            }
            Event::Empty(tag) => Some(element(&tag)),
            Event::End(_) => open.pop(),
            Event::Text(piece) => {
                if let Some(innermost) = open.last_mut() {
                    innermost.text.push_str(&piece.xml_content(XmlVersion::Implicit1_0));
                }
                None
            }
            Event::CData(piece) => {
                if let Some(innermost) = open.last_mut() {
                    innermost.text.push_str(&piece.xml_content(XmlVersion::Implicit1_0));
                }
                None
            }
            Event::GeneralRef(reference) => {
                if let Some(innermost) = open.last_mut() {
                    match reference.resolve_char_ref() {
                        Ok(Some(character)) => innermost.text.push(character),
                        _ => push_entity(&mut innermost.text, &reference),
                    }
                }
                None
            }
            Event::Eof => break,
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_) => None,
        };
        if let Some(closed) = closed {
            match open.last_mut() {
                Some(parent) => parent.children.push(closed),
                None => root = root.or(Some(closed)),
            }
        }
    }
    if let Some(innermost) = open.last() {
        return Err(unreadable(format!("it ends inside `{}`", innermost.name)));
    }
    root.ok_or_else(|| unreadable("it has no element".to_owned()))
}

fn element(tag: &quick_xml::events::BytesStart<'_>) -> Element {
    let name = tag.name();
    let declaration = name
        .prefix()
        .map_or_else(|| "xmlns".to_owned(), |prefix| format!("xmlns:{}", prefix.into_inner()));
    let namespace = tag
        .attributes()
        .flatten()
        .find(|attribute| attribute.key.as_ref() == declaration)
        .map(|attribute| attribute.value.into_owned());
    Element { name: tag.local_name().into_inner().to_owned(), namespace, ..Element::default() }
}

/// The five entities of XML; any other stays as it is written.
fn push_entity(text: &mut String, name: &str) {
    match name {
        "lt" => text.push('<'),
        "gt" => text.push('>'),
        "amp" => text.push('&'),
        "apos" => text.push('\''),
        "quot" => text.push('"'),
        other => {
            text.push('&');
            text.push_str(other);
            text.push(';');
        }
    }
}
