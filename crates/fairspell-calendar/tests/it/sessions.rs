use fairspell_calendar::{About, Booking, people_from, read_bookings, sessions_from};
use fairspell_ground::LatLon;
use fairspell_studio::{Role, Session, Studio};

use crate::world;

fn bookings(list: &str) -> Vec<Booking> {
    read_bookings(list.as_bytes(), &world::zone()).unwrap().value
}

fn sessions(list: &str) -> (Vec<Session>, Vec<About>) {
    let reading = sessions_from(&bookings(list), &world::studio(), &[]);
    (reading.value, reading.remarks.into_iter().map(|remark| remark.about).collect())
}

fn ids(list: &str) -> Vec<String> {
    sessions(list).0.into_iter().map(|session| session.id).collect()
}

#[test]
fn a_bare_booking_gets_what_is_usual() {
    let (sessions, about) = sessions("name,date,start,guardian\nMaya,2026-09-03,15:15,Ines\n");
    assert_eq!(about, []);
    let session = &sessions[0];
    assert_eq!((session.id.as_str(), session.guardian.as_str()), ("2026-09-03-maya", "Ines"));
    assert_eq!((session.duration_min, session.drive.minutes), (110, 15));
    assert_eq!((session.with_artist, session.chair_before_start_min), (true, 210));
    assert_eq!(session.looks.len(), 1);
    assert_eq!(session.looks[0].name, "first look");
    assert_eq!(session.looks[0].spot, "heron-walk");
    world::studio().check(&sessions).unwrap();
}

#[test]
fn without_an_artist_the_chair_is_an_hour_before() {
    let studio = Studio { artist: None, ..world::studio() };
    let bookings = bookings("name,date,start\nMaya,2026-09-03,15:15\n");
    let session = &sessions_from(&bookings, &studio, &[]).value[0];
    assert_eq!((session.with_artist, session.chair_before_start_min), (false, 60));
}

#[test]
fn a_list_read_twice_adds_nothing() {
    let list = "name,date,start\nMaya,2026-09-03,15:15\nMaya,2026-09-04,15:15\nRuth,2026-09-03,15:15\n\
                 MAYA  ,2026-09-03,15:15\n";
    let bookings = bookings(list);
    let first = sessions_from(&bookings, &world::studio(), &[]);
    assert_eq!(first.value.len(), 3, "the last row is the first again");
    let again = sessions_from(&bookings, &world::studio(), &first.value);
    assert_eq!(again.value, []);
    assert_eq!(
        again.remarks[0].to_string(),
        "row 2, left out: it is there already, as session 2026-09-03-maya"
    );
    assert_eq!(again.remarks.len(), 4);
}

#[test]
fn ids_are_plain_and_never_the_same() {
    let list = "name,date,start\n\
                Zoë Łuczak-Ørsted,2026-09-03,15:15\n\
                zoe luczak orsted,2026-09-03,16:15\n\
                王小明,2026-09-03,15:15\n\
                さくら,2026-09-03,15:15\n\
                Straße Æsir,2026-09-04,15:15\n\
                ../../etc/passwd,2026-09-04,15:15\n\
                \"=cmd|' /C calc'!A0\",2026-09-05,15:15\n";
    assert_eq!(
        ids(list),
        [
            "2026-09-03-zoe-luczak-orsted",
            "2026-09-03-zoe-luczak-orsted-2",
            "2026-09-03-1",
            "2026-09-03-2",
            "2026-09-04-strasse-aesir",
            "2026-09-04-etcpasswd",
            "2026-09-05-cmd-c-calca",
        ]
    );
}

#[test]
fn an_id_that_the_studio_has_is_not_given_again() {
    let existing = Session { sitter: "Another Maya".to_owned(), ..world::session() };
    let bookings = bookings("name,date,start\nMaya,2026-09-03,15:15\n");
    let reading = sessions_from(&bookings, &world::studio(), &[existing]);
    assert_eq!(reading.value[0].id, "2026-09-03-maya-2");
}

#[test]
fn looks_stand_where_the_booking_says() {
    let spot_and_remarks = |place: &str| {
        let list =
            format!("name,date,start,guardian,place\nMaya,2026-09-03,15:15,Ines,\"{place}\"\n");
        let (sessions, about) = sessions(&list);
        (sessions[0].looks[0].spot.clone(), about)
    };
    let boathouse = ("boathouse".to_owned(), vec![]);
    assert_eq!(spot_and_remarks("BOATHOUSE"), boathouse);
    assert_eq!(spot_and_remarks("boathouse, by the pier"), boathouse);
    let other = About::OtherSpot {
        place: "the moon".to_owned(),
        taken: "Heron Walk, north; gate".to_owned(),
    };
    assert_eq!(spot_and_remarks("the moon"), ("heron-walk".to_owned(), vec![other]));
}

#[test]
fn a_position_near_a_spot_means_that_spot() {
    let mut bookings = bookings("name,date,start,place\nMaya,2026-09-03,15:15,jetty\n");
    bookings[0].position = LatLon::new(-31.7175, 152.7850).ok();
    let reading = sessions_from(&bookings, &world::studio(), &[]);
    assert_eq!(reading.value[0].looks[0].spot, "boathouse");
}

#[test]
fn a_studio_without_spots_takes_no_booking() {
    let studio = Studio { spots: Vec::new(), ..world::studio() };
    let bookings = bookings("name,date,start\nMaya,2026-09-03,15:15\n");
    let reading = sessions_from(&bookings, &studio, &[]);
    assert_eq!(reading.value, []);
    assert_eq!(reading.remarks[0].about, About::NoSpot);
}

#[test]
fn letters_go_to_the_guardian_or_else_to_the_sitter() {
    let bookings = bookings(
        "name,date,start,guardian,email\nMaya,2026-09-03,15:15,Ines,ines@example.org\n\
         Ruth,2026-09-04,15:15,,ruth@example.org\n",
    );
    let reading = sessions_from(&bookings, &world::studio(), &[]);
    assert_eq!(reading.remarks[0].about, About::NoGuardian("Ruth".to_owned()));
    assert_eq!(reading.value[1].guardian, "Ruth");
    let people = people_from(&bookings, &reading.value);
    let told: Vec<_> = people
        .iter()
        .map(|person| (person.name.as_str(), person.role, person.email.as_deref()))
        .collect();
    assert_eq!(
        told,
        [
            ("Maya", Role::Sitter, None),
            ("Ines", Role::Guardian, Some("ines@example.org")),
            ("Ruth", Role::Sitter, Some("ruth@example.org")),
        ]
    );
    let listed: Vec<_> = reading.value.iter().flat_map(|session| session.people.clone()).collect();
    let ids: Vec<_> = people.iter().map(|person| person.id.clone()).collect();
    assert_eq!(listed, ids);
}

#[test]
fn a_hundred_thousand_equal_names_become_as_many_ids() {
    use jiff::ToSpan;
    let one = bookings("name,date,start\nMaya,2026-09-03,00:00\n").remove(0);
    let many: Vec<Booking> = (0..100_000)
        .map(|second: i64| Booking {
            start: one.start + (second % 80_000).seconds(),
            ..one.clone()
        })
        .collect();
    let reading = sessions_from(&many, &world::studio(), &[]);
    assert_eq!(reading.value.len(), 80_000);
}
