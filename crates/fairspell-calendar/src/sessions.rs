//! Bookings become sessions and people.

use std::collections::{HashMap, HashSet};

use fairspell_ground::Reading;
use fairspell_studio::{
    Person, Role, Session, Spot, Studio,
    session::{DateNotes, Drive, Look},
};
use fairspell_words::calendar::FIRST_LOOK;
use jiff::civil;
use unicode_normalization::UnicodeNormalization;

use crate::{About, Booking, Remark, plain::one_line};

/// What a session is booked for unless the booking says so, minutes (common practice).
const DURATION_MIN: u32 = 110;

/// The styling chair before the start, minutes: with the artist; with somebody at home.
const CHAIR_MIN: (u32, u32) = (210, 60);

/// The drive, minutes, until somebody measures it.
const DRIVE_MIN: u32 = 15;

/// How near a booking's position must be to a spot to mean it, km.
const SAME_PLACE_KM: f64 = 0.3;

/// The longest name inside an id, letters.
const NAME_IN_ID: usize = 24;

/// Sessions from bookings, with the studio's usual length, chair, drive and first spot.
///
/// - `existing`: the studio's sessions. A booking of the same sitter at the same start is left out
///   with a remark, so that a list can be read again when it has grown; so is the second of two
///   equal rows.
///
/// The looks stand at the spot that is called like the booking's place, or else lies at its
/// position, or else at the studio's first spot, with a remark where a place was named. A booking
/// without looks gets one.
pub fn sessions_from(
    bookings: &[Booking],
    studio: &Studio,
    existing: &[Session],
) -> Reading<Vec<Session>, Remark> {
    let mut ids: HashSet<String> = existing.iter().map(|session| session.id.clone()).collect();
    let mut there: HashMap<Key, String> = existing
        .iter()
        .map(|session| (key(session.start, &session.sitter), session.id.clone()))
        .collect();
    // Where the next number of an id begins, so that many equal names take no longer.
    let mut numbers: HashMap<String, u32> = HashMap::new();
    let (mut value, mut remarks) = (Vec::new(), Vec::new());
    for booking in bookings {
        let mut remark = |about| remarks.push(Remark { origin: booking.origin.clone(), about });
        if let Some(id) = there.get(&key(booking.start, &booking.sitter)) {
            remark(About::AlreadyThere { id: id.clone() });
            continue;
        }
        let Some((spot, is_meant)) = spot(booking, studio) else {
            remark(About::NoSpot);
            continue;
        };
        if let (Some(place), false) = (&booking.place, is_meant) {
            remark(About::OtherSpot { place: place.clone(), taken: spot.name.clone() });
        }
        if booking.guardian.is_none() {
            remark(About::NoGuardian(booking.sitter.clone()));
        }
        let id = new_id(booking, &mut ids, &mut numbers);
        there.insert(key(booking.start, &booking.sitter), id.clone());
        value.push(session(booking, id, spot, studio));
    }
    Reading { value, remarks }
}

/// The people of sessions that were made from bookings, with their e-mail and telephone.
///
/// Both belong to the guardian where one is named, else to the sitter.
pub fn people_from(bookings: &[Booking], sessions: &[Session]) -> Vec<Person> {
    let booked: HashMap<Key, &Booking> = bookings
        .iter()
        .rev()
        .map(|booking| (key(booking.start, &booking.sitter), booking))
        .collect();
    sessions
        .iter()
        .filter_map(|session| Some((session, *booked.get(&key(session.start, &session.sitter))?)))
        .flat_map(|(session, booking)| people(booking, &session.id))
        .collect()
}

/// What tells two bookings apart: the start, and the sitter whatever the capitals.
type Key = (civil::DateTime, String);

fn key(start: civil::DateTime, sitter: &str) -> Key {
    (start, one_line(sitter).to_lowercase())
}

