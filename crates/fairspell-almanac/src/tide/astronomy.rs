//! Where the moon, the sun and their orbits stand: the slow angles that every tide is made of.

/// Milliseconds of a day.
pub(crate) const DAY_MS: i64 = 86_400_000;

/// 2000-01-01 12:00, in milliseconds since 1970.
const J2000_MS: i64 = 946_728_000_000;

/// The five mean longitudes of tidal theory and the hour, degrees, not reduced to one turn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MeanLongitudes {
    /// `T`: 15° for every hour since midnight in Greenwich.
    pub(crate) t: f64,
    /// `s`: the mean moon.
    pub(crate) s: f64,
    /// `h`: the mean sun.
    pub(crate) h: f64,
    /// `p`: the moon's perigee.
    pub(crate) p: f64,
    /// `N`: the ascending node of the moon's orbit.
    pub(crate) n: f64,
    /// `p1`: the sun's perigee.
    pub(crate) p1: f64,
}

/// How fast `T`, `s`, `h`, `p` and `p1` grow, degrees an hour, at the epoch 2000.
pub(crate) const SPEEDS_DEG_H: [f64; 5] = [
    15.0,
    481267.88123421 / CENTURY_H,
    36000.76983 / CENTURY_H,
    4069.0137287 / CENTURY_H,
    1.71946 / CENTURY_H,
];

const CENTURY_H: f64 = 36525.0 * 24.0;

impl MeanLongitudes {
    /// At a moment, in milliseconds since 1970.
    ///
    /// The polynomials want the even time of the planets, which in these decades is 69 seconds
    /// ahead of the clock; we give them the clock, as the makers of harmonic constants do. It
    /// moves the moon by 0.01°.
    ///
    /// # Source
    ///
    /// Meeus, "Astronomical algorithms", 2nd edition (1998), chapters 25 (sun), 47 and 22 (moon and
    /// node, after Chapront) and 31 (perihelion of the earth, mean equinox of the date, plus 180°);
    /// from memory, checked against the older polynomials of the "Explanatory supplement" (1961).
    pub(crate) fn at(ms: i64) -> Self {
        let c = (ms.saturating_sub(J2000_MS)) as f64 / (36525.0 * DAY_MS as f64);
        MeanLongitudes {
            t: ms.rem_euclid(DAY_MS) as f64 / DAY_MS as f64 * 360.0,
            s: polynomial(c, [218.3164477, 481267.88123421, -0.0015786, 1.0 / 538841.0]),
            h: polynomial(c, [280.46646, 36000.76983, 0.0003032, 0.0]),
            p: polynomial(c, [83.3532465, 4069.0137287, -0.0103200, -1.0 / 80053.0]),
            n: polynomial(c, [125.0445479, -1934.1362891, 0.0020754, 1.0 / 467441.0]),
            p1: polynomial(c, [282.93735, 1.71946, 0.00046, 0.0]),
        }
    }
}

fn polynomial(x: f64, coefficients: [f64; 4]) -> f64 {
    coefficients.into_iter().rfold(0.0, |sum, coefficient| sum * x + coefficient)
}
