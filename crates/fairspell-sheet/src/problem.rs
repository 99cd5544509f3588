//! One evening as it is written down: looks, spots, sets, rain, light and the owner's limits.
//!
//! These are the plain values of the JSON that `fairspell sheet --problem` reads; names are names,
//! nothing is checked yet. [`SheetModel::new`](crate::SheetModel::new) checks and numbers them.

use serde::{Deserialize, Serialize};

/// How many classes of rain there are: dry, drizzle, rain, heavy.
pub const RAIN_CLASSES: usize = 4;

/// An evening to be solved.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetProblem {
    /// Minutes of a slot; an action takes whole slots.
    #[serde(default = "defaults::slot_min")]
    pub slot_min: u32,
    /// Slots of the evening, from arrival to the latest end.
    pub slots: usize,
    /// Where it begins.
    pub start: Start,
    /// After this minute no set goes on: last usable light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_light_min: Option<u32>,
    /// Places to stand.
    pub spots: Vec<Spot>,
    /// Walks between spots, each pair once, either way.
    #[serde(default)]
    pub walks: Vec<Walk>,
    /// Outfits with their hair.
    pub looks: Vec<Look>,
    /// What can be made.
    pub sets: Vec<Set>,
    /// The rain to reckon with.
    pub rain: Rain,
    /// What the hair bears.
    #[serde(default)]
    pub hair: Hair,
    /// How much of the rain gets through.
    #[serde(default)]
    pub exposure: Exposure,
    /// Fixed orders to compare with; the order of `sets` when there are none.
    #[serde(default)]
    pub orders: Vec<FixedOrder>,
}

/// Where the evening begins.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Start {
    /// The spot, by name.
    pub spot: String,
    /// The look already worn, by name; `None`: every look has to be put on first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub look: Option<String>,
    /// Water already in the hair, g/m².
    #[serde(default)]
    pub hair_dose_g_m2: f64,
}

/// A place to stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// Its name.
    pub name: String,
    /// When it can be used, as minutes from and to: hours, tide, permits. All evening when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open: Option<Vec<[u32; 2]>>,
}

/// A walk between two spots, the same both ways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Walk {
    /// One end, by name.
    pub from: String,
    /// The other.
    pub to: String,
    /// How long it takes.
    pub minutes: u32,
}

/// An outfit with its hair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// Its name.
    pub name: String,
    /// How long it takes to put on.
    #[serde(default)]
    pub change_min: u32,
    /// Whether it may be put on again once taken off; its wetness then stays its own.
    #[serde(default)]
    pub may_return: bool,
    /// Water after which it shows as damp, g/m².
    #[serde(default = "defaults::damp_at")]
    pub damp_at_g_m2: f64,
    /// Water after which it is wet, g/m².
    #[serde(default = "defaults::wet_at")]
    pub wet_at_g_m2: f64,
    /// What a damp outfit leaves of a set's worth, 0 to 1.
    #[serde(default = "defaults::damp_factor")]
    pub damp_factor: f64,
    /// What a wet one leaves, 0 to `damp_factor`.
    #[serde(default)]
    pub wet_factor: f64,
    /// What it costs when no set of this look is made: a must-have look.
    #[serde(default)]
    pub missed_penalty: f64,
    /// Pictures promised of this look.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub promise: Option<Promise>,
}

/// Pictures promised of a look.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Promise {
    /// How many.
    pub pictures: u32,
    /// What each missing one costs.
    pub penalty_each: f64,
}

/// A look at a spot in one setting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Set {
    /// Its name.
    pub name: String,
    /// The look, by name.
    pub look: String,
    /// The spot, by name.
    pub spot: String,
    /// How it is sheltered.
    pub setting: Setting,
    /// What it is worth in full form and best conditions, in any one unit.
    pub worth: f64,
    /// Setting up before the first picture.
    #[serde(default)]
    pub setup_min: u32,
    /// The full form.
    pub full: Form,
    /// The short form, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short: Option<Form>,
    /// How well the light of each slot grants what it wants, 0 to 1; 0 closes it.
    pub light: Vec<f64>,
    /// What each class of rain leaves of it or adds; 0 closes it.
    #[serde(default = "defaults::rain")]
    pub rain: [f64; RAIN_CLASSES],
    /// Whether it wants the hair dry.
    #[serde(default)]
    pub hair_dry: bool,
    /// Whether it is needed, and what missing it costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed: Option<Needed>,
}

