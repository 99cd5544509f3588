//! What stands underfoot, and how much light it throws back up.

use serde::{Deserialize, Serialize};

/// The ground about a spot.
///
/// Pale ground is a reflector nobody has to hold: it lifts eye sockets under an overcast sky and
/// faces that are turned away from the sun.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ground {
    /// Dark green grass.
    Grass,
    /// Mixed low plants. A high figure; take it as an upper bound.
    Vegetation,
    /// Bare earth.
    Earth,
    /// Gravel.
    Gravel,
    /// Beach sand.
    Sand,
    /// Asphalt.
    Asphalt,
    /// Concrete and pale paving.
    Concrete,
    /// Red brick.
    Brick,
    /// Open water, under high sun or an even sky; a low sun it mirrors.
    Water,
    /// Fresh snow.
    NewSnow,
    /// Old snow.
    OldSnow,
}

impl Ground {
    /// Every ground there is.
    pub const ALL: [Ground; 11] = [
        Ground::Grass,
        Ground::Vegetation,
        Ground::Earth,
        Ground::Gravel,
        Ground::Sand,
        Ground::Asphalt,
        Ground::Concrete,
        Ground::Brick,
        Ground::Water,
        Ground::NewSnow,
        Ground::OldSnow,
    ];

    /// The share of visible light that it throws back, 0 to 1.
    ///
    /// Not the solar albedo of weather tables: leaves reflect near infrared, and grass has four
    /// times as much albedo as light for a face.
    ///
    /// - `wet`: darkened by rain. What mirrors in puddles is not in it.
    ///
    /// # Source
    ///
    /// Lighting handbook tables of outside surfaces (from memory); sand wet and dry from a general
    /// meteorology table, whose ratio of 0.6 stands for wet gravel, asphalt, concrete and brick,
    /// for which there is no source. The figure for earth is that of moist earth, wet or dry.
    pub fn reflectance(self, wet: bool) -> f64 {
        let (dry, when_wet) = match self {
            Ground::Grass | Ground::Water => (0.06, 0.06),
            Ground::Vegetation => (0.25, 0.25),
            Ground::Earth => (0.07, 0.07),
            Ground::Gravel => (0.13, 0.08),
            Ground::Sand => (0.35, 0.23),
            Ground::Asphalt => (0.07, 0.04),
            Ground::Concrete => (0.40, 0.24),
            Ground::Brick => (0.35, 0.21),
            Ground::NewSnow => (0.74, 0.74),
            Ground::OldSnow => (0.64, 0.64),
        };
        if wet { when_wet } else { dry }
    }
}
