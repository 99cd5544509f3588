use fairspell_ground::Projection;
use fairspell_nowcast::advect::Position;
use fairspell_nowcast::level;
use fairspell_nowcast::motion::{Basis, Estimate, Lack, LeftOut, LevelFrame, Unfit, estimate};
use fairspell_nowcast::{Grid, Nowcast, RainField};
use ndarray::Array2;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::sky;

/// Speed and direction must be found within this share of the speed; the task's own demand.
const SHARE: f64 = 0.1;

fn check(fields: Vec<RainField>, (east_km_h, north_km_h): (f64, f64)) {
    let nowcast = Nowcast::from_fields(fields, sky::issued()).unwrap().value;
    let allowed_km_h = SHARE * east_km_h.hypot(north_km_h);
    for (east_km, north_km) in [(0.0, 0.0), (40.0, -30.0), (-30.0, 50.0), (-60.0, -40.0)] {
        let place = sky::middle().at_offset_km(east_km, north_km).unwrap();
        let (east, north) = nowcast.motion_at(place).unwrap();
        let miss_km_h = (east - east_km_h).hypot(north - north_km_h);
        assert!(
            miss_km_h <= allowed_km_h,
            "({east:.1}, {north:.1}) km/h instead of ({east_km_h}, {north_km_h}) at {place}"
        );
    }
}

#[test]
fn planted_motion_is_found_from_slow_to_fast_in_any_direction() {
    let grid = sky::grid(256, 1.0);
    for (index, (speed_km_h, towards_deg, step_min)) in
        [(13.0, 75.0, 5), (30.0, 200.0, 4), (55.0, 310.0, 5), (96.0, 20.0, 4), (96.0, 135.0, 5)]
            .into_iter()
            .enumerate()
    {
        let (east, north) = f64::to_radians(towards_deg).sin_cos();
        let motion = (speed_km_h * east, speed_km_h * north);
        check(sky::moving_showers(&grid, index as u64, motion, step_min, 8), motion);
    }
}

#[test]
fn planted_motion_is_found_beside_what_no_radar_sees() {
    let grid = sky::grid(256, 1.0);
    let motion = (50.0, 30.0);
    let mut fields = sky::moving_showers(&grid, 7, motion, 5, 8);
    for field in &mut fields {
        // A wedge without coverage and a dead radar.
        for ((row, column), rate) in field.rain_rate_mm_h.indexed_iter_mut() {
            let (row, column) = (row as f64, column as f64);
            if row > 190.0 + 0.2 * column || (row - 60.0).hypot(column - 200.0) < 40.0 {
                *rate = f32::NAN;
            }
        }
    }
    check(fields, motion);
}

#[test]
fn motion_is_in_kilometres_on_a_grid_of_degrees() {
    // At 32 degrees south a hundredth of a degree is 1.11 km high and 0.94 km wide.
    let grid = Grid {
        projection: Projection::degrees(),
        x_first: 152.8 - 1.28,
        y_first: -31.7 + 1.28,
        x_step: 0.01,
        y_step: 0.01,
        rows: 256,
        columns: 256,
    };
    let motion = (-40.0, 40.0);
    check(sky::moving_showers(&grid, 3, motion, 4, 8), motion);
}

#[test]
fn motion_is_found_from_coarse_pictures_a_quarter_of_an_hour_apart() {
    let motion = (45.0, 45.0);
    check(sky::moving_showers(&sky::grid(160, 2.0), 5, motion, 15, 4), motion);
}

#[test]
fn a_missing_picture_does_not_change_the_speed() {
    let motion = (60.0, -20.0);
    let mut fields = sky::moving_showers(&sky::grid(256, 1.0), 11, motion, 5, 8);
    fields.remove(6);
    fields.remove(4);
    check(fields, motion);
}

#[test]
fn a_dry_sky_has_no_motion() {
    let fields = sky::even(&sky::grid(64, 1.0), 0.0, 6);
    let nowcast = Nowcast::from_fields(fields, sky::issued()).unwrap();
    assert_eq!(nowcast.value.motion_at(sky::middle()), None);
    assert!(nowcast.remarks.is_empty());
}

