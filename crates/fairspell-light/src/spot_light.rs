//! A spot's light for any sun, fast enough for every minute of a year.
//!
//! What a spot gets of a sky's light changes slowly with where the sun is. So it is summed over the
//! dome once for every 3 degrees of the sun's elevation and every 5 of its azimuth, and looked up
//! between them; what changes fast, the sun's own light and whether a hill hides it, is computed.

use std::array;

use fairspell_almanac::SunPosition;

use crate::{
    Dome, Ev100, Facing, PlaneLight, SkyCondition,
    daylight::{SUN_RADIUS_DEG, apparent_elevation_deg, disc_share},
    direction::Direction,
    dome::{Part, Sent},
};

const ELEVATION_STEP_DEG: f64 = 3.0;
const AZIMUTH_STEP_DEG: f64 = 5.0;
const ELEVATIONS: usize = 31;
const AZIMUTHS: usize = 72;

/// Shares of the open sky's level light that get to: a level surface at the eyes, the face, the
/// ground here, the ground beyond.
type Shares = [f64; 4];

/// How much of a face's view is skyline, cover, ground here and ground beyond.
type Views = [f64; 4];

const PARTS: [Part; 4] = [Part::Skyline, Part::Cover, Part::GroundHere, Part::GroundBeyond];

/// A spot under one kind of sky, ready for any sun.
#[derive(Debug, Clone)]
pub struct SpotLight {
    dome: Dome,
    bare: [crate::Surroundings; 2],
    sky: SkyCondition,
    facing: Facing,
    shares: Vec<Shares>,
    /// What the face sees apart from sky, by the sun's azimuth.
    face_views: Vec<Views>,
    /// What a level surface at the eyes sees apart from sky.
    top_views: Views,
}

/// The light of a spot at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpotMoment {
    /// The share of the sun's disc that shines here, 0 to 1; leaves and umbrella weaken it. Cloud
    /// is not in it.
    pub sun_share: f64,
    /// On a level surface at the eyes.
    pub horizontal: PlaneLight,
    /// On the face.
    pub face: PlaneLight,
}

impl SpotMoment {
    /// Whether the face has the light that is needed.
    pub fn is_usable(&self, floor: Ev100) -> bool {
        self.face.total_lx() >= floor.illuminance_lx()
    }
}

impl SpotLight {
    /// Sums a spot's view up.
    ///
    /// - `dome`: the spot.
    /// - `sky`: one possible sky; make one for each that matters.
    /// - `facing`: which way the face looks.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_almanac::SunPosition;
    /// use fairspell_light::{Dome, Facing, Ground, SkyCondition, SpotLight, Surroundings};
    ///
    /// let dome = Dome::new(Surroundings::open(Ground::Sand, false));
    /// let beach = SpotLight::new(dome, SkyCondition::CLEAR, Facing::AwayFromSun);
    /// let sun = SunPosition { elevation_deg: 8.0, apparent_elevation_deg: 8.1, azimuth_deg: 281.0 };
    /// let moment = beach.at(&sun);
    /// // The sun on the beach, but not on the face: it has sky and sand.
    /// assert!(moment.horizontal.direct_lx > 3000.0);
    /// assert_eq!(moment.face.direct_lx, 0.0);
    /// assert!(moment.face.total_lx() > 2000.0);
    /// ```
    pub fn new(dome: Dome, sky: SkyCondition, facing: Facing) -> SpotLight {
        let azimuths = (0..AZIMUTHS).map(|index| AZIMUTH_STEP_DEG * index as f64);
        let faces: Vec<Direction> = azimuths
            .clone()
            .map(|azimuth_deg| Direction::new(0.0, facing.azimuth_deg(azimuth_deg)))
            .collect();
        let graded: Vec<f64> = dome
            .above
            .iter()
            .map(|look| look.solid_angle_sr * sky.sky().gradation(look.toward.up))
            .collect();
        let mut shares = Vec::with_capacity(ELEVATIONS * AZIMUTHS);
        for elevation in 0..ELEVATIONS {
            for (azimuth_deg, face) in azimuths.clone().zip(&faces) {
                let sun = Direction::new(ELEVATION_STEP_DEG * elevation as f64, azimuth_deg);
                let mut sums = [0.0; 5];
                for (look, graded) in dome.above.iter().zip(&graded) {
                    let light = graded * sky.sky().indicatrix(look.toward.cosine(sun));
                    let level = light * look.toward.up;
                    sums[0] += level * look.to_eyes;
                    sums[1] += light * look.to_eyes * face.cosine(look.toward).max(0.0);
                    sums[2] += level * look.to_ground_here;
                    sums[3] += level * look.to_ground_beyond;
                    sums[4] += level;
                }
                shares.push(array::from_fn(|i| sums[i] / sums[4]));
            }
        }
        let face_views = faces.iter().map(|face| views(&dome, *face)).collect();
        let top_views = views(&dome, Direction::UP);
        let bare = dome.surroundings.bare();
        SpotLight { dome, bare, sky, facing, shares, face_views, top_views }
    }

