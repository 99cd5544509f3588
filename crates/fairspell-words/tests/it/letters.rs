//! The letters, read as a tired parent and a seventeen-year-old read them.

use fairspell_chance::Character;
use fairspell_studio::{
    Choice, GateKind, LetterFacts, LetterKind, Question, letter::Danger, session::Deadline,
};
use fairspell_words::{Letter, avoided_words, letter, letters::Silence};
use jiff::civil::date;
use proptest::prelude::*;

use crate::world::{KINDS, artists, bare, civil, season};

/// "Under 110 words", as a letter has to be read to its end at a bus stop.
const WORDS_BELOW: usize = 110;

fn words(letter: &Letter) -> usize {
    letter.body.split_whitespace().count()
}

/// The first sentence after the greeting.
fn first_sentence(letter: &Letter) -> &str {
    let after = letter.body.split_once("\n\n").unwrap().1;
    after.split_once(['.', '\n']).unwrap().0
}

/// What holds for every letter whatever its facts.
fn check(facts: &LetterFacts) -> Result<(), String> {
    let letter = letter(facts);
    let text = format!("{}\n{}", letter.subject, letter.body);
    let fail = |why: &str| Err(format!("{why}\n{facts:?}\n{text}"));
    if words(&letter) >= WORDS_BELOW {
        return fail(&format!("{} words", words(&letter)));
    }
    let avoided = avoided_words(&text);
    if !avoided.is_empty() {
        return fail(&format!("says {avoided:?}"));
    }
    let greeting = letter.body.lines().next().unwrap();
    if greeting != format!("Dear {} and {},", facts.sitter, facts.guardian) {
        return fail("does not greet both");
    }
    if letter.body.lines().last() != Some(&facts.owner) {
        return fail("is not signed");
    }
    if text.contains('!') || text.contains('?') || text.contains('%') {
        return fail("cheers, asks back, or gives a bare per cent");
    }
    let shouts = |word: &str| {
        let letters: Vec<char> = word.chars().filter(|c| c.is_alphabetic()).collect();
        letters.len() > 1 && letters.iter().all(|c| c.is_uppercase())
    };
    if text.split_whitespace().any(shouts) {
        return fail("shouts");
    }
    for odd in ["  ", " ,", " .", "..", ",.", "None", "NaN", "()", "\n\n\n", "forecast"] {
        if text.contains(odd) {
            return fail(&format!("has `{odd}` in it"));
        }
    }
    let state: &[&str] = match facts.kind {
        LetterKind::Settled
        | LetterKind::GreyButDry
        | LetterKind::Watch
        | LetterKind::OtherSpot => &["We are still on"],
        LetterKind::FamilysChoice => &["It's your choice"],
        LetterKind::AdviseMoving => &["My advice is to move", "We don't go"],
        LetterKind::MustMoveStorm | LetterKind::MustMoveSystem | LetterKind::HeatOrCold => {
            &["We need to move"]
        }
        LetterKind::Hold => &["Please wait", "We are still on"],
    };
    if !state.iter().any(|state| first_sentence(&letter).starts_with(state)) {
        return fail("does not begin with where we stand");
    }
    let has_options = letter.body.contains("\n1: ");
    let asks = letter.body.contains("Please answer 1 or 2")
        || letter.body.contains("Please answer 1, 2 or 3");
    let asking = matches!(
        facts.kind,
        LetterKind::FamilysChoice
            | LetterKind::AdviseMoving
            | LetterKind::MustMoveStorm
            | LetterKind::MustMoveSystem
            | LetterKind::HeatOrCold
    );
    if asking && !(has_options && letter.body.contains("\n2: ") && asks) {
        return fail("does not offer at least two options and ask for one");
    }
    if letter.body.contains("1, 2 or 3") != letter.body.contains("\n3: ") {
        return fail("asks for options that it does not give");
    }
    let silence = ["without a reply", "without a word", "I hear nothing", "No reply is needed"];
    if !silence.iter().any(|silence| letter.body.contains(silence)) {
        return fail("does not say what silence means");
    }
    check_offers(facts, &letter).map_err(|why| format!("{why}\n{facts:?}\n{text}"))
}

