//! What rain looks like in a picture: drops that hang, streaks, or a curtain, and whether one sees it.

use serde::{Deserialize, Serialize};

use crate::{
    camera::Camera,
    depth_of_field::scale,
    rain_drops::{fall_speed_m_s, median_drop_mm},
};

/// How rain is drawn by a shutter time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RainKind {
    /// Drops that hang in the air, like snow.
    Frozen,
    /// Lines that say rain.
    Streaks,
    /// So long that they run into a veil.
    Curtain,
}

impl RainKind {
    /// All of them.
    pub const ALL: [RainKind; 3] = [RainKind::Frozen, RainKind::Streaks, RainKind::Curtain];

    /// The lengths of a streak for which it is this, shares of the picture's height.
    ///
    /// Streaks say rain best from 3 to 8 % (the trade's practice); the ends of the others are our choice.
    pub fn shares(self) -> (f64, f64) {
        match self {
            RainKind::Frozen => (0.0, 0.012),
            RainKind::Streaks => (0.03, 0.08),
            RainKind::Curtain => (0.15, 0.6),
        }
    }
}

/// Whether one will see the rain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RainShows {
    /// Light comes through it from behind, and what is behind is dark.
    Yes,
    /// The light comes from the front: it only spoils hair.
    NoLightBehind,
    /// What is behind is pale and hides it.
    PaleBehind,
}

/// How rain will look.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RainLook {
    /// What it is drawn as.
    pub kind: RainKind,
    /// The drop that stands for the rain, mm.
    pub drop_mm: f64,
    /// How long its streak is where the person stands, mm.
    pub streak_there_mm: f64,
    /// The same on the sensor, mm.
    pub streak_mm: f64,
    /// The same, pixels.
    pub streak_px: f64,
    /// How wide it is, pixels.
    pub width_px: f64,
    /// The streak's length over the height of an upright picture.
    pub share: f64,
    /// How far wind lays it over, degrees from upright.
    pub lean_deg: f64,
    /// Whether one will see it.
    pub shows: RainShows,
}

/// Something of this size falls through the picture: the drop and the way it is seen.
struct Streak {
    drop_mm: f64,
    speed_m_s: f64,
    scale: f64,
}

fn streak(rain_rate_mm_h: f64, focal_length_mm: f64, distance_m: f64) -> Option<Streak> {
    let drop_mm = median_drop_mm(rain_rate_mm_h)?;
    let scale = scale(focal_length_mm, distance_m)?;
    Some(Streak { drop_mm, speed_m_s: fall_speed_m_s(drop_mm)?, scale })
}

/// How the rain where a person stands will look.
///
/// - `rain_rate_mm_h`: from radar or forecast.
/// - `wind_speed_m_s`: across the picture.
/// - `backlit`: whether low sun or bright sky stands behind the rain; `dark_behind`: whether what
///   stands behind it is dark.
///
/// `None` without rain, or closer than the lens can focus.
///
/// # Examples
///
/// ```
/// use fairspell_light::{Camera, RainKind, RainShows, rain_look};
///
/// // A shower of 10 mm/h, 85 mm at three metres, 1/125 s, before dark trees with the light behind.
/// let shower = rain_look(10.0, 1.0 / 125.0, 85.0, 3.0, &Camera::default(), 0.0, true, true)
///     .expect("it rains");
/// assert_eq!((shower.kind, shower.shows), (RainKind::Streaks, RainShows::Yes));
/// assert!((shower.share - 0.035).abs() < 0.001);
/// ```
///
/// # Source
///
/// Derived: length v t f/(d - f), width D f/(d - f). That light behind and a dark background show rain:
/// "Photometric model of a rain drop" (a drop shows light from a wide field of view), and the trade.
#[expect(clippy::too_many_arguments, reason = "rain, camera and place each have their own figures")]
pub fn rain_look(
    rain_rate_mm_h: f64,
    shutter_s: f64,
    focal_length_mm: f64,
    distance_m: f64,
    camera: &Camera,
    wind_speed_m_s: f64,
    backlit: bool,
    dark_behind: bool,
) -> Option<RainLook> {
    let Streak { drop_mm, speed_m_s, scale } = streak(rain_rate_mm_h, focal_length_mm, distance_m)?;
    if !(shutter_s > 0.0 && shutter_s.is_finite()) {
        return None;
    }
    let streak_there_mm = speed_m_s.hypot(wind_speed_m_s) * shutter_s * 1000.0;
    let streak_mm = streak_there_mm * scale;
    // A portrait is held upright: the long side is its height.
    let share = streak_mm / camera.sensor_width_mm;
    let (frozen, curtain) = (RainKind::Frozen.shares().1, RainKind::Curtain.shares().0);
    Some(RainLook {
        kind: match share {
            _ if share < frozen => RainKind::Frozen,
            _ if share < curtain => RainKind::Streaks,
            _ => RainKind::Curtain,
        },
        drop_mm,
        streak_there_mm,
        streak_mm,
        streak_px: camera.pixels(streak_mm),
        width_px: camera.pixels(drop_mm * scale),
        share,
        lean_deg: wind_speed_m_s.atan2(speed_m_s).to_degrees(),
        shows: match (backlit, dark_behind) {
            (true, true) => RainShows::Yes,
            (false, _) => RainShows::NoLightBehind,
            (true, false) => RainShows::PaleBehind,
        },
    })
}

/// The shutter times that draw rain as one kind, the shortest and the longest, s; 0 has no shortest.
///
/// `None` without rain, or closer than the lens can focus.
///
/// # Examples
///
/// ```
/// use fairspell_light::{Camera, RainKind, shutter_for};
///
/// // Rain that says rain in a head and shoulders at 10 mm/h: from about 1/150 s to 1/55 s.
/// let (shortest_s, longest_s) =
///     shutter_for(RainKind::Streaks, 10.0, 85.0, 3.0, &Camera::default()).expect("it rains");
/// assert_eq!(((1.0 / shortest_s).round(), (1.0 / longest_s).round()), (143.0, 54.0));
/// ```
pub fn shutter_for(
    kind: RainKind,
    rain_rate_mm_h: f64,
    focal_length_mm: f64,
    distance_m: f64,
    camera: &Camera,
) -> Option<(f64, f64)> {
    let Streak { speed_m_s, scale, .. } = streak(rain_rate_mm_h, focal_length_mm, distance_m)?;
    let time_s = |share: f64| share * camera.sensor_width_mm / (speed_m_s * 1000.0 * scale);
    let (from, to) = kind.shares();
    Some((time_s(from), time_s(to)))
}
