//! What the light of an elevation is good for.

use serde::{Deserialize, Serialize};

/// What the sun's elevation means for a portrait, from the top of the sky down.
///
/// The bounds are the trade's rules of thumb turned into angles, for an open spot under a clear
/// sky. A hill ends the phases above [`LightPhase::Soft`] sooner, and thick cloud ends them all
/// sooner.
///
/// # Examples
///
/// ```
/// use fairspell_light::LightPhase;
///
/// // Five degrees above the horizon a face can be turned towards the sun without squinting.
/// assert_eq!(LightPhase::at(5.0), LightPhase::FaceToSun);
/// assert!(LightPhase::at(5.0) > LightPhase::at(12.0), "later in the evening");
/// ```
///
/// # Source
///
/// Common practice of outdoor portraiture, which speaks of minutes before sunset, turned into
/// angles; no measurement stands behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LightPhase {
    /// 30 degrees and more: hard light from above. Open shade only.
    High,
    /// 15 to 30 degrees: the first look in shade, or with the sun behind it and something pale in
    /// front; easily from 25 degrees down.
    ShadeFirst,
    /// 6 to 15 degrees: gold. Light from behind and from the side.
    Gold,
    /// 0 to 6 degrees: a face can look towards the sun.
    FaceToSun,
    /// -4 to 0 degrees: soft, with colour in the sky opposite.
    Soft,
    /// -6 to -4 degrees: blue; lamps mix in.
    Blue,
    /// Below -6 degrees: over, unless a spot with lamps was planned.
    Dark,
}

impl LightPhase {
    /// Every phase, in the order of an evening.
    pub const ALL: [LightPhase; 7] = [
        LightPhase::High,
        LightPhase::ShadeFirst,
        LightPhase::Gold,
        LightPhase::FaceToSun,
        LightPhase::Soft,
        LightPhase::Blue,
        LightPhase::Dark,
    ];

    /// The phase of an elevation.
    ///
    /// - `elevation_deg`: true elevation of the sun's centre, degrees. A bound belongs to the phase
    ///   above it; what is not a number is [`LightPhase::Dark`], so that nobody plans on it.
    pub fn at(elevation_deg: f64) -> LightPhase {
        let phase = LightPhase::ALL.into_iter().find(|phase| elevation_deg >= phase.from_deg());
        phase.unwrap_or(LightPhase::Dark)
    }

    /// The lowest elevation that belongs to the phase, degrees; for the last one the nadir.
    ///
    /// The sun sinking through it ends the phase in the evening and begins it in the morning.
    pub fn from_deg(self) -> f64 {
        match self {
            LightPhase::High => 30.0,
            LightPhase::ShadeFirst => 15.0,
            LightPhase::Gold => 6.0,
            LightPhase::FaceToSun => 0.0,
            LightPhase::Soft => -4.0,
            LightPhase::Blue => -6.0,
            LightPhase::Dark => -90.0,
        }
    }
}