/// What holds for what a family may answer, whatever the facts.
fn check_offers(facts: &LetterFacts, letter: &Letter) -> Result<(), String> {
    let numbered: Vec<(&str, &str)> = letter
        .body
        .lines()
        .filter_map(|line| line.split_once(": "))
        .filter(|(label, _)| ["1", "2", "3"].contains(label))
        .collect();
    if letter.asked.is_some() {
        let offered: Vec<(&str, &str)> = ["1", "2", "3"]
            .into_iter()
            .zip(letter.offers.iter().map(|o| o.words.as_str()))
            .collect();
        if numbered != offered {
            return Err(format!("lists {numbered:?} and offers {offered:?}"));
        }
        if letter.offers.iter().any(|offer| offer.choice == Choice::Talk) {
            return Err("asks for a call as an answer".to_owned());
        }
    } else {
        let choices: Vec<&Choice> = letter.offers.iter().map(|offer| &offer.choice).collect();
        if choices != [&Choice::Keep, &Choice::Talk] || !numbered.is_empty() {
            return Err(format!("asks for nothing, lists {numbered:?}, offers {choices:?}"));
        }
    }
    let must_move = matches!(
        facts.kind,
        LetterKind::MustMoveStorm | LetterKind::MustMoveSystem | LetterKind::HeatOrCold
    );
    for (number, offer) in (1..).zip(&letter.offers) {
        // Read as a family reads it: the sentence alone must say what the choice says.
        let says = |part: &str| offer.words.contains(part);
        let agrees = match &offer.choice {
            Choice::Keep => says("Keep it") || says("We'll be there") || says("We'll wait"),
            Choice::KeepUnderCover => says("under cover at") && !says("another day before"),
            Choice::MoveTo { start } => {
                says(&format!("Move to {}", fairspell_words::clock::date_and_clock(*start)))
            }
            Choice::LaterDate => says("later date") || says("another day before"),
            Choice::LeaveOpen => says("Leave it open"),
            Choice::Talk => says("phone us first"),
        };
        if !agrees {
            return Err(format!("`{}` is offered as {:?}", offer.words, offer.choice));
        }
        match &offer.choice {
            Choice::Keep | Choice::KeepUnderCover if must_move => {
                return Err("must move, and offers to keep".to_owned());
            }
            Choice::Keep if letter.body.contains("We don't go") => {
                return Err("does not go, and offers to keep".to_owned());
            }
            Choice::Keep if facts.danger.is_some() && !says("danger") && !says("wait") => {
                return Err("keeps a date that a danger speaks against".to_owned());
            }
            Choice::MoveTo { start } if !facts.reserves.contains(start) => {
                return Err(format!("moves to {start}, which is no reserve"));
            }
            _ => {}
        }
        // Silence may take a choice only where it stays as booked.
        if letter.asked.is_some_and(|asked| asked.silence == Silence::Takes(number))
            && (facts.danger.is_some()
                || !matches!(offer.choice, Choice::Keep | Choice::KeepUnderCover))
        {
            return Err(format!("silence takes {number}"));
        }
    }
    match letter.asked.map(|asked| asked.silence) {
        Some(Silence::Takes(number)) if !(1..=letter.offers.len()).contains(&number) => {
            return Err(format!("silence takes {number}, which is not offered"));
        }
        _ => {}
    }
    let (first, rest) = letter.known.split_first().ok_or("knows nothing")?;
    if !rest.iter().chain([first]).all(|known| letter.body.contains(known)) {
        return Err("knows what it does not say".to_owned());
    }
    if !first.starts_with(first_sentence(letter)) {
        return Err("knows something before where we stand".to_owned());
    }
    Ok(())
}

#[test]
fn the_letters_of_the_season_read_as_they_did() {
    for (name, facts) in season() {
        check(&facts).unwrap();
        let letter = letter(&facts);
        let text = format!("{}\n\n{}", letter.subject, letter.body);
        insta::assert_snapshot!(name, text);
    }
}

