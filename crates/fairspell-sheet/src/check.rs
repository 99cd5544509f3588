//! What must hold of a problem before anything is computed.

use std::collections::BTreeMap;

use crate::error::SheetError;
use crate::problem::{Form, Promise, SheetProblem};

/// Sets are told apart by a bit each, and actions by a byte.
pub(crate) const SETS_MOST: usize = 62;
/// Pictures of so many looks can be counted apart.
pub(crate) const LOOKS_MOST: usize = 16;
/// Pictures of a look are counted in a byte.
const PROMISE_MOST: u32 = 255;
/// Four hours at five minutes, and then some.
const SLOTS_MOST: usize = 96;
/// Rows may be off by what six decimals leave out.
const ROW_TOLERANCE: f64 = 1e-5;

/// Names with their places in a list.
pub(crate) struct Names<'a> {
    what: &'static str,
    index: BTreeMap<&'a str, usize>,
}

impl<'a> Names<'a> {
    pub(crate) fn new(
        what: &'static str,
        names: impl Iterator<Item = &'a str>,
    ) -> Result<Self, SheetError> {
        let mut index = BTreeMap::new();
        for (place, name) in names.enumerate() {
            if index.insert(name, place).is_some() {
                return Err(SheetError::Twice { what, name: name.to_owned() });
            }
        }
        Ok(Names { what, index })
    }

    pub(crate) fn find(&self, name: &str, place: &str) -> Result<usize, SheetError> {
        self.index.get(name).copied().ok_or_else(|| SheetError::Unknown {
            place: place.to_owned(),
            what: self.what,
            name: name.to_owned(),
        })
    }
}

/// Checks every number that stands in a problem; names and walks are checked where they are used.
pub(crate) fn numbers(problem: &SheetProblem) -> Result<(), SheetError> {
    if problem.sets.is_empty() {
        return Err(SheetError::NoSets);
    }
    let counted = [
        ("sets", problem.sets.len(), SETS_MOST),
        ("looks", problem.looks.len(), LOOKS_MOST),
        ("spots", problem.spots.len(), SETS_MOST),
        ("slots", problem.slots, SLOTS_MOST),
        ("hair levels", problem.hair.levels, SETS_MOST),
        ("minutes in a slot", problem.slot_min as usize, SETS_MOST),
    ];
    for (what, count, most) in counted {
        match count {
            0 => return Err(SheetError::Nothing { what }),
            count if count > most => return Err(SheetError::TooMany { what, count, most }),
            _ => (),
        }
    }
    positive("start: hair_dose_g_m2", problem.start.hair_dose_g_m2)?;
    exposure(problem)?;
    hair(problem)?;
    looks(problem)?;
    sets(problem)?;
    rain(problem)
}

fn exposure(problem: &SheetProblem) -> Result<(), SheetError> {
    let exposure = &problem.exposure;
    share("exposure: open", exposure.open)?;
    share("exposure: umbrella", exposure.umbrella)?;
    share("exposure: cover", exposure.cover)?;
    share("exposure: walking", exposure.walking)
}

fn hair(problem: &SheetProblem) -> Result<(), SheetError> {
    let hair = &problem.hair;
    above("hair: level_g_m2", hair.level_g_m2, 0.0, "above zero")?;
    above("hair: damp_at_g_m2", hair.damp_at_g_m2, 0.0, "above zero")?;
    above("hair: wet_at_g_m2", hair.wet_at_g_m2, hair.damp_at_g_m2, "above damp_at_g_m2")?;
    factors("hair", hair.damp_factor, hair.wet_factor)?;
    let top_g_m2 = hair.level_g_m2 * (hair.levels - 1) as f64;
    if top_g_m2 < hair.wet_at_g_m2 {
        return number("hair: the highest level", top_g_m2, "at least wet_at_g_m2");
    }
    Ok(())
}

