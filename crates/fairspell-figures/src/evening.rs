//! The evening: one band from arrival to last usable light, the figure all pages share.
//!
//! Time runs left to right and ends with the light. Height is light, on a logarithmic scale, as the
//! eye and the camera count it; tone is the light's own colour. Rain is slanted strokes, as many as
//! it is likely, longer when heavier. A dry gap is a frame cut through the rain, and the thick
//! dashes over its corners are as wide as the doubt about its beginning and end. Danger is a solid
//! bar on top. What is not known is bare paper that says so.

use crate::palette::Theme;
use crate::rain_pieces::{Piece, pieces};
use crate::{evening_page, evening_small};

/// Everything the figure shows. Times are minutes since the band's start; words come finished.
///
/// Whatever lies outside `0..=span_min` is cut off; what is not finite is left out, and rain that is
/// left out is not known. Lists may come in any order and may be empty.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Evening {
    /// Day and place, the one large line: `Thu 3 Sep, Saltern Bight`.
    pub heading: String,
    /// Where we stand, under it. Broken into at most three lines of 66 characters, or seven narrow
    /// ones.
    pub summary: String,
    /// The whole figure in words, for those who cannot see it and for lists. Never leave it empty:
    /// where it is, the heading stands in.
    pub description: String,
    /// From arrival to last usable light. Nothing is drawn in the band unless it is above zero.
    pub span_min: f64,
    /// The clock under the line.
    pub ticks: Vec<Tick>,
    /// The light through the evening; straight lines between. A sample that is not finite breaks
    /// the line.
    pub light: Vec<LightSample>,
    /// The rain through the evening. What no slot covers is not known; where slots overlap, not
    /// known comes first and then the likelier.
    pub rain: Vec<RainSlot>,
    /// Minutes without rain at the place.
    pub gaps: Vec<DryGap>,
    /// Hours nobody should be out in.
    pub dangers: Vec<Danger>,
    /// Moments under the line: sun leaves, sunset, last light.
    pub marks: Vec<Mark>,
    /// The looks in their order.
    pub looks: Vec<LookCard>,
    /// What bare paper says, in the reader's language: `not known`.
    pub not_known_label: String,
    /// Whether rain is no part of the picture, as for a date that no forecast reaches. The light is
    /// then that of a clear sky, and the summary has to say so.
    pub without_rain: bool,
}

/// A moment of the clock.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tick {
    /// When.
    pub at_min: f64,
    /// What the clock says then, if it should be said. Left out where there is no room.
    pub label: Option<String>,
    /// 0 for full hours, 1 for half hours, 2 for quarters: the length of the tick, and who gives
    /// way when labels are crowded.
    pub rank: u8,
}

/// The light at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LightSample {
    /// When.
    pub at_min: f64,
    /// Illuminance on open ground, lux; the band's height on a logarithmic scale from 1 to
    /// 100 000 lx. Negative or not finite is not known.
    pub illuminance_lx: f64,
    /// The sun's height above the horizon, degrees; the band's tone.
    pub sun_elevation_deg: f64,
}

/// Rain between two moments.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RainSlot {
    /// Beginning.
    pub from_min: f64,
    /// End; a slot that ends before it begins is left out.
    pub to_min: f64,
    /// How likely rain is at any one moment of the slot, 0 to 1. `None`, negative or not finite: not
    /// known, never dry. Above 1 counts as 1.
    pub p_rain: Option<f64>,
    /// How heavy it is if it rains, mm/h: the length of strokes. `None` is drawn as moderate.
    pub rain_rate_mm_h: Option<f64>,
}

/// Minutes without rain at the place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DryGap {
    /// Likely beginning.
    pub from_min: f64,
    /// Likely end.
    pub to_min: f64,
    /// The beginning is `from_min`, give or take this many minutes.
    pub from_doubt_min: f64,
    /// The end is `to_min`, give or take this many minutes.
    pub to_doubt_min: f64,
    /// Its minutes in words: `22 min dry`.
    pub label: String,
}