/// Cells along the side of the planted pictures, a kilometre each.
const SIDE: usize = 256;

/// Where what is at (row, column) was so many minutes ago.
type Back = fn((f64, f64), f64) -> (f64, f64);

/// Motion at (row, column), cells a minute.
type Velocity = fn((f64, f64)) -> (f64, f64);

/// Textured rain: showers of 3 to 12 km in all places, a good half of the sky dry. Each grows or
/// decays at its own pace (up to a half in 20 minutes), and every cell is off by up to 1.5 decibels.
struct Rain {
    /// Row, column, radius, peak in mm/h, growth a minute.
    showers: Vec<[f64; 5]>,
}

impl Rain {
    fn new(seed: u64) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let shower = |_| {
            [
                random.random_range(-80.0..336.0),
                random.random_range(-80.0..336.0),
                random.random_range(3.0..12.0),
                random.random_range(0.5..20.0),
                random.random_range(-0.025..0.025),
            ]
        };
        Rain { showers: (0..260).map(shower).collect() }
    }

    fn levels(&self, minutes: f64, back: Back, noise: u64) -> Array2<f32> {
        let mut rate = Array2::<f64>::zeros((SIDE, SIDE));
        for ((row, column), rate) in rate.indexed_iter_mut() {
            let (y, x) = back((row as f64, column as f64), minutes);
            for [row, column, radius, peak, growth] in &self.showers {
                let squared = ((y - row).powi(2) + (x - column).powi(2)) / radius.powi(2);
                if squared < 9.0 {
                    *rate += peak * (1.0 + growth * minutes) * (-squared).exp();
                }
            }
        }
        let mut random = ChaCha8Rng::seed_from_u64(noise);
        rate.mapv(|rate| {
            let factor = 10.0_f64.powf(random.random_range(-0.15..0.15));
            level::from_rain_rate(sky::single(rate * factor))
        })
    }
}

/// The estimate from pictures at -20, -15, -10, -5 and 0 minutes (the shower's own time from 0).
fn planted(back: Back, seed: u64) -> (Estimate, Vec<Array2<f32>>) {
    let rain = Rain::new(seed);
    let levels: Vec<Array2<f32>> = (0..5_u8)
        .map(|step| rain.levels(5.0 * f64::from(step), back, 10 * seed + u64::from(step)))
        .collect();
    (estimate(&every(&levels, 5.0), 1.0), levels)
}

fn every(levels: &[Array2<f32>], step_min: f64) -> Vec<LevelFrame<'_>> {
    let frame = |(step, level)| LevelFrame { time_min: step_min * f64::from(step), level };
    (0_u8..).zip(levels).map(frame).collect()
}

/// The root mean square miss over the rain of a picture, km/h on cells of a kilometre.
fn miss_km_h(estimate: &Estimate, level: &Array2<f32>, velocity: Velocity) -> f64 {
    let motion = estimate.motion.as_ref().unwrap();
    let (mut sum, mut count) = (0.0, 0.0);
    for ((row, column), _) in level.indexed_iter().filter(|(_, level)| **level >= level::WET_MIN) {
        let (row, column) = (row as f64, column as f64);
        let (down, right) = motion.at(Position { row, column });
        let (y, x) = velocity((row, column));
        sum += (down - y).powi(2) + (right - x).powi(2);
        count += 1.0;
    }
    60.0 * f64::sqrt(sum / count)
}

/// A shift of (0.474, -0.31) cells a minute: 2.37 and -1.55 a picture.
const SHIFT: (Back, Velocity) = (|(y, x), t| (y - 0.474 * t, x + 0.31 * t), |_| (0.474, -0.31));

