//! The 37 waves a tide is made of, by the names under which their constants are published.

use jiff::Timestamp;

use super::{
    astronomy::{MeanLongitudes, SPEEDS_DEG_H},
    nodal::{FactorAndShift, Family, LunarOrbit},
};

/// One wave.
#[derive(Debug)]
pub(crate) struct Constituent {
    /// The name in published constants.
    pub(crate) name: &'static str,
    /// How many of `T`, `s`, `h`, `p` and `p1` make its argument.
    multiples: [i8; 5],
    /// What is added, degrees. `T` counts from midnight, not from noon.
    constant_deg: f64,
    /// Which families its factor and shift are made of, and how often; a negative number turns the
    /// shift round.
    families: &'static [(Family, i8)],
}

/// Every wave we know, in the order of the US service's lists.
///
/// # Source
///
/// Schureman, Special Publication 98, table 2 and 2a (from memory), with `T` there from noon. S1 is
/// the meteorological one, `T` alone; SA counts from the equinox, not from perigee. Libraries that
/// follow Doodson write both with `p1`, and call M1 NO1: their phase lags of S1 and SA can't be
/// used here as they are.
#[rustfmt::skip]
pub(crate) const CONSTITUENTS: [Constituent; 37] = {
    use Family::{J1, K1, K2, L2, M1, M2, M3, Mf, Mm, Msf, O1, OO1};
    [
        of("M2",   [2, -2,  2,  0,  0],   0.0, &[(M2, 1)]),
        of("S2",   [2,  0,  0,  0,  0],   0.0, &[]),
        of("N2",   [2, -3,  2,  1,  0],   0.0, &[(M2, 1)]),
        of("K1",   [1,  0,  1,  0,  0],  90.0, &[(K1, 1)]),
        of("M4",   [4, -4,  4,  0,  0],   0.0, &[(M2, 2)]),
        of("O1",   [1, -2,  1,  0,  0], 270.0, &[(O1, 1)]),
        of("M6",   [6, -6,  6,  0,  0],   0.0, &[(M2, 3)]),
        of("MK3",  [3, -2,  3,  0,  0],  90.0, &[(M2, 1), (K1, 1)]),
        of("S4",   [4,  0,  0,  0,  0],   0.0, &[]),
        of("MN4",  [4, -5,  4,  1,  0],   0.0, &[(M2, 2)]),
        of("NU2",  [2, -3,  4, -1,  0],   0.0, &[(M2, 1)]),
        of("S6",   [6,  0,  0,  0,  0],   0.0, &[]),
        of("MU2",  [2, -4,  4,  0,  0],   0.0, &[(M2, 1)]),
        of("2N2",  [2, -4,  2,  2,  0],   0.0, &[(M2, 1)]),
        of("OO1",  [1,  2,  1,  0,  0],  90.0, &[(OO1, 1)]),
        of("LAM2", [2, -1,  0,  1,  0], 180.0, &[(M2, 1)]),
        of("S1",   [1,  0,  0,  0,  0], 180.0, &[]),
        of("M1",   [1, -1,  1,  1,  0],  90.0, &[(M1, 1)]),
        of("J1",   [1,  1,  1, -1,  0],  90.0, &[(J1, 1)]),
        of("MM",   [0,  1,  0, -1,  0],   0.0, &[(Mm, 1)]),
        of("SSA",  [0,  0,  2,  0,  0],   0.0, &[]),
        of("SA",   [0,  0,  1,  0,  0],   0.0, &[]),
        of("MSF",  [0,  2, -2,  0,  0],   0.0, &[(Msf, 1)]),
        of("MF",   [0,  2,  0,  0,  0],   0.0, &[(Mf, 1)]),
        of("RHO",  [1, -3,  3, -1,  0], 270.0, &[(O1, 1)]),
        of("Q1",   [1, -3,  1,  1,  0], 270.0, &[(O1, 1)]),
        of("T2",   [2,  0, -1,  0,  1],   0.0, &[]),
        of("R2",   [2,  0,  1,  0, -1], 180.0, &[]),
        of("2Q1",  [1, -4,  1,  2,  0], 270.0, &[(O1, 1)]),
        of("P1",   [1,  0, -1,  0,  0], 270.0, &[]),
        of("2SM2", [2,  2, -2,  0,  0],   0.0, &[(M2, -1)]),
        of("M3",   [3, -3,  3,  0,  0], 180.0, &[(M3, 1)]),
        of("L2",   [2, -1,  2, -1,  0], 180.0, &[(L2, 1)]),
        of("2MK3", [3, -4,  3,  0,  0], 270.0, &[(M2, 2), (K1, -1)]),
        of("K2",   [2,  0,  2,  0,  0],   0.0, &[(K2, 1)]),
        of("M8",   [8, -8,  8,  0,  0],   0.0, &[(M2, 4)]),
        of("MS4",  [4, -2,  2,  0,  0],   0.0, &[(M2, 1)]),
    ]
};