/// Every kind of letter with every fact there or not, with short names and with long ones.
pub(crate) fn every_kind_with_every_fact() -> Vec<LetterFacts> {
    let reserves = [
        vec![],
        vec![civil("2026-09-06 15:15")],
        vec![civil("2026-09-06 15:15"), civil("2026-09-27 15:30")],
    ];
    let dangers = [
        None,
        Some(Danger::Warning { event: "SEVERE THUNDERSTORM WARNING".to_owned() }),
        Some(Danger::Warning { event: "Minor Flooding! See https://example.org".to_owned() }),
        Some(Danger::Heat(39.4)),
        Some(Danger::Cold(-0.2)),
        Some(Danger::Gust(f64::NAN)),
    ];
    let deadlines = [
        None,
        Some(Deadline { name: "yearbook".to_owned(), date: date(2026, 9, 5) }),
        Some(Deadline { name: "leavers' dinner slideshow".to_owned(), date: date(2026, 9, 18) }),
    ];
    let names = [
        ("Linh", "Quoc", "Ines", "Pell Quay"),
        (
            "Maximiliana Alexandrine Featherstonehaugh-Nakamura",
            "Bartholomew Constantin Featherstonehaugh-Nakamura",
            "Ines Wilhelmina Corrigan-Vale",
            "Old Ferrow House veranda",
        ),
    ];
    let moments = [
        (Question::TooEarly, civil("2026-08-27 15:15"), None, None),
        (
            Question::AnyRain,
            civil("2026-09-03 09:00"),
            Some((GateKind::MorningReading, civil("2026-09-03 10:00"))),
            Some(Character::Showery),
        ),
        (
            Question::DryGap,
            civil("2026-09-03 14:30"),
            Some((GateKind::LeaveBy, civil("2026-09-03 14:35"))),
            Some(Character::Steady),
        ),
    ];
    let mut all = Vec::new();
    for kind in KINDS {
        for (sitter, guardian, owner, spot) in names {
            for reserves in &reserves {
                for danger in &dangers {
                    for deadline in &deadlines {
                        for (question, as_of, next_word, character) in moments {
                            for artist in artists() {
                                for rest in [false, true] {
                                    all.push(LetterFacts {
                                        sitter: sitter.to_owned(),
                                        guardian: guardian.to_owned(),
                                        owner: owner.to_owned(),
                                        meeting_spot: spot.to_owned(),
                                        question,
                                        as_of,
                                        reserves: reserves.clone(),
                                        danger: danger.clone(),
                                        deadline: deadline.clone(),
                                        next_word,
                                        character,
                                        artist: artist.clone(),
                                        roofed_spot: rest.then(|| spot.to_owned()),
                                        rain_percent: rest.then_some(45),
                                        gap_percent: rest.then_some(31),
                                        wait_until: rest.then(|| civil("2026-09-03 14:45")),
                                        spot_change: rest.then(|| {
                                            (spot.to_owned(), "Cannery Arcade".to_owned())
                                        }),
                                        reply_by: rest.then(|| civil("2026-09-03 20:00")),
                                        ..bare(kind)
                                    });
                                }
                            }
                        }
                    }
                }
            }
        }
    }
    all
}

#[test]
fn every_kind_with_every_fact_there_or_not_keeps_the_rules() {
    let all = every_kind_with_every_fact();
    assert!(all.len() > 10_000);
    let failures: Vec<String> = all.iter().filter_map(|facts| check(facts).err()).collect();
    assert!(failures.is_empty(), "{} of {}; the first: {}", failures.len(), all.len(), failures[0]);
}

#[test]
fn every_offered_evening_stands_in_the_letter_with_day_and_hour() {
    for kind in [
        LetterKind::FamilysChoice,
        LetterKind::AdviseMoving,
        LetterKind::MustMoveStorm,
        LetterKind::MustMoveSystem,
        LetterKind::HeatOrCold,
        LetterKind::Watch,
    ] {
        let facts = LetterFacts {
            reserves: vec![civil("2026-09-06 15:15"), civil("2026-09-27 15:30")],
            ..bare(kind)
        };
        let letter = letter(&facts);
        assert!(letter.body.contains("Sun 6 Sep, 15:15"), "{}", letter.body);
        assert!(letter.body.contains("Sun 27 Sep, 15:30"), "{}", letter.body);
    }
}

#[test]
fn evenings_that_have_passed_or_come_too_late_are_no_full_move() {
    let facts = LetterFacts {
        reserves: vec![civil("2026-09-01 15:15"), civil("2026-09-27 15:30")],
        roofed_spot: Some("Tin Boathouse".to_owned()),
        deadline: Some(Deadline { name: "yearbook".to_owned(), date: date(2026, 9, 18) }),
        ..bare(LetterKind::AdviseMoving)
    };
    let letter = letter(&facts);
    assert!(!letter.body.contains("1 Sep"), "{}", letter.body);
    let moved = "Move to Sun 27 Sep, 15:30, if the deadline can wait.";
    assert!(letter.body.contains(moved), "{}", letter.body);
    let split = "1: Make the yearbook picture under cover at Tin Boathouse that day, the rest on Sun 27 Sep, 15:30.";
    assert!(letter.body.contains(split), "{}", letter.body);
}

