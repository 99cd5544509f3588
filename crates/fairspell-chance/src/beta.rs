//! The beta distribution's quantiles, for the range of a share that was counted.

/// The value below which a beta distribution has the share `q` of its weight, 0 to 1.
///
/// - `a`, `b`: its two parameters. Where one is 0, all weight lies at that end.
///
/// # Source
///
/// Regularized incomplete beta function by its continued fraction (Abramowitz and Stegun,
/// "Handbook of Mathematical Functions", 26.5.8, evaluated by the modified method of Lentz), turned
/// round by halving.
pub(crate) fn beta_quantile(a: f64, b: f64, q: f64) -> f64 {
    if a <= 0.0 {
        return 0.0;
    }
    if b <= 0.0 {
        return 1.0;
    }
    let (mut low, mut high) = (0.0, 1.0);
    // 50 halvings leave less than 1e-15.
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if beta_below(a, b, middle) < q {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// The weight of a beta distribution below `x`.
fn beta_below(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    let ln_front = ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (1.0 - x).ln();
    // The fraction converges quickly below the mean, and from above on the other side.
    if x < (a + 1.0) / (a + b + 2.0) {
        ln_front.exp() * fraction(a, b, x) / a
    } else {
        1.0 - ln_front.exp() * fraction(b, a, 1.0 - x) / b
    }
}

/// The continued fraction of the incomplete beta function.
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let away_from_zero = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / away_from_zero(1.0 - (a + b) * x / (a + 1.0));
    let mut whole = d;
    // Some root of the larger parameter is needed: this is enough for a million evenings.
    for step in 1..=5000_u32 {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        for term in [even, odd] {
            d = 1.0 / away_from_zero(1.0 + term * d);
            c = away_from_zero(1.0 + term / c);
            whole *= c * d;
        }
        if (c * d - 1.0).abs() < 1e-15 {
            break;
        }
    }
    whole
}

/// Logarithm of the gamma function of a positive number.
///
/// # Source
///
/// C. Lanczos, "A precision approximation of the gamma function", SIAM J. Numer. Anal. B 1 (1964),
/// 86-96, with g = 7 and nine coefficients; right to some 15 digits.
fn ln_gamma(x: f64) -> f64 {
    const COEFFICIENTS: [f64; 8] = [
        676.5203681218851,
        -1259.1392167224028,
        771.32342877765313,
        -176.61502916214059,
        12.507343278686905,
        -0.13857109526572012,
        9.9843695780195716e-6,
        1.5056327351493116e-7,
    ];
    if x < 0.5 {
        // Below, the series is not good: the next value up leads back.
        return ln_gamma(x + 1.0) - x.ln();
    }
    let x = x - 1.0;
    let terms = (1_u32..).zip(COEFFICIENTS);
    let sum = terms.fold(0.99999999999980993, |sum, (i, c)| sum + c / (x + f64::from(i)));
    let t = x + 7.5;
    0.5 * (2.0 * std::f64::consts::PI).ln() + (x + 0.5) * t.ln() - t + sum.ln()
}
