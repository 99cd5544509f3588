//! The family's page: what a seventeen-year-old and a parent read and tap on a phone.
//!
//! It has no sign-in, so it shows one letter and nothing else of the studio, and a link that is not
//! good shows nothing at all. It speaks of the photographer by name, and of the two people by the
//! names in the letter.
//!
//! - `known`: where we stand and why, with every figure's hours, place, source and age
//! - `choosing`: the choices, who answers, and reading it once more before it is sent
//! - `noted`: the receipt, and both people's answers side by side
//! - `closed`: a link that is not good, a newer letter, a time that has passed, a session that began

mod choosing;
mod closed;
mod known;
mod noted;

pub use choosing::{
    ANSWER_UNASKED, BACK, CHOICES, CHOOSE_ONE, NEXT, NOT_SENT_YET, ONCE_WE_BEGIN, SAY_WHO,
    WHO_ARE_YOU, YES, asks_until, each_of_you, who_are_you, you_choose,
};
pub use closed::{
    BAD_LINK, BAD_LINK_TITLE, NEWER_LETTER, NOT_NOTED, begun, moved, phone_instead, replaced,
    time_has_passed,
};
pub use known::{Known, PERCENT_MEANS, THE_LETTER, known, shown_figures};
pub use noted::{CHOOSE_AGAIN, RECEIPT_MEANS, receipt, together};

use crate::text::one_line;

/// The photographer by name, in the middle of a sentence.
fn by_name(owner: &str) -> String {
    let owner = one_line(owner);
    if owner.is_empty() { "your photographer".to_owned() } else { owner }
}