#[test]
fn silence_never_keeps_a_date_that_a_danger_speaks_against() {
    let danger = Some(Danger::Warning { event: "Flood Watch".to_owned() });
    for kind in KINDS {
        let letter = letter(&LetterFacts { danger: danger.clone(), ..bare(kind) });
        assert!(letter.body.contains("An official flood watch covers"), "{}", letter.body);
        if letter.body.contains("\n1: ") {
            assert!(letter.body.contains("I'll phone you"), "{}", letter.body);
            assert!(!letter.body.contains("without a reply we"), "{}", letter.body);
        }
    }
}

#[test]
fn from_the_chair_on_advice_becomes_we_do_not_go_and_the_loss_is_not_denied() {
    let on_the_day = |question: Question| LetterFacts {
        question,
        as_of: civil("2026-09-03 10:00"),
        ..bare(LetterKind::AdviseMoving)
    };
    let before = letter(&on_the_day(Question::AnyRain));
    assert!(before.body.contains("My advice is to move today, 15:15"), "{}", before.body);
    assert!(before.body.contains("Please don't begin hair and make-up."), "{}", before.body);
    let after = letter(&on_the_day(Question::DryGap));
    assert!(after.body.contains("We don't go this evening"), "{}", after.body);
    assert!(after.body.contains("sorry for the time and money already spent"), "{}", after.body);
    assert!(!after.body.contains("Keep it"), "{}", after.body);
    assert!(!after.body.contains("first in line"), "{}", after.body);
}

#[test]
fn a_reason_never_says_more_than_the_facts() {
    // A warning alone can lead to this advice, on an evening with hardly any rain.
    for character in [None, Some(Character::Showery), Some(Character::Steady)] {
        let facts =
            LetterFacts { rain_percent: Some(10), character, ..bare(LetterKind::AdviseMoving) };
        assert!(!letter(&facts).body.contains("rain looks"));
    }
    let facts = LetterFacts { rain_percent: Some(51), ..bare(LetterKind::AdviseMoving) };
    assert!(letter(&facts).body.contains("rain looks likely"));
}

#[test]
fn odds_count_evenings() {
    for (percent, said) in [
        (0, "Hardly any evening like this gets rain in these hours."),
        (4, "Hardly any evening like this gets rain in these hours."),
        (5, "About 1 evening in 10 like this gets rain in these hours."),
        (14, "About 1 evening in 10 like this gets rain in these hours."),
        (40, "About 4 evenings in 10 like this get rain in these hours."),
        (94, "About 9 evenings in 10 like this get rain in these hours."),
        (95, "Nearly every evening like this gets rain in these hours."),
        (100, "Nearly every evening like this gets rain in these hours."),
    ] {
        let facts = LetterFacts { rain_percent: Some(percent), ..bare(LetterKind::Settled) };
        let body = letter(&facts).body;
        assert!(body.contains(said), "{percent}: {body}");
    }
    let dawn = LetterFacts {
        rain_percent: Some(20),
        start: civil("2026-09-03 06:00"),
        ..bare(LetterKind::Settled)
    };
    assert!(letter(&dawn).body.contains("2 mornings in 10"));
}

#[test]
fn somebody_who_is_both_sitter_and_payer_is_greeted_once() {
    let facts = LetterFacts { guardian: "Linh".to_owned(), ..bare(LetterKind::Settled) };
    assert!(letter(&facts).body.starts_with("Dear Linh,\n"));
    let facts = LetterFacts { guardian: " \n".to_owned(), ..bare(LetterKind::Settled) };
    assert!(letter(&facts).body.starts_with("Dear Linh,\n"));
}

#[test]
fn whoever_waits_is_told_where_until_when_and_what_then() {
    let (_, facts) = season().into_iter().find(|(name, _)| *name == "10_hold").unwrap();
    let body = letter(&facts).body;
    for said in [
        "Please wait at home until 14:45",
        "if it clears",
        "if not",
        "we have begun, we finish",
        "thunder",
    ] {
        assert!(body.contains(said), "{said}: {body}");
    }
    let there =
        LetterFacts { next_word: Some((GateKind::Arrival, civil("2026-09-03 15:15"))), ..facts };
    assert!(letter(&there).body.contains("Please wait in the car until 14:45"));
}

