//! How long the cheapest plan takes, with its proof, the second plan and the reasons: twenty sessions
//! over sixty evenings, and ten times as many pairs of session and evening.

use divan::{Bencher, black_box};
use fairspell_plan::moves::{MoveLimit, MoveProblem, MoveSession, best_moves};

fn main() {
    divan::main();
}

/// Numbers that look drawn, the same each time (Steele, Lea and Flood's splitmix64).
fn drawn(mut seed: u64) -> impl FnMut(usize) -> usize {
    move |below| {
        seed = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = seed;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        usize::try_from((z ^ (z >> 31)) % below as u64).expect("below a count")
    }
}

/// Weeks of five evenings for three sessions each, months of four weeks, every third session a long
/// drive of which a week bears one, an artist with every fourth session on every other evening and
/// twice a week at most; three pairs in ten are forbidden, late evenings cost more.
fn studio(sessions: usize, evenings: usize, seed: u64) -> MoveProblem {
    let mut draw = drawn(seed);
    let mut row = |s: usize| -> Vec<Option<f64>> {
        let whole = |e: usize, noise: usize| (20 * e / (s % 7 + 1) + noise) as f64 / 4.0;
        (0..evenings).map(|e| (draw(10) >= 3).then(|| whole(e, draw(200)))).collect()
    };
    let costs = (0..sessions).map(&mut row).collect();
    let some = |step: usize| Some((0..sessions).step_by(step).collect());
    let spans = |days: usize| {
        let span = move |from: usize| (from..evenings.min(from + days)).collect::<Vec<_>>();
        (0..evenings).step_by(days).map(span).enumerate()
    };
    let mut limits = Vec::new();
    let mut limit = |name: String, evenings, sessions, at_most| {
        limits.push(MoveLimit { name, evenings, sessions, at_most });
    };
    for (week, evenings) in spans(5) {
        limit(format!("week {week}"), evenings.clone(), None, 3);
        limit(format!("drives of week {week}"), evenings.clone(), some(3), 1);
        limit(format!("artist in week {week}"), evenings, some(4), 2);
    }
    for (month, evenings) in spans(20) {
        limit(format!("month {month}"), evenings, None, 11);
    }
    let session = |s| MoveSession { id: format!("session {s}"), unplaced_cost: None };
    MoveProblem {
        sessions: (0..sessions).map(session).collect(),
        evenings: (0..evenings).map(|e| format!("evening {e}")).collect(),
        costs,
        limits,
    }
}

fn search(bencher: Bencher<'_, '_>, sessions: usize, evenings: usize, seed: u64) {
    let problem = studio(sessions, evenings, seed);
    bencher.bench(|| {
        let moves = best_moves(black_box(&problem)).expect("a problem with a plan");
        assert!(moves.proof.proven && moves.second.is_some());
        moves
    });
}

/// What a bad month asks of a busy studio.
#[divan::bench(args = [1, 2, 3], sample_count = 20)]
fn twenty_sessions_sixty_evenings(bencher: Bencher<'_, '_>, seed: u64) {
    search(bencher, 20, 60, seed);
}

/// Ten times as many pairs.
#[divan::bench(args = [1, 2, 3], sample_count = 5)]
fn sixty_sessions_two_hundred_evenings(bencher: Bencher<'_, '_>, seed: u64) {
    search(bencher, 60, 200, seed);
}
