use fairspell_studio::{
    Band, Gate, GateKind, Notice, NoticeKind, Outlook, Question, Rule, Ruling, Session,
    SourceState, Step, Tier,
    notice::Urgency,
    outlook::{SourceKind, WarningSeen},
    session::{DateNotes, Drive},
};
use fairspell_words::{
    avoided_words,
    cautions::{Hazard, caution},
    notices::{About, NoticeWords, notice_words},
};

use crate::world::{at, civil, outlook, ruling, sourced, storm_warning, zone};

fn session() -> Session {
    Session {
        id: "2026-09-03-linh".to_owned(),
        sitter: "Linh Tran".to_owned(),
        guardian: "Quoc".to_owned(),
        start: civil("2026-09-03 15:15"),
        duration_min: 150,
        looks: vec![],
        drive: Drive { minutes: 15, route: vec![] },
        chair_before_start_min: 210,
        with_artist: true,
        deadline: None,
        moved_from: None,
        people: vec![],
        dates: DateNotes::default(),
    }
}

fn words(kind: NoticeKind, session: &Session, outlook: &Outlook, ruling: &Ruling) -> NoticeWords {
    let notice = Notice {
        key: "key".to_owned(),
        session: session.id.clone(),
        at: outlook.as_of,
        urgency: Urgency::Now,
        kind,
    };
    notice_words(&notice, &About { session, outlook, ruling, zone: &zone() })
}

fn leave_by() -> Gate {
    Gate { kind: GateKind::LeaveBy, at: at("2026-09-03 14:35") }
}

fn must(rule: Rule) -> (NoticeKind, Ruling) {
    let danger = Box::new(rule.clone());
    let ruling = Ruling { band: Band::MustMove, step: Some(Step::DontGo), rule, ..ruling() };
    (NoticeKind::MustMove { danger, has_begun: false }, ruling)
}

fn to_band(to: Band, ruling: Ruling) -> (NoticeKind, Ruling) {
    let from = if to == Band::Watch { Band::Settled } else { Band::Watch };
    (NoticeKind::BandChanged { from, to }, Ruling { band: to, ..ruling })
}

fn silent_radar() -> Outlook {
    let state =
        SourceState::Stale { source: "Coast Radar".to_owned(), issued: at("2026-09-03 13:50") };
    let mut outlook = outlook();
    outlook.sources.retain(|(kind, _)| *kind != SourceKind::Radar);
    outlook.sources.push((SourceKind::Radar, state));
    outlook
}

/// Every kind of notice, with its name.
fn all() -> Vec<(&'static str, NoticeKind, Outlook, Ruling)> {
    let early = Ruling {
        step: None,
        question: Question::AnyRain,
        rule: Rule::AnyRain { chance: outlook().p_any_rain.unwrap(), percent: 14 },
        ..ruling()
    };
    let storm = || Rule::StopWarning { warning: storm_warning() };
    let model = "Coast Weather Service";
    let figure = |value: f64| sourced(value, model, "2026-09-03 12:00");
    let hold = Rule::HoldWarning {
        warning: WarningSeen {
            event: "Flood Watch".to_owned(),
            tier: Tier::Hold,
            ..storm_warning()
        },
    };
    let missing = Rule::NotKnown { missing: vec![SourceKind::Radar] };
    let dont_go = Ruling { step: Some(Step::DontGo), ..ruling() };
    let wait = Ruling { step: Some(Step::WaitUntil(at("2026-09-03 14:45"))), ..ruling() };
    let (gate, reply_by) = (leave_by(), Some(at("2026-09-03 13:00")));
    let (storm_kind, storm_ruling) = must(storm());
    let in_the_field = NoticeKind::MustMove { danger: Box::new(storm()), has_begun: true };
    let mut all = vec![
        ("storm in the field", (in_the_field, storm_ruling.clone())),
        ("storm", (storm_kind, storm_ruling.clone())),
        ("storm, days ahead", (must(storm()).0, Ruling { step: None, ..storm_ruling })),
        ("heat", must(Rule::TooHot { felt: figure(41.0), limit_c: 35.0 })),
        ("cold", must(Rule::TooCold { felt: figure(-3.0), limit_c: 4.0 })),
        ("gusts", must(Rule::TooWindy { gust: figure(72.0), limit_km_h: 60.0 })),
        ("settled", to_band(Band::Settled, early.clone())),
        ("watch", to_band(Band::Watch, early.clone())),
        ("choice", to_band(Band::FamilysChoice, early.clone())),
        ("advise", to_band(Band::AdviseMoving, early.clone())),
        ("go", to_band(Band::Settled, ruling())),
        ("wait", to_band(Band::Watch, wait)),
        ("stay", to_band(Band::AdviseMoving, dont_go)),
        ("hold warning", to_band(Band::AdviseMoving, Ruling { rule: hold, ..early.clone() })),
        ("no answer", (NoticeKind::AnswerMissing { gate, reply_by }, early.clone())),
        ("no answer, no time", (NoticeKind::AnswerMissing { gate, reply_by: None }, early.clone())),
        ("answers differ", (NoticeKind::AnswersDiffer { gate }, early)),
    ];
    let source = SourceKind::Radar;
    let last_heard = at("2026-09-03 13:50");
    let unknown = Ruling { step: None, rule: missing, ..ruling() };
    all.push(("not known", to_band(Band::Unknown, unknown.clone())));
    all.push(("silent", (NoticeKind::SourceSilent { source, last_heard }, unknown)));
    all.into_iter()
        .map(|(name, (kind, ruling))| {
            let outlook = match name {
                "not known" | "silent" => silent_radar(),
                _ => outlook(),
            };
            (name, kind, outlook, ruling)
        })
        .collect()
}

