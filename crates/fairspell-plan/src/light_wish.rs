//! How well the light of a minute at a spot grants what a look wants.
//!
//! A score from 0, no light to work by, to 1, what the look was made for. It orders evenings; it is no
//! measurement. Everything in it is the trade's common practice turned into angles
//! ([`fairspell_light::phase`]), for a clear sky: what cloud will do no calendar knows.

use fairspell_almanac::SunPosition;
use fairspell_light::{Surroundings, illuminance_clear_lx};
use fairspell_studio::{LightWish, Policy, Spot};

/// The light that a spot has at a moment, as far as sun and skyline decide it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpotMoment {
    /// The sun's true elevation, degrees.
    pub sun_elevation_deg: f64,
    /// Its direction, degrees clockwise from true north.
    pub sun_azimuth_deg: f64,
    /// Whether its disc stands clear of skyline and roof.
    pub is_direct: bool,
    /// Whether leaves break its light into coins.
    pub is_dappled: bool,
    /// Clear-sky light at the spot, lux.
    pub illuminance_lx: f64,
}

/// A score by the sun's height: points of a line, from the highest down.
type Curve = &'static [(f64, f64)];

/// Shade is good while the sky is bright.
const SHADE: Curve = &[(0.0, 1.0), (-4.0, 0.4), (-6.0, 0.0)];
/// Gold behind her, best from ten degrees down; the last degrees lose themselves in haze.
const BACKLIGHT: Curve =
    &[(35.0, 0.05), (25.0, 0.4), (15.0, 0.8), (10.0, 1.0), (2.5, 1.0), (0.0, 0.6), (-0.9, 0.0)];
/// A face can look towards the sun without squinting below six degrees.
const LOW_SUN: Curve =
    &[(25.0, 0.0), (20.0, 0.1), (12.0, 0.3), (6.0, 1.0), (0.0, 1.0), (-0.9, 0.0)];
/// Colour in the sky, from sunset on.
const AFTERGLOW: Curve =
    &[(3.0, 0.0), (0.0, 0.3), (-0.8, 1.0), (-3.5, 1.0), (-5.0, 0.5), (-6.5, 0.0)];
/// Blue, with lamps.
const BLUE: Curve = &[(-1.0, 0.0), (-2.0, 0.1), (-3.5, 0.7), (-4.0, 1.0), (-6.0, 1.0), (-7.5, 0.0)];

/// What is left of a wish for backlight without anything dark behind it.
const PALE_BEHIND: f64 = 0.8;
/// What is left of afterglow where neither the glow nor the sky opposite can be seen.
const CLOSED_IN: f64 = 0.5;
/// What is left of blue without lamps.
const WITHOUT_LAMPS: f64 = 0.7;
/// Shade wanted, sun there: a diffuser or the turned back saves something.
const SUN_INSTEAD_OF_SHADE: f64 = 0.2;
/// Sun wanted, shade there.
const SHADE_INSTEAD_OF_SUN: f64 = 0.15;
/// Coins of light on a cheek cannot be mended.
const DAPPLED: f64 = 0.1;

/// What of the disc must shine on a spot for it to be in the sun.
pub(crate) const IN_THE_SUN: f64 = 0.5;

/// Leaves break the light above this height of the sun, degrees; below it comes in under them.
const DAPPLED_ABOVE_DEG: f64 = 10.0;
/// Under a roof, a step behind its edge, this share of the open light is left: a stop and a half.
const UNDER_A_ROOF: f64 = 0.35;

impl SpotMoment {
    /// The light at a spot for a position of the sun.
    ///
    /// - `around`: what stands around somebody there, as [`surroundings`](crate::surroundings) says it.
    pub fn at(spot: &Spot, around: &Surroundings, sun: &SunPosition) -> Self {
        let site = &spot.site;
        // What leaves let through is told by `is_dappled`.
        let is_direct =
            around.sun_share(sun) >= IN_THE_SUN * site.leaves_let_through.unwrap_or(1.0);
        let share = site.leaves_let_through.unwrap_or(1.0)
            * if site.roof.is_some() { UNDER_A_ROOF } else { 1.0 };
        SpotMoment {
            sun_elevation_deg: sun.elevation_deg,
            sun_azimuth_deg: sun.azimuth_deg,
            is_direct: is_direct && sun.apparent_elevation_deg > 0.0,
            is_dappled: is_direct
                && site.leaves_let_through.is_some()
                && sun.apparent_elevation_deg > DAPPLED_ABOVE_DEG,
            illuminance_lx: share * illuminance_clear_lx(sun.elevation_deg),
        }
    }

