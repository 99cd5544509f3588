//! The owner's table of colours and fabrics: how rows are found, and what it refuses.

use fairspell_studio::{
    LookTable, LookTableError, Studio,
    look_table::{FabricRow, Pairing, Verdict},
    session::Look,
};

use crate::world::{session, studio};

fn look(colour: &str, fabric: &str) -> Look {
    let some = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
    Look { colour: some(colour), fabric: some(fabric), ..Look::default() }
}

#[test]
fn a_fabric_is_found_whatever_its_capitals_and_other_words() {
    let table = LookTable::default();
    let row = |colour: &str, fabric: &str| {
        table.fabric(&look(colour, fabric)).map(|row| row.name.clone())
    };
    for (colour, fabric, found) in [
        ("sage", "SATIN", Some("satin")),
        ("sage", "silk satin", Some("satin")),
        ("white", "soft linen, washed", Some("linen")),
        // The colour counts where a row names it, and only together with the fabric.
        ("Black", "linen", Some("black linen")),
        ("mid grey", "cotton", Some("mid-grey cotton")),
        ("navy", "cotton", None),
        ("silk white", "cotton", None),
        ("satin", "", None),
        ("", "outsize", None),
    ] {
        assert_eq!(row(colour, fabric).as_deref(), found, "{colour} {fabric}");
    }
}

#[test]
fn a_fabric_fills_in_what_rain_does_and_a_tick_wins_over_it() {
    let table = LookTable::default();
    let denim = look("blue", "denim");
    assert!(!table.shows_drops(&denim) && !table.marks_for_good(&denim));
    let ticked = Look { shows_drops: true, marks_for_good: true, ..denim };
    assert!(table.shows_drops(&ticked) && table.marks_for_good(&ticked));
    let linen = look("white", "linen");
    assert!(table.shows_drops(&linen) && !table.marks_for_good(&linen));
    assert!(table.marks_for_good(&look("", "satin")));
}

#[test]
fn a_row_for_a_backdrop_counts_before_one_for_any() {
    let table = LookTable::default();
    let verdict = |colour: &str, backdrop: Option<&str>| {
        table.pairing(colour, backdrop).map(|row| row.verdict)
    };
    // The rows of common practice.
    assert_eq!(verdict("Dark brown", Some("dry grass")), Some(Verdict::SinksIn));
    assert_eq!(verdict("brown", Some("green wood")), None);
    assert_eq!(verdict("white", Some("Green Wood, deep")), Some(Verdict::Shines));
    assert_eq!(verdict("light grey", Some("grey sky")), Some(Verdict::Vanishes));
    assert_eq!(verdict("neon yellow", Some("sand")), Some(Verdict::CastsColour));
    assert_eq!(verdict("sage", Some("green wood")), Some(Verdict::Suits));
    // Whoever says green means a green: the later word counts, and its backdrop before any.
    assert_eq!(verdict("sage green", Some("green wood")), Some(Verdict::SinksIn));
    assert_eq!(verdict("rust red", None), Some(Verdict::CastsColour));
    assert_eq!(verdict("", Some("sand")), None);
}

#[test]
fn shoes_that_sink_are_known_by_their_word() {
    let table = LookTable::default();
    assert!(table.sinks("Block heels"));
    assert!(!table.sinks("boots") && !table.sinks("heelless sandals"));
}

#[test]
fn what_cannot_be_in_a_table_is_named() {
    assert_eq!(LookTable::default().check(), Ok(()));
    let check = |change: &dyn Fn(&mut LookTable)| {
        let mut table = LookTable::default();
        change(&mut table);
        table.check()
    };
    let fabric = |name: &str| FabricRow { name: name.to_owned(), ..FabricRow::default() };
    let pairing = |colour: &str, backdrop: Option<&str>| Pairing {
        colour: colour.to_owned(),
        backdrop: backdrop.map(str::to_owned),
        verdict: Verdict::Suits,
    };
    let twice = |name: &str| Err(LookTableError::Twice(name.to_owned()));
    assert_eq!(check(&|table| table.fabrics.push(fabric("SATIN"))), twice("SATIN"));
    assert_eq!(
        check(&|table| table.fabrics.push(fabric(" - "))),
        Err(LookTableError::NoName("a fabric"))
    );
    let again = pairing("Brown", Some("Sand"));
    assert_eq!(check(&|table| table.pairings.push(again.clone())), twice("Brown against Sand"));
    assert_eq!(check(&|table| table.pairings.push(pairing("RED", None))), twice("RED"));
    let nameless = Err(LookTableError::NoName("a pairing"));
    assert_eq!(check(&|table| table.pairings.push(pairing(" ", Some("sand")))), nameless);
    assert_eq!(check(&|table| table.pairings.push(pairing("plum", Some(" ")))), nameless);
    for change in [
        &(|table: &mut LookTable| table.humid_from_percent = 101) as &dyn Fn(&mut LookTable),
        &|table| table.hair_gust_from_km_h = 121,
        &|table| table.fabrics[0].dries_min = Some(1441),
    ] {
        assert!(matches!(check(change), Err(LookTableError::OutOfRange { .. })));
    }
    let broken = LookTable { humid_from_percent: 101, ..LookTable::default() };
    let refused = Studio { look_table: broken, ..studio() }.check(&[]).unwrap_err().to_string();
    assert!(refused.contains("101"), "{refused}");
}

#[test]
fn files_from_before_the_table_read_on() {
    let mut text = serde_json::to_value(studio()).unwrap();
    text.as_object_mut().unwrap().remove("look_table");
    text["spots"][0]["site"].as_object_mut().unwrap().remove("backdrops");
    assert_eq!(serde_json::from_value::<Studio>(text).unwrap(), studio());
    let mut text = serde_json::to_value(&session().looks[0]).unwrap();
    for key in ["colour", "fabric", "hem", "hair", "shoes"] {
        text.as_object_mut().unwrap().remove(key).unwrap();
    }
    assert_eq!(serde_json::from_value::<Look>(text).unwrap(), session().looks[0]);
}
