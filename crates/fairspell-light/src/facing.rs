//! Which way to turn somebody, and why.

use serde::{Deserialize, Serialize};

use crate::{
    dome::LitDome,
    face::{EYES_LIT_FROM, FaceLight},
};

/// A way to face, the light it has, and what speaks for and against it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FacingAdvice {
    /// The light; [`FaceLight::facing_azimuth_deg`] says which way.
    pub light: FaceLight,
    /// What speaks for and against it.
    pub reasons: Vec<FacingReason>,
}

/// What speaks for or against a facing. Ratios are those of [`FaceLight`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "reason")]
pub enum FacingReason {
    /// Between 1.5 and 3: shape without harshness.
    Soft {
        /// Bright cheek over dark.
        ratio: f64,
    },
    /// Below 1.5: even, without shape.
    Even {
        /// Bright cheek over dark.
        ratio: f64,
    },
    /// Above 3: one side falls dark.
    Hard {
        /// Bright cheek over dark.
        ratio: f64,
    },
    /// More than twice as much light on the crown as on the face.
    FromAbove {
        /// Crown over front, without a sun from behind.
        top_over_front: f64,
    },
    /// Light comes in under the brow, and there is a spark.
    EyesLit {
        /// Share of the front's light.
        eye_share: f64,
    },
    /// Too little of the light comes in under the brow.
    EyesDark {
        /// Share of the front's light.
        eye_share: f64,
    },
    /// No bright sky before the eyes.
    NoSpark,
    /// The sun shines into the face.
    Squint {
        /// Its elevation as seen, degrees.
        sun_elevation_deg: f64,
    },
    /// The sun is behind and draws a rim of light.
    SunBehind {
        /// Its elevation as seen, degrees.
        sun_elevation_deg: f64,
        /// How much brighter than the face the rim is, stops.
        rim_stops: f64,
    },
}

/// Which ways to face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Facings {
    /// The most flattering.
    pub flattering: FacingAdvice,
    /// With the sun behind; `None` when no sun shines here.
    pub backlit: Option<FacingAdvice>,
    /// Whether every way is nearly as good as the most flattering one.
    pub any: bool,
}

/// Soft light on a face: bright cheek over dark.
const SOFT_RATIO: (f64, f64) = (1.5, 3.0);

/// Crown over front from which the light comes from above.
const FROM_ABOVE: f64 = 2.0;

/// The least direct light, over the face's own, that draws a rim.
const RIM_LEAST: f64 = 0.5;

const STEP_DEG: f64 = 5.0;

/// Differences in the sum of faults that are the summing's own: of mirrored ways the first counts,
/// clockwise from the sun, wherever the sun stands.
const EQUAL: f64 = 0.01;

/// Differences in the sum of faults that nobody sees.
const ALIKE: f64 = 0.15;

/// The way to turn somebody that flatters, and the way that has the sun behind.
///
/// Faults are added up in stops: how far the ratio across the face is from 1.5 to 3, how far the
/// crown's light exceeds twice the front's, what the eyes lack of their share; one for no spark, two
/// for a squint; a fifth of what the front lacks of the brightest facing. Our choice, after what the
/// trade says of each situation.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::SunPosition;
/// use fairspell_light::{Dome, FacingReason, Ground, Surroundings, best_facing, daylight_clear};
///
/// // Sun 12 degrees high in the west-north-west: backlit means looking to the east-south-east.
/// let sun = SunPosition { elevation_deg: 12.0, apparent_elevation_deg: 12.1, azimuth_deg: 285.0 };
/// let field = Dome::new(Surroundings::open(Ground::Grass, false));
/// let facings = best_facing(&field.lit(&sun, &daylight_clear(12.0)));
/// let backlit = facings.backlit.expect("the sun is out");
/// assert_eq!(backlit.light.facing_azimuth_deg, 105.0);
/// assert!(matches!(backlit.reasons[0], FacingReason::SunBehind { .. }));
/// assert!(!facings.flattering.light.squint);
/// ```
pub fn best_facing(lit: &LitDome<'_>) -> Facings {
    let sun_azimuth_deg = lit.sun().azimuth_deg;
    let sun_elevation_deg = lit.sun().apparent_elevation_deg;
    let faces: Vec<FaceLight> =
        (0..72).map(|step| lit.face(sun_azimuth_deg + STEP_DEG * f64::from(step))).collect();
    let brightest_lx = faces.iter().map(|face| face.front.total_lx()).fold(0.0, f64::max);
    let mut faults: Vec<f64> = faces.iter().map(|face| fault(face, brightest_lx)).collect();
    let least = faults.iter().copied().fold(f64::INFINITY, f64::min);
    let least = faults.iter().position(|fault| *fault <= least + EQUAL).unwrap_or(0);
    let flattering = advice(faces[least], sun_elevation_deg);
    faults.sort_by(f64::total_cmp);
    let any = faults.last().zip(faults.first()).is_some_and(|(most, least)| most - least < ALIKE);
    let behind = lit.face(sun_azimuth_deg + 180.0);
    let rim = lit.direct_normal_lx() / behind.front.total_lx();
    let backlit = (rim >= RIM_LEAST).then(|| {
        let mut advice = advice(behind, sun_elevation_deg);
        let reason = FacingReason::SunBehind { sun_elevation_deg, rim_stops: rim.log2() };
        advice.reasons.insert(0, reason);
        advice
    });
    Facings { flattering, backlit, any }
}

/// The sum of what is wrong, in stops.
fn fault(face: &FaceLight, brightest_lx: f64) -> f64 {
    let ratio = face.ratio();
    let ratio_off = (SOFT_RATIO.0 / ratio).log2().max((ratio / SOFT_RATIO.1).log2()).max(0.0);
    let above = (face.top_over_front() / FROM_ABOVE).log2().max(0.0);
    let hollow = (EYES_LIT_FROM / face.eye_share()).log2().max(0.0);
    let sparkless = if face.catchlight >= 1.0 { 0.0 } else { 1.0 };
    let squint = if face.squint { 2.0 } else { 0.0 };
    let dim = 0.2 * (brightest_lx / face.front.total_lx()).log2();
    ratio_off + above + hollow + sparkless + squint + dim
}

fn advice(light: FaceLight, sun_elevation_deg: f64) -> FacingAdvice {
    let ratio = light.ratio();
    let mut reasons = vec![match ratio {
        _ if ratio < SOFT_RATIO.0 => FacingReason::Even { ratio },
        _ if ratio <= SOFT_RATIO.1 => FacingReason::Soft { ratio },
        _ => FacingReason::Hard { ratio },
    }];
    let top_over_front = light.top_over_front();
    if top_over_front > FROM_ABOVE {
        reasons.push(FacingReason::FromAbove { top_over_front });
    }
    let eye_share = light.eye_share();
    if light.eyes_lit() {
        reasons.push(FacingReason::EyesLit { eye_share });
    } else if eye_share < EYES_LIT_FROM {
        reasons.push(FacingReason::EyesDark { eye_share });
    }
    if light.catchlight < 1.0 {
        reasons.push(FacingReason::NoSpark);
    }
    if light.squint {
        reasons.push(FacingReason::Squint { sun_elevation_deg });
    }
    FacingAdvice { light, reasons }
}
