//! The choices, who answers, and reading it once more before it is sent.

use super::by_name;
use crate::{
    letters::{Letter, Silence},
    text::one_line,
};

/// Over the choices.
pub const CHOICES: &str = "What you can choose";

/// Under the choices of a letter that asks for nothing.
pub const ANSWER_UNASKED: &str = "No answer is needed. If you give one, it is noted all the same.";

/// What a date that is kept means.
pub const ONCE_WE_BEGIN: &str = "Once we begin, we finish: rain after the first picture brings no \
                                 new date. Danger always stops us.";

/// Over the names.
pub const WHO_ARE_YOU: &str = "Who are you?";

/// On the button below choices and names.
pub const NEXT: &str = "Next: read it once more";

/// Beside that button, and on the page that follows.
pub const NOT_SENT_YET: &str = "Nothing has been sent yet.";

/// On the button that sends an answer.
pub const YES: &str = "Yes, send this";

/// On the button beside it.
pub const BACK: &str = "Go back";

/// Where nothing was chosen.
pub const CHOOSE_ONE: &str = "Please choose one of these first.";

/// Where no name was chosen.
pub const SAY_WHO: &str = "Please say which of you is answering.";

/// By when to choose and what silence means: "Please choose by Wed 30 Sep, 20:00; without an answer,
/// choice 1 holds." The choices stand below it under their numbers.
pub fn asks_until(letter: &Letter) -> String {
    let Some(asked) = &letter.asked else { return ANSWER_UNASKED.to_owned() };
    let owner = by_name(&letter.owner);
    let silence = match asked.silence {
        Silence::Takes(number) => format!("without an answer, choice {number} holds"),
        Silence::Phone => format!("if nobody answers, {owner} phones you"),
        Silence::NotThatDay => {
            format!("if nobody answers, we don't meet that day and {owner} phones you")
        }
    };
    format!("Please choose {}; {silence}.", asked.when())
}

/// The names to choose from, as they stand in the letter; one where one person is both.
pub fn who_are_you<'a>(sitter: &'a str, guardian: &'a str) -> Vec<&'a str> {
    let mut names = vec![sitter, guardian];
    names.dedup();
    names.retain(|name| !name.trim().is_empty());
    names
}

/// Under the names, where there are two: "Each of you can answer, and both of you see both answers."
pub fn each_of_you(names: &[&str]) -> Option<&'static str> {
    (names.len() > 1).then_some("Each of you can answer, and both of you see both answers.")
}

/// Over the last button: "Linh, you choose: Keep it, with umbrellas; hair may get damp."
pub fn you_choose(who: &str, words: &str) -> String {
    format!("{}, you choose: {}", one_line(who), one_line(words))
}
