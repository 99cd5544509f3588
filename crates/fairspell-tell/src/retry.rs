//! When to try again, and when to stop.

use jiff::{SignedDuration, Timestamp};

/// Minutes from each failed try to the next (our choice: a router that restarts is back by the
/// third, a mail server by the sixth; two hours later a notice is no longer news).
const DELAYS_MIN: [i64; 6] = [1, 2, 5, 15, 30, 60];

/// When to try again, after so many tries of which the last failed at a moment.
///
/// `None` once it is time to stop: she finds the notice in her browser, marked as not told.
pub fn next_try(attempts: usize, failed_at: Timestamp) -> Option<Timestamp> {
    let minutes = DELAYS_MIN.get(attempts.checked_sub(1)?)?;
    failed_at.checked_add(SignedDuration::from_mins(*minutes)).ok()
}
