//! The family's page, read on a phone by a seventeen-year-old and a parent.

use fairspell_studio::{
    Answer, LetterFacts, LetterKind, Question, Rule, agreed,
    answer::Agreement,
    letter::Danger,
    outlook::{Outlook, Tier},
};
use fairspell_words::{
    avoided_words, cautions::Hazard, cautions::caution, family, family::known, letter,
};

use crate::world::{
    KINDS, answer, at, bare, nothing_known, outlook, season, sent, sourced, storm_warning,
    their_choice, zone,
};

const OWNER: &str = "Ines Corrigan-Vale";

/// All that the page of a letter can say, in the order of reading.
fn page(facts: LetterFacts) -> Vec<String> {
    let letter = letter(&facts);
    let sent = sent(facts);
    let top = known(&sent, at("2026-09-02 19:00"), &zone());
    let mut lines = vec![top.for_whom, top.written, top.state];
    lines.extend(top.why);
    lines.extend(top.figures);
    lines.push(family::PERCENT_MEANS.to_owned());
    lines.push(family::CHOICES.to_owned());
    lines.extend(letter.offers.iter().map(|offer| offer.words.clone()));
    lines.push(family::asks_until(&letter));
    lines.push(family::ONCE_WE_BEGIN.to_owned());
    let names = family::who_are_you(&sent.facts.sitter, &sent.facts.guardian);
    lines.push(family::WHO_ARE_YOU.to_owned());
    lines.extend(names.iter().map(|name| (*name).to_owned()));
    lines.extend(family::each_of_you(&names).map(str::to_owned));
    lines.push(family::NEXT.to_owned());
    lines.extend(top.cautions.into_iter().map(str::to_owned));
    lines
}

#[test]
fn the_page_of_their_choice_reads_as_it_did() {
    insta::assert_snapshot!(page(their_choice().facts).join("\n"));
}

#[test]
fn no_page_says_an_avoided_word_or_leaves_a_hole() {
    for kind in KINDS {
        let facts = season().into_iter().map(|(_, facts)| facts).find(|facts| facts.kind == kind);
        for facts in [bare(kind), facts.unwrap()] {
            for line in page(facts) {
                assert_eq!(avoided_words(&line), [""; 0], "{line}");
                assert!(!line.trim().is_empty());
                for odd in ["  ", " ,", " .", "..", "None", "NaN", "A, B"] {
                    assert!(!line.contains(odd), "{kind:?}: `{odd}` in {line}");
                }
            }
        }
    }
}

#[test]
fn every_figure_has_hours_place_source_and_age() {
    let figures = known(&their_choice(), at("2026-09-02 19:00"), &zone()).figures;
    assert_eq!(
        figures,
        [
            "Any rain (at least 0.2 mm): 14 % (between 10 and 27 %); Thu 3 Sep, 15:15 to 17:05, at \
             Cannery Arcade; Coast Weather Service, as of 12:00.",
            "25 dry minutes in a row: 91 % (between 82 and 96 %); Thu 3 Sep, 15:15 to 17:05, at \
             Cannery Arcade; Coast Radar, as of 14:26.",
        ]
    );
    // Read on another day, the figures say which day they are of.
    let later = known(&their_choice(), at("2026-09-03 09:00"), &zone()).figures;
    assert!(later[0].ends_with("as of Wed 2 Sep, 12:00."), "{}", later[0]);
}

#[test]
fn missing_figures_are_not_known_and_far_odds_are_no_promise() {
    let mut unknown = their_choice();
    unknown.outlook = Outlook { ..nothing_known() };
    let figures = known(&unknown, at("2026-09-02 19:00"), &zone()).figures;
    assert_eq!(figures.len(), 2);
    assert!(figures.iter().all(|line| line.ends_with(": not known.")), "{figures:?}");

    let mut early = their_choice();
    early.facts.question = Question::TooEarly;
    assert_eq!(known(&early, at("2026-09-02 19:00"), &zone()).figures, [""; 0]);
}

