//! All that a spot sees, and the light that falls from it on any surface.
//!
//! The whole sphere about the eyes is cut into pieces along the edges of hills, roof, leaves and
//! umbrella, so that no piece holds two things, and each piece is looked at in a few directions that
//! make the sum an integral. Sky, hill, wall and ground each send their own light from there.

use std::f64::consts::PI;

use fairspell_almanac::SunPosition;
use fairspell_ground::Skyline;
use serde::{Deserialize, Serialize};

use crate::{
    Daylight,
    cie_sky::on_the_dome,
    daylight::apparent_elevation_deg,
    direction::Direction,
    face::BROW_DEG,
    quadrature::gauss_panels,
    surroundings::{Seen, Surroundings, UMBRELLA_FROM_DEG},
};

/// One look, and the part of the sphere it stands for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    pub(crate) toward: Direction,
    pub(crate) solid_angle_sr: f64,
    pub(crate) seen: Part,
    /// Share of this part of the sky that reaches the face; the ground at its feet; the ground
    /// farther off. Zero for all that is not sky.
    pub(crate) to_eyes: f64,
    pub(crate) to_ground_here: f64,
    pub(crate) to_ground_beyond: f64,
}

/// What sends the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    Sky,
    Skyline,
    Cover,
    GroundHere,
    GroundBeyond,
}

/// The view from a spot; made once, used for any sun.
#[derive(Debug, Clone)]
pub struct Dome {
    pub(crate) surroundings: Surroundings,
    pub(crate) above: Vec<Look>,
    pub(crate) below: Vec<Look>,
}

/// Light on a surface, by where it comes from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct PlaneLight {
    /// Straight from the sun, lux.
    pub direct_lx: f64,
    /// From the sky, lux.
    pub sky_lx: f64,
    /// From ground, hills, roof and wall, lux.
    pub reflected_lx: f64,
}

impl PlaneLight {
    /// All of it, lux.
    pub fn total_lx(&self) -> f64 {
        self.direct_lx + self.sky_lx + self.reflected_lx
    }
}

/// Eyes above the ground, m: where a roof's shade ends on the ground as they see it.
const EYE_HEIGHT_M: f64 = 1.5;

/// Widest pieces, degrees: along the horizon, upwards, and below the horizon, where light is even.
const AZIMUTH_STEP_DEG: f64 = 15.0;
const ELEVATION_STEP_DEG: f64 = 30.0;
const BELOW_STEP_DEG: f64 = 45.0;

impl Dome {
    /// The view from a spot.
    pub fn new(surroundings: Surroundings) -> Self {
        let bare = surroundings.bare();
        let (mut above, mut below) = (Vec::new(), Vec::new());
        let edges = azimuth_edges(&surroundings);
        for pair in edges.windows(2) {
            for (azimuth_deg, width_deg) in gauss_panels(pair[0], pair[1], AZIMUTH_STEP_DEG) {
                let mut look = |from_deg: f64, until_deg: f64, step_deg: f64| {
                    if from_deg >= until_deg {
                        return;
                    }
                    for (elevation_deg, height_deg) in gauss_panels(from_deg, until_deg, step_deg) {
                        let toward = Direction::new(elevation_deg, azimuth_deg);
                        let level = elevation_deg.to_radians().cos();
                        let solid_angle_sr =
                            width_deg.to_radians() * height_deg.to_radians() * level;
                        let look = look_at(
                            &surroundings,
                            &bare,
                            (elevation_deg, azimuth_deg),
                            toward,
                            solid_angle_sr,
                        );
                        if elevation_deg > 0.0 { &mut above } else { &mut below }.push(look);
                    }
                };
                for pair in elevation_edges(&surroundings, azimuth_deg).windows(2) {
                    look(pair[0], pair[1], ELEVATION_STEP_DEG);
                }
                let shade_deg = shade_end_deg(&surroundings, azimuth_deg);
                look(-90.0, shade_deg, BELOW_STEP_DEG);
                look(shade_deg, 0.0, BELOW_STEP_DEG);
            }
        }
        Dome { surroundings, above, below }
    }

    /// What it was made from.
    pub fn surroundings(&self) -> &Surroundings {
        &self.surroundings
    }

    /// The share of level light that a uniform sky sends here, 0 to 1: how open the spot is.
    pub fn sky_view_factor(&self) -> f64 {
        self.above.iter().map(|a| a.to_eyes * a.solid_angle_sr * a.toward.up).sum::<f64>() / PI
    }

