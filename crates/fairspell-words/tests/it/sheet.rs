//! What to make next, as it is said.

use fairspell_words::{
    SheetOrderTold, SheetRuleTold, SheetRulesTold, SheetSetTold, SheetTold, StepTold,
    avoided_words, sheet_lines,
};

fn told<'a>() -> SheetTold<'a> {
    SheetTold {
        arrival: None,
        value: 41.26,
        upper: Some((44.0, 1)),
        first: vec![(0, StepTold::Full("satin")), (2, StepTold::Short("bank"))],
        if_it_stays: vec![(0, vec![(0, StepTold::Short("satin")), (10, StepTold::Finish)])],
        sets: vec![
            SheetSetTold { name: "satin", p_made: 0.97, p_short: 0.1, start_min: Some(12.2) },
            SheetSetTold { name: "linen", p_made: 0.0, p_short: 0.0, start_min: None },
        ],
        p_must_haves: None,
        p_bank: Some(1.0),
        promises: vec![("denim", 0.5)],
        orders: vec![SheetOrderTold { name: None, as_listed: -0.02, at_best: None }],
        rules: Some(SheetRulesTold {
            delicate_first: Some(0.1),
            favourite: Some(("linen", 3.24)),
            rules: SheetRuleTold::DelicateFirst,
        }),
    }
}

#[test]
fn a_bound_is_said_with_what_was_left_out() {
    let lines = sheet_lines(&told());
    assert_eq!(
        lines,
        [
            "First, if it is dry: satin.",
            "First, in rain: bank, short.",
            "If it stays dry: satin, short from 0 min; finish at 10 min.",
            "satin: on 97 of 100, short on 10, first picture at about 12 min.",
            "linen: not in this plan.",
            "The safe ones are made on 100 of 100 such evenings.",
            "What is promised of denim is made on 50 of 100 such evenings.",
            "Worth 41.3 on average. There are too many sets to weigh every way through them: one is \
             left out, and another plan may be worth up to 44.0, which is 2.7 more.",
            "The order of the list, made as it stands: 0.0.",
            "Delicate first rules this evening: keeping to delicate first would cost 0.1 and keeping \
             linen for its best light would cost 3.2.",
        ]
    );
    assert_eq!(avoided_words(&lines.join("\n")), Vec::<&str>::new());
}

#[test]
fn a_name_never_breaks_a_line() {
    let mut told = told();
    told.first = vec![(0, StepTold::Full("satin\non the steps"))];
    assert_eq!(sheet_lines(&told)[0], "First: satin on the steps.");
}

#[test]
fn a_sessions_sheet_tells_its_times_by_the_clock() {
    let zone = jiff::tz::TimeZone::get("Australia/Sydney").unwrap();
    let arrival = "2026-09-03T05:05:00Z".parse().unwrap();
    let told = SheetTold { arrival: Some((arrival, &zone)), ..told() };
    let lines = sheet_lines(&told).join("\n");
    assert!(lines.contains("15:"), "{lines}");
    assert!(!lines.contains(" min"), "{lines}");
}
