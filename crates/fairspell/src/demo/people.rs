//! The invented families and their evenings.

use fairspell_ground::LatLon;
use fairspell_studio::{
    LightWish, Person, Role, Session,
    session::{DateNotes, Deadline, Drive, Look},
};
use jiff::civil::{self, date};

use super::wardrobe::worn;

/// How long before the start the artist's chair is taken, minutes.
const CHAIR_BEFORE_MIN: u32 = 210;
/// A drive within the town, minutes.
const TOWN_DRIVE_MIN: u32 = 15;
/// The drive to Pell Narrows, minutes.
const PELL_DRIVE_MIN: u32 = 140;
/// The low causeway on the road to Pell Narrows.
pub(super) const GANNET_FORD: (f64, f64) = (-32.42, 152.44);
/// Places along that road.
const PELL_ROAD: [(f64, f64); 5] =
    [(-31.98, 152.56), (-32.20, 152.50), GANNET_FORD, (-32.66, 152.30), (-32.88, 152.12)];

/// Each family: the name in ids, who is portrayed, who pays, and their two numbers, out of the block
/// that the Australian regulator keeps for works of fiction (from memory).
const FAMILIES: [(&str, &str, &str, [&str; 2]); 10] = [
    ("amara", "Amara", "Folake", ["0491 570 006", "0491 570 156"]),
    ("linh", "Linh", "Quoc", ["0491 570 157", "0491 570 158"]),
    ("callum", "Callum", "Jaspreet", ["0491 570 159", "0491 570 110"]),
    ("soraya", "Soraya", "Navid", ["0491 570 313", "0491 570 737"]),
    ("mateo", "Mateo", "Inés", ["0491 571 266", "0491 571 491"]),
    ("freya", "Freya", "Anneli", ["0491 571 804", "0491 572 549"]),
    ("jonah", "Jonah", "Sina", ["0491 572 665", "0491 572 983"]),
    ("priyanka", "Priyanka", "Arun", ["0491 573 770", "0491 573 087"]),
    ("elodie", "Elodie", "Hanae", ["0491 574 118", "0491 574 632"]),
    ("bea-otto", "Bea and Otto", "Carmela", ["0491 575 254", "0491 575 789"]),
];

/// Everybody whom the studio writes to.
pub(super) fn people() -> Vec<Person> {
    FAMILIES
        .into_iter()
        .flat_map(|(family, sitter, guardian, phones)| {
            let person = |role, name: &str, phone: &str| Person {
                id: person_id(family, role),
                name: name.to_owned(),
                role,
                email: Some(format!("{}@example.org", person_id(family, role))),
                phone: Some(phone.to_owned()),
            };
            [person(Role::Sitter, sitter, phones[0]), person(Role::Guardian, guardian, phones[1])]
        })
        .collect()
}

fn person_id(family: &str, role: Role) -> String {
    match role {
        Role::Sitter => family.to_owned(),
        Role::Guardian | Role::Companion => format!("{family}-family"),
    }
}

/// All sessions of the season; one that was moved stands here once for each date.
pub(super) fn sessions() -> anyhow::Result<Vec<Session>> {
    let amara = session("amara", "Amara", "Folake", (8, 18), (15, 20))
        .looks(&[
            ("blazer", "lantern_steps"),
            ("rust knit", "paperbark_ring"),
            ("cream dress", "heron_walk"),
        ])
        .deadline("yearbook", (9, 18));
    let linh = session("linh", "Linh", "Quoc", (9, 3), (15, 15))
        .lasting(155)
        .looks(&[
            ("white linen", "heron_walk"),
            ("denim", "lantern_steps"),
            ("sage satin", "cannery_arcade"),
        ])
        .deadline("yearbook", (9, 18));
    let callum = session("callum", "Callum", "Jaspreet", (9, 8), (15, 45))
        .looks(&[
            ("suit", "lantern_steps"),
            ("football top", "heron_walk"),
            ("jumper", "tin_boathouse"),
        ])
        .deadline("yearbook", (9, 18));
    // Navid works on the Sunday and the Wednesday after.
    let soraya_low = session("soraya", "Soraya", "Navid", (9, 15), (15, 30))
        .cannot(&[date(2026, 9, 20), date(2026, 9, 23)])
        .looks(&[("navy dress", "heron_walk"), ("school", "lantern_steps"), ("coat", "long_dune")])
        .deadline("yearbook", (9, 18));
    let soraya_covered = session("soraya", "Soraya", "Navid", (9, 17), (15, 45))
        .lasting(75)
        .looks(&[("school", "ferrow_veranda")])
        .deadline("yearbook", (9, 18))
        .moved_from("2026-09-15-soraya");
    let soraya_second = session("soraya", "Soraya", "Navid", (9, 27), (16, 50))
        .lasting(50)
        .looks(&[("navy dress", "heron_walk"), ("coat", "lantern_steps")]);
    let mateo = session("mateo", "Mateo", "Inés", (10, 1), (15, 45))
        .looks(&[("guayabera", "pell_quay"), ("jacket", "pell_quay"), ("surf", "pell_quay")])
        .at_pell_narrows();
    let freya = session("freya", "Freya", "Anneli", (10, 6), (16, 50)).looks(&[
        ("blue dress", "long_dune"),
        ("grey dress", "beacon_field"),
        ("cello", "beacon_field"),
    ]);
    let jonah = session("jonah", "Jonah", "Sina", (11, 10), (17, 20)).looks(&[
        ("tapa vest", "heron_walk"),
        ("suit", "lantern_steps"),
        ("tee", "beacon_field"),
    ]);
    let priyanka = |day, from: Option<&'static str>| {
        let booked = session("priyanka", "Priyanka", "Arun", day, (17, 30))
            .looks(&[
                ("sari", "cannery_arcade"),
                ("jeans", "heron_walk"),
                ("gown", "lantern_steps"),
            ])
            .deadline("leavers' dinner slideshow", (12, 4));
        from.map_or(booked.clone(), |id| booked.moved_from(id))
    };
    let elodie_looks =
        [("white tulle", "long_dune"), ("linen", "long_dune"), ("school", "beacon_field")];
    let elodie = session("elodie", "Elodie", "Hanae", (12, 1), (17, 30))
        .looks(&elodie_looks)
        .deadline("leavers' dinner slideshow", (12, 4));
    let elodie_dawn = session("elodie", "Elodie", "Hanae", (12, 2), (5, 15))
        .lasting(120)
        .looks(&elodie_looks)
        .hair_at_home(60)
        .deadline("leavers' dinner slideshow", (12, 4))
        .moved_from("2026-12-01-elodie");
    let twins = session("bea-otto", "Bea and Otto", "Carmela", (12, 10), (18, 0))
        .lasting(120)
        .looks(&[("summer clothes, both", "beacon_field"), ("dressed up, both", "cannery_arcade")]);
    [
        amara,
        linh,
        callum,
        soraya_low,
        soraya_covered,
        soraya_second,
        mateo,
        freya,
        jonah,
        priyanka((11, 24), None),
        priyanka((11, 29), Some("2026-11-24-priyanka")),
        elodie,
        elodie_dawn,
        twins,
    ]
    .into_iter()
    .map(Booking::session)
    .collect()
}

