//! A family's answers, as the photographer reads and taps them.

use fairspell_studio::{Answer, AnsweredBy, Choice, LetterKind, agreed, letter::Danger};
use fairspell_words::{avoided_words, replies};

use crate::world::{answer, at, bare, civil, nothing_known, sent, their_choice, zone};

fn lines(answers: &[Answer]) -> Vec<String> {
    let sent = their_choice();
    replies::agreement_lines(&agreed(answers, "Linh", "Quoc"), &sent, &zone())
}

#[test]
fn every_choice_has_its_short_name() {
    let mut facts = bare(LetterKind::FamilysChoice);
    for (choice, said) in [
        (Choice::Keep, "keep Thu 3 Sep, 15:15"),
        (Choice::KeepUnderCover, "keep Thu 3 Sep, 15:15, under cover"),
        (Choice::MoveTo { start: civil("2026-09-06 15:15") }, "move to Sun 6 Sep, 15:15"),
        (Choice::LaterDate, "find a later date"),
        (Choice::LeaveOpen, "leave it open for now"),
        (Choice::Talk, "speak first, by phone"),
    ] {
        assert_eq!(
            replies::answers("Quoc", Some(2), &choice, &facts),
            format!("Quoc answers 2: {said}")
        );
    }
    assert_eq!(
        replies::answers(" Quoc\n", None, &Choice::Keep, &facts),
        "Quoc answers: keep Thu 3 Sep, 15:15"
    );
    facts.danger = Some(Danger::Gust(70.0));
    assert_eq!(
        replies::answers("Quoc", Some(1), &Choice::Keep, &facts),
        "Quoc answers 1: keep Thu 3 Sep, 15:15, if the danger passes in time"
    );
}

#[test]
fn she_sees_who_answered_what_and_who_did_not() {
    let sent = their_choice();
    let linh = answer(&sent, "Linh", 1, "19:04");
    assert_eq!(lines(&[]), ["Nobody has answered yet (reply by Wed 2 Sep, 20:00)."]);
    assert_eq!(
        lines(std::slice::from_ref(&linh)),
        [
            "Linh answers 1: keep Thu 3 Sep, 15:15.",
            "Quoc has not answered yet (reply by Wed 2 Sep, 20:00).",
        ]
    );
    assert_eq!(
        lines(&[linh.clone(), answer(&sent, "Quoc", 1, "19:10")]),
        ["Linh and Quoc both answer 1: keep Thu 3 Sep, 15:15."]
    );
    assert_eq!(
        lines(&[linh, answer(&sent, "Quoc", 3, "20:10")]),
        [
            "They differ; phone them both.",
            "Linh answers 1: keep Thu 3 Sep, 15:15.",
            "Quoc answers 3: move to Wed 9 Sep, 15:20; late, asked by Wed 2 Sep, 20:00.",
        ]
    );
}

#[test]
fn an_answer_to_a_replaced_letter_decides_nothing() {
    let sent = their_choice();
    let linh = answer(&sent, "Linh", 1, "19:04");
    let line = replies::to_a_replaced_letter(&linh, &sent, at("2026-09-02 18:40"), &zone());
    assert_eq!(
        line,
        "Linh answers 1: keep Thu 3 Sep, 15:15. This was to your letter of Wed 2 Sep, 18:05, which \
         the one of Wed 2 Sep, 18:40 has replaced: it decides nothing; ask again."
    );
    assert_eq!(avoided_words(&line), [""; 0]);
}

#[test]
fn the_record_says_who_what_when_how_and_on_what_they_had_been_shown() {
    let sent = their_choice();
    let linh = answer(&sent, "Linh", 2, "19:04");
    assert_eq!(
        replies::record_line(&linh, &sent, &zone()),
        "Wed 2 Sep 2026, 19:04: Linh answered 2, \"Move to Sun 6 Sep, 15:15.\", on the family's page. \
         Shown in the letter of Wed 2 Sep, 18:05: Any rain (at least 0.2 mm): 14 % (between 10 and \
         27 %); Thu 3 Sep, 15:15 to 17:05, at Cannery Arcade; Coast Weather Service, as of 12:00. 25 dry minutes in a row: 91 % (between 82 and 96 %); Thu 3 Sep, 15:15 to 17:05, at \
         Cannery Arcade; Coast Radar, as of 14:26."
    );
    let told = Answer { by: AnsweredBy::Owner, is_late: true, ..linh };
    let line = replies::record_line(&told, &sent, &zone());
    assert!(
        line.contains("by a message or a call, noted by Ines Corrigan-Vale, late. Shown"),
        "{line}"
    );
}

#[test]
fn what_was_not_shown_is_not_claimed() {
    let mut unknown = their_choice();
    unknown.outlook = nothing_known();
    let linh = answer(&unknown, "Linh", 1, "19:04");
    let line = replies::record_line(&linh, &unknown, &zone());
    assert!(line.contains("Any rain (from an amount that is not known): not known."), "{line}");
    let mut early = sent(bare(LetterKind::Watch));
    early.facts.question = fairspell_studio::Question::TooEarly;
    let linh = answer(&early, "Linh", 1, "19:04");
    let line = replies::record_line(&linh, &early, &zone());
    assert!(line.ends_with("Shown in the letter of Wed 2 Sep, 18:05: no figures."), "{line}");
}

#[test]
fn a_choice_edited_by_hand_is_named_by_its_number_and_words() {
    let line = replies::choice_was_edited(2, &their_choice().offers[1].words);
    assert!(line.starts_with("Choice 2 no longer reads \"Move to Sun 6 Sep, 15:15.\"."), "{line}");
}
