//! How long motion and carrying take: seven pictures of 512 x 512 cells of a kilometre, five minutes
//! apart, as a country's composite has them; and a quarter and four times the area.

use divan::{Bencher, black_box};
use fairspell_nowcast::level;
use fairspell_nowcast::motion::{LevelFrame, estimate};
use ndarray::Array2;

const SIDES: [usize; 3] = [256, 512, 1024];
const STEP_MIN: f64 = 5.0;

fn main() {
    divan::main();
}

/// Rain of several sizes that goes east at 36 km/h; a corner without coverage.
#[expect(clippy::cast_possible_truncation, reason = "rates are kept in single precision")]
fn rain_rate(side: usize, minutes: f64) -> Array2<f32> {
    Array2::from_shape_fn((side, side), |(row, column)| {
        if row + column < side / 4 {
            return f32::NAN;
        }
        let (y, x) = (row as f64, column as f64 - 0.6 * minutes);
        let wave = |km: f64, turn: f64| ((x * turn.cos() + y * turn.sin()) / km).sin();
        let sum = wave(23.0, 0.3) + wave(17.0, 1.4) + 0.6 * wave(9.0, 2.2) + 0.4 * wave(5.0, 0.9);
        (6.0 * (sum - 0.4).max(0.0)) as f32
    })
}

fn levels(side: usize) -> Vec<Array2<f32>> {
    (0..7_u8)
        .map(|step| rain_rate(side, STEP_MIN * f64::from(step)).mapv(level::from_rain_rate))
        .collect()
}

fn frames(levels: &[Array2<f32>]) -> Vec<LevelFrame<'_>> {
    let frame = |(step, level)| LevelFrame { time_min: STEP_MIN * f64::from(step), level };
    (0_u8..).zip(levels).map(frame).collect()
}

#[divan::bench(args = SIDES, sample_count = 20)]
fn motion_of_seven_pictures(bencher: Bencher, side: usize) {
    let levels = levels(side);
    let frames = frames(&levels);
    bencher.bench_local(|| estimate(black_box(&frames), 1.0));
}

#[divan::bench(args = [5.0, 60.0], sample_count = 20)]
fn carrying_512_x_512(bencher: Bencher, minutes: f64) {
    let levels = levels(512);
    let motion = estimate(&frames(&levels), 1.0).motion.expect("rain that moves");
    let rain_rate = rain_rate(512, 30.0);
    bencher.bench_local(|| motion.carry_rain_rate(black_box(&rain_rate), minutes));
}

/// As it is done for comparing with older pictures.
#[divan::bench(sample_count = 20)]
fn carrying_512_x_512_to_the_nearest_cell_for_20_minutes(bencher: Bencher) {
    let levels = levels(512);
    let motion = estimate(&frames(&levels), 1.0).motion.expect("rain that moves");
    bencher.bench_local(|| motion.carry(black_box(&levels[2]), 20.0));
}
