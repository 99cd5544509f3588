//! How the tilt of the moon's orbit, which swings in 18.6 years, strengthens and shifts the tides.

use std::f64::consts::{PI, TAU};

use super::astronomy::MeanLongitudes;

/// The families that share a factor and a shift; all others are built from these.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Family {
    M2,
    M3,
    O1,
    K1,
    K2,
    J1,
    OO1,
    L2,
    M1,
    Mm,
    Mf,
    Msf,
}

/// A factor on the amplitude and a shift of the phase, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FactorAndShift {
    /// `f`.
    pub(crate) f: f64,
    /// `u`, degrees.
    pub(crate) u_deg: f64,
}

impl FactorAndShift {
    /// Nothing is done.
    pub(crate) const NONE: FactorAndShift = FactorAndShift { f: 1.0, u_deg: 0.0 };
}

/// The moon's orbit against the equator at a moment, angles in radians.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LunarOrbit {
    /// `I`: how far it is tilted, 18.3° to 28.6°.
    inclination: f64,
    /// `nu`: right ascension of the point where it crosses the equator.
    nu: f64,
    /// `xi`: the same point's longitude in the orbit.
    xi: f64,
    /// `P`: perigee from that point.
    perigee: f64,
}

impl LunarOrbit {
    /// # Source
    ///
    /// Schureman, "Manual of harmonic analysis and prediction of tides", US Coast and Geodetic
    /// Survey, Special Publication 98 (1940, reprinted 1958), paragraphs on the inclination and
    /// table 6; from memory.
    pub(crate) fn of(at: &MeanLongitudes) -> Self {
        let n = (at.n.to_radians() + PI).rem_euclid(TAU) - PI;
        let sum = (1.01883 * (n / 2.0).tan()).atan();
        let difference = (0.64412 * (n / 2.0).tan()).atan();
        let xi = n - sum - difference;
        LunarOrbit {
            inclination: (0.91370 - 0.03569 * n.cos()).acos(),
            nu: sum - difference,
            xi,
            perigee: at.p.to_radians() - xi,
        }
    }

    /// Factor and shift of a family.
    ///
    /// # Source
    ///
    /// Schureman's formulas 73 to 78, 149, 197 to 207 (M1), 213 to 215 (L2), 224 to 227 (K1) and
    /// 232 to 235 (K2), from memory; the constants were compared with a
    /// public copy. The mixed term of M1 stands there with the square root of cos I/2 in some
    /// copies; adding up its two parts gives the square, as written here. The fortnightly
    /// wave of the moon against the sun is left unshifted, as the US service's programs do.
    pub(crate) fn factor_and_shift(&self, family: Family) -> FactorAndShift {
        let &LunarOrbit { inclination, nu, xi, perigee } = self;
        let (sin_i, cos_i) = inclination.sin_cos();
        let (sin_half, cos_half) = (inclination / 2.0).sin_cos();
        let sin_2i = (2.0 * inclination).sin();
        let (f, u) = match family {
            Family::M2 => (cos_half.powi(4) / 0.9154, 2.0 * (xi - nu)),
            Family::M3 => (cos_half.powi(6) / 0.8758, 3.0 * (xi - nu)),
            Family::Msf => (cos_half.powi(4) / 0.9154, 0.0),
            Family::O1 => (sin_i * cos_half.powi(2) / 0.3800, 2.0 * xi - nu),
            Family::J1 => (sin_2i / 0.7214, -nu),
            Family::OO1 => (sin_i * sin_half.powi(2) / 0.0164, -2.0 * xi - nu),
            Family::Mm => ((2.0 / 3.0 - sin_i.powi(2)) / 0.5021, 0.0),
            Family::Mf => (sin_i.powi(2) / 0.1578, -2.0 * xi),
            Family::K1 => {
                let f2 = 0.8965 * sin_2i.powi(2) + 0.6001 * sin_2i * nu.cos() + 0.1006;
                (f2.sqrt(), -(sin_2i * nu.sin()).atan2(sin_2i * nu.cos() + 0.3347))
            }
            Family::K2 => {
                let sin2 = sin_i.powi(2);
                let f2 = 19.0444 * sin2 * sin2 + 2.7702 * sin2 * (2.0 * nu).cos() + 0.0981;
                let twice = (sin2 * (2.0 * nu).sin()).atan2(sin2 * (2.0 * nu).cos() + 0.0727);
                (f2.sqrt(), -twice)
            }
            Family::L2 => {
                let tan2 = (sin_half / cos_half).powi(2);
                let (sin_2p, cos_2p) = (2.0 * perigee).sin_cos();
                let ra = (1.0 - 12.0 * tan2 * cos_2p + 36.0 * tan2 * tan2).sqrt();
                let r = (6.0 * tan2 * sin_2p).atan2(1.0 - 6.0 * tan2 * cos_2p);
                (cos_half.powi(4) / 0.9154 * ra, 2.0 * (xi - nu) - r)
            }
            Family::M1 => {
                let mixed = cos_i / cos_half.powi(2);
                let (sin_p, cos_p) = perigee.sin_cos();
                let qa = (0.25 + 1.5 * mixed * (2.0 * perigee).cos() + 2.25 * mixed * mixed).sqrt();
                let q = ((5.0 * cos_i - 1.0) * sin_p).atan2((7.0 * cos_i + 1.0) * cos_p);
                (sin_i * cos_half.powi(2) / 0.3800 * qa, q - perigee - nu)
            }
        };
        FactorAndShift { f, u_deg: u.to_degrees() }
    }
}