/// How a set is sheltered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Setting {
    /// Under the sky.
    Open,
    /// Under a clear umbrella.
    Umbrella,
    /// Under a roof.
    Cover,
}

/// One form of a set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Form {
    /// How long it takes, without walking, changing and setting up.
    pub minutes: u32,
    /// What it is worth beside the full form, 0 to 1.
    #[serde(default = "defaults::one")]
    pub factor: f64,
    /// Seconds of it spent where the setting says (bursts); all of it when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exposed_s: Option<f64>,
    /// Pictures it brings toward the look's promise.
    #[serde(default)]
    pub pictures: u32,
}

/// A set that must not be missed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Needed {
    /// What for.
    #[serde(rename = "as")]
    pub need: Need,
    /// What missing it costs.
    pub missed_penalty: f64,
}

/// What a set is needed for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Need {
    /// The safe pictures, after which nothing can wholly fail.
    Bank,
    /// A look that was promised or set its heart on.
    MustHave,
}

/// The rain to reckon with: a chain of four classes, slot by slot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rain {
    /// The rate that stands for each class (dry, drizzle below 1, rain 1 to 4, heavy above), mm/h.
    #[serde(default = "defaults::rates")]
    pub rates_mm_h: [f64; RAIN_CLASSES],
    /// The chance of each class in the first slot; certain when it can be seen.
    pub start: [f64; RAIN_CLASSES],
    /// From each slot to the next: a row for each class now, a column for each class then. One
    /// table holds all evening, else there is one less than slots.
    pub steps: Vec<[[f64; RAIN_CLASSES]; RAIN_CLASSES]>,
}

impl Rain {
    /// The usual rates of the classes, without a chain yet.
    pub fn of_rates() -> Self {
        Rain { rates_mm_h: defaults::rates(), start: [1.0, 0.0, 0.0, 0.0], steps: Vec::new() }
    }
}

/// What the hair bears.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Hair {
    /// Water between two levels, g/m².
    pub level_g_m2: f64,
    /// How many levels, dry hair included.
    pub levels: usize,
    /// Water after which hair looks damp, g/m².
    pub damp_at_g_m2: f64,
    /// Water after which it is clearly wet, g/m².
    pub wet_at_g_m2: f64,
    /// What damp hair leaves of a set that wants it dry, 0 to 1.
    pub damp_factor: f64,
    /// What wet hair leaves of it, 0 to `damp_factor`.
    pub wet_factor: f64,
}

/// How much of the rain gets through, 0 to 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Exposure {
    /// Under the sky.
    pub open: f64,
    /// Under a clear umbrella.
    pub umbrella: f64,
    /// Under a roof.
    pub cover: f64,
    /// On the way from spot to spot.
    pub walking: f64,
}

/// An order decided beforehand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FixedOrder {
    /// Its name.
    pub name: String,
    /// Sets by name; those left out are not made.
    pub sets: Vec<String>,
}

/// Seven levels of 5 g/m², damp at 15 and wet at 30 (trade practice; an estimate to start from).
/// The factors are our choice: worth falls evenly from dry to wet.
impl Default for Hair {
    fn default() -> Self {
        Hair {
            level_g_m2: 5.0,
            levels: 7,
            damp_at_g_m2: 15.0,
            wet_at_g_m2: 30.0,
            damp_factor: 0.5,
            wet_factor: 0.0,
        }
    }
}

/// A tenth under a clear umbrella, nothing under a roof or on the way (big umbrella, old coat). Our
/// choice, to be put right by whoever looked at the shoulders afterwards.
impl Default for Exposure {
    fn default() -> Self {
        Exposure { open: 1.0, umbrella: 0.1, cover: 0.0, walking: 0.0 }
    }
}

mod defaults {
    use super::RAIN_CLASSES;

    pub(super) fn slot_min() -> u32 {
        5
    }
    pub(super) fn damp_at() -> f64 {
        15.0
    }
    pub(super) fn wet_at() -> f64 {
        30.0
    }
    pub(super) fn damp_factor() -> f64 {
        0.5
    }
    pub(super) fn one() -> f64 {
        1.0
    }
    /// A set that says nothing of rain is made whatever falls.
    pub(super) fn rain() -> [f64; RAIN_CLASSES] {
        [1.0; RAIN_CLASSES]
    }
    /// Between the classes' bounds, and a shower's 6 mm/h above the last.
    pub(super) fn rates() -> [f64; RAIN_CLASSES] {
        [0.0, 0.5, 2.0, 6.0]
    }
}
