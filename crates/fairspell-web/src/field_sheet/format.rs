//! The shape of a field sheet: the JSON that `fairspell schema field-sheet` describes.

use std::collections::BTreeMap;

use fairspell_plan::field::{Setting, rain::Classes};
use fairspell_sheet::SheetTable;
use fairspell_studio::{
    spot::{Cover, Refuge},
    variety::Cell,
};
use jiff::Timestamp;
use serde::Serialize;

/// What bounds the evening.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum EndsBy {
    /// Last usable light.
    Light,
    /// The agreed end: a morning only gets brighter.
    Agreed,
}

/// A field sheet.
///
/// Its keys are those of `fairspell schema field-sheet`, which says what each means.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldSheet {
    pub(super) version: u32,
    pub(super) session: String,
    pub(super) title: String,
    pub(super) utc_offset_min: i32,
    pub(super) made_at: Timestamp,
    pub(super) as_of: Timestamp,
    pub(super) invented: bool,
    pub(super) origin: Timestamp,
    pub(super) last_light: Timestamp,
    pub(super) ends_by: EndsBy,
    pub(super) table: SheetTable,
    pub(super) start: Start,
    pub(super) sets: Vec<SheetSet>,
    pub(super) looks: Vec<SheetLook>,
    pub(super) spots: Vec<SheetSpot>,
    pub(super) hair: Doses,
    pub(super) exposure: Exposure,
    pub(super) rain: Rates,
    pub(super) light: Vec<LightThen>,
    pub(super) nowcast: Option<NowcastThen>,
    pub(super) outline: Vec<Outline>,
    pub(super) rule: Option<String>,
    pub(super) contacts: Vec<Contact>,
    pub(super) grid: Grid,
    pub(super) prompts: Vec<&'static str>,
    pub(super) thunder: Thunder,
    pub(super) cautions: Vec<&'static str>,
    pub(super) stop: Option<&'static str>,
    pub(super) warnings: Vec<String>,
    pub(super) words: BTreeMap<String, String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Start {
    pub(super) spot: String,
    pub(super) hair_dose_g_m2: f64,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct SheetSet {
    pub(super) id: String,
    pub(super) title: String,
    /// The same without its setting.
    pub(super) heading: String,
    pub(super) look: usize,
    pub(super) spot: String,
    pub(super) setting: Setting,
    pub(super) facing: Option<String>,
    pub(super) settings: Option<String>,
    pub(super) why: Vec<String>,
    pub(super) minutes: ByForm<u32>,
    pub(super) exposed_s: ByForm<f64>,
    pub(super) setup_min: u32,
    /// Whether it is made in short dashes out into the rain.
    pub(super) in_dashes: bool,
    pub(super) worth: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct ByForm<T> {
    pub(super) full: T,
    pub(super) short: Option<T>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct SheetLook {
    pub(super) name: String,
    pub(super) change_min: u32,
    pub(super) marks_for_good: bool,
    pub(super) damp_at_g_m2: f64,
    pub(super) wet_at_g_m2: f64,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct SheetSpot {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) cover: Cover,
    pub(super) refuge: Option<Refuge>,
    pub(super) walks_min: BTreeMap<String, u32>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Doses {
    pub(super) damp_at_g_m2: f64,
    pub(super) wet_at_g_m2: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Exposure {
    pub(super) open: f64,
    pub(super) umbrella: f64,
    pub(super) cover: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Rates {
    pub(super) rates_mm_h: [f64; 4],
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct LightThen {
    pub(super) at: Timestamp,
    pub(super) text: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct NowcastThen {
    pub(super) issued: Timestamp,
    pub(super) source: String,
    pub(super) steps: Vec<NowcastStep>,
    pub(super) now_class: Option<usize>,
    pub(super) too_old_min: u32,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct NowcastStep {
    pub(super) at: Timestamp,
    pub(super) shares: Classes,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Outline {
    pub(super) rain: usize,
    pub(super) steps: Vec<OutlineStep>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct OutlineStep {
    pub(super) at: Timestamp,
    pub(super) text: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Contact {
    pub(super) name: String,
    pub(super) phone: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Grid {
    pub(super) core: Vec<GridCell>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct GridCell {
    pub(super) id: &'static str,
    pub(super) title: &'static str,
    #[serde(flatten)]
    pub(super) cell: Cell,
    pub(super) prompts: Vec<&'static str>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Thunder {
    pub(super) wait_min: i64,
}
