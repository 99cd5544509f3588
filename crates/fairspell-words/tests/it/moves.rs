use fairspell_words::{
    ClashTold, MoveTold, MovesTold, NextTold, SecondTold, WhyTold, avoided_words, clash_lines,
    moves_lines,
};

fn told(session: &'static str, why: WhyTold<'static>, next: NextTold) -> MoveTold<'static> {
    MoveTold { session, evening: Some("2026-09-16"), cost: 12.5, why, next }
}

#[test]
fn every_reason_and_every_next_cost_has_its_sentence() {
    let evening = "2026-09-15";
    let taken = |saved| WhyTold::TakenByOther { evening, session: "okafor", saved };
    let full = WhyTold::LimitFull { evening, limit: "week 38" };
    let left = MoveTold { evening: None, ..told("f", WhyTold::LeftUnplaced, NextTold::Rises(1.0)) };
    let never = MoveTold { session: "g", next: NextTold::Impossible, ..left };
    let plan = MovesTold {
        cost: 40.004,
        lower_bound: 40.0,
        proven: true,
        moves: vec![
            told("a", WhyTold::OwnCheapest, NextTold::Rises(0.25)),
            told("b", taken(Some(4.0)), NextTold::Impossible),
            told("c", taken(Some(0.0)), NextTold::Rises(-0.0)),
            told("d", taken(None), NextTold::NotProven(1.0)),
            told("e", full, NextTold::Rises(100.0)),
            left,
            never,
        ],
        second: SecondTold::Found(41.0, vec![("a", Some("evening two")), ("f", None)]),
    };
    let lines = moves_lines(&plan);
    assert_eq!(
        lines,
        [
            "The plan costs 40 in all, and no other costs less.",
            "a: Wed 16 Sep, costs 12.5. The cheapest evening of its own. Without it: 0.25 more in \
             all.",
            "b: Wed 16 Sep, costs 12.5. Its cheapest evening, Tue 15 Sep, went to okafor, which \
             saves 4. Without it there is no plan.",
            "c: Wed 16 Sep, costs 12.5. Its cheapest evening, Tue 15 Sep, went to okafor, at the \
             same cost in all. Another plan costs no more.",
            "d: Wed 16 Sep, costs 12.5. Its cheapest evening, Tue 15 Sep, went to okafor.",
            "e: Wed 16 Sep, costs 12.5. Its cheapest evening, Tue 15 Sep, is free, but week 38 is \
             full. Without it: 100 more in all.",
            "f: stays without a date, costs 12.5. Any evening would cost more in all. With a date: \
             1 more in all.",
            "g: stays without a date, costs 12.5. Any evening would cost more in all. There is no \
             plan in which it has one.",
            "Second best, 41 in all: a on evening two and f without a date.",
        ]
    );
    let open = MovesTold { proven: false, second: SecondTold::NotProven, ..plan };
    let open = moves_lines(&open);
    assert!(open[0].ends_with("another may cost less, but none less than 40."), "{open:?}");
    assert_eq!(open.len(), 8);
    for line in lines.iter().chain(&open) {
        assert_eq!(avoided_words(line), Vec::<&str>::new(), "{line}");
    }
}

#[test]
fn a_clash_is_named_in_a_line_and_says_what_would_help() {
    let check = |sessions: &[&str], evenings: &[&str], limits: &[(&str, usize)], said: &[&str]| {
        let (sessions, evenings) = (sessions.to_vec(), evenings.to_vec());
        let told = ClashTold { sessions, evenings, limits: limits.to_vec(), is_smallest: true };
        let lines = clash_lines(&told);
        assert_eq!(lines, said);
        for line in &lines {
            assert_eq!(avoided_words(line), Vec::<&str>::new(), "{line}");
        }
    };
    check(
        &["linh"],
        &[],
        &[],
        &["No evening is left to linh.", "Free an evening, or leave it without a date."],
    );
    check(
        &["linh", "okafor"],
        &["2026-09-16"],
        &[],
        &[
            "linh and okafor can both only have Wed 16 Sep.",
            "Free an evening, or leave one of them without a date.",
        ],
    );
    check(
        &["a", "b", "c"],
        &["1", "2", "3", "4", "5", "6", "7"],
        &[("week 38", 1), ("drives", 2), ("closed", 0)],
        &[
            "a, b and c have only 7 evenings among them.",
            "Week 38 takes one at most, drives takes 2 at most and closed takes none.",
            "Free an evening, let more through, or leave one of them without a date.",
        ],
    );
    let told = ClashTold {
        sessions: vec!["a"],
        evenings: vec!["1"],
        limits: vec![("w", 0)],
        is_smallest: false,
    };
    assert_eq!(clash_lines(&told).len(), 4);
}