/// A session being written down.
#[derive(Debug, Clone)]
struct Booking {
    family: &'static str,
    session: Session,
    is_far: bool,
}

fn session(
    name: &'static str,
    sitter: &str,
    guardian: &str,
    (month, day): (i8, i8),
    (hour, minute): (i8, i8),
) -> Booking {
    let start: civil::DateTime = date(2026, month, day).at(hour, minute, 0, 0);
    let session = Session {
        id: format!("{}-{name}", start.date()),
        sitter: sitter.to_owned(),
        guardian: guardian.to_owned(),
        start,
        duration_min: 110,
        looks: Vec::new(),
        drive: Drive { minutes: TOWN_DRIVE_MIN, route: Vec::new() },
        chair_before_start_min: CHAIR_BEFORE_MIN,
        with_artist: true,
        deadline: None,
        moved_from: None,
        people: vec![person_id(name, Role::Sitter), person_id(name, Role::Guardian)],
        dates: DateNotes::default(),
    };
    Booking { family: name, session, is_far: false }
}

/// What looks at a spot are made for there.
fn wish_at(spot: &str) -> LightWish {
    match spot {
        "tin_boathouse" | "cannery_arcade" | "ferrow_veranda" | "paperbark_ring" => {
            LightWish::OpenShade
        }
        "lantern_steps" | "heron_walk" => LightWish::Backlight,
        "beacon_field" => LightWish::LowSun,
        "long_dune" => LightWish::Afterglow,
        _ => LightWish::Any,
    }
}

impl Booking {
    fn cannot(mut self, dates: &[civil::Date]) -> Self {
        self.session.dates.cannot = dates.to_vec();
        self
    }

    fn looks(mut self, looks: &[(&str, &str)]) -> Self {
        let look = |(name, spot): &(&str, &str)| Look {
            wants: wish_at(spot),
            ..worn(self.family, name, spot)
        };
        self.session.looks = looks.iter().map(look).collect();
        self
    }

    fn lasting(mut self, minutes: u32) -> Self {
        self.session.duration_min = minutes;
        self
    }

    fn deadline(mut self, name: &str, (month, day): (i8, i8)) -> Self {
        self.session.deadline =
            Some(Deadline { name: name.to_owned(), date: date(2026, month, day) });
        self
    }

    fn moved_from(mut self, id: &str) -> Self {
        self.session.moved_from = Some(id.to_owned());
        self
    }

    /// Somebody at home does the hair, so long before the start.
    fn hair_at_home(mut self, before_start_min: u32) -> Self {
        self.session.with_artist = false;
        self.session.chair_before_start_min = before_start_min;
        self
    }

    fn at_pell_narrows(mut self) -> Self {
        self.is_far = true;
        self
    }

    fn session(mut self) -> anyhow::Result<Session> {
        if self.is_far {
            let route: Result<Vec<LatLon>, _> =
                PELL_ROAD.into_iter().map(|(lat, lon)| LatLon::new(lat, lon)).collect();
            self.session.drive = Drive { minutes: PELL_DRIVE_MIN, route: route? };
        }
        Ok(self.session)
    }
}
