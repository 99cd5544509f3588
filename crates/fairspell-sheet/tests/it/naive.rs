//! The same evening worked out the slow way: every choice, every turn of the weather, one after the
//! other, straight from the problem as it is written. It shares no code with the solver, keeps no
//! compact states, and leaves no level out.

use std::collections::HashMap;

use fairspell_sheet::problem::{Setting, SheetProblem};

/// Where an evening stands.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Now {
    /// The form of each set that has been made: 0 full, 1 short.
    made: Vec<Option<usize>>,
    spot: usize,
    worn: Option<usize>,
    /// Looks that have been on.
    used: Vec<bool>,
    slot: usize,
    class: usize,
    hair: usize,
    cloth: Vec<usize>,
}

/// The value of an evening.
pub(crate) fn value(problem: &SheetProblem) -> f64 {
    let mut slow = Slow { problem, known: HashMap::new() };
    let spot = slow.spot(&problem.start.spot);
    let worn = problem.start.look.as_ref().map(|look| slow.look(look));
    let mut used = vec![false; problem.looks.len()];
    if let Some(worn) = worn {
        used[worn] = true;
    }
    let mut sum = 0.0;
    for class in 0..4 {
        for (hair, p_hair) in around(&slow.hair_doses(), problem.start.hair_dose_g_m2) {
            let now = Now {
                made: vec![None; problem.sets.len()],
                spot,
                worn,
                used: used.clone(),
                slot: 0,
                class,
                hair,
                cloth: vec![0; problem.looks.len()],
            };
            sum += problem.rain.start[class] * p_hair * slow.best(&now);
        }
    }
    sum
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap()
}

/// The levels on both sides of a dose, with their shares.
fn around(levels: &[f64], dose: f64) -> Vec<(usize, f64)> {
    let last = levels.len() - 1;
    if dose >= levels[last] {
        return vec![(last, 1.0)];
    }
    let high = levels.iter().position(|level| *level > dose).unwrap();
    let up = (dose - levels[high - 1]) / (levels[high] - levels[high - 1]);
    vec![(high - 1, 1.0 - up), (high, up)]
}

struct Slow<'a> {
    problem: &'a SheetProblem,
    known: HashMap<Now, f64>,
}

