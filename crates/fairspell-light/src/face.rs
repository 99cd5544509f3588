//! What the light does to a face.

use serde::{Deserialize, Serialize};

use crate::{
    direction::Direction,
    dome::{LitDome, PlaneLight},
};

/// The light on a face that looks one way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FaceLight {
    /// Which way it looks, degrees clockwise from true north.
    pub facing_azimuth_deg: f64,
    /// On an upright surface that looks the same way: what a meter at the chin reads.
    pub front: PlaneLight,
    /// On the cheek at the face's own left, turned by 45 degrees.
    pub left_cheek: PlaneLight,
    /// On the cheek at its right.
    pub right_cheek: PlaneLight,
    /// On the crown of the head.
    pub top: PlaneLight,
    /// What of the front's light comes in under the brow and so reaches the eyes, lux.
    pub under_brow_lx: f64,
    /// The light of the sky before the eyes over that of the face as a white sheet; 0 when there is
    /// no piece of sky before them. From 1 up it puts a spark in the eye.
    pub catchlight: f64,
    /// Whether the sun shines into the face from so high that it squints.
    pub squint: bool,
}

/// How far the cheeks are turned from the front.
const CHEEK_TURN_DEG: f64 = 45.0;

/// The brow shades the eyes from what stands higher. Our choice, from the depth of an eye socket.
pub(crate) const BROW_DEG: f64 = 40.0;

/// With less of the front's light coming in under the brow the eyes look hollow. Our choice: a
/// uniform sky over black ground has 0.76; an overcast one 0.67 over grass and 0.75 over sand, and
/// the trade calls the first hollow and cures it with pale ground.
pub const EYES_LIT_FROM: f64 = 0.7;

/// Where the eye looks for something bright: a cone of this half-width, raised by so much.
const CATCHLIGHT_CONE_DEG: f64 = 40.0;
const CATCHLIGHT_RAISED_DEG: f64 = 20.0;

/// The least sky that makes a spark, steradians: a patch of nine degrees.
const CATCHLIGHT_LEAST_SR: f64 = 0.02;

/// Higher sun in the face makes it squint (the trade's rule).
pub const SQUINT_FROM_DEG: f64 = 6.0;

/// Less direct light than this share of the front's whole doesn't make anybody squint.
const SQUINT_SHARE: f64 = 0.1;

impl FaceLight {
    /// The brighter cheek over the darker, 1 and up: 2 is soft, 8 is hard.
    pub fn ratio(&self) -> f64 {
        let (left, right) = (self.left_cheek.total_lx(), self.right_cheek.total_lx());
        left.max(right) / left.min(right)
    }

    /// The same in stops.
    pub fn ratio_stops(&self) -> f64 {
        self.ratio().log2()
    }

    /// The crown's light over the front's: above 2 the light comes from above.
    ///
    /// A sun behind the face lights the crown and nothing that is seen of the face; it doesn't
    /// count.
    pub fn top_over_front(&self) -> f64 {
        let behind_lx = if self.front.direct_lx > 0.0 { 0.0 } else { self.top.direct_lx };
        (self.top.total_lx() - behind_lx) / self.front.total_lx()
    }

    /// The share of the front's light that reaches the eyes, 0 to 1.
    pub fn eye_share(&self) -> f64 {
        self.under_brow_lx / self.front.total_lx()
    }

    /// Whether the eyes have light of their own, and a spark.
    pub fn eyes_lit(&self) -> bool {
        self.eye_share() >= EYES_LIT_FROM && self.catchlight >= 1.0
    }
}

impl LitDome<'_> {
    /// The light on a face that looks one way.
    ///
    /// - `facing_azimuth_deg`: which way it looks, degrees clockwise from true north.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_almanac::SunPosition;
    /// use fairspell_light::{Dome, Ground, SkyRange, Surroundings};
    ///
    /// // Overcast on grass: even on both cheeks, but from above. On sand the eyes come up.
    /// let sun = SunPosition { elevation_deg: 40.0, apparent_elevation_deg: 40.0, azimuth_deg: 0.0 };
    /// let grey = SkyRange::for_cloud(Some(1.0)).low.daylight(40.0);
    /// let share_on = |ground| {
    ///     let dome = Dome::new(Surroundings::open(ground, false));
    ///     let face = dome.lit(&sun, &grey).face(0.0);
    ///     assert!((face.ratio() - 1.0).abs() < 1e-3);
    ///     face.eyes_lit()
    /// };
    /// assert!(!share_on(Ground::Grass));
    /// assert!(share_on(Ground::Sand));
    /// ```
    pub fn face(&self, facing_azimuth_deg: f64) -> FaceLight {
        let turned = |turn_deg: f64| Direction::new(0.0, facing_azimuth_deg + turn_deg);
        let front_looks = turned(0.0);
        let front = self.on(front_looks);
        let brow = BROW_DEG.to_radians().sin();
        let under_brow = self.on_from(front_looks, |from| from.up < brow);
        let in_eyes = front.direct_lx > SQUINT_SHARE * front.total_lx();
        FaceLight {
            facing_azimuth_deg: facing_azimuth_deg.rem_euclid(360.0),
            front,
            left_cheek: self.on(turned(-CHEEK_TURN_DEG)),
            right_cheek: self.on(turned(CHEEK_TURN_DEG)),
            top: self.on(Direction::UP),
            under_brow_lx: under_brow.total_lx(),
            catchlight: self.catchlight(facing_azimuth_deg, &front),
            squint: in_eyes && self.sun.apparent_elevation_deg > SQUINT_FROM_DEG,
        }
    }

    fn catchlight(&self, facing_azimuth_deg: f64, front: &PlaneLight) -> f64 {
        let middle = Direction::new(CATCHLIGHT_RAISED_DEG, facing_azimuth_deg);
        let least_cosine = CATCHLIGHT_CONE_DEG.to_radians().cos();
        let (mut lx, mut sr) = (0.0, 0.0);
        for (look, sky_lx) in self.dome.above.iter().zip(&self.sky_lx) {
            if look.to_eyes > 0.0 && middle.cosine(look.toward) >= least_cosine {
                lx += sky_lx;
                sr += look.solid_angle_sr;
            }
        }
        let white = (front.sky_lx + front.reflected_lx) / std::f64::consts::PI;
        if sr >= CATCHLIGHT_LEAST_SR { lx / sr / white } else { 0.0 }
    }
}