/// Other spellings under which some of them are published.
const ALSO: [(&str, &str); 3] = [("LDA2", "LAM2"), ("LAMBDA2", "LAM2"), ("RHO1", "RHO")];

const fn of(
    name: &'static str,
    multiples: [i8; 5],
    constant_deg: f64,
    families: &'static [(Family, i8)],
) -> Constituent {
    Constituent { name, multiples, constant_deg, families }
}

/// Where a wave of the ideal tide stands at a moment, and how the moon's orbit then changes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TideArgument {
    /// `V`: the argument in Greenwich, 0 up to 360 degrees.
    pub argument_deg: f64,
    /// How fast it grows, degrees an hour.
    pub speed_deg_h: f64,
    /// `f`: what amplitudes are multiplied by.
    pub nodal_factor: f64,
    /// `u`: what is added to the argument, degrees.
    pub nodal_shift_deg: f64,
}

/// The argument of one wave at a moment: what published phase lags count from.
///
/// To check constants against the handbook or service they come from before trusting a calendar to
/// them: if `V` differs there, so do the lags.
///
/// - `name`: one of the 37 of [`ConstituentConstants`](super::ConstituentConstants), in capitals or
///   not.
///
/// `None` for another name.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::tide::tide_argument;
///
/// // The sun's own tide has gone round once at noon in Greenwich.
/// let s2 = tide_argument("S2", "2026-09-03T12:00Z".parse()?).expect("one of the 37");
/// assert_eq!((s2.argument_deg, s2.speed_deg_h, s2.nodal_factor), (0.0, 30.0, 1.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// Schureman, Special Publication 98, table 2 and formulas 73 to 235, from memory.
pub fn tide_argument(name: &str, at: Timestamp) -> Option<TideArgument> {
    let constituent = Constituent::named(name)?;
    let longitudes = MeanLongitudes::at(at.as_millisecond());
    let nodal = constituent.factor_and_shift(&LunarOrbit::of(&longitudes));
    Some(TideArgument {
        argument_deg: constituent.argument_deg(&longitudes).rem_euclid(360.0),
        speed_deg_h: constituent.speed_deg_h(),
        nodal_factor: nodal.f,
        nodal_shift_deg: (nodal.u_deg + 180.0).rem_euclid(360.0) - 180.0,
    })
}

impl Constituent {
    /// By name, in capitals or not.
    pub(crate) fn named(name: &str) -> Option<&'static Constituent> {
        let name = name.trim();
        let also = ALSO.into_iter().find(|(other, _)| other.eq_ignore_ascii_case(name));
        let name = also.map_or(name, |(_, usual)| usual);
        CONSTITUENTS.iter().find(|constituent| constituent.name.eq_ignore_ascii_case(name))
    }

    /// How fast its argument grows, degrees an hour.
    pub(crate) fn speed_deg_h(&self) -> f64 {
        self.sum(SPEEDS_DEG_H)
    }

    /// Its argument `V`, degrees, not reduced to one turn.
    pub(crate) fn argument_deg(&self, at: &MeanLongitudes) -> f64 {
        self.sum([at.t, at.s, at.h, at.p, at.p1]) + self.constant_deg
    }

    /// Its factor and shift for an orbit of the moon.
    pub(crate) fn factor_and_shift(&self, orbit: &LunarOrbit) -> FactorAndShift {
        self.families.iter().fold(FactorAndShift::NONE, |product, &(family, times)| {
            let one = orbit.factor_and_shift(family);
            FactorAndShift {
                f: product.f * one.f.powi(i32::from(times.unsigned_abs())),
                u_deg: product.u_deg + one.u_deg * f64::from(times),
            }
        })
    }

    fn sum(&self, angles: [f64; 5]) -> f64 {
        self.multiples.iter().zip(angles).map(|(&times, angle)| f64::from(times) * angle).sum()
    }
}