impl Slow<'_> {
    fn spot(&self, name: &str) -> usize {
        self.problem.spots.iter().position(|spot| spot.name == name).unwrap()
    }

    fn look(&self, name: &str) -> usize {
        self.problem.looks.iter().position(|look| look.name == name).unwrap()
    }

    fn hair_doses(&self) -> Vec<f64> {
        (0..self.problem.hair.levels).map(|k| k as f64 * self.problem.hair.level_g_m2).collect()
    }

    fn walk_min(&self, from: usize, to: usize) -> u32 {
        let name = |spot: usize| &self.problem.spots[spot].name;
        let joins = |a: &String, b: &String| {
            (a, b) == (name(from), name(to)) || (a, b) == (name(to), name(from))
        };
        let walk = self.problem.walks.iter().find(|walk| joins(&walk.from, &walk.to));
        if from == to { 0 } else { walk.unwrap().minutes }
    }

    fn rain(&self, slot: usize, class: usize) -> [f64; 4] {
        let steps = &self.problem.rain.steps;
        steps[slot.min(steps.len() - 1)][class]
    }

    /// What ending now costs.
    fn ended(&self, now: &Now) -> f64 {
        let problem = self.problem;
        let mut value = 0.0;
        for (set, form) in problem.sets.iter().zip(&now.made) {
            if form.is_none() {
                value -= set.needed.map_or(0.0, |needed| needed.missed_penalty);
            }
        }
        for look in &problem.looks {
            let of_look =
                problem.sets.iter().zip(&now.made).filter(|(set, _)| set.look == look.name);
            let made: Vec<u32> = of_look
                .filter_map(|(set, form)| match form {
                    Some(0) => Some(set.full.pictures),
                    Some(_) => Some(set.short.as_ref().unwrap().pictures),
                    None => None,
                })
                .collect();
            if made.is_empty() {
                value -= look.missed_penalty;
            }
            if let Some(promise) = look.promise {
                let missing = i64::from(promise.pictures) - i64::from(made.iter().sum::<u32>());
                value -= promise.penalty_each * missing.max(0) as f64;
            }
        }
        value
    }

    fn best(&mut self, now: &Now) -> f64 {
        if now.slot == self.problem.slots {
            return self.ended(now);
        }
        if let Some(value) = self.known.get(now) {
            return *value;
        }
        let mut best = self.ended(now);
        let mut waited = 0.0;
        for (class, p) in self.rain(now.slot, now.class).into_iter().enumerate() {
            if p > 0.0 {
                waited += p * self.best(&Now { slot: now.slot + 1, class, ..now.clone() });
            }
        }
        best = best.max(waited);
        for set in 0..self.problem.sets.len() {
            for form in 0..2 {
                if let Some(value) = self.made(now, set, form) {
                    best = best.max(value);
                }
            }
        }
        self.known.insert(now.clone(), best);
        best
    }

    /// What making a set now is worth; `None` where it cannot begin.
    fn made(&mut self, now: &Now, set: usize, form: usize) -> Option<f64> {
        let problem = self.problem;
        let spec = &problem.sets[set];
        let shape = if form == 0 { &spec.full } else { spec.short.as_ref()? };
        let (spot, look) = (self.spot(&spec.spot), self.look(&spec.look));
        let changes = now.worn != Some(look);
        if now.made[set].is_some() || (changes && now.used[look] && !problem.looks[look].may_return)
        {
            return None;
        }
        let change_min = if changes { problem.looks[look].change_min } else { 0 };
        let walk_min = self.walk_min(now.spot, spot);
        let slot_min = problem.slot_min;
        let begin = number(now.slot) * slot_min;
        let ready = begin + change_min + walk_min;
        let from = ready + spec.setup_min;
        let to = from + shape.minutes;
        if to > number(problem.slots) * slot_min || problem.last_light_min.is_some_and(|it| to > it)
        {
            return None;
        }
        let open = problem.spots[spot].open.as_ref();
        if open.is_some_and(|open| !open.iter().any(|it| it[0] <= ready && to <= it[1])) {
            return None;
        }
        if (from..to).any(|minute| spec.light[(minute / slot_min) as usize] == 0.0) {
            return None;
        }
        let mut then = now.clone();
        then.spot = spot;
        if changes {
            // What may not return leaves no trace.
            if let Some(off) = now.worn.filter(|off| !problem.looks[*off].may_return) {
                then.cloth[off] = 0;
            }
            then.worn = Some(look);
            then.used[look] = true;
        }
        if self.quality(&then, set) == 0.0 {
            return None;
        }
        then.made[set] = Some(form);
        let walk = (begin + change_min, ready);
        Some(self.slots_of_work(&then, set, form, walk, (from, to)))
    }

    /// What rain, hair and outfit leave of a set.
    fn quality(&self, now: &Now, set: usize) -> f64 {
        let (spec, hair) = (&self.problem.sets[set], &self.problem.hair);
        let look = &self.problem.looks[self.look(&spec.look)];
        let worn = [1.0, look.damp_factor, look.wet_factor];
        let worn = worn[now.cloth[now.worn.unwrap()]];
        let dose = self.hair_doses()[now.hair];
        let dry = if !spec.hair_dry {
            1.0
        } else if dose >= hair.wet_at_g_m2 {
            hair.wet_factor
        } else if dose >= hair.damp_at_g_m2 {
            let left = (hair.wet_at_g_m2 - dose) / (hair.wet_at_g_m2 - hair.damp_at_g_m2);
            hair.wet_factor + left * (hair.damp_factor - hair.wet_factor)
        } else {
            let left = (hair.damp_at_g_m2 - dose) / hair.damp_at_g_m2;
            hair.damp_factor + left * (1.0 - hair.damp_factor)
        };
        spec.rain[now.class] * dry * worn
    }

    /// The rest of a set, slot by slot.
    fn slots_of_work(
        &mut self,
        now: &Now,
        set: usize,
        form: usize,
        walk: (u32, u32),
        work: (u32, u32),
    ) -> f64 {
        let problem = self.problem;
        let spec = &problem.sets[set];
        let shape = if form == 0 { &spec.full } else { spec.short.as_ref().unwrap() };
        let begin = number(now.slot) * problem.slot_min;
        let minutes = |from: u32, to: u32| {
            (begin..begin + problem.slot_min).filter(|it| (from..to).contains(it)).count() as f64
        };
        let share = minutes(work.0, work.1) / f64::from(shape.minutes);
        let gets =
            spec.worth * shape.factor * share * spec.light[now.slot] * self.quality(now, set);
        let through = match spec.setting {
            Setting::Open => problem.exposure.open,
            Setting::Umbrella => problem.exposure.umbrella,
            Setting::Cover => problem.exposure.cover,
        };
        let out_s = shape.exposed_s.unwrap_or(60.0 * f64::from(shape.minutes)) * share * through
            + 60.0 * minutes(walk.0, walk.1) * problem.exposure.walking;
        // 1 mm/h lays down 1000 g/m² an hour.
        let dose = problem.rain.rates_mm_h[now.class] * 1000.0 * out_s / 3600.0;
        let look = now.worn.unwrap();
        let hair_doses = self.hair_doses();
        let spec = &problem.looks[look];
        let cloth_doses = [0.0, spec.damp_at_g_m2, spec.wet_at_g_m2];
        let hair = around(&hair_doses, hair_doses[now.hair] + dose);
        let cloth = around(&cloth_doses, cloth_doses[now.cloth[look]] + dose);
        let mut ahead = 0.0;
        for (class, p_class) in self.rain(now.slot, now.class).into_iter().enumerate() {
            for (hair, p_hair) in &hair {
                for (wet, p_wet) in &cloth {
                    let p = p_class * p_hair * p_wet;
                    if p == 0.0 {
                        continue;
                    }
                    let mut then = Now { slot: now.slot + 1, class, hair: *hair, ..now.clone() };
                    then.cloth[look] = *wet;
                    let is_over = begin + problem.slot_min >= work.1;
                    ahead += p * if is_over {
                        self.best(&then)
                    } else {
                        self.slots_of_work(&then, set, form, walk, work)
                    };
                }
            }
        }
        gets + ahead
    }
}
