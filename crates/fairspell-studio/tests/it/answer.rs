//! How the answers of two people stand together.

use fairspell_studio::answer::{Agreement, Answer, AnsweredBy, Choice, agreed, is_late};
use jiff::Timestamp;
use proptest::prelude::*;

fn at(text: &str) -> Timestamp {
    format!("2026-09-03T{text}:00Z").parse().unwrap()
}

fn answer(who: &str, choice: Choice, clock: &str) -> Answer {
    Answer {
        letter: "l1".to_owned(),
        session: "linh".to_owned(),
        who: who.to_owned(),
        words: format!("{choice:?}"),
        choice,
        answered_at: at(clock),
        by: AnsweredBy::Page,
        is_late: false,
    }
}

fn moved() -> Choice {
    Choice::MoveTo { start: jiff::civil::date(2026, 9, 6).at(15, 15, 0, 0) }
}

/// What both chose, if they agree.
fn both_choose(answers: &[Answer], sitter: &str, guardian: &str) -> Option<Choice> {
    match agreed(answers, sitter, guardian) {
        Agreement::Both { choice, .. } => Some(choice),
        _ => None,
    }
}

#[test]
fn without_answers_nobody_has_answered() {
    assert_eq!(agreed(&[], "Linh", "Quoc"), Agreement::Nobody);
    assert_eq!(agreed(&[], "", ""), Agreement::Nobody);
}

#[test]
fn one_answer_waits_for_the_other_person_by_name() {
    let linh = answer("Linh", Choice::Keep, "04:00");
    let quoc = answer("Quoc", moved(), "04:00");
    for (answer, waiting_for) in [(linh, "Quoc"), (quoc, "Linh")] {
        let expected =
            Agreement::One { answer: answer.clone(), waiting_for: waiting_for.to_owned() };
        assert_eq!(agreed(&[answer], "Linh", "Quoc"), expected);
    }
}

#[test]
fn two_who_choose_the_same_agree_and_two_who_do_not_differ() {
    let linh = answer("Linh", Choice::Keep, "04:00");
    let quoc = answer("Quoc", Choice::Keep, "04:10");
    assert_eq!(both_choose(&[linh.clone(), quoc], "Linh", "Quoc"), Some(Choice::Keep));
    let quoc = answer("Quoc", moved(), "04:10");
    let differ = Agreement::Differ { sitter: linh.clone(), guardian: quoc.clone() };
    assert_eq!(agreed(&[quoc, linh], "Linh", "Quoc"), differ);
}

#[test]
fn of_each_person_the_newest_answer_counts_whatever_the_order_of_the_list() {
    let before = answer("Linh", Choice::Keep, "04:00");
    let after = answer("Linh", moved(), "04:20");
    let quoc = answer("Quoc", moved(), "04:10");
    for list in [
        [before.clone(), quoc.clone(), after.clone()],
        [after.clone(), quoc.clone(), before.clone()],
        [quoc.clone(), after, before],
    ] {
        assert_eq!(both_choose(&list, "Linh", "Quoc"), Some(moved()));
    }
    // At one and the same moment the one that was written down last.
    let again = answer("Linh", moved(), "04:00");
    let first = answer("Linh", Choice::Talk, "04:00");
    assert_eq!(both_choose(&[first, again, quoc], "Linh", "Quoc"), Some(moved()));
}

#[test]
fn names_count_exactly_as_written() {
    let strangers = ["linh", "Linh ", "Li nh", "", "Quoc's brother"];
    let answers: Vec<Answer> =
        strangers.iter().map(|who| answer(who, Choice::Keep, "04:00")).collect();
    assert_eq!(agreed(&answers, "Linh", "Quoc"), Agreement::Nobody);
    assert_eq!(agreed(&answers, "", ""), Agreement::Nobody);
}

#[test]
fn where_one_person_is_both_one_answer_is_everybodys() {
    let answers = [answer("Linh", moved(), "04:00")];
    assert_eq!(both_choose(&answers, "Linh", "Linh"), Some(moved()));
    assert_eq!(both_choose(&answers, "Linh", ""), Some(moved()));
    assert_eq!(both_choose(&answers, "", "Linh"), Some(moved()));
}

#[test]
fn two_sentences_of_one_meaning_are_no_agreement() {
    let before = Answer {
        words: "Under cover another day before Fri 18 Sep, the rest later.".to_owned(),
        ..answer("Linh", Choice::LaterDate, "04:00")
    };
    let after = Answer {
        words: "A later date, if the deadline can wait.".to_owned(),
        ..answer("Quoc", Choice::LaterDate, "04:00")
    };
    assert!(matches!(agreed(&[before, after], "Linh", "Quoc"), Agreement::Differ { .. }));
}

#[test]
fn answers_to_different_letters_never_agree() {
    let linh = answer("Linh", Choice::Keep, "04:00");
    let quoc = Answer { letter: "l2".to_owned(), ..answer("Quoc", Choice::Keep, "04:00") };
    assert!(matches!(agreed(&[linh, quoc], "Linh", "Quoc"), Agreement::Differ { .. }));
}

#[test]
fn an_answer_is_late_after_the_moment_and_never_where_none_was_named() {
    let by = Some(at("10:00"));
    assert!(!is_late(at("09:59"), by));
    assert!(!is_late(at("10:00"), by));
    assert!(is_late(at("10:01"), by));
    assert!(!is_late(at("23:59"), None));
}

fn choice() -> impl Strategy<Value = Choice> {
    prop_oneof![
        Just(Choice::Keep),
        Just(Choice::KeepUnderCover),
        Just(moved()),
        Just(Choice::LaterDate),
        Just(Choice::LeaveOpen),
        Just(Choice::Talk),
    ]
}

proptest! {
    /// Who is called sitter and who guardian changes nothing but the places of the two.
    #[test]
    fn it_does_not_matter_who_of_the_two_is_the_sitter(
        given in proptest::collection::vec(
            (proptest::sample::select(vec!["Linh", "Quoc", "Aunt"]), choice(), 0u8..24), 0..6),
    ) {
        let answers: Vec<Answer> = given
            .into_iter()
            .map(|(who, choice, hour)| answer(who, choice, &format!("{hour:02}:00")))
            .collect();
        let swapped = match agreed(&answers, "Quoc", "Linh") {
            Agreement::Differ { sitter, guardian } => {
                Agreement::Differ { sitter: guardian, guardian: sitter }
            }
            other => other,
        };
        prop_assert_eq!(agreed(&answers, "Linh", "Quoc"), swapped);
    }
}
