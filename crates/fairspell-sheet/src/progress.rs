//! What has been made so far, and what that allows, costs and fulfils.

use crate::model::SheetModel;
use crate::problem::{Need, Promise};

/// Bits of a look's count of pictures.
const COUNT_BITS: usize = 8;

/// What has been made: a bit for each set, and the pictures of those looks where the form matters,
/// counted as far as their promise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub(crate) struct Progress {
    pub(crate) made: u64,
    counts: u128,
}

impl Progress {
    pub(crate) fn has(self, set: usize) -> bool {
        self.made & (1 << set) != 0
    }

    fn count(self, look: usize) -> u32 {
        u32::from(self.count_byte(look))
    }

    /// A counted look's pictures, as a byte.
    pub(crate) fn count_byte(self, look: usize) -> u8 {
        self.counts.to_le_bytes()[look]
    }
}

impl SheetModel {
    /// What has been made after one more set.
    pub(crate) fn after(&self, progress: Progress, set: usize, form: usize) -> Progress {
        let look = self.sets[set].look;
        let mut counts = progress.counts;
        if let (true, Some(promise)) = (self.counted_looks.contains(&look), self.promise(look)) {
            let before = progress.count(look);
            let after = (before + self.sets[set].forms[form].pictures).min(promise.pictures);
            counts += u128::from(after - before) << (COUNT_BITS * look);
        }
        Progress { made: progress.made | (1 << set), counts }
    }

    /// Whether a set may be made at all after another; hours and light are not asked here.
    pub(crate) fn may_make(&self, progress: Progress, last: usize, set: usize) -> bool {
        let is_in = self.only & (1 << set) != 0;
        if !is_in || progress.has(set) || !self.may_wear(progress, last, self.sets[set].look) {
            return false;
        }
        match &self.order {
            Some(order) => match (order[set], order.get(last)) {
                (Some(place), Some(before)) => before.is_none_or(|before| before < place),
                (place, None) => place.is_some(),
                (None, _) => false,
            },
            None => self.twin_before(set).is_none_or(|twin| progress.has(twin)),
        }
    }

    /// The set just like it that is made first, of those that may be made at all.
    fn twin_before(&self, set: usize) -> Option<usize> {
        let mut twin = self.sets[set].twin_before;
        while let Some(before) = twin {
            if self.only & (1 << before) != 0 {
                break;
            }
            twin = self.sets[before].twin_before;
        }
        twin
    }

    /// Whether a look is on, was never on, or may be put on again.
    fn may_wear(&self, progress: Progress, last: usize, look: usize) -> bool {
        let was_on =
            || self.look_at_start == Some(look) || self.made(progress).any(|set| set.look == look);
        self.look_after(last) == Some(look) || self.problem().looks[look].may_return || !was_on()
    }

    fn made(&self, progress: Progress) -> impl Iterator<Item = &crate::model::ModelSet> {
        let sets = self.sets.iter().enumerate();
        sets.filter(move |(set, _)| progress.has(*set)).map(|(_, set)| set)
    }

    fn promise(&self, look: usize) -> Option<Promise> {
        self.problem().looks[look].promise
    }

    /// The most pictures that a set of a look can bring.
    pub(crate) fn most_pictures(&self, look: usize) -> u32 {
        let of_look = self.sets.iter().filter(|set| set.look == look);
        of_look.flat_map(|set| &set.forms).map(|form| form.pictures).max().unwrap_or(0)
    }

    /// Pictures of a look, as far as its promise.
    fn pictures(&self, progress: Progress, look: usize) -> u32 {
        if self.counted_looks.contains(&look) {
            return progress.count(look);
        }
        let of_look = self.made(progress).filter(|set| set.look == look);
        of_look.map(|set| set.forms[0].pictures).sum()
    }

    /// What ending with this much costs: penalties of what was missed, as a value.
    pub(crate) fn finish_value(&self, progress: Progress) -> f64 {
        let mut value = 0.0;
        for (set, spec) in self.problem().sets.iter().enumerate() {
            if let (Some(needed), false) = (spec.needed, progress.has(set)) {
                value -= needed.missed_penalty;
            }
        }
        for (look, spec) in self.problem().looks.iter().enumerate() {
            if !self.has_look(progress, look) {
                value -= spec.missed_penalty;
            }
            if let Some(promise) = spec.promise {
                let short = promise.pictures.saturating_sub(self.pictures(progress, look));
                value -= promise.penalty_each * f64::from(short);
            }
        }
        value
    }

    /// Whether every set that is needed for this has been made, and every must-have look.
    pub(crate) fn need_met(&self, progress: Progress, need: Need) -> bool {
        let sets = self.problem().sets.iter().enumerate();
        let mut needed = sets.filter(|(_, set)| set.needed.is_some_and(|it| it.need == need));
        let mut looks = self.problem().looks.iter().enumerate();
        needed.all(|(set, _)| progress.has(set))
            && (need == Need::Bank
                || looks.all(|(look, spec)| {
                    spec.missed_penalty == 0.0 || self.has_look(progress, look)
                }))
    }

    /// Whether a look's promise is kept; a look without one keeps it.
    pub(crate) fn promise_kept(&self, progress: Progress, look: usize) -> bool {
        self.promise(look).is_none_or(|it| self.pictures(progress, look) >= it.pictures)
    }

    fn has_look(&self, progress: Progress, look: usize) -> bool {
        self.made(progress).any(|set| set.look == look)
    }
}