#[test]
fn from_the_chair_on_the_page_counts_wet_minutes_as_the_letter_does() {
    for (kind, name) in [
        (LetterKind::Hold, "Rain in some minute (at least 0.1 mm/h): 75 %"),
        (LetterKind::AdviseMoving, "Rain in some minute (at least 0.1 mm/h): 75 %"),
        (LetterKind::Settled, "Any rain (at least 0.2 mm): 14 %"),
    ] {
        let sent = sent(LetterFacts { question: Question::DryGap, ..bare(kind) });
        let figures = known(&sent, at("2026-09-03 14:40"), &zone()).figures;
        assert!(figures[0].starts_with(name), "{kind:?}: {}", figures[0]);
    }
}

#[test]
fn a_danger_stands_on_the_page_with_its_figure_and_its_caution() {
    let mut hot =
        sent(LetterFacts { danger: Some(Danger::Heat(39.0)), ..bare(LetterKind::HeatOrCold) });
    let felt = sourced(39.2, "Coast Weather Service", "2026-09-03 12:00");
    hot.ruling.rule = Rule::TooHot { felt, limit_c: 35.0 };
    let page = known(&hot, at("2026-09-03 12:30"), &zone());
    assert!(
        page.figures.iter().any(|line| line.starts_with("Feels like, in the shade: 39 °C; Thu"))
    );
    assert!(page.cautions.contains(&caution(Hazard::Heat)));

    let event = "Severe Thunderstorm Warning".to_owned();
    let mut storm = sent(LetterFacts {
        danger: Some(Danger::Warning { event }),
        ..bare(LetterKind::MustMoveStorm)
    });
    storm.outlook.warnings = vec![storm_warning()];
    let page = known(&storm, at("2026-09-03 14:30"), &zone());
    let warning = page.figures.last().unwrap();
    assert!(warning.contains("Severe Thunderstorm Warning, over the session"), "{warning}");
    assert!(warning.contains("15:00 to 20:00; Coast Weather Service, as of 14:05"), "{warning}");
    assert!(page.cautions.contains(&caution(Hazard::Lightning)));
    assert!(page.cautions.last().unwrap().contains("Official warnings, local rules"));

    // What is only for information is no danger to read of at a bus stop.
    storm.facts.danger = None;
    storm.outlook = outlook();
    storm.outlook.warnings =
        vec![fairspell_studio::outlook::WarningSeen { tier: Tier::Info, ..storm_warning() }];
    assert_eq!(known(&storm, at("2026-09-03 14:30"), &zone()).cautions.len(), 1);
}

#[test]
fn it_says_by_when_and_what_silence_means() {
    let asks = |facts: LetterFacts| family::asks_until(&letter(&facts));
    assert_eq!(
        asks(their_choice().facts),
        "Please choose by Wed 2 Sep, 20:00; without an answer, choice 1 holds."
    );
    let gust = Some(Danger::Gust(80.0));
    assert_eq!(
        asks(LetterFacts { danger: gust, ..bare(LetterKind::AdviseMoving) }),
        "Please choose soon; if nobody answers, we don't meet that day and Ines Corrigan-Vale phones you."
    );
    assert_eq!(
        asks(bare(LetterKind::MustMoveStorm)),
        "Please choose soon; if nobody answers, Ines Corrigan-Vale phones you."
    );
    assert_eq!(asks(bare(LetterKind::Watch)), family::ANSWER_UNASKED);
}

#[test]
fn two_names_may_answer_and_one_person_is_asked_nothing_more() {
    assert_eq!(family::who_are_you("Linh", "Quoc"), ["Linh", "Quoc"]);
    assert_eq!(family::who_are_you("Linh", "Linh"), ["Linh"]);
    assert_eq!(family::who_are_you("Linh", " "), ["Linh"]);
    assert!(family::each_of_you(&["Linh", "Quoc"]).is_some());
    assert!(family::each_of_you(&["Linh"]).is_none());
    // The name as it stands in the letter, so that the answer is matched.
    assert_eq!(family::who_are_you("  Linh\nT. ", "Quoc")[0], "  Linh\nT. ");
}

