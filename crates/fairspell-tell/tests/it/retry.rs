use fairspell_tell::next_try;

use crate::world::{NOON, at};

#[test]
fn each_try_waits_longer_and_the_seventh_is_the_last() {
    let minutes: Vec<Option<i64>> = (0..=8)
        .map(|tries| next_try(tries, at(NOON)).map(|next| next.duration_since(at(NOON)).as_mins()))
        .collect();
    let none = None;
    assert_eq!(
        minutes,
        [none, Some(1), Some(2), Some(5), Some(15), Some(30), Some(60), none, none]
    );
}
