//! One slot: back from the values after it, and forward from the chances before it.

use crate::dose::Between;
use crate::model::{SheetModel, Space, Step, Wetting};
use crate::problem::RAIN_CLASSES;

/// Chances of the next class of rain, by the class of now.
pub(crate) type RainStep = [[f64; RAIN_CLASSES]; RAIN_CLASSES];

/// Values are kept in single precision: half the memory, and seven digits.
#[expect(clippy::cast_possible_truncation, reason = "the one place where values are narrowed")]
pub(crate) fn narrow(value: f64) -> f32 {
    value as f32
}

/// Rain steps and qualities in the precision of the values.
#[derive(Debug)]
pub(crate) struct Narrow {
    /// From each slot to the next.
    pub(crate) rain: Vec<[[f32; RAIN_CLASSES]; RAIN_CLASSES]>,
    /// By set, then by cell.
    pub(crate) quality: Vec<Vec<f32>>,
}

impl Narrow {
    pub(crate) fn new(model: &SheetModel) -> Self {
        let step = |slot| model.rain_step(slot).map(|row| row.map(narrow));
        let quality = |set: &crate::model::ModelSet| {
            set.quality.iter().map(|quality| narrow(*quality)).collect()
        };
        Narrow {
            rain: (0..model.problem().slots).map(step).collect(),
            quality: model.sets.iter().map(quality).collect(),
        }
    }
}

/// Expected values over the next class of rain: what waiting a slot leads to.
pub(crate) fn mixed(
    space: &Space,
    rain: &[[f32; RAIN_CLASSES]; RAIN_CLASSES],
    next: &[f32],
    out: &mut [f32],
) {
    let size = space.class_cells();
    let (dry, rest) = next.split_at(size);
    let (drizzle, rest) = rest.split_at(size);
    let (moderate, heavy) = rest.split_at(size);
    for (out, p) in out.chunks_exact_mut(size).zip(rain) {
        let classes = dry.iter().zip(drizzle).zip(moderate).zip(heavy);
        for (out, (((dry, drizzle), moderate), heavy)) in out.iter_mut().zip(classes) {
            *out = p[0] * dry + p[1] * drizzle + p[2] * moderate + p[3] * heavy;
        }
    }
}

/// Values at the beginning of a slot of work, from those [`mixed`] over the rain after it.
///
/// `reward` is the share of the set's worth that this slot's light and minutes are good for.
pub(crate) fn worked(
    space: &Space,
    step: &Step,
    reward: f32,
    quality: &[f32],
    mixed: &[f32],
    out: &mut [f32],
) {
    let size = space.class_cells();
    let classes = out.chunks_exact_mut(size).zip(mixed.chunks_exact(size));
    for ((out, after), wets) in classes.zip(&step.wets) {
        match wets {
            None => out.copy_from_slice(after),
            Some(wetting) => wetted(space, wetting, after, out),
        }
    }
    if reward != 0.0 {
        for (out, quality) in out.iter_mut().zip(quality) {
            *out += reward * quality;
        }
    }
}

/// Values of one class before its rain, from those after it: interpolated between the levels.
fn wetted(space: &Space, wetting: &Wetting, after: &[f32], out: &mut [f32]) {
    let cloths = space.cloths;
    for (out, hair) in out.chunks_exact_mut(cloths).zip(&wetting.hair) {
        let low = &after[hair.level * cloths..(hair.level + 1) * cloths];
        let high_at = (hair.level + 1).min(space.hair_levels - 1);
        let high = &after[high_at * cloths..(high_at + 1) * cloths];
        let up = narrow(hair.up);
        let at = |cloth: usize| low[cloth] + up * (high[cloth] - low[cloth]);
        for (cloth, out) in out.iter_mut().enumerate() {
            let (worn, off) = (cloth % space.cloth_levels, cloth - cloth % space.cloth_levels);
            let Between { level, up } = wetting.cloth[worn];
            let dry = at(off + level);
            *out = if up > 0.0 { dry + narrow(up) * (at(off + level + 1) - dry) } else { dry };
        }
    }
}

/// Chances after a slot of work, from those before it, and the quality met in it.
pub(crate) fn forward(
    space: &Space,
    rain: &RainStep,
    step: Option<&Step>,
    quality: &[f64],
    now: &[f64],
) -> (Vec<f64>, f64) {
    let met = now.iter().zip(quality).map(|(p, quality)| p * quality).sum();
    let mut next = vec![0.0; space.cells()];
    for class in 0..RAIN_CLASSES {
        let wetting = step.and_then(|step| step.wets[class].as_ref());
        for hair in 0..space.hair_levels {
            for cloth in 0..space.cloths {
                let p = now[space.cell(class, hair, cloth)];
                if p == 0.0 {
                    continue;
                }
                for (hair, cloth, p_there) in wet_ways(space, wetting, hair, cloth) {
                    for (class_next, p_class) in rain[class].iter().enumerate() {
                        next[space.cell(class_next, hair, cloth)] += p * p_there * p_class;
                    }
                }
            }
        }
    }
    (next, met)
}

/// Where a slot's rain may lead, hair and cloth apart, each to one of the two levels around it.
pub(crate) fn wet_ways(
    space: &Space,
    wetting: Option<&Wetting>,
    hair: usize,
    cloth: usize,
) -> Vec<(usize, usize, f64)> {
    let Some(wetting) = wetting else { return vec![(hair, cloth, 1.0)] };
    let (worn, off) = (cloth % space.cloth_levels, cloth - cloth % space.cloth_levels);
    let ends = |between: Between| {
        let Between { level, up } = between;
        [(level, 1.0 - up), (level + 1, up)].into_iter().filter(|(_, p)| *p > 0.0)
    };
    let mut ways = Vec::with_capacity(4);
    for (hair, p_hair) in ends(wetting.hair[hair]) {
        for (worn, p_worn) in ends(wetting.cloth[worn]) {
            ways.push((hair, off + worn, p_hair * p_worn));
        }
    }
    ways
}