#[test]
fn the_receipt_says_what_when_and_until_when() {
    let sent = their_choice();
    let linh = answer(&sent, "Linh", 2, "19:04");
    let read = |answer: &Answer, until: Option<&str>, now: &str| {
        family::receipt(answer, "1f3a9c07b2", until.map(at), OWNER, at(now), &zone())
    };
    assert_eq!(
        read(&linh, Some("2026-09-02 20:00"), "2026-09-02 19:04"),
        [
            "Linh, you chose: Move to Sun 6 Sep, 15:15.",
            "Noted at 19:04. Your receipt: 1f3a 9c07 b2; you can change it until Wed 2 Sep, 20:00.",
        ]
    );
    assert_eq!(
        read(&linh, Some("2026-09-02 20:00"), "2026-09-03 09:00")[1],
        "Noted Wed 2 Sep, 19:04. Your receipt: 1f3a 9c07 b2; to change it, phone Ines Corrigan-Vale."
    );
    let late = answer(&sent, "Linh", 2, "20:30");
    let lines = read(&late, None, "2026-09-02 20:30");
    assert!(lines[2].contains("noted as late: please phone Ines Corrigan-Vale"), "{lines:?}");
}

#[test]
fn each_sees_what_the_other_chose() {
    let sent = their_choice();
    let linh = answer(&sent, "Linh", 1, "19:04");
    let read = |answers: &[Answer]| {
        family::together(&agreed(answers, "Linh", "Quoc"), "Linh", "Quoc", OWNER)
    };
    assert_eq!(read(&[]), [""; 0]);
    assert_eq!(
        read(std::slice::from_ref(&linh)),
        ["Linh chose: Keep it, with umbrellas; hair may get damp.", "Quoc has not answered yet."]
    );
    assert_eq!(
        read(&[linh.clone(), answer(&sent, "Quoc", 1, "19:10")]),
        ["Linh and Quoc both chose: Keep it, with umbrellas; hair may get damp."]
    );
    assert_eq!(
        read(&[linh.clone(), answer(&sent, "Quoc", 2, "19:10")]),
        [
            "Linh chose: Keep it, with umbrellas; hair may get damp.",
            "Quoc chose: Move to Sun 6 Sep, 15:15.",
            "You chose differently, so Ines Corrigan-Vale will phone you both.",
        ]
    );
    let alone = agreed(&[linh], "Linh", "Linh");
    assert!(matches!(alone, Agreement::Both { .. }));
    let line = &family::together(&alone, "Linh", "Linh", OWNER)[0];
    assert!(line.starts_with("Linh chose: "), "{line}");
}

#[test]
fn a_bad_link_tells_nothing() {
    // Whoever guesses learns no name, no date, no place, and nothing of why it is bad.
    let text = format!("{} {}", family::BAD_LINK_TITLE, family::BAD_LINK);
    for leak in ["Ines", "Linh", "Quoc", "Cannery", "altered", "expired", "signature"] {
        assert!(!text.contains(leak), "{leak}");
    }
    assert!(!text.contains(|c: char| c.is_ascii_digit()));
    assert!(text.contains("Nothing was noted."));
}

#[test]
fn what_is_closed_says_why_and_what_to_do() {
    let zone = zone();
    assert_eq!(
        family::replaced(OWNER, at("2026-09-03 10:05"), &zone),
        "Ines Corrigan-Vale has written again since, on Thu 3 Sep, 10:05. This letter no longer \
         counts; please answer the newer one."
    );
    assert_eq!(
        family::time_has_passed(at("2026-09-02 20:00"), OWNER, &zone),
        "The time to answer passed on Wed 2 Sep, 20:00. You can still answer; it is noted as late. \
         Please phone Ines Corrigan-Vale as well."
    );
    assert_eq!(
        family::begun(their_choice().facts.start, " "),
        "This session began on Thu 3 Sep, 15:15. Once we begin, we finish, so there is nothing left \
         to choose here; for anything else please phone your photographer."
    );
    assert!(
        family::replaced("", at("2026-09-03 10:05"), &zone).starts_with("Your photographer has")
    );
    assert_eq!(
        family::you_choose(" Linh", "Move to Sun 6 Sep, 15:15."),
        "Linh, you choose: Move to Sun 6 Sep, 15:15."
    );
}