/// Round a point south-west of the middle: 20 km/h there, 0 to 50 km/h elsewhere.
const ROTATION: (Back, Velocity) = (
    |(y, x), t| {
        let (sin, cos) = f64::sin_cos(0.003 * t);
        let (y, x) = (y - 190.0, x - 40.0);
        (190.0 + y * cos + x * sin, 40.0 - y * sin + x * cos)
    },
    |(y, x)| (-0.003 * (x - 40.0), 0.003 * (y - 190.0)),
);

/// 0 km/h in the north, 46 km/h eastward in the south.
const SHEAR: (Back, Velocity) = (|(y, x), t| (y, x - 0.003 * y * t), |(y, _)| (0.0, 0.003 * y));

/// Apart from the middle, 15 km/h at the edges.
const DIVERGENCE: (Back, Velocity) = (
    |(y, x), t| {
        let shrink = (-0.002 * t).exp();
        (128.0 + (y - 128.0) * shrink, 128.0 + (x - 128.0) * shrink)
    },
    |(y, x)| (0.002 * (y - 128.0), 0.002 * (x - 128.0)),
);

/// Planted motions under noise and growth are off by no more than twice what is stated, and on
/// average by about that: the stated error is neither boast nor excuse.
#[test]
fn shift_rotation_shear_and_divergence_are_recovered_within_the_stated_errors() {
    let mut shares = Vec::new();
    for (index, (back, velocity)) in [SHIFT, ROTATION, SHEAR, DIVERGENCE].into_iter().enumerate() {
        for seed in [1, 2, 3] {
            let (estimate, levels) = planted(back, 10 * index as u64 + seed);
            let miss = miss_km_h(&estimate, &levels[4], velocity);
            let stated = estimate.error_km_h.unwrap();
            assert_eq!((estimate.basis, estimate.lack), (Basis::Dense, None));
            assert!(miss <= 2.0 * stated, "{index} {seed}: {miss:.2} km/h, stated {stated:.2}");
            assert!(miss <= 5.0, "{index} {seed}: {miss:.2} km/h");
            shares.push((miss / stated).powi(2));
        }
    }
    let share = (shares.iter().sum::<f64>() / shares.len() as f64).sqrt();
    assert!((0.5..=1.2).contains(&share), "off by {share:.2} of what is stated");
}

#[test]
fn the_error_is_stated_larger_where_it_does_not_rain() {
    let (mut levels, mut dry) = (planted(ROTATION.0, 5).1, 0);
    for level in &mut levels {
        for (_, level) in level.indexed_iter_mut().filter(|((row, _), _)| *row < SIDE / 2) {
            *level = level::DRY;
            dry += 1;
        }
    }
    assert!(dry > 0);
    let estimate = estimate(&every(&levels, 5.0), 1.0);
    let at = |row| estimate.error_km_h_at(Position { row, column: 128.0 }).unwrap();
    assert!(at(20.0) > 2.0 * at(220.0), "{} against {}", at(20.0), at(220.0));
}

#[test]
fn a_jump_in_coverage_is_no_motion() {
    let (_, mut levels) = planted(SHIFT.0, 21);
    // A radar that covers the west comes and goes.
    for level in levels.iter_mut().step_by(2) {
        for (_, level) in level.indexed_iter_mut().filter(|((_, column), _)| *column < 110) {
            *level = f32::NAN;
        }
    }
    let estimate = estimate(&every(&levels, 5.0), 1.0);
    let miss = miss_km_h(&estimate, &levels[4], SHIFT.1);
    assert!(miss < 5.0, "{miss:.2} km/h");
}

#[test]
fn lost_pixels_and_rows_do_not_hide_the_motion() {
    let (_, mut levels) = planted(SHIFT.0, 22);
    let mut random = ChaCha8Rng::seed_from_u64(1);
    for level in &mut levels {
        let row_lost = random.random_range(60..200);
        for ((row, _), level) in level.indexed_iter_mut() {
            if row == row_lost || random.random_range(0.0..1.0) < 0.02 {
                *level = f32::NAN;
            }
        }
    }
    let estimate = estimate(&every(&levels, 5.0), 1.0);
    let miss = miss_km_h(&estimate, &levels[4], SHIFT.1);
    assert!(miss < 5.0, "{miss:.2} km/h");
}

