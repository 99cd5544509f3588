//! What somebody does in a picture, and what that asks of the camera.

use serde::{Deserialize, Serialize};

/// What is being done.
///
/// The figures of each are common practice of portrait photographers, without a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Doing {
    /// Standing or sitting.
    Standing,
    /// Walking.
    Walking,
    /// Laughing, tossing hair.
    Laughing,
    /// Turning, jumping, a hem in the air.
    Twirl,
    /// Two or three people in one plane.
    TwoPeople,
    /// A family in two rows.
    Group,
}

impl Doing {
    /// All of them.
    pub const ALL: [Doing; 6] = [
        Doing::Standing,
        Doing::Walking,
        Doing::Laughing,
        Doing::Twirl,
        Doing::TwoPeople,
        Doing::Group,
    ];

    /// The longest shutter time that keeps it sharp, s.
    pub fn shutter_max_s(self) -> f64 {
        let parts = match self {
            Doing::Standing | Doing::Group => 200.0,
            Doing::TwoPeople => 250.0,
            Doing::Walking => 400.0,
            Doing::Laughing => 500.0,
            Doing::Twirl => 1000.0,
        };
        1.0 / parts
    }

    /// The aperture that suits it, and the widest that still holds everybody sharp.
    pub fn f_numbers(self) -> (f64, f64) {
        match self {
            Doing::Standing => (2.0, 1.8),
            Doing::Walking | Doing::Laughing => (2.2, 1.8),
            Doing::Twirl => (2.8, 1.8),
            Doing::TwoPeople => (3.5, 2.8),
            Doing::Group => (5.6, 4.0),
        }
    }

    /// How fast its quickest part moves across the picture, m/s.
    pub fn speed_m_s(self) -> f64 {
        match self {
            Doing::Standing | Doing::Group | Doing::TwoPeople => 0.2,
            Doing::Walking => 1.4,
            Doing::Laughing => 2.0,
            Doing::Twirl => 4.0,
        }
    }
}
