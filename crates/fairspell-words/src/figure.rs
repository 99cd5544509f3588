//! A figure as a line: with hours, place, source and age, without which it means nothing.

use fairspell_studio::Sourced;
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::{as_of, hours},
    text::one_line,
};

/// From where and when one reads: the moment of the outlook and the clock on the wall.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reader<'a> {
    /// Now.
    pub(crate) now: Timestamp,
    /// The studio's zone.
    pub(crate) zone: &'a TimeZone,
}

impl Reader<'_> {
    /// Hours, place, source and age of a figure.
    pub(crate) fn provenance<T>(self, figure: &Sourced<T>) -> String {
        let Self { now, zone } = self;
        let estimate = if figure.our_estimate { "our estimate from " } else { "" };
        format!(
            "{}, at {}; {estimate}{}, {}",
            hours(figure.hours, zone),
            one_line(&figure.place),
            one_line(&figure.source),
            as_of(figure.issued, now, zone)
        )
    }
}

/// Figures under a heading for each hours, place, source and age: said once, they hold for every
/// line below.
#[derive(Debug)]
pub(crate) struct Figures<'a> {
    reader: Reader<'a>,
    groups: Vec<(String, Vec<String>)>,
    unknown: Vec<String>,
}

impl<'a> Figures<'a> {
    pub(crate) fn new(reader: Reader<'a>) -> Self {
        Self { reader, groups: Vec::new(), unknown: Vec::new() }
    }

    /// Adds "NAME: VALUE" below its heading, or says that it is not known.
    pub(crate) fn add<T>(
        &mut self,
        name: &str,
        figure: Option<&Sourced<T>>,
        say: impl Fn(&T) -> String,
    ) {
        let Some(figure) = figure else {
            self.unknown.push(format!("{name}: not known."));
            return;
        };
        let heading = self.reader.provenance(figure);
        let line = format!("  {name}: {}", say(&figure.value));
        match self.groups.iter_mut().find(|(known, _)| *known == heading) {
            Some((_, lines)) => lines.push(line),
            None => self.groups.push((heading, vec![line])),
        }
    }

    /// All lines, the headings with a colon.
    pub(crate) fn into_lines(self) -> Vec<String> {
        let groups = self
            .groups
            .into_iter()
            .flat_map(|(heading, lines)| std::iter::once(format!("{heading}:")).chain(lines));
        groups.chain(self.unknown).collect()
    }
}