fn session(booking: &Booking, id: String, spot: &Spot, studio: &Studio) -> Session {
    let with_artist = studio.artist.is_some();
    let look =
        |name: &str| Look { name: name.to_owned(), spot: spot.id.clone(), ..Look::default() };
    let looks = match booking.looks.as_slice() {
        [] => vec![look(FIRST_LOOK)],
        looks => looks.iter().map(|name| look(name)).collect(),
    };
    Session {
        people: people(booking, &id).into_iter().map(|person| person.id).collect(),
        dates: DateNotes::default(),
        id,
        sitter: booking.sitter.clone(),
        guardian: booking.guardian.clone().unwrap_or_else(|| booking.sitter.clone()),
        start: booking.start,
        duration_min: booking.duration_min.unwrap_or(DURATION_MIN),
        looks,
        drive: Drive { minutes: DRIVE_MIN, route: Vec::new() },
        chair_before_start_min: if with_artist { CHAIR_MIN.0 } else { CHAIR_MIN.1 },
        with_artist,
        deadline: booking.deadline.clone(),
        moved_from: None,
    }
}

fn people(booking: &Booking, session: &str) -> Vec<Person> {
    let mut sitter = Person {
        id: format!("{session}-sitter"),
        name: booking.sitter.clone(),
        role: Role::Sitter,
        email: None,
        phone: None,
    };
    let (email, phone) = (booking.email.clone(), booking.phone.clone());
    match &booking.guardian {
        None => {
            (sitter.email, sitter.phone) = (email, phone);
            vec![sitter]
        }
        Some(name) => {
            let (id, name) = (format!("{session}-guardian"), name.clone());
            vec![sitter, Person { id, name, role: Role::Guardian, email, phone }]
        }
    }
}

/// The spot of a booking, and whether the booking means it.
fn spot<'a>(booking: &Booking, studio: &'a Studio) -> Option<(&'a Spot, bool)> {
    let plain = |text: &str| one_line(text).to_lowercase();
    let place = booking.place.as_deref().map(plain);
    let by_name = place.and_then(|place| {
        // "Heron Walk, north gate" is at Heron Walk.
        let first = place.split(',').next().unwrap_or(&place).trim().to_owned();
        let called = |name: &str| {
            studio.spots.iter().find(|spot| plain(&spot.name) == name || plain(&spot.id) == name)
        };
        called(&place).or_else(|| called(&first))
    });
    let by_position = || {
        let position = booking.position?;
        let distance_km = |spot: &&Spot| spot.position.distance_km(position);
        let nearest =
            studio.spots.iter().min_by(|a, b| distance_km(a).total_cmp(&distance_km(b)))?;
        (distance_km(&nearest) <= SAME_PLACE_KM).then_some(nearest)
    };
    match by_name.or_else(by_position) {
        Some(spot) => Some((spot, true)),
        None => studio.spots.first().map(|spot| (spot, false)),
    }
}

/// `2026-09-03-maya`, with a number where that is taken or the name has no Latin letters.
fn new_id(
    booking: &Booking,
    ids: &mut HashSet<String>,
    numbers: &mut HashMap<String, u32>,
) -> String {
    let date = booking.start.date();
    let letters = latin(&booking.sitter);
    let (stem, first) =
        if letters.is_empty() { (date.to_string(), 1) } else { (format!("{date}-{letters}"), 2) };
    if !letters.is_empty() && ids.insert(stem.clone()) {
        return stem;
    }
    let number = numbers.entry(stem.clone()).or_insert(first);
    loop {
        let id = format!("{stem}-{number}");
        *number += 1;
        if ids.insert(id.clone()) {
            return id;
        }
    }
}

/// A name's letters in plain Latin, words joined by hyphens: "Zoë Łuczak" becomes `zoe-luczak`.
fn latin(name: &str) -> String {
    let mut letters = String::new();
    for c in name.nfkd().flat_map(char::to_lowercase) {
        match c {
            'a'..='z' => letters.push(c),
            'ß' => letters.push_str("ss"),
            'æ' => letters.push_str("ae"),
            'œ' => letters.push_str("oe"),
            'ø' => letters.push('o'),
            'đ' | 'ð' => letters.push('d'),
            'ł' => letters.push('l'),
            'ı' => letters.push('i'),
            'þ' => letters.push_str("th"),
            c if c.is_whitespace() || c == '-' => letters.push('-'),
            _ => {}
        }
    }
    let words: Vec<&str> = letters.split('-').filter(|word| !word.is_empty()).collect();
    let mut joined = words.join("-");
    joined.truncate(NAME_IN_ID);
    joined.trim_end_matches('-').to_owned()
}
