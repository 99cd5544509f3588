use fairspell_chance::{PairedBlock, score_ratio};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// Losses of two forecasters in eight blocks.
const EIGHT: [(f64, f64); 8] = [
    (4.1, 5.0),
    (7.9, 8.1),
    (2.2, 3.1),
    (9.4, 9.0),
    (5.0, 6.2),
    (6.6, 7.7),
    (3.3, 3.0),
    (8.1, 9.9),
];

fn blocks(losses: &[(f64, f64)]) -> Vec<PairedBlock> {
    losses.iter().map(|&(ours, theirs)| PairedBlock { ours, theirs }).collect()
}

/// scipy 1.17.1, `stats.bootstrap`, paired, percentile interval, 400,000 draws.
#[test]
fn the_range_of_a_ratio_is_that_of_another_program() {
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    let found = score_ratio(&blocks(&EIGHT), 100_000, &mut rng).unwrap();
    assert!((found.ratio - 0.8961538461538462).abs() < 1e-12);
    let (low, high) = found.range.unwrap();
    // Draws leave a standard error of about 0.0003 in either end.
    assert!((low - 0.83255).abs() < 1.5e-3 && (high - 0.96118).abs() < 1.5e-3, "{low} {high}");
}

#[test]
fn the_same_seed_gives_the_same_range() {
    let draw = || score_ratio(&blocks(&EIGHT), 1000, &mut ChaCha8Rng::seed_from_u64(3));
    assert_eq!(draw(), draw());
}

#[test]
fn one_block_has_a_ratio_without_a_range_and_no_losses_have_none() {
    let ratio = |losses: &[(f64, f64)]| {
        score_ratio(&blocks(losses), 100, &mut ChaCha8Rng::seed_from_u64(1))
    };
    let one = ratio(&[(1.0, 2.0)]).unwrap();
    assert_eq!((one.ratio, one.range), (0.5, None));
    assert_eq!(ratio(&[]), None);
    assert_eq!(ratio(&[(1.0, 0.0), (2.0, 0.0)]), None);
}
