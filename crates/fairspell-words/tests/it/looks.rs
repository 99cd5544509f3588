use fairspell_studio::{
    Hair, Hem, LookAdvice, LookTable, LookTableError, look_table::Verdict, site::Ground,
};
use fairspell_words::{
    avoided_words,
    looks::{advice_line, hair, hem, pairing_line, verdict},
    screens::{session_edit, site, studio::looks as page},
};

fn keep_dry(shows_drops: bool, marks_for_good: bool, loses_shape: bool) -> LookAdvice {
    let dries_min = Some(30);
    LookAdvice::KeepDry { shows_drops, marks_for_good, loses_shape, dries_min, has_roof: false }
}

fn colour(verdict: Verdict, backdrop: Option<&str>) -> LookAdvice {
    let backdrop = backdrop.map(str::to_owned);
    LookAdvice::Colour { colour: "off\nwhite".to_owned(), backdrop, verdict }
}

const GROUNDS: [Ground; 9] = [
    Ground::Grass,
    Ground::Sand,
    Ground::WetSand,
    Ground::Stone,
    Ground::Boards,
    Ground::Earth,
    Ground::Asphalt,
    Ground::Water,
    Ground::Snow,
];

#[test]
fn before_rain_it_is_said_what_drops_do_and_what_helps() {
    for (advice, line) in [
        (
            keep_dry(true, false, false),
            "Rain is possible, and drops show on it until it has dried (about 30 minutes): make \
             this look first, or under a roof.",
        ),
        (
            keep_dry(true, true, true),
            "Rain is possible, and water marks it for good and it loses its shape when wet: make \
             this look first, or under a roof.",
        ),
        (
            LookAdvice::KeepDry {
                shows_drops: false,
                marks_for_good: false,
                loses_shape: true,
                dries_min: None,
                has_roof: true,
            },
            "Rain is possible, and it loses its shape when wet: stay under the roof with it, and \
             keep it covered on the way there.",
        ),
    ] {
        assert_eq!(advice_line(&advice), line);
    }
}

#[test]
fn a_colour_is_told_with_what_stands_behind() {
    for (verdict, behind, line) in [
        (Verdict::SinksIn, Some("dry grass"), "Off white sinks into the dry grass."),
        (Verdict::Vanishes, Some("grey sky"), "Off white vanishes against the grey sky."),
        (Verdict::Shines, Some("green wood"), "Off white shines in front of the green wood."),
        (Verdict::SinksIn, None, "Off white sinks into whatever stands behind."),
        (Verdict::CastsColour, None, "Off white throws its colour on chin and neck."),
    ] {
        assert_eq!(advice_line(&colour(verdict, behind)), line);
    }
}

#[test]
fn where_a_look_goes_well_is_said_only_where_spots_differ() {
    let less = [("Paperbark  Ring", Some("green wood"), Verdict::SinksIn)];
    let line = pairing_line("sage", &["Long Dune", "Heron Walk"], &["Pell Quay"], &less);
    assert_eq!(
        line.unwrap(),
        "Sage: well at Long Dune and Heron Walk; at Paperbark Ring it sinks into the green wood"
    );
    // What the table does not speak of is not called good.
    assert_eq!(
        pairing_line("tan", &[], &["Long Dune"], &less).unwrap(),
        "Tan: nothing against it at Long Dune; at Paperbark Ring it sinks into the green wood"
    );
    let line = pairing_line("teal", &["Long Dune"], &["Pell Quay"], &[]);
    assert_eq!(line.unwrap(), "Teal: well at Long Dune");
    assert_eq!(pairing_line("sage", &["Long Dune"], &[], &[]), None);
    assert_eq!(pairing_line("sage", &[], &["Long Dune"], &[]), None);
    assert_eq!(pairing_line("sage", &[], &[], &less), None);
}

#[test]
fn all_of_it_is_plain() {
    let mut said = vec![
        advice_line(&keep_dry(true, false, true)),
        advice_line(&LookAdvice::CurlsDrop { humidity_percent: 80.0 }),
        advice_line(&LookAdvice::WindInHair { gust_km_h: 31.0 }),
        pairing_line("a", &["b"], &[], &[("c", None, Verdict::Shines)]).unwrap(),
        page::line(&LookTable::default()),
        page::wrong(&LookTableError::NoName("a pairing")),
        page::wrong(&LookTableError::Twice("satin".to_owned())),
        site::backdrops_hint(&["sand", "grass"]),
        site::backdrops_wrong(2, "sand: Smarch"),
    ];
    for ground in GROUNDS {
        for hem in Hem::ALL {
            said.push(advice_line(&LookAdvice::HemTooLong { hem, ground }));
        }
        said.push(advice_line(&LookAdvice::ShoesSink { shoes: "heels".to_owned(), ground }));
    }
    said.extend(Verdict::ALL.map(|one| advice_line(&colour(one, Some("sand")))));
    said.extend(Hem::ALL.map(|one| hem(one).to_owned()));
    said.extend(Hair::ALL.map(|one| hair(one).to_owned()));
    said.extend(Verdict::ALL.map(|one| verdict(one).to_owned()));
    said.extend([page::MEANS, page::FOUND, session_edit::TABLE_HINT].map(str::to_owned));
    for text in said {
        assert!(avoided_words(&text).is_empty() && !text.contains('!'), "{text}");
    }
}

#[test]
fn the_table_in_one_line_counts_its_rows() {
    let line = page::line(&LookTable::default());
    assert_eq!(line, "14 fabrics, 15 pairings of colour and backdrop");
    let mut one = LookTable::default();
    one.fabrics.truncate(1);
    one.pairings.clear();
    assert_eq!(page::line(&one), "1 fabric, no pairings of colour and backdrop");
}
