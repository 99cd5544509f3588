//! Small problems drawn from a seed, with everything in them that a problem can have.

use fairspell_sheet::problem::{
    Exposure, Form, Hair, Look, Need, Needed, Promise, Rain, Set, Setting, SheetProblem, Spot,
    Start, Walk,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A problem with so many sets.
pub(crate) fn problem(seed: u64, sets: usize) -> SheetProblem {
    let mut draw = Draw(ChaCha8Rng::seed_from_u64(seed));
    let slots = draw.from(4, 7);
    let spots = draw.from(1, 3);
    let looks = draw.from(1, 3);
    SheetProblem {
        slot_min: 5,
        slots,
        start: Start {
            spot: name("spot", draw.below(spots)),
            look: draw.maybe(0.5).then(|| name("look", draw.below(looks))),
            hair_dose_g_m2: if draw.maybe(0.3) { draw.number(0.0, 12.0) } else { 0.0 },
        },
        last_light_min: draw.maybe(0.3).then(|| 5 * u32::try_from(slots).unwrap() - draw.small(8)),
        spots: (0..spots).map(|spot| draw.spot(spot, slots)).collect(),
        walks: draw.walks(spots),
        looks: (0..looks).map(|look| draw.look(look)).collect(),
        sets: (0..sets).map(|set| draw.set(set, looks, spots, slots)).collect(),
        rain: draw.rain(slots),
        hair: Hair { damp_factor: draw.number(0.3, 0.9), wet_factor: 0.2, ..Hair::default() },
        exposure: Exposure {
            walking: if draw.maybe(0.3) { 0.2 } else { 0.0 },
            ..Exposure::default()
        },
        orders: Vec::new(),
    }
}

/// A dry evening with one spot and one look, worn from the start, and sets of one slot each under a
/// roof: nothing that a test does not put in.
pub(crate) fn plain(sets: usize, slots: usize) -> SheetProblem {
    let set = |set| Set {
        name: name("set", set),
        look: "look".into(),
        spot: "spot".into(),
        setting: Setting::Cover,
        worth: 1.0,
        setup_min: 0,
        full: Form { minutes: 5, factor: 1.0, exposed_s: None, pictures: 0 },
        short: None,
        light: vec![1.0; slots],
        rain: [1.0; 4],
        hair_dry: false,
        needed: None,
    };
    let look = r#"{"name": "look", "damp_factor": 1.0, "wet_factor": 1.0}"#;
    SheetProblem {
        slot_min: 5,
        slots,
        start: Start { spot: "spot".into(), look: Some("look".into()), hair_dose_g_m2: 0.0 },
        last_light_min: None,
        spots: vec![Spot { name: "spot".into(), open: None }],
        walks: Vec::new(),
        looks: vec![serde_json::from_str(look).unwrap()],
        sets: (0..sets).map(set).collect(),
        rain: Rain {
            rates_mm_h: [0.0, 0.5, 2.0, 6.0],
            start: [1.0, 0.0, 0.0, 0.0],
            steps: vec![[[1.0, 0.0, 0.0, 0.0]; 4]],
        },
        hair: Hair::default(),
        exposure: Exposure::default(),
        orders: Vec::new(),
    }
}

pub(crate) fn name(what: &str, index: usize) -> String {
    format!("{what} {index}")
}

struct Draw(ChaCha8Rng);

impl Draw {
    fn number(&mut self, low: f64, high: f64) -> f64 {
        self.0.random_range(low..high)
    }

    fn below(&mut self, most: usize) -> usize {
        self.0.random_range(0..most)
    }

    fn from(&mut self, least: usize, most: usize) -> usize {
        self.0.random_range(least..=most)
    }

    fn small(&mut self, below: u32) -> u32 {
        self.0.random_range(0..below)
    }

    fn maybe(&mut self, p: f64) -> bool {
        self.0.random_bool(p)
    }

    fn spot(&mut self, spot: usize, slots: usize) -> Spot {
        let end = 5 * u32::try_from(slots).unwrap();
        let open = self.maybe(0.3).then(|| {
            let from = self.small(6);
            vec![[from, from + 12], [end - 12, end]]
        });
        Spot { name: name("spot", spot), open }
    }

    /// Spots on a line, so that no detour is shorter.
    fn walks(&mut self, spots: usize) -> Vec<Walk> {
        let at: Vec<u32> = (0..spots).map(|_| self.small(8)).collect();
        let pairs = (0..spots).flat_map(|from| (0..from).map(move |to| (from, to)));
        let walk = |(from, to): (usize, usize)| Walk {
            from: name("spot", from),
            to: name("spot", to),
            minutes: at[from].abs_diff(at[to]),
        };
        pairs.map(walk).collect()
    }

    fn look(&mut self, look: usize) -> Look {
        let damp_factor = self.number(0.3, 1.0);
        Look {
            name: name("look", look),
            change_min: self.small(6),
            may_return: self.maybe(0.4),
            damp_at_g_m2: self.number(8.0, 20.0),
            wet_at_g_m2: self.number(21.0, 50.0),
            damp_factor,
            wet_factor: if self.maybe(0.2) { 0.0 } else { 0.5 * damp_factor },
            missed_penalty: if self.maybe(0.3) { self.number(1.0, 5.0) } else { 0.0 },
            promise: self
                .maybe(0.5)
                .then(|| Promise { pictures: 5 + self.small(10), penalty_each: 0.3 }),
        }
    }

    fn form(&mut self, minutes: u32, factor: f64) -> Form {
        Form {
            minutes,
            factor,
            exposed_s: self.maybe(0.5).then(|| self.number(10.0, 60.0)),
            pictures: self.small(9),
        }
    }

    fn set(&mut self, set: usize, looks: usize, spots: usize, slots: usize) -> Set {
        let minutes = 3 + self.small(7);
        let full = self.form(minutes, 1.0);
        let short = self.maybe(0.6).then(|| self.form(2, 0.5));
        let setting = [Setting::Open, Setting::Umbrella, Setting::Cover][self.below(3)];
        let mut light: Vec<f64> = (0..slots).map(|_| self.number(0.2, 1.0)).collect();
        if self.maybe(0.2) {
            light[slots - 1] = 0.0;
        }
        Set {
            name: name("set", set),
            look: name("look", self.below(looks)),
            spot: name("spot", self.below(spots)),
            setting,
            worth: self.number(1.0, 10.0),
            setup_min: self.small(3),
            full,
            short,
            light,
            rain: [
                1.0,
                self.number(0.4, 1.4),
                self.number(0.2, 1.0),
                if self.maybe(0.5) { 0.0 } else { 0.3 },
            ],
            hair_dry: self.maybe(0.5),
            needed: self.maybe(0.4).then(|| Needed {
                need: if self.maybe(0.5) { Need::Bank } else { Need::MustHave },
                missed_penalty: self.number(1.0, 8.0),
            }),
        }
    }

    fn chances(&mut self, stays: Option<usize>) -> [f64; 4] {
        let mut row =
            [0.0; 4].map(|_: f64| if self.maybe(0.6) { self.number(0.0, 1.0) } else { 0.0 });
        row[stays.unwrap_or(0)] += 1.0;
        let sum: f64 = row.iter().sum();
        row.map(|p| p / sum)
    }

    fn rain(&mut self, slots: usize) -> Rain {
        let start = self.chances(None);
        let steps = if self.maybe(0.3) { 1 } else { slots - 1 };
        let steps =
            (0..steps).map(|_| [0, 1, 2, 3].map(|class| self.chances(Some(class)))).collect();
        Rain { rates_mm_h: [0.0, 0.5, 2.0, 6.0], start, steps }
    }
}