#[test]
fn each_notice_reads_as_it_did() {
    let text: Vec<String> = all()
        .into_iter()
        .map(|(name, kind, outlook, ruling)| {
            let NoticeWords { subject, body, short } = words(kind, &session(), &outlook, &ruling);
            format!("=== {name}\n{short}\n--- {subject}\n{body}\n")
        })
        .collect();
    insta::assert_snapshot!(text.join("\n"));
}

#[test]
fn a_subject_has_sixty_letters_at_most_whatever_the_name() {
    let long = "Nguyễn".repeat(40);
    for sitter in ["", "Linh", "Linh Tran", long.as_str(), "  \r\n "] {
        let session = Session { sitter: sitter.to_owned(), ..session() };
        for (name, kind, outlook, ruling) in all() {
            let said = words(kind, &session, &outlook, &ruling);
            let letters = said.subject.chars().count();
            assert!(letters <= 60, "{name}: {letters} letters: {}", said.subject);
            assert!(said.short.chars().count() <= 60, "{name}: {}", said.short);
            for line in [&said.subject, &said.short] {
                assert!(!line.contains(['\r', '\n']) && !line.contains(", ,"), "{name}: {line}");
            }
        }
    }
}

#[test]
fn a_locked_screen_shows_a_first_name_and_no_surname_place_guardian_or_hour() {
    for (name, kind, outlook, ruling) in all() {
        let short = words(kind, &session(), &outlook, &ruling).short;
        assert!(short.starts_with("Linh: "), "{name}: {short}");
        for private in ["Tran", "Quoc", "Cannery", "Arcade", "Coast", "Sep"] {
            assert!(!short.contains(private), "{name}: {short}");
        }
        assert!(!short.contains(|c: char| c.is_ascii_digit()), "{name}: {short}");
    }
}

#[test]
fn each_notice_says_as_of_when_and_nothing_that_nobody_should_read() {
    for (name, kind, outlook, ruling) in all() {
        let said = words(kind, &session(), &outlook, &ruling);
        assert!(said.body.contains("As of Thu 3 Sep, 14:30"), "{name}: {}", said.body);
        for text in [&said.subject, &said.body, &said.short] {
            assert_eq!(avoided_words(text), Vec::<&str>::new(), "{name}: {text}");
        }
    }
}

#[test]
fn a_danger_comes_with_its_caution_and_gives_way_to_official_word() {
    for (name, hazard) in [
        ("storm in the field", Hazard::Lightning),
        ("storm", Hazard::Lightning),
        ("heat", Hazard::Heat),
        ("cold", Hazard::Cold),
        ("gusts", Hazard::Wind),
        ("hold warning", Hazard::FloodedRoads),
    ] {
        let (_, kind, outlook, ruling) = all().into_iter().find(|of| of.0 == name).unwrap();
        let body = words(kind, &session(), &outlook, &ruling).body;
        assert!(body.contains(caution(hazard)), "{name}: {body}");
        assert!(body.contains("your own judgement"), "{name}: {body}");
    }
}

#[test]
fn a_go_on_the_day_comes_with_the_caution_for_thunder() {
    let (_, kind, outlook, ruling) = all().into_iter().find(|of| of.0 == "go").unwrap();
    let body = words(kind, &session(), &outlook, &ruling).body;
    assert!(body.contains(caution(Hazard::Lightning)), "{body}");
}

#[test]
fn people_who_are_out_there_are_told_to_stop_first() {
    let (_, kind, outlook, ruling) = all().swap_remove(0);
    let body = words(kind, &session(), &outlook, &ruling).body;
    assert!(body.starts_with("Stop now and bring everyone to safety"), "{body}");
}

#[test]
fn what_is_silent_is_never_called_dry() {
    for (name, kind, outlook, ruling) in all() {
        if matches!(name, "silent" | "not known") {
            let body = words(kind, &session(), &outlook, &ruling).body;
            assert!(body.contains("What is missing is not dry"), "{body}");
            assert!(body.contains("yourself"), "{body}");
        }
    }
}
