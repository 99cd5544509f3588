//! The letter in a message's length.

use fairspell_studio::LetterFacts;
use fairspell_words::{
    Letter, avoided_words, letter,
    letters::{AnswerBy, sms_text},
};

use crate::{letters::every_kind_with_every_fact, world::season};

const LINK: &str = "https://ferrow.example/a/7f3k-2q-with-a-long-signature-0123456789abcdef";

/// Two messages of 160 characters (3GPP TS 23.038).
const CHARS_MAX: usize = 320;

fn check(facts: &LetterFacts) -> Result<(), String> {
    let letter = letter(facts);
    for by in [AnswerBy::Link(LINK), AnswerBy::Number] {
        let text = sms_text(&letter, by);
        let fail = |why: &str| Err(format!("{why}: {text}\n{}", letter.body));
        if text.replace(LINK, "").chars().count() > CHARS_MAX {
            return fail("too long");
        }
        let states = [letter.known[0].as_str(), letter.subject.as_str()];
        if !states.iter().any(|state| text.starts_with(state)) {
            return fail("does not begin with where we stand");
        }
        let asks = if letter.asked.is_some() { "Answer" } else { "If you like, answer" };
        if matches!(by, AnswerBy::Link(_)) != text.ends_with(&format!("\n{asks} here: {LINK}")) {
            return fail("has its link wrong");
        }
        if !avoided_words(&text).is_empty() {
            return fail("says an avoided word");
        }
        for odd in ["  ", " .", "..", ".;", "None"] {
            // " ..." is where a choice was cut short.
            if text.replace(" ...", "").contains(odd) {
                return fail(&format!("has `{odd}` in it"));
            }
        }
        // Events with names of any length are tried elsewhere.
        if letter.danger.as_ref().is_some_and(|danger| !text.contains(danger.as_str())) {
            return fail("leaves out the danger");
        }
        check_ask(&letter, by, &text).or_else(|why| fail(&why))?;
    }
    Ok(())
}

fn check_ask(letter: &Letter, by: AnswerBy<'_>, text: &str) -> Result<(), String> {
    let Some(asked) = letter.asked else {
        return if text.contains("No reply is needed.") { Ok(()) } else { Err("asks".to_owned()) };
    };
    if let Some(by) = asked.by
        && !text.contains(&format!("by {}", fairspell_words::clock::date_and_clock(by)))
    {
        return Err("does not say by when".to_owned());
    }
    for number in 1..=letter.offers.len() {
        let listed = text.contains(&format!(" {number}: "));
        if listed != (by == AnswerBy::Number) {
            return Err(format!("lists {number}: {listed}"));
        }
    }
    Ok(())
}

#[test]
fn every_letter_fits_two_messages_and_says_state_time_and_how_to_answer() {
    let all = every_kind_with_every_fact();
    // Every fifth: the table is there for the letters, and messages are made of their parts.
    let failures: Vec<String> =
        all.iter().step_by(5).filter_map(|facts| check(facts).err()).collect();
    assert!(failures.is_empty(), "{} fail; the first: {}", failures.len(), failures[0]);
}

#[test]
fn names_of_two_hundred_letters_still_leave_room() {
    for (_, facts) in season() {
        let name = |initial: &str| initial.repeat(200);
        let long = LetterFacts {
            sitter: name("S"),
            guardian: name("G"),
            owner: name("O"),
            meeting_spot: name("m"),
            roofed_spot: facts.roofed_spot.as_ref().map(|_| name("r")),
            deadline: facts
                .deadline
                .clone()
                .map(|due| fairspell_studio::session::Deadline { name: name("d"), ..due }),
            ..facts
        };
        let failed = check(&long).err();
        assert!(failed.is_none(), "{failed:?}");
    }
}

#[test]
fn the_messages_of_the_season_read_as_they_did() {
    let messages: Vec<String> = season()
        .into_iter()
        .flat_map(|(name, facts)| {
            let letter = letter(&facts);
            [AnswerBy::Number, AnswerBy::Link("https://ferrow.example/a/7f3k")]
                .map(|by| format!("{name}\n{}", sms_text(&letter, by)))
        })
        .collect();
    insta::assert_snapshot!(messages.join("\n\n"));
}
