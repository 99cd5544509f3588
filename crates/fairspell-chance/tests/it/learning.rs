//! The rates of showery weather, found again in the first half of the five-minute record.

use fairspell_chance::Character;

use crate::record::{FIRST_HALF, points};

/// Steps in one state, and whether the spell was cut off by the end of the record.
type Spell = (usize, bool);

/// The wet and the dry spells of the half; the one under way at its start is left out.
fn spells_of_the_first_half() -> (Vec<Spell>, Vec<Spell>) {
    let (mut wet_spells, mut dry_spells) = (Vec::new(), Vec::new());
    for point in points() {
        let wet: Vec<bool> = point[FIRST_HALF].iter().map(|&sum| sum > 0).collect();
        let spells: Vec<&[bool]> = wet.chunk_by(|a, b| a == b).collect();
        for (index, spell) in spells.iter().enumerate().skip(1) {
            let kept = (spell.len(), index + 1 == spells.len());
            if spell[0] { wet_spells.push(kept) } else { dry_spells.push(kept) }
        }
    }
    (wet_spells, dry_spells)
}

/// Log-likelihood of spells that begin in one phase, which they leave with chance `a` and exchange
/// for a second one with chance `b`, left with chance `c`.
fn log_likelihood(spells: &[Spell], [a, b, c]: [f64; 3]) -> f64 {
    spells
        .iter()
        .map(|&(steps, cut_off)| {
            let (mut first, mut second) = (1.0, 0.0);
            for _ in 1..steps {
                (first, second) = (first * (1.0 - a - b), first * b + second * (1.0 - c));
            }
            if cut_off { first + second } else { first * a + second * c }.ln()
        })
        .sum()
}

/// Climbs the likelihood, one rate at a time, in log odds.
fn likeliest(spells: &[Spell], start: [f64; 3]) -> [f64; 3] {
    let rates = |log_odds: [f64; 3]| log_odds.map(|z| 1.0 / (1.0 + (-z).exp()));
    let score = |log_odds: [f64; 3]| {
        let [a, b, c] = rates(log_odds);
        if a + b < 1.0 && c < a { log_likelihood(spells, [a, b, c]) } else { f64::NEG_INFINITY }
    };
    let mut log_odds = start.map(|p| (p / (1.0 - p)).ln());
    let mut best = score(log_odds);
    let mut step = 0.5;
    while step > 1e-4 {
        let mut climbed = false;
        for (index, sign) in [(0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0), (2, 1.0), (2, -1.0)] {
            let mut tried = log_odds;
            tried[index] += sign * step;
            let score = score(tried);
            if score > best {
                (log_odds, best, climbed) = (tried, score, true);
            }
        }
        if !climbed {
            step *= 0.5;
        }
    }
    rates(log_odds)
}

#[test]
fn the_showery_rates_are_the_likeliest_for_the_first_half_of_the_record() {
    let (wet_spells, dry_spells) = spells_of_the_first_half();
    assert_eq!((wet_spells.len(), dry_spells.len()), (64, 64));

    // Starting points from the published lengths: a fifth to a quarter of showers and of pauses end
    // after one step, the long ones after an hour and after half a day.
    let [ends, lasts, clears] = likeliest(&wet_spells, [0.2, 0.05, 0.08]);
    let [returns, settles, onset] = likeliest(&dry_spells, [0.15, 0.1, 0.007]);

    let rates = Character::Showery.rates();
    let pairs = [
        ("ends", rates.ends, ends),
        ("lasts", rates.lasts, lasts),
        ("clears", rates.clears, clears),
        ("returns", rates.returns, returns),
        ("settles", rates.settles, settles),
        ("onset", rates.onset, onset),
    ];
    for (name, ours, found) in pairs {
        // The constants carry four places.
        assert!((ours - found).abs() <= 1e-4, "{name}: {ours} against {found}");
    }
}