    /// The same view with a sun and a sky over it.
    ///
    /// - `sun`: where the sun stands.
    /// - `daylight`: the sky's light at that elevation: [`daylight_clear`](crate::daylight_clear) or
    ///   [`SkyCondition::daylight`](crate::SkyCondition::daylight).
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_almanac::SunPosition;
    /// use fairspell_light::{Direction, Dome, Ground, Surroundings, daylight_clear};
    ///
    /// // Eight degrees of sun in the west, on a beach: turned to it a face has all the light there
    /// // is; turned away it has sky and sand, a seventh.
    /// let sun = SunPosition { elevation_deg: 8.0, apparent_elevation_deg: 8.1, azimuth_deg: 270.0 };
    /// let beach = Dome::new(Surroundings::open(Ground::Sand, false));
    /// let lit = beach.lit(&sun, &daylight_clear(8.0));
    /// let front = lit.on(Direction::new(0.0, 270.0)).total_lx();
    /// let back = lit.on(Direction::new(0.0, 90.0)).total_lx();
    /// assert!((6.0..9.0).contains(&(front / back)), "{front} lx and {back} lx");
    /// ```
    pub fn lit(&self, sun: &SunPosition, daylight: &Daylight) -> LitDome<'_> {
        let toward_sun = Direction::new(apparent_elevation_deg(sun.elevation_deg), sun.azimuth_deg);
        let sky_sun = on_the_dome(Direction::new(sun.elevation_deg, sun.azimuth_deg));
        let mut sky_lx: Vec<f64> = self
            .above
            .iter()
            .map(|look| look.solid_angle_sr * daylight.sky.relative(look.toward, sky_sun))
            .collect();
        let level: f64 = sky_lx.iter().zip(&self.above).map(|(s, look)| s * look.toward.up).sum();
        let scale = daylight.sky_horizontal_lx / level;
        let [mut here_lx, mut beyond_lx] = self
            .surroundings
            .bare()
            .map(|bare| daylight.direct_normal_lx * toward_sun.up.max(0.0) * bare.sun_share(sun));
        for (sky_lx, look) in sky_lx.iter_mut().zip(&self.above) {
            let whole_lx = *sky_lx * scale;
            here_lx += whole_lx * look.to_ground_here * look.toward.up;
            beyond_lx += whole_lx * look.to_ground_beyond * look.toward.up;
            *sky_lx = whole_lx * look.to_eyes;
        }
        let direct_normal_lx = daylight.direct_normal_lx * self.surroundings.sun_share(sun);
        LitDome {
            dome: self,
            sun: *sun,
            toward_sun,
            direct_normal_lx,
            sky_lx,
            sent: Sent::new(&self.surroundings, here_lx, beyond_lx),
        }
    }
}

/// Luminance of all that is not sky, cd/m².
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sent {
    skyline: f64,
    cover: f64,
    ground_here: f64,
    ground_beyond: f64,
}

impl Sent {
    /// From the illuminance of the ground here and of that beyond. Upright surfaces have half of the
    /// ground's light, and what they send to each other is left out: our choice.
    pub(crate) fn new(surroundings: &Surroundings, here_lx: f64, beyond_lx: f64) -> Self {
        let sends = |share: f64, lx: f64| share.clamp(0.0, 1.0) * lx / PI;
        let cover = surroundings.roof.map_or(0.0, |roof| roof.reflectance);
        Sent {
            skyline: sends(surroundings.skyline_reflectance, beyond_lx / 2.0),
            cover: sends(cover, here_lx / 2.0),
            ground_here: sends(surroundings.ground_reflectance, here_lx),
            ground_beyond: sends(surroundings.ground_reflectance, beyond_lx),
        }
    }

    pub(crate) fn by(&self, part: Part) -> f64 {
        match part {
            Part::Sky => 0.0,
            Part::Skyline => self.skyline,
            Part::Cover => self.cover,
            Part::GroundHere => self.ground_here,
            Part::GroundBeyond => self.ground_beyond,
        }
    }
}

/// A spot's view under one sun and one sky.
#[derive(Debug, Clone)]
pub struct LitDome<'a> {
    pub(crate) dome: &'a Dome,
    pub(crate) sun: SunPosition,
    pub(crate) toward_sun: Direction,
    /// What of the direct light gets here, onto a surface that looks at it.
    pub(crate) direct_normal_lx: f64,
    /// What each look above the horizon gets of the sky, onto a surface that looks at it.
    pub(crate) sky_lx: Vec<f64>,
    sent: Sent,
}

impl LitDome<'_> {
    /// The light that falls on a surface.
    ///
    /// - `looks`: the way it looks: [`Direction::UP`] for level ground, elevation 0 for a face.
    pub fn on(&self, looks: Direction) -> PlaneLight {
        self.on_from(looks, |_| true)
    }

    /// Where the sun stands.
    pub fn sun(&self) -> SunPosition {
        self.sun
    }

    /// What of the sun's direct light gets here, onto a surface that looks straight at it, lux.
    pub fn direct_normal_lx(&self) -> f64 {
        self.direct_normal_lx
    }

    /// The light from some directions only.
    pub(crate) fn on_from(
        &self,
        looks: Direction,
        counts: impl Fn(Direction) -> bool,
    ) -> PlaneLight {
        let mut light = PlaneLight::default();
        if counts(self.toward_sun) {
            light.direct_lx = self.direct_normal_lx * looks.cosine(self.toward_sun).max(0.0);
        }
        let meets = |look: &Look| {
            let cosine = looks.cosine(look.toward);
            if cosine > 0.0 && counts(look.toward) { cosine } else { 0.0 }
        };
        for (look, sky_lx) in self.dome.above.iter().zip(&self.sky_lx) {
            let cosine = meets(look);
            light.sky_lx += sky_lx * cosine;
            light.reflected_lx += self.sent.by(look.seen) * look.solid_angle_sr * cosine;
        }
        for look in &self.dome.below {
            light.reflected_lx += self.sent.by(look.seen) * look.solid_angle_sr * meets(look);
        }
        light
    }
}