#[test]
fn safety_letters_give_way_to_official_warnings() {
    let cases = [
        (LetterKind::MustMoveStorm, None, "follow official warnings"),
        (LetterKind::MustMoveStorm, None, "take care on the road"),
        (LetterKind::MustMoveSystem, None, "Look after your home first"),
        (LetterKind::HeatOrCold, Some(Danger::Heat(39.0)), "plenty of water"),
        (LetterKind::HeatOrCold, Some(Danger::Heat(39.0)), "asthma"),
        (LetterKind::HeatOrCold, Some(Danger::Cold(1.0)), "warm layers"),
        (LetterKind::HeatOrCold, Some(Danger::Cold(1.0)), "Official warnings come first"),
    ];
    for (kind, danger, said) in cases {
        let body = letter(&LetterFacts { danger, ..bare(kind) }).body;
        assert!(body.contains(said), "{said}: {body}");
    }
}

/// One to four words that are no avoided ones.
fn name() -> impl Strategy<Value = String> {
    proptest::collection::vec("[A-Z][a-z]{3,12}(-[A-Z][a-z]{2,9})?", 1..=3)
        .prop_map(|words| words.join(" "))
        .prop_filter("an avoided word", |name| avoided_words(name).is_empty())
}

fn moment() -> impl Strategy<Value = jiff::civil::DateTime> {
    (8i8..=12, 1i8..=28, 0i8..24, 0i8..60)
        .prop_map(|(month, day, hour, minute)| date(2026, month, day).at(hour, minute, 0, 0))
}

fn danger() -> impl Strategy<Value = Danger> {
    prop_oneof![
        ".{0,60}".prop_map(|event| Danger::Warning { event }),
        any::<f64>().prop_map(Danger::Heat),
        (-40.0..60.0).prop_map(Danger::Cold),
        (0.0..200.0).prop_map(Danger::Gust),
    ]
}

prop_compose! {
    fn people()(
        sitter in name(), guardian in name(), owner in name(), spot in name(),
        roof in proptest::option::of(name()), change in proptest::option::of((name(), name())),
        artist in name(), due in name(),
    ) -> (LetterFacts, String, String) {
        let facts = LetterFacts {
            sitter, guardian, owner, meeting_spot: spot, roofed_spot: roof, spot_change: change,
            ..bare(LetterKind::Settled)
        };
        (facts, artist, due)
    }
}

prop_compose! {
    fn facts()(
        (people, artist, due) in people(),
        kind in proptest::sample::select(KINDS.to_vec()),
        as_of in moment(), start in moment(),
        question in proptest::sample::select(
            vec![Question::TooEarly, Question::AnyRain, Question::DryGap]),
        rain_percent in proptest::option::of(0u8..=100),
        gap_percent in proptest::option::of(0u8..=100),
        gap_min in 5u32..=180,
        character in proptest::option::of(proptest::sample::select(
            vec![Character::Showery, Character::Steady])),
        danger in proptest::option::of(danger()),
        wait_until in proptest::option::of(moment()),
        reserves in proptest::collection::vec(moment(), 0..4),
        (reply_by, next_word) in (proptest::option::of(moment()), proptest::option::of(moment())),
        (with_artist, passed, with_deadline) in any::<(bool, bool, bool)>(),
        (free_until, deadline) in (moment(), moment()),
    ) -> LetterFacts {
        LetterFacts {
            kind, question, as_of, start, end: start, rain_percent, gap_percent, gap_min, character, danger,
            wait_until, reserves, reply_by,
            next_word: next_word.map(|at| (GateKind::LeaveBy, at)),
            artist: with_artist.then_some(fairspell_studio::letter::ArtistFacts {
                name: artist, free_until, passed,
            }),
            deadline: with_deadline.then_some(Deadline { name: due, date: deadline.date() }),
            ..people
        }
    }
}

proptest! {
    #[test]
    fn whatever_the_facts_a_letter_keeps_the_rules(facts in facts()) {
        prop_assume!(facts.sitter != facts.guardian);
        if let Err(why) = check(&facts) {
            return Err(TestCaseError::fail(why));
        }
    }
}