    /// The light of a moment.
    ///
    /// - `sun`: where the sun stands then.
    ///
    /// Within 2 % of [`Dome::lit`]'s own sums. For a sun whose place is not a number the light
    /// isn't one either.
    pub fn at(&self, sun: &SunPosition) -> SpotMoment {
        let daylight = self.sky.daylight(sun.elevation_deg);
        let toward_sun = Direction::new(apparent_elevation_deg(sun.elevation_deg), sun.azimuth_deg);
        let face = Direction::new(0.0, self.facing.azimuth_deg(sun.azimuth_deg));
        let (shares, face_views) = self.between(sun);
        let [top, front, here, beyond] = shares.map(|share| share * daylight.sky_horizontal_lx);
        let level_lx = daylight.direct_normal_lx * toward_sun.up.max(0.0);
        let surroundings = &self.dome.surroundings;
        let (mut share, mut on_ground) = (0.0, [0.0; 2]);
        let risen = disc_share(sun.apparent_elevation_deg / SUN_RADIUS_DEG);
        if risen > 0.0 || daylight.direct_normal_lx > 0.0 {
            share = surroundings.sun_share(sun);
            on_ground = array::from_fn(|i| level_lx * self.bare[i].sun_share(sun));
        }
        let sent = Sent::new(surroundings, here + on_ground[0], beyond + on_ground[1]);
        let reflected = |views: &Views| {
            PARTS.iter().zip(views).map(|(part, view)| sent.by(*part) * view).sum::<f64>()
        };
        let direct_lx = daylight.direct_normal_lx * share;
        SpotMoment {
            sun_share: share * risen,
            horizontal: PlaneLight {
                direct_lx: level_lx * share,
                sky_lx: top,
                reflected_lx: reflected(&self.top_views),
            },
            face: PlaneLight {
                direct_lx: direct_lx * face.cosine(toward_sun).max(0.0),
                sky_lx: front,
                reflected_lx: reflected(&face_views),
            },
        }
    }

    /// The spot it was made for.
    pub fn dome(&self) -> &Dome {
        &self.dome
    }

    /// The table between its entries.
    fn between(&self, sun: &SunPosition) -> (Shares, Views) {
        let (low, up) = split(sun.elevation_deg.clamp(0.0, 90.0) / ELEVATION_STEP_DEG);
        let (left, right) = split(sun.azimuth_deg.rem_euclid(360.0) / AZIMUTH_STEP_DEG);
        let low = low.min(ELEVATIONS - 2);
        let (left, next) = (left % AZIMUTHS, (left + 1) % AZIMUTHS);
        let up = if sun.elevation_deg >= 90.0 { 1.0 } else { up };
        let row = |elevation: usize| {
            let [a, b] = [left, next].map(|azimuth| &self.shares[elevation * AZIMUTHS + azimuth]);
            mixed(a, b, right)
        };
        let views = mixed(&self.face_views[left], &self.face_views[next], right);
        (mixed(&row(low), &row(low + 1), up), views)
    }
}

fn mixed(a: &[f64; 4], b: &[f64; 4], share: f64) -> [f64; 4] {
    array::from_fn(|i| a[i] + share * (b[i] - a[i]))
}

/// Whole steps and what is left.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small and positive")]
fn split(steps: f64) -> (usize, f64) {
    let whole = steps.floor();
    (whole as usize, steps - whole)
}

/// The projected solid angle of each part but the sky.
fn views(dome: &Dome, looks: Direction) -> Views {
    let mut views = [0.0; 4];
    for look in dome.above.iter().chain(&dome.below) {
        if let Some(part) = PARTS.iter().position(|part| *part == look.seen) {
            views[part] += look.solid_angle_sr * looks.cosine(look.toward).max(0.0);
        }
    }
    views
}