/// What one look finds.
fn look_at(
    surroundings: &Surroundings,
    bare: &[Surroundings; 2],
    (elevation_deg, azimuth_deg): (f64, f64),
    toward: Direction,
    solid_angle_sr: f64,
) -> Look {
    let share = |around: &Surroundings| match around.toward(elevation_deg, azimuth_deg) {
        Seen::Sky { transmittance } => transmittance,
        Seen::Skyline | Seen::Cover => 0.0,
    };
    if elevation_deg < 0.0 {
        let shaded = surroundings.canopy.is_some()
            || elevation_deg < shade_end_deg(surroundings, azimuth_deg);
        let seen = if shaded { Part::GroundHere } else { Part::GroundBeyond };
        let [to_eyes, to_ground_here, to_ground_beyond] = [0.0; 3];
        return Look { toward, solid_angle_sr, seen, to_eyes, to_ground_here, to_ground_beyond };
    }
    let seen = match surroundings.toward(elevation_deg, azimuth_deg) {
        Seen::Sky { .. } => Part::Sky,
        Seen::Skyline => Part::Skyline,
        Seen::Cover => Part::Cover,
    };
    Look {
        toward,
        solid_angle_sr,
        seen,
        to_eyes: share(surroundings),
        to_ground_here: share(&bare[0]),
        to_ground_beyond: share(&bare[1]),
    }
}

/// The elevation, below zero, at which the ground under the roof ends and that beyond it begins.
fn shade_end_deg(surroundings: &Surroundings, azimuth_deg: f64) -> f64 {
    let Some(roof) = surroundings.roof else { return -90.0 };
    let reach_m = roof.reach_m(azimuth_deg).unwrap_or(f64::INFINITY);
    -EYE_HEIGHT_M.atan2(reach_m).to_degrees()
}

/// Where something begins or ends along the horizon, once round.
fn azimuth_edges(surroundings: &Surroundings) -> Vec<f64> {
    let mut edges: Vec<f64> = steps_deg(&surroundings.skyline)
        .chain(surroundings.roof.iter().flat_map(crate::surroundings::Roof::corners_deg))
        .filter(|edge| edge.is_finite())
        .map(|edge| edge.rem_euclid(360.0))
        .collect();
    edges.sort_by(f64::total_cmp);
    let first = edges.first().copied().unwrap_or(0.0);
    edges.push(first + 360.0);
    if edges.len() == 1 {
        edges.insert(0, first);
    }
    edges.dedup_by(|later, earlier| *later - *earlier < 1e-9);
    edges
}

/// How often to ask a skyline for its height, and the least step that is worth an edge.
const SKYLINE_LOOKS: u32 = 720;
const STEP_LEAST_DEG: f64 = 0.2;

/// Where the skyline's height steps, once round. A slope is none: the looks follow it anyhow.
fn steps_deg(skyline: &Skyline) -> impl Iterator<Item = f64> {
    let width_deg = 360.0 / f64::from(SKYLINE_LOOKS);
    (0..SKYLINE_LOOKS).filter_map(move |look| {
        let mut left = f64::from(look) * width_deg;
        let mut right = left + width_deg;
        let height_deg = |azimuth_deg: f64| skyline.height_deg(azimuth_deg.rem_euclid(360.0));
        let (mut left_deg, mut right_deg) = (height_deg(left), height_deg(right));
        while (right_deg - left_deg).abs() >= STEP_LEAST_DEG {
            let middle = f64::midpoint(left, right);
            if right - left < 1e-6 {
                return Some(middle);
            }
            let middle_deg = height_deg(middle);
            if (middle_deg - left_deg).abs() > (right_deg - middle_deg).abs() {
                (right, right_deg) = (middle, middle_deg);
            } else {
                (left, left_deg) = (middle, middle_deg);
            }
        }
        None
    })
}

/// Where something begins or ends upwards, in one direction; the brow is an edge for the eyes.
fn elevation_edges(surroundings: &Surroundings, azimuth_deg: f64) -> Vec<f64> {
    let mut edges = vec![0.0, BROW_DEG, 90.0, surroundings.skyline.height_deg(azimuth_deg)];
    edges.extend(surroundings.roof.map(|roof| roof.edge_deg(azimuth_deg)));
    edges.extend(surroundings.canopy.map(|leaves| leaves.from_elevation_deg));
    edges.extend(surroundings.umbrella.then_some(UMBRELLA_FROM_DEG));
    edges.retain(|edge| (0.0..=90.0).contains(edge));
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|later, earlier| *later - *earlier < 1e-9);
    edges
}