fn looks(problem: &SheetProblem) -> Result<(), SheetError> {
    for look in &problem.looks {
        let at = |what: &str| format!("look `{}`: {what}", look.name);
        above(&at("damp_at_g_m2"), look.damp_at_g_m2, 0.0, "above zero")?;
        above(&at("wet_at_g_m2"), look.wet_at_g_m2, look.damp_at_g_m2, "above damp_at_g_m2")?;
        factors(&format!("look `{}`", look.name), look.damp_factor, look.wet_factor)?;
        positive(&at("missed_penalty"), look.missed_penalty)?;
        if let Some(Promise { pictures, penalty_each }) = look.promise {
            positive(&at("promise: penalty_each"), penalty_each)?;
            if pictures > PROMISE_MOST {
                return number(&at("promise: pictures"), f64::from(pictures), "at most 255");
            }
        }
    }
    Ok(())
}

fn sets(problem: &SheetProblem) -> Result<(), SheetError> {
    for set in &problem.sets {
        let at = |what: &str| format!("set `{}`: {what}", set.name);
        positive(&at("worth"), set.worth)?;
        form(&at("full"), &set.full)?;
        if let Some(short) = &set.short {
            form(&at("short"), short)?;
        }
        if set.light.len() != problem.slots {
            return Err(SheetError::Length {
                place: at("light"),
                count: set.light.len(),
                expected: problem.slots,
            });
        }
        set.light.iter().try_for_each(|light| share(&at("light"), *light))?;
        set.rain.iter().try_for_each(|rain| positive(&at("rain"), *rain))?;
        if let Some(needed) = set.needed {
            let place = at("needed: missed_penalty");
            above(&place, needed.missed_penalty, 0.0, "above zero")?;
        }
    }
    Ok(())
}

fn form(place: &str, form: &Form) -> Result<(), SheetError> {
    if form.minutes == 0 {
        return number(&format!("{place}: minutes"), 0.0, "at least one");
    }
    share(&format!("{place}: factor"), form.factor)?;
    form.exposed_s.map_or(Ok(()), |exposed_s| {
        let most = 60.0 * f64::from(form.minutes);
        if exposed_s > most {
            return number(&format!("{place}: exposed_s"), exposed_s, "within its minutes");
        }
        positive(&format!("{place}: exposed_s"), exposed_s)
    })
}

fn rain(problem: &SheetProblem) -> Result<(), SheetError> {
    let rain = &problem.rain;
    rain.rates_mm_h.iter().try_for_each(|rate| positive("rain: rates_mm_h", *rate))?;
    row("rain: start", &rain.start)?;
    let (count, expected) = (rain.steps.len(), problem.slots - 1);
    if count != 1 && count != expected {
        let place = "rain: steps".to_owned();
        return Err(SheetError::Length { place, count, expected });
    }
    for (slot, table) in rain.steps.iter().enumerate() {
        for (class, chances) in table.iter().enumerate() {
            row(&format!("rain: steps: slot {slot}, row {class}"), chances)?;
        }
    }
    Ok(())
}

fn row(place: &str, chances: &[f64]) -> Result<(), SheetError> {
    chances.iter().try_for_each(|chance| share(place, *chance))?;
    let sum: f64 = chances.iter().sum();
    if (sum - 1.0).abs() > ROW_TOLERANCE {
        return Err(SheetError::Row { place: place.to_owned(), sum });
    }
    Ok(())
}

fn factors(place: &str, damp: f64, wet: f64) -> Result<(), SheetError> {
    share(&format!("{place}: damp_factor"), damp)?;
    share(&format!("{place}: wet_factor"), wet)?;
    if wet > damp {
        return number(&format!("{place}: wet_factor"), wet, "at most damp_factor");
    }
    Ok(())
}

fn share(place: &str, value: f64) -> Result<(), SheetError> {
    if (0.0..=1.0).contains(&value) { Ok(()) } else { number(place, value, "within 0 and 1") }
}

fn positive(place: &str, value: f64) -> Result<(), SheetError> {
    /// Beyond this, small worths would be lost beside large ones.
    const MOST: f64 = 1e6;
    if (0.0..=MOST).contains(&value) {
        Ok(())
    } else {
        number(place, value, "within 0 and a million")
    }
}

fn above(place: &str, value: f64, low: f64, range: &'static str) -> Result<(), SheetError> {
    positive(place, value)?;
    if value > low { Ok(()) } else { number(place, value, range) }
}

fn number(place: &str, value: f64, range: &'static str) -> Result<(), SheetError> {
    Err(SheetError::Number { place: place.to_owned(), value, range })
}