    /// Whether there is light enough to work, by the owner's rules.
    ///
    /// Where lamps are, a look that wants blue may go on down to the end of the blue hour.
    pub fn is_usable(&self, spot: &Spot, policy: &Policy, wish: LightWish) -> bool {
        let with_lamps = wish == LightWish::Blue && spot.site.lamps;
        if with_lamps {
            return self.sun_elevation_deg >= policy.light.blue_to_deg;
        }
        self.sun_elevation_deg >= policy.last_usable_sun_elevation_deg
            && self.illuminance_lx >= exposure_floor_lx(policy)
    }

    /// How well it grants a wish, 0 to 1; 0 also where there is too little light to work.
    ///
    /// # Source
    ///
    /// Common practice of outdoor portraiture turned into angles; the figures are our choice.
    pub fn grants(&self, spot: &Spot, policy: &Policy, wish: LightWish) -> f64 {
        if !self.is_usable(spot, policy, wish) {
            return 0.0;
        }
        let of = |curve| on(curve, self.sun_elevation_deg);
        let shade = match (self.is_dappled, self.is_direct) {
            (true, _) => DAPPLED,
            (false, true) => SUN_INSTEAD_OF_SHADE,
            (false, false) => of(SHADE),
        };
        let sun = |curve| {
            if self.is_dappled {
                DAPPLED
            } else if self.is_direct {
                of(curve)
            } else {
                SHADE_INSTEAD_OF_SUN
            }
        };
        let site = &spot.site;
        let azimuth_deg = self.sun_azimuth_deg;
        let backlight = || {
            let behind = if site.is_dark_towards(azimuth_deg) { 1.0 } else { PALE_BEHIND };
            let seen = if site.opens_towards(azimuth_deg) { 1.0 } else { CLOSED_IN };
            sun(BACKLIGHT) * behind * seen
        };
        let afterglow = || {
            let sees = site.opens_towards(azimuth_deg) || site.opens_towards(azimuth_deg + 180.0);
            of(AFTERGLOW) * if sees { 1.0 } else { CLOSED_IN }
        };
        match wish {
            LightWish::OpenShade => shade,
            LightWish::Backlight => backlight(),
            LightWish::LowSun => sun(LOW_SUN),
            LightWish::Afterglow => afterglow(),
            LightWish::Blue => of(BLUE) * if site.lamps { 1.0 } else { WITHOUT_LAMPS },
            LightWish::Any => shade.max(backlight()).max(sun(LOW_SUN)).max(afterglow()),
        }
    }
}

/// The least light that the owner still works in, lux on the face.
///
/// # Source
///
/// ISO 2720:1974: E = C N² / (t S), C = 250 for a flat receptor.
pub fn exposure_floor_lx(policy: &Policy) -> f64 {
    let rules = &policy.light;
    250.0 * rules.f_number_min.powi(2) / (rules.shutter_max_s * f64::from(rules.iso_max))
}

/// The curve's value at a height of the sun; beyond its ends that of the nearer end.
fn on(curve: Curve, sun_elevation_deg: f64) -> f64 {
    let Some(below) = curve.iter().position(|point| point.0 <= sun_elevation_deg) else {
        return curve.last().map_or(0.0, |point| point.1);
    };
    let (low, high) = (curve[below], curve[below.saturating_sub(1)]);
    let width_deg = high.0 - low.0;
    if width_deg <= 0.0 {
        return low.1;
    }
    low.1 + (high.1 - low.1) * (sun_elevation_deg - low.0) / width_deg
}
