//! How the answer is asked for.

use fairspell_studio::LetterKind;
use fairspell_words::{
    letter,
    letters::{AnswerBy, changed_choices, family_text},
};
use proptest::prelude::*;

use crate::world::{KINDS, bare, civil, season, their_choice};

const LINK: &str = "https://ferrow.example/a/7f3k-2q";

#[test]
fn the_link_stands_on_its_line_between_the_warm_line_and_the_name() {
    for (name, facts) in season() {
        let drafted = letter(&facts);
        let (text, owner) = drafted.body.rsplit_once("\n\n").unwrap();
        let expected = format!("{text}\n\nYou can answer here, both of you: {LINK}\n\n{owner}");
        assert_eq!(family_text(&drafted.body, AnswerBy::Link(LINK)), expected, "{name}");
    }
}

#[test]
fn one_person_who_is_both_is_not_called_both_of_you() {
    let mut facts = bare(LetterKind::FamilysChoice);
    facts.guardian = facts.sitter.clone();
    let linked = family_text(&letter(&facts).body, AnswerBy::Link(LINK));
    assert!(linked.contains(&format!("\n\nYou can answer here: {LINK}\n\n")));
}

#[test]
fn a_letter_as_drafted_asks_for_numbers_already_and_is_not_made_to_ask_twice() {
    for kind in KINDS {
        let drafted = letter(&bare(kind)).body;
        assert_eq!(family_text(&drafted, AnswerBy::Number), drafted, "{kind:?}");
    }
}

#[test]
fn an_edited_text_asks_for_the_numbers_that_it_lists() {
    for (edited, expected) in [
        // Her own words, with a closing and without.
        (
            "Hi both,\n\n1: Keep it.\n2: Move to Sunday.\n3: Later.\n\nLet me know by eight.\n\nWarmly,\nInes",
            "Hi both,\n\n1: Keep it.\n2: Move to Sunday.\n3: Later.\n\nLet me know by eight.\n\nReply with 1, 2 or 3.\n\nWarmly,\nInes",
        ),
        (
            "Hi both,\n1) keep it\n2) move to Sunday\nLet me know.",
            "Hi both,\n1) keep it\n2) move to Sunday\nLet me know.\n\nReply with 1 or 2.",
        ),
        // The last paragraph is the list: the line comes after it.
        ("Hi\n\n1. Keep\n2. Move", "Hi\n\n1. Keep\n2. Move\n\nReply with 1 or 2."),
        // It asks in its own way.
        (
            "1: Keep.\n2: Move.\n\nJust reply with\n1 or 2.\n\nInes",
            "1: Keep.\n2: Move.\n\nJust reply with\n1 or 2.\n\nInes",
        ),
        // It lists nothing: numbers would mean nothing.
        ("We are still on.\n\nInes", "We are still on.\n\nInes"),
        ("1: the only thing to do is wait.\n\nInes", "1: the only thing to do is wait.\n\nInes"),
        ("2: out of order\n1: and so\n\nInes", "2: out of order\n1: and so\n\nInes"),
        ("", ""),
    ] {
        assert_eq!(family_text(edited, AnswerBy::Number), expected);
    }
}

#[test]
fn an_edited_text_gets_its_link_once_and_before_the_name() {
    for (edited, expected) in [
        (
            "Dear Linh and Quoc,\r\n\r\nStill on!\r\n\r\nInes\r\n",
            "Dear Linh and Quoc,\n\nStill on!\n\nYou can answer here, both of you: LINK\n\nInes",
        ),
        ("Still on!", "Still on!\n\nYou can answer here: LINK"),
        ("", "You can answer here: LINK"),
        ("Answer at LINK.\n\nInes", "Answer at LINK.\n\nInes"),
        // A longer address that begins alike is another one.
        ("See LINK/map\n\nInes", "See LINK/map\n\nYou can answer here: LINK\n\nInes"),
        ("Still on!\n\nSee you there.", "Still on!\n\nSee you there.\n\nYou can answer here: LINK"),
    ] {
        let expected = expected.replace("LINK", LINK);
        let text = family_text(&edited.replace("LINK", LINK), AnswerBy::Link(LINK));
        assert_eq!(text, expected);
    }
}

#[test]
fn a_choice_that_was_edited_by_hand_is_noticed() {
    let sent = their_choice();
    assert_eq!(changed_choices(&sent.body, &sent.offers), [0usize; 0]);
    let windows = sent.body.replace('\n', "\r\n");
    assert_eq!(changed_choices(&windows, &sent.offers), [0usize; 0]);
    let edited = sent.body.replace("Sun 6 Sep, 15:15", "Sun 6 Sep, 16:00");
    assert_eq!(changed_choices(&edited, &sent.offers), [2]);
    let swapped = sent.body.replace("2: ", "x: ").replace("3: ", "2: ").replace("x: ", "3: ");
    assert_eq!(changed_choices(&swapped, &sent.offers), [2, 3]);
    assert_eq!(changed_choices("", &sent.offers), [1, 2, 3]);
}

proptest! {
    /// Whatever she makes of the text, nothing of it is lost, and asking twice changes nothing.
    #[test]
    fn adding_the_line_keeps_every_word_and_is_done_once(
        body in "([a-zA-Z0-9:.)é\u{200f} ]{0,30}\r?\n{0,2}){0,8}",
        by_link in any::<bool>(),
    ) {
        let by = if by_link { AnswerBy::Link(LINK) } else { AnswerBy::Number };
        let once = family_text(&body, by);
        prop_assert_eq!(family_text(&once, by), once.clone());
        let mut words = once.split_whitespace();
        for word in body.split_whitespace() {
            prop_assert!(words.any(|kept| kept == word), "`{}` is lost: {}", word, once);
        }
        prop_assert!(!by_link || once.contains(LINK));
    }
}

#[test]
fn the_date_of_an_evening_is_no_number_to_reply_with() {
    let text =
        "Dear Linh,\n\nWe look on Wed 2: then we know.\n\n1 evening in 10 gets rain.\n\nInes";
    assert_eq!(family_text(text, AnswerBy::Number), text);
    let facts = fairspell_studio::LetterFacts {
        reserves: vec![civil("2026-09-06 15:15")],
        ..bare(LetterKind::Watch)
    };
    let watch = letter(&facts).body;
    assert_eq!(family_text(&watch, AnswerBy::Number), watch);
}
