//! Evenings of any number of sets, for benches and for tests of size. Invented.

use fairspell_sheet::problem::{
    Exposure, Form, Hair, Look, Need, Needed, Promise, Rain, Set, Setting, SheetProblem, Spot,
    Start, Walk,
};

/// A two-hour evening with showers about: three looks, four spots a few minutes apart, sets of six
/// to nine minutes that can be had in four, light that fades at some spots and comes at others.
pub(crate) fn evening(sets: usize) -> SheetProblem {
    problem(sets, 24, [3, 1, 4], |set| [6 + set % 4, 4])
}

/// The hardest of its size: one look, and every set fits into one slot wherever one comes from, so
/// that every set can follow every other.
pub(crate) fn crowded(sets: usize) -> SheetProblem {
    let mut problem = problem(sets, 24, [1, 0, 0], |_| [3, 2]);
    for set in &mut problem.sets {
        set.look.clone_from(&problem.looks[0].name);
    }
    problem.looks.truncate(1);
    problem
}

fn problem(
    sets: usize,
    slots: usize,
    [walk_min, setup_min, change_min]: [u32; 3],
    minutes: impl Fn(u32) -> [u32; 2],
) -> SheetProblem {
    let spots = ["arcade", "steps", "walk", "dune"];
    let looks = ["satin", "linen", "denim"];
    let pairs = (0..4_usize).flat_map(|from| (0..from).map(move |to| (from, to)));
    let walk = |(from, to): (usize, usize)| Walk {
        from: spots[from].into(),
        to: spots[to].into(),
        minutes: walk_min * u32::try_from((from - to).min(2)).expect("spots are few"),
    };
    let look = |(index, name): (usize, &&str)| Look {
        name: (*name).into(),
        change_min: change_min + u32::try_from(index).expect("looks are few") * change_min / 2,
        may_return: false,
        damp_at_g_m2: [8.0, 12.0, 25.0][index],
        wet_at_g_m2: [16.0, 30.0, 60.0][index],
        damp_factor: [0.3, 0.5, 0.9][index],
        wet_factor: [0.0, 0.2, 0.7][index],
        missed_penalty: 0.0,
        promise: Some(Promise { pictures: 18, penalty_each: 0.2 }),
    };
    let set = |index: usize| {
        let number = u32::try_from(index).expect("sets are few");
        let [full, short] = minutes(number);
        let form = |minutes, factor| Form {
            minutes,
            factor,
            exposed_s: (index % 4 == 2).then_some(40.0),
            pictures: 8,
        };
        let light = |slot: usize| {
            let best = (5 * index + 3) % slots;
            1.0 - 0.6 * slot.abs_diff(best) as f64 / slots as f64
        };
        Set {
            name: format!("set {index}"),
            look: looks[index % 3].into(),
            spot: spots[index * 7 / 3 % 4].into(),
            setting: [Setting::Cover, Setting::Umbrella, Setting::Open][index % 3],
            worth: 4.0 + (index * 5 % 7) as f64,
            setup_min,
            full: form(full, 1.0),
            short: Some(form(short, 0.6)),
            light: (0..slots).map(light).collect(),
            rain: [[1.0, 0.9, 0.8, 0.5], [1.0, 1.1, 0.9, 0.0], [1.0, 0.8, 0.4, 0.0]][index % 3],
            hair_dry: index % 5 != 4,
            needed: (index < 3).then_some(Needed {
                need: if index == 0 { Need::Bank } else { Need::MustHave },
                missed_penalty: 8.0,
            }),
        }
    };
    // Showers thin out towards the end.
    let step = |slot: usize| {
        let wet = 0.12 - 0.08 * slot as f64 / slots as f64;
        [
            [1.0 - wet, 0.5 * wet, 0.4 * wet, 0.1 * wet],
            [0.30, 0.50, 0.17, 0.03],
            [0.12, 0.18, 0.60, 0.10],
            [0.05, 0.10, 0.35, 0.50],
        ]
    };
    SheetProblem {
        slot_min: 5,
        slots,
        start: Start { spot: "arcade".into(), look: Some("satin".into()), hair_dose_g_m2: 0.0 },
        last_light_min: None,
        spots: spots.iter().map(|name| Spot { name: (*name).into(), open: None }).collect(),
        walks: pairs.map(walk).collect(),
        looks: looks.iter().enumerate().map(look).collect(),
        sets: (0..sets).map(set).collect(),
        rain: Rain {
            rates_mm_h: [0.0, 0.5, 2.0, 6.0],
            start: [0.8, 0.1, 0.1, 0.0],
            steps: (0..slots - 1).map(step).collect(),
        },
        hair: Hair::default(),
        exposure: Exposure::default(),
        orders: Vec::new(),
    }
}
