//! What hair, outfits and an umbrella bear in the field, and what a set is worth: the owner's numbers.

use serde::{Deserialize, Serialize};

/// What hair, outfits and an umbrella bear in the field, and what a set is worth.
///
/// # Source
///
/// Doses at which fine hair looks damp and wet, and the minutes of a change: trade practice, an
/// estimate to start from. Everything else is our choice. All of it is the owner's to change.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct FieldTerms {
    /// Water after which hair looks damp, g/m².
    pub hair_damp_at_g_m2: f64,
    /// Water after which it is clearly wet, g/m²; see [`hair_is_wet_at_g_m2`](Self::hair_is_wet_at_g_m2).
    pub hair_wet_at_g_m2: f64,
    /// The share of the rain that a clear umbrella lets through to hair and shoulders, 0 to 1.
    pub umbrella_lets_through: f64,
    /// The gust at the spot above which nobody holds an umbrella, km/h.
    pub umbrella_gust_to_km_h: f64,
    /// Minutes from one outfit to the next.
    pub change_min: u32,
    /// Minutes of a set in the open.
    pub open_set_min: u32,
    /// Minutes of a set under a roof or an umbrella.
    pub sheltered_set_min: u32,
    /// Minutes of the short form of either: the safe pictures.
    pub short_set_min: u32,
    /// Pictures promised of every look.
    pub pictures_promised: u32,
}

impl Default for FieldTerms {
    fn default() -> Self {
        FieldTerms {
            hair_damp_at_g_m2: 15.0,
            hair_wet_at_g_m2: 30.0,
            umbrella_lets_through: 0.03,
            umbrella_gust_to_km_h: 30.0,
            change_min: 8,
            open_set_min: 20,
            sheltered_set_min: 15,
            short_set_min: 8,
            pictures_promised: 18,
        }
    }
}

impl FieldTerms {
    /// Water after which hair is clearly wet, g/m²: at least a little more than damp hair has.
    pub fn hair_is_wet_at_g_m2(&self) -> f64 {
        self.hair_wet_at_g_m2.max(self.hair_damp_at_g_m2 + 1.0)
    }

    /// The first number that cannot be, with its value.
    pub(crate) fn first_wrong(&self) -> Option<(&'static str, f64)> {
        let minutes = |what, minutes: u32| (what, f64::from(minutes), 1.0..=60.0);
        let (damp, wet) = (self.hair_damp_at_g_m2, self.hair_wet_at_g_m2);
        [
            ("the water of damp hair", damp, 1.0..=200.0),
            ("the water of wet hair", wet, 2.0..=400.0),
            ("what an umbrella lets through", self.umbrella_lets_through, 0.0..=1.0),
            ("the gust for an umbrella", self.umbrella_gust_to_km_h, 5.0..=80.0),
            ("the minutes of a change", f64::from(self.change_min), 0.0..=60.0),
            minutes("the minutes of a set in the open", self.open_set_min),
            minutes("the minutes of a sheltered set", self.sheltered_set_min),
            minutes("the minutes of a short set", self.short_set_min),
            ("the promised pictures", f64::from(self.pictures_promised), 0.0..=255.0),
        ]
        .into_iter()
        .find(|(_, value, range)| !range.contains(value))
        .map(|(what, value, _)| (what, value))
    }
}
