//! Water on hair: the trade's own table, and bursts that add up.

use fairspell_sheet::problem::{Form, Setting, SheetProblem};
use fairspell_sheet::{SheetBudget, SheetModel, dose_g_m2, seconds_until_dose, solve};

use crate::drawn;

/// "Uncovered burst": rain in mm/h, seconds until hair looks damp (15 g/m²) and clearly wet (30),
/// whole seconds as the trade's table prints them.
const UNCOVERED_BURST: [(f64, f64, f64); 5] = [
    (0.5, 108.0, 216.0),
    (1.0, 54.0, 108.0),
    (2.0, 27.0, 54.0),
    (5.0, 11.0, 22.0),
    (10.0, 5.0, 11.0),
];

#[test]
fn the_table_of_uncovered_bursts_is_reproduced() {
    for (rate_mm_h, damp_s, wet_s) in UNCOVERED_BURST {
        for (dose, seconds) in [(15.0, damp_s), (30.0, wet_s)] {
            let found = seconds_until_dose(rate_mm_h, dose, 1.0).unwrap();
            // The table is in whole seconds, of which 5.4 stands as 5.
            assert!((found - seconds).abs() <= 0.5, "{rate_mm_h} mm/h: {found} s, {seconds} s");
            assert!((dose_g_m2(rate_mm_h, found, 1.0) - dose).abs() < 1e-9);
        }
    }
}

/// Steady rain, bursts in the open that wet the hair, then one set that wants it dry. The bursts are
/// worth nothing but are needed, so that they are made.
fn after_bursts(bursts: usize, burst_s: f64, rate_mm_h: f64) -> SheetProblem {
    let mut problem = drawn::plain(1 + bursts, 1 + bursts);
    problem.rain.start = [0.0, 0.0, 1.0, 0.0];
    problem.rain.steps =
        vec![std::array::from_fn(|a| std::array::from_fn(|b| f64::from(u8::from(a == b))))];
    problem.rain.rates_mm_h = [0.0, 0.5, rate_mm_h, 6.0];
    for burst in &mut problem.sets[..bursts] {
        burst.setting = Setting::Open;
        burst.full = Form { minutes: 5, factor: 1.0, exposed_s: Some(burst_s), pictures: 0 };
        burst.worth = 0.0;
        burst.needed = Some(fairspell_sheet::problem::Needed {
            need: fairspell_sheet::problem::Need::MustHave,
            missed_penalty: 100.0,
        });
    }
    // The last slot alone has light for the set that wants dry hair.
    let last = problem.sets.last_mut().unwrap();
    last.hair_dry = true;
    last.worth = 10.0;
    last.light.fill(0.0);
    *last.light.last_mut().unwrap() = 1.0;
    problem
}

fn value(problem: &SheetProblem) -> f64 {
    let model = SheetModel::new(problem).unwrap();
    solve(&model, SheetBudget::default()).unwrap().course.value
}

#[test]
fn three_bursts_of_40_s_cost_as_much_as_one_of_120_s() {
    for rate_mm_h in [0.1, 0.2, 0.3, 0.45, 0.75] {
        let three = value(&after_bursts(3, 40.0, rate_mm_h));
        let one = value(&after_bursts(1, 120.0, rate_mm_h));
        // Worth falls evenly from dry to wet hair, so a dose costs a thirtieth of it for each g/m².
        let left = 10.0 * (1.0 - dose_g_m2(rate_mm_h, 120.0, 1.0) / 30.0);
        assert!((three - one).abs() < 1e-4, "{rate_mm_h} mm/h: {three} and {one}");
        assert!((one - left).abs() < 1e-4, "{rate_mm_h} mm/h: {one}, not {left}");
    }
}

/// Where worth does not fall evenly, keeping doses at levels smears them a little: never by more
/// than half a level's worth at the steepest.
#[test]
fn where_worth_falls_unevenly_bursts_differ_by_less_than_half_a_level() {
    for rate_mm_h in [0.1, 0.2, 0.3, 0.45, 0.75] {
        let uneven = |mut problem: SheetProblem| {
            problem.hair.damp_factor = 0.9;
            value(&problem)
        };
        let three = uneven(after_bursts(3, 40.0, rate_mm_h));
        let one = uneven(after_bursts(1, 120.0, rate_mm_h));
        let level = 10.0 * 0.9 / 15.0 * 5.0;
        assert!((three - one).abs() < level / 2.0, "{rate_mm_h} mm/h: {three} and {one}");
    }
}
