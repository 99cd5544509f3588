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
    /// "NAME: VALUE; Thu 3 Sep, 15:15 to 17:05, at Saltern Bight; Coast Service, as of 12:00."
    pub(crate) fn line<T>(
        self,
        name: &str,
        figure: Option<&Sourced<T>>,
        say: impl Fn(&T) -> String,
    ) -> String {
        match figure {
            Some(figure) => format!("{name}: {}; {}.", say(&figure.value), self.provenance(figure)),
            None => format!("{name}: not known."),
        }
    }

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