/// Hours in which nobody should be out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Danger {
    /// Beginning.
    pub from_min: f64,
    /// End.
    pub to_min: f64,
    /// What and when, in words: `thunder likely 16:40-18:10`.
    pub label: String,
}

/// A moment worth a name under the line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mark {
    /// When.
    pub at_min: f64,
    /// What and when, in words: `sunset 17:33`.
    pub label: String,
}

/// Under what sky a look is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Setting {
    /// In the open, dry.
    #[default]
    Open,
    /// Under a clear umbrella.
    Umbrella,
    /// Under a roof.
    Roof,
    /// In the open in short bursts between getting wet.
    Dash,
}

/// One look at one spot in one setting.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LookCard {
    /// Beginning.
    pub from_min: f64,
    /// End.
    pub to_min: f64,
    /// The look: `white linen`.
    pub name: String,
    /// The spot: `Heron Walk`.
    pub spot: String,
    /// Drawn on the card's edge: a roof line, an umbrella's arc, dashes, nothing.
    pub setting: Setting,
    /// The setting in words, since no sign stands without them: `under the roof`. May be empty.
    pub setting_label: String,
    /// Decided is ink, proposed is outline.
    pub decided: bool,
}

/// How large the figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Size {
    /// 960 wide, as high as it needs, with all words and looks.
    #[default]
    Large,
    /// 360 wide, for a phone held upright: the same, broken and stacked so that its words are as
    /// large as elsewhere. Give it the whole width of the screen.
    ///
    /// A page may hold both and show one of them by a media query.
    Narrow,
    /// 160 by 28, for lists: the same band without looks and words.
    Small,
}

/// Draws the evening as an SVG document.
///
/// Equal input gives equal bytes. Inside a page the document can stand inline, any number of times:
/// its styles and names reach no further than itself. It takes the width it is given.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{DryGap, Evening, RainSlot, Size, Theme, evening_svg};
///
/// // An hour and a half of showers with half an hour dry in the middle.
/// let slot = |from_min, to_min, p| RainSlot {
///     from_min,
///     to_min,
///     p_rain: Some(p),
///     rain_rate_mm_h: Some(2.0),
/// };
/// let evening = Evening {
///     description: "Showers, with about 30 dry minutes from 16:30.".into(),
///     span_min: 90.0,
///     rain: vec![slot(0.0, 30.0, 0.7), slot(30.0, 60.0, 0.1), slot(60.0, 90.0, 0.7)],
///     gaps: vec![DryGap {
///         from_min: 30.0,
///         to_min: 60.0,
///         from_doubt_min: 4.0,
///         to_doubt_min: 6.0,
///         label: "30 min dry".into(),
///     }],
///     ..Evening::default()
/// };
/// let listed = evening_svg(&evening, Size::Small, Theme::Auto);
/// assert!(listed.contains("viewBox=\"0 0 160 28\""));
/// assert!(listed.contains("about 30 dry minutes"));
/// ```
///
/// # Source
///
/// Our own design.
pub fn evening_svg(evening: &Evening, size: Size, theme: Theme) -> String {
    match size {
        Size::Large => evening_page::draw(evening, &evening_page::LARGE, theme),
        Size::Narrow => evening_page::draw(evening, &evening_page::NARROW, theme),
        Size::Small => evening_small::draw(evening, theme),
    }
}

impl Evening {
    /// The rain in pieces that tile the evening.
    pub(crate) fn pieces(&self) -> Vec<Piece> {
        if self.without_rain {
            let from_end_to_end = RainSlot {
                from_min: 0.0,
                to_min: self.span_min,
                p_rain: Some(0.0),
                rain_rate_mm_h: None,
            };
            return pieces(&[from_end_to_end], self.span_min);
        }
        pieces(&self.rain, self.span_min)
    }

    /// Title and description: the figure in words, and where we stand.
    pub(crate) fn in_words(&self) -> (&str, &str) {
        let title =
            if self.description.trim().is_empty() { &self.heading } else { &self.description };
        (title, &self.summary)
    }
}
