//! What a state of the season carries: its chance, and who may stand where in the queue.

use std::hash::{BuildHasherDefault, Hasher};

/// Chances that pass through an evening linearly, whatever the state.
#[derive(Clone, Default)]
pub(crate) struct Load {
    /// The chance of the state.
    pub(crate) p: f64,
    /// The part of it in which nobody has been missed.
    pub(crate) p_unmissed: f64,
    /// Ascending by place, then session.
    pub(crate) who: Vec<Stand>,
}

/// The chance of a state and of one session at one place in its queue.
#[derive(Clone, Copy)]
pub(crate) struct Stand {
    place: usize,
    session: usize,
    p: f64,
}

impl Stand {
    fn key(&self) -> (usize, usize) {
        (self.place, self.session)
    }
}

impl Load {
    /// The loads after a fine and after a lost evening, each times its chance.
    pub(crate) fn mixed(loads: &[Self; 2], p: [f64; 2]) -> Self {
        let [fine, lost] = loads;
        Self {
            p: fine.p * p[0] + lost.p * p[1],
            p_unmissed: fine.p_unmissed * p[0] + lost.p_unmissed * p[1],
            who: merged(&fine.who, p[0], &lost.who, p[1]),
        }
    }

    /// Adds the load of the same state reached in another way.
    pub(crate) fn join(&mut self, other: Self) {
        self.p += other.p;
        self.p_unmissed += other.p_unmissed;
        if self.who.is_empty() {
            self.who = other.who;
        } else {
            self.who = merged(&self.who, 1.0, &other.who, 1.0);
        }
    }

    /// Makes room at a place for those who may stand there, sessions ascending.
    pub(crate) fn enter(&mut self, place: usize, there: Vec<(usize, f64)>) {
        let at = self.who.partition_point(|stand| stand.place < place);
        for stand in &mut self.who[at..] {
            stand.place += 1;
        }
        let there = there.into_iter().map(|(session, p)| Stand { place, session, p });
        self.who.splice(at..at, there);
    }

    /// Closes a place; who may have stood there.
    pub(crate) fn leave(&mut self, place: usize) -> Vec<(usize, f64)> {
        let from = self.who.partition_point(|stand| stand.place < place);
        let to = self.who.partition_point(|stand| stand.place <= place);
        let there = self.who.drain(from..to).map(|stand| (stand.session, stand.p)).collect();
        for stand in &mut self.who[from..] {
            stand.place -= 1;
        }
        there
    }

    /// Forgets who hardly can stand somewhere; how likely all of that was.
    pub(crate) fn leave_out_below(&mut self, least: f64) -> f64 {
        let mut dropped = 0.0;
        self.who.retain(|stand| {
            let keep = stand.p >= least;
            if !keep {
                dropped += stand.p;
            }
            keep
        });
        dropped
    }

    /// Closes the first places, whose last chance has passed.
    pub(crate) fn miss_first(&mut self, places: usize) {
        self.who.retain_mut(|stand| {
            let stays = stand.place >= places;
            stand.place = stand.place.saturating_sub(places);
            stays
        });
        self.p_unmissed = 0.0;
    }
}

/// Two ascending lists as one, each times its factor.
fn merged(a: &[Stand], a_times: f64, b: &[Stand], b_times: f64) -> Vec<Stand> {
    let mut all = Vec::with_capacity(a.len().max(b.len()));
    let (mut a, mut b) = (a.iter().peekable(), b.iter().peekable());
    loop {
        let order = match (a.peek(), b.peek()) {
            (Some(a), Some(b)) => a.key().cmp(&b.key()),
            (Some(_), None) => std::cmp::Ordering::Less,
            (None, Some(_)) => std::cmp::Ordering::Greater,
            (None, None) => return all,
        };
        let from_a = a.next_if(|_| order.is_le()).copied();
        let from_b = b.next_if(|_| order.is_ge()).copied();
        let p = from_a.map_or(0.0, |stand| stand.p * a_times)
            + from_b.map_or(0.0, |stand| stand.p * b_times);
        all.extend(from_a.or(from_b).map(|stand| Stand { p, ..stand }));
    }
}

/// Hashes whole numbers by multiplying and rotating: quick, and the same in every run, so that sums
/// are too. Nothing from outside chooses the keys.
pub(crate) type QuickHash = BuildHasherDefault<QuickHasher>;

#[derive(Default)]
pub(crate) struct QuickHasher(u64);

impl Hasher for QuickHasher {
    fn finish(&self) -> u64 {
        // The table takes its bucket from the low bits, the product is best in the high ones.
        self.0 ^ (self.0 >> 32)
    }

    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u64(u64::from(byte));
        }
    }

    fn write_u64(&mut self, number: u64) {
        // 2^64 divided by the golden ratio: odd, and without pattern in its bits.
        self.0 = (self.0.rotate_left(23) ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }

    fn write_i32(&mut self, number: i32) {
        self.write_u64(u64::from(number.cast_unsigned()));
    }

    fn write_usize(&mut self, number: usize) {
        self.write_u64(number as u64);
    }
}
