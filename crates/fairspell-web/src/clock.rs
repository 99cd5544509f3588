//! What time it is: the real clock, or one that has been set (the demo, tests).

use std::sync::RwLock;

use jiff::Timestamp;

/// What only the shell may ask for: the time, and random bytes.
#[derive(Debug, Clone, Copy)]
pub struct Machine {
    /// The real clock.
    pub now: fn() -> Timestamp,
    /// Fills a buffer with bytes that nobody can guess.
    pub random: fn(&mut [u8]),
}

impl Machine {
    /// So many random bytes.
    pub fn random_bytes<const N: usize>(&self) -> [u8; N] {
        let mut bytes = [0; N];
        (self.random)(&mut bytes);
        bytes
    }
}

/// The studio's clock.
#[derive(Debug)]
pub struct Clock {
    real: fn() -> Timestamp,
    set_to: RwLock<Option<Timestamp>>,
}

impl Clock {
    /// A clock that shows the real time, or stands still at a moment.
    pub fn new(machine: Machine, set_to: Option<Timestamp>) -> Self {
        Clock { real: machine.now, set_to: RwLock::new(set_to) }
    }

    /// The studio's time: what had been fetched later is not known yet.
    pub fn now(&self) -> Timestamp {
        let set_to = *self.set_to.read().unwrap_or_else(std::sync::PoisonError::into_inner);
        set_to.unwrap_or_else(self.real)
    }

    /// The real time, whatever the clock has been set to: for sign-ins and limits on guessing.
    pub fn real(&self) -> Timestamp {
        (self.real)()
    }

    /// Whether it has been set.
    pub fn is_set(&self) -> bool {
        self.set_to.read().unwrap_or_else(std::sync::PoisonError::into_inner).is_some()
    }

    /// Sets it to a moment, where it stands still.
    pub fn set(&self, moment: Timestamp) {
        *self.set_to.write().unwrap_or_else(std::sync::PoisonError::into_inner) = Some(moment);
    }
}