#[test]
fn a_corrupted_picture_among_good_ones_is_left_out() {
    for corrupted in 0..5 {
        let (_, mut levels) = planted(SHIFT.0, 23);
        // Another day's rain in its place.
        levels[corrupted] = Rain::new(99).levels(0.0, SHIFT.0, 7);
        let estimate = estimate(&every(&levels, 5.0), 1.0);
        let left_out = LeftOut { index: corrupted, reason: Unfit::Unlike };
        assert_eq!(estimate.left_out, [left_out], "picture {corrupted}");
        let good = levels.iter().enumerate().rfind(|(index, _)| *index != corrupted).unwrap().1;
        let miss = miss_km_h(&estimate, good, SHIFT.1);
        assert!(miss < 5.0, "picture {corrupted}: {miss:.2} km/h");
    }
}

#[test]
fn a_repeated_picture_is_noticed_and_does_not_stop_the_rain() {
    let (_, mut levels) = planted(SHIFT.0, 24);
    levels[4] = levels[3].clone();
    let moving = estimate(&every(&levels, 5.0), 1.0);
    assert_eq!(moving.left_out, [LeftOut { index: 4, reason: Unfit::Repeated }]);
    assert!(miss_km_h(&moving, &levels[3], SHIFT.1) < 5.0);

    let alone = estimate(&every(&levels[3..], 5.0), 1.0);
    assert_eq!((alone.basis, alone.lack), (Basis::None, Some(Lack::Pictures)));
    assert!(alone.motion.is_none());
}

#[test]
fn pictures_half_an_hour_apart_give_one_motion_for_all_with_a_larger_error() {
    let rain = Rain::new(25);
    let levels: Vec<Array2<f32>> =
        [0.0, 30.0].map(|minutes| rain.levels(minutes, SHIFT.0, 1)).to_vec();
    let far = estimate(&every(&levels, 30.0), 1.0);
    assert_eq!((far.basis, far.lack), (Basis::OneForAll, Some(Lack::FarApart)));
    let stated = far.error_km_h.unwrap();
    assert!(stated > 10.0);
    assert!(miss_km_h(&far, &levels[1], SHIFT.1) < stated);

    let farther = estimate(&every(&levels, 40.0), 1.0);
    assert_eq!((farther.basis, farther.lack), (Basis::None, Some(Lack::FarApart)));
}

#[test]
fn what_is_lacking_is_said_and_a_usual_drift_stands_in() {
    let pictures = |level: f32, side: usize| vec![Array2::from_elem((side, side), level); 2];
    let (_, mut strange) = planted(SHIFT.0, 26);
    strange[1] = Rain::new(98).levels(0.0, SHIFT.0, 7);
    let mut wall = pictures(5.0, 64);
    wall[1].fill(5.1);
    for (levels, lack) in [
        (vec![], Lack::Pictures),
        (pictures(level::DRY, 64)[..1].to_vec(), Lack::Pictures),
        (pictures(level::DRY, 64), Lack::Rain),
        (pictures(f32::NAN, 64), Lack::Rain),
        (pictures(5.0, 8), Lack::Cells),
        (wall, Lack::Structure),
        (strange[..2].to_vec(), Lack::Likeness),
    ] {
        let nothing = estimate(&every(&levels, 5.0), 1.0);
        assert_eq!((nothing.basis, nothing.lack), (Basis::None, Some(lack)));
        assert!(nothing.motion.is_none() && nothing.error_km_h.is_none());
        let drift = nothing.or_drift((-0.2, 0.5), 30.0);
        assert_eq!((drift.basis, drift.error_km_h), (Basis::Drift, Some(30.0)));
        let (down, right) = drift.motion.unwrap().at(Position { row: 3.0, column: 3.0 });
        assert!((down + 0.2).abs() < 1e-6 && (right - 0.5).abs() < 1e-6);
    }
}
