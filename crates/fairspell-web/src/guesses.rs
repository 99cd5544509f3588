//! Limits on guessing: passphrases and links.
//!
//! After a few wrong tries from one address it has to wait, twice as long each time. The longest wait
//! is short enough that she is never locked out of her own evening.

use std::{
    collections::HashMap,
    net::IpAddr,
    sync::{Mutex, PoisonError},
};

use jiff::{SignedDuration, Timestamp};

/// What is being guessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Guessed {
    /// The passphrase.
    Passphrase,
    /// A family's link.
    Link,
}

/// Wrong tries that cost nothing.
const FREE_TRIES: u32 = 5;
/// The longest wait, seconds.
const LONGEST_WAIT_S: i64 = 15 * 60;
/// A try this long after the last one counts as the first, seconds.
const FORGOTTEN_AFTER_S: i64 = 60 * 60;
/// So many addresses are remembered at most.
const ADDRESSES_MOST: usize = 10_000;

#[derive(Debug, Clone, Copy)]
struct Tries {
    count: u32,
    last: Timestamp,
}

/// Wrong tries by address.
#[derive(Debug, Default)]
pub(crate) struct Guesses {
    tries: Mutex<HashMap<(Guessed, IpAddr), Tries>>,
}

impl Guesses {
    /// How long an address still has to wait, seconds; `None`: it may try.
    pub(crate) fn wait_s(&self, guessed: Guessed, from: IpAddr, now: Timestamp) -> Option<i64> {
        let tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        let known = tries.get(&(guessed, network(from)))?;
        let since_s = now.duration_since(known.last).as_secs();
        let left_s = wait_after_s(known.count) - since_s;
        // A try in the future was made before the clock was set back.
        (since_s >= 0 && left_s > 0).then_some(left_s)
    }

    /// Remembers a wrong try.
    pub(crate) fn wrong(&self, guessed: Guessed, from: IpAddr, now: Timestamp) {
        let mut tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        let is_young = |known: &Tries| {
            now.duration_since(known.last) < SignedDuration::from_secs(FORGOTTEN_AFTER_S)
        };
        if tries.len() >= ADDRESSES_MOST {
            tries.retain(|_, known| is_young(known));
        }
        if tries.len() >= ADDRESSES_MOST {
            tries.clear();
        }
        let known = tries.entry((guessed, network(from))).or_insert(Tries { count: 0, last: now });
        if !is_young(known) {
            known.count = 0;
        }
        *known = Tries { count: known.count.saturating_add(1), last: now };
    }

    /// Forgets an address that was right.
    pub(crate) fn right(&self, guessed: Guessed, from: IpAddr) {
        let mut tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        tries.remove(&(guessed, network(from)));
    }
}

/// One household has one IPv4 address, but 2^64 of IPv6.
fn network(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(v6) => {
            let [a, b, c, d, ..] = v6.segments();
            v6.to_ipv4_mapped().map_or_else(|| IpAddr::from([a, b, c, d, 0, 0, 0, 0]), IpAddr::V4)
        }
    }
}

fn wait_after_s(wrong_tries: u32) -> i64 {
    match wrong_tries.checked_sub(FREE_TRIES) {
        None => 0,
        Some(beyond) => (1_i64 << beyond.min(20)).saturating_mul(5).min(LONGEST_WAIT_S),
    }
}
