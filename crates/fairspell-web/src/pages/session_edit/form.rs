//! The form of a session.

use std::collections::BTreeMap;

use fairspell_plan::season::standing_sessions;
use fairspell_studio::{
    Hair, Hem, LightWish, Session, SessionError, StudioError,
    session::{Deadline, Drive, Look},
};
use fairspell_words::{
    looks,
    screens::{forms, session_edit as words, site},
};
use jiff::civil;
use maud::{Markup, html};

use super::dates;
use crate::{
    fields::Fields,
    form_markup::{Field, Input, datalist, mistakes, save_or_back, ticks},
    number_input::whole,
    pages::people::plain_name,
    skies::House,
    visit::Visit,
};

/// So many rows for looks stay empty.
const EMPTY_ROWS: usize = 3;
/// No session has more looks than this: somebody else would be sending the form.
const MOST_LOOKS: usize = 60;

/// A day, minutes.
const DAY_MIN: u32 = 24 * 60;

/// The columns of a look's row, as its fields are named.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Column {
    Name,
    Spot,
    Wants,
    ShowsDrops,
    MarksForGood,
    Colour,
    Fabric,
    Hem,
    Hair,
    Shoes,
}

pub(crate) fn look_field(row: usize, column: Column) -> String {
    let column = match column {
        Column::Name => "name",
        Column::Spot => "spot",
        Column::Wants => "wants",
        Column::ShowsDrops => "drops",
        Column::MarksForGood => "marks",
        Column::Colour => "colour",
        Column::Fabric => "fabric",
        Column::Hem => "hem",
        Column::Hair => "hair",
        Column::Shoes => "shoes",
    };
    format!("look-{row}-{column}")
}

/// A form that nobody has filled in yet, with what an address wishes in it.
pub(super) fn wished(house: &House, wished: Vec<(String, String)>) -> Fields {
    let with_artist = if house.studio.artist.is_some() { "artist" } else { "home" };
    let usual = [("minutes", "110"), ("drive", "15"), ("styled_by", with_artist), ("chair", "60")];
    // Of two fields with one name the first counts.
    let usual = usual.map(|(name, value)| (name.to_owned(), value.to_owned()));
    Fields::new(wished.into_iter().chain(usual).collect(), BTreeMap::new())
}

/// A form with a session in it.
pub(super) fn filled(session: &Session) -> Fields {
    let deadline = session.deadline.as_ref();
    let mut values: Vec<(String, String)> = [
        ("sitter", session.sitter.clone()),
        ("guardian", session.guardian.clone()),
        ("date", session.start.date().to_string()),
        ("start", session.start.time().strftime("%H:%M").to_string()),
        ("minutes", session.duration_min.to_string()),
        ("drive", session.drive.minutes.to_string()),
        ("styled_by", if session.with_artist { "artist" } else { "home" }.to_owned()),
        ("chair", session.chair_before_start_min.to_string()),
        ("deadline_name", deadline.map(|it| it.name.clone()).unwrap_or_default()),
        ("deadline_date", deadline.map(|it| it.date.to_string()).unwrap_or_default()),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .into();
    for (row, look) in session.looks.iter().enumerate() {
        values.push((look_field(row, Column::Name), look.name.clone()));
        values.push((look_field(row, Column::Spot), look.spot.clone()));
        values.push((look_field(row, Column::Wants), wish_value(look.wants).to_owned()));
        let worn = [
            (Column::Colour, look.colour.clone()),
            (Column::Fabric, look.fabric.clone()),
            (Column::Hem, look.hem.map(|hem| hem_value(hem).to_owned())),
            (Column::Hair, look.hair.map(|hair| hair_value(hair).to_owned())),
            (Column::Shoes, look.shoes.clone()),
        ];
        for (column, value) in worn {
            values.extend(value.map(|value| (look_field(row, column), value)));
        }
        let ticked =
            [(Column::ShowsDrops, look.shows_drops), (Column::MarksForGood, look.marks_for_good)];
        for (column, _) in ticked.into_iter().filter(|(_, is_ticked)| *is_ticked) {
            values.push((look_field(row, column), "yes".to_owned()));
        }
    }
    values.extend(dates::filled(&session.dates));
    values.extend(session.people.iter().map(|id| ("people".to_owned(), id.clone())));
    Fields::of(values)
}

pub(super) fn markup(
    visit: &Visit,
    house: &House,
    action: &str,
    back: &str,
    fields: &Fields,
) -> Markup {
    let field = |name, label| Field::new(fields, name, label);
    let minutes = |from: f64| Input::Number { from, to: f64::from(DAY_MIN), step: 1.0 };
    html! {
        form method="post" action=(action) {
            (visit.form_field())
            (mistakes(fields))
            (field("sitter", words::SITTER).hint(words::SITTER_HINT).needed().input(Input::Text))
            (field("guardian", words::GUARDIAN).hint(words::GUARDIAN_HINT).input(Input::Text))
            fieldset {
                legend { (words::WHEN) }
                (field("date", words::DATE).needed().input(Input::Date))
                (field("start", words::START).needed().input(Input::Time))
                (field("minutes", words::MINUTES).needed().input(minutes(1.0)))
                (field("drive", words::DRIVE).needed().input(minutes(0.0)))
            }
            (look_rows(house, fields))
            fieldset {
                legend { (words::GETTING_READY) }
                (field("styled_by", words::WHO_STYLES).select(&stylists(house)))
                (field("chair", words::CHAIR).needed().input(minutes(0.0)))
            }
            fieldset {
                legend { (words::DEADLINE) }
                (field("deadline_name", words::DEADLINE_NAME).input(Input::Text))
                (field("deadline_date", words::DEADLINE_DATE).input(Input::Date))
            }
            (dates::markup(fields))
            (people(house, fields))
            (save_or_back(back))
        }
    }
}

fn stylists(house: &House) -> [(&'static str, String); 2] {
    let artist = house.studio.artist.as_ref();
    let artist = artist.map_or_else(|| words::ARTIST.to_owned(), |it| words::artist(&it.name));
    [("home", words::AT_HOME.to_owned()), ("artist", artist)]
}

fn look_rows(house: &House, fields: &Fields) -> Markup {
    let spots: Vec<(&str, &str)> =
        house.studio.spots.iter().map(|spot| (spot.id.as_str(), spot.name.as_str())).collect();
    let wishes = LightWish::ALL.map(|wish| (wish_value(wish), words::wish(wish)));
    let hems: Vec<(&str, &str)> = std::iter::once(("", site::NOT_SAID))
        .chain(Hem::ALL.map(|hem| (hem_value(hem), looks::hem(hem))))
        .collect();
    let hairs: Vec<(&str, &str)> = std::iter::once(("", site::NOT_SAID))
        .chain(Hair::ALL.map(|hair| (hair_value(hair), looks::hair(hair))))
        .collect();
    let table = &house.studio.look_table;
    let fabrics: Vec<&str> = table.fabrics.iter().map(|row| row.name.as_str()).collect();
    html! {
        fieldset {
            legend { (words::LOOKS) }
            (datalist("colours", &table.colours()))
            (datalist("fabrics", &fabrics))
            p.hint { (words::LOOKS_HINT) }
            @if spots.is_empty() {
                p.wrong { (words::NO_SPOT) " " a href="/places/new" { (words::NEW_SPOT) } }
            }
            @for row in 0..rows(fields) + EMPTY_ROWS {
                @let name = |column| look_field(row, column);
                fieldset.look {
                    legend { (words::look_row(row + 1)) }
                    (Field::new(fields, &name(Column::Name), words::LOOK_NAME).input(Input::Text))
                    (Field::new(fields, &name(Column::Spot), words::LOOK_SPOT).select(&spots))
                    (Field::new(fields, &name(Column::Wants), words::WANTS).select(&wishes))
                    (Field::new(fields, &name(Column::Colour), words::COLOUR)
                        .list("colours")
                        .input(Input::Text))
                    (Field::new(fields, &name(Column::Fabric), words::FABRIC)
                        .hint(words::TABLE_HINT)
                        .list("fabrics")
                        .input(Input::Text))
                    (Field::new(fields, &name(Column::ShowsDrops), words::SHOWS_DROPS).tick())
                    (Field::new(fields, &name(Column::MarksForGood), words::MARKS_FOR_GOOD).tick())
                    (Field::new(fields, &name(Column::Hem), words::HEM).select(&hems))
                    (Field::new(fields, &name(Column::Hair), words::HAIR).select(&hairs))
                    (Field::new(fields, &name(Column::Shoes), words::SHOES).input(Input::Text))
                }
            }
        }
    }
}

/// How many rows are filled in, up to the last of them.
fn rows(fields: &Fields) -> usize {
    let is_filled = |row: &usize| fields.filled(&look_field(*row, Column::Name)).is_some();
    (0..MOST_LOOKS).rev().find(is_filled).map_or(0, |last| last + 1)
}

fn people(house: &House, fields: &Fields) -> Markup {
    let known: Vec<(&str, String)> =
        house.people.iter().map(|one| (one.id.as_str(), words::person(one))).collect();
    html! {
        @if known.is_empty() {
            p { (words::NOBODY) " " a href="/people/new" { (words::TO_PEOPLE) } }
        } @else {
            (ticks(fields, "people", words::PEOPLE, &known))
        }
    }
}

/// A session out of a form, still without an id; `None` when something in it is wrong.
///
/// - `known`: the session as it was; what the form does not ask for stays as it is there.
pub(super) fn read(fields: &mut Fields, house: &House, known: Option<&Session>) -> Option<Session> {
    let sitter = fields.need("sitter", forms::NAME, plain_name);
    let guardian = fields.may("guardian", forms::NAME, plain_name);
    let date = fields.need("date", forms::DATE, |text| text.parse::<civil::Date>().ok());
    let time = fields.need("start", forms::TIME, clock_time);
    let duration_min = fields.need("minutes", words::MINUTES_WRONG, |t| whole(t, (1, DAY_MIN)));
    let drive_min = fields.need("drive", forms::MINUTES, |text| whole(text, (0, DAY_MIN)));
    let styled_by = fields.need("styled_by", forms::CHOOSE, |text| match text {
        "artist" => Some(true),
        "home" => Some(false),
        _ => None,
    });
    let chair = fields.need("chair", forms::MINUTES, |text| whole(text, (0, DAY_MIN)));
    let looks = read_looks(fields, house);
    let deadline = read_deadline(fields);
    let notes = dates::read(fields, house);
    let people = house.people.iter().map(|person| person.id.clone());
    let people = people.filter(|id| fields.all("people").any(|ticked| ticked == id)).collect();
    let session = Session {
        id: String::new(),
        sitter: sitter?,
        guardian: guardian?.unwrap_or_default(),
        start: date?.to_datetime(time?),
        duration_min: duration_min?,
        looks: looks?,
        drive: Drive {
            minutes: drive_min?,
            route: known.map(|known| known.drive.route.clone()).unwrap_or_default(),
        },
        chair_before_start_min: chair?,
        with_artist: styled_by?,
        deadline: deadline?,
        moved_from: known.and_then(|known| known.moved_from.clone()),
        people,
        dates: notes?,
    };
    // What is wrong with the studio itself is no mistake of this form.
    if let Err(StudioError::Session(why)) = house.studio.check(std::slice::from_ref(&session)) {
        let (field, words) = refusal(&why);
        fields.refuse(field, words);
        return None;
    }
    if let Some(other) = overlapped(house, &session, known) {
        fields.refuse("start", words::overlaps(&other.sitter, other.start));
        return None;
    }
    Some(session)
}

/// Another session that is booked for some of the same hours.
fn overlapped<'a>(
    house: &'a House,
    session: &Session,
    known: Option<&Session>,
) -> Option<&'a Session> {
    let booked = session.booked(&house.zone).ok()?;
    let is_other = |other: &&Session| {
        known.is_none_or(|known| known.id != other.id)
            && other.booked(&house.zone).is_ok_and(|theirs| theirs.overlaps(&booked))
    };
    standing_sessions(&house.sessions).find(is_other)
}

fn refusal(why: &SessionError) -> (&'static str, &'static str) {
    match why {
        SessionError::StartSkipped { .. } => ("start", words::START_SKIPPED),
        SessionError::StartRepeated { .. } => ("start", words::START_REPEATED),
        SessionError::UnknownSpot { .. } => ("look-0-spot", words::UNKNOWN_SPOT),
        SessionError::NoLooks { .. } => ("look-0-name", words::NO_LOOKS),
        SessionError::NoDuration { .. } => ("minutes", words::MINUTES_WRONG),
    }
}

/// Hours and minutes; browsers add seconds where there are some.
pub(crate) fn clock_time(text: &str) -> Option<civil::Time> {
    let parts: Vec<&str> = text.split(':').collect();
    let (hour, minute) = match parts.as_slice() {
        [hour, minute] | [hour, minute, _] => (hour.parse().ok()?, minute.parse().ok()?),
        _ => return None,
    };
    civil::Time::new(hour, minute, 0, 0).ok()
}

pub(crate) fn wish_value(wish: LightWish) -> &'static str {
    match wish {
        LightWish::Any => "any",
        LightWish::OpenShade => "open_shade",
        LightWish::Backlight => "backlight",
        LightWish::LowSun => "low_sun",
        LightWish::Afterglow => "afterglow",
        LightWish::Blue => "blue",
    }
}

/// What is not among the choices is no wish.
pub(crate) fn wish(value: &str) -> LightWish {
    LightWish::ALL.into_iter().find(|wish| wish_value(*wish) == value).unwrap_or_default()
}

fn hem_value(hem: Hem) -> &'static str {
    match hem {
        Hem::Short => "short",
        Hem::Knee => "knee",
        Hem::Ankle => "ankle",
        Hem::Floor => "floor",
    }
}

fn hair_value(hair: Hair) -> &'static str {
    match hair {
        Hair::Down => "down",
        Hair::Curled => "curled",
        Hair::HalfUp => "half_up",
        Hair::Up => "up",
        Hair::Braided => "braided",
        Hair::Short => "short",
    }
}

fn read_looks(fields: &mut Fields, house: &House) -> Option<Vec<Look>> {
    let mut looks = Vec::new();
    for row in 0..rows(fields) {
        let name_field = look_field(row, Column::Name);
        if fields.filled(&name_field).is_none() {
            continue;
        }
        let name = fields.need(&name_field, forms::NAME, plain_name);
        let spot_field = look_field(row, Column::Spot);
        let spot = fields.need(&spot_field, words::UNKNOWN_SPOT, |id| {
            house.studio.spot(id).map(|spot| spot.id.clone())
        });
        let mut text = |column| fields.may(&look_field(row, column), forms::NAME, plain_name);
        let (colour, fabric) = (text(Column::Colour), text(Column::Fabric));
        let shoes = text(Column::Shoes);
        // What is not among the choices is not said.
        let hem = fields.text(&look_field(row, Column::Hem));
        let hem = Hem::ALL.into_iter().find(|one| hem_value(*one) == hem);
        let hair = fields.text(&look_field(row, Column::Hair));
        let hair = Hair::ALL.into_iter().find(|one| hair_value(*one) == hair);
        let texts = colour.zip(fabric).zip(shoes);
        looks.push(name.zip(spot).zip(texts).map(|((name, spot), ((colour, fabric), shoes))| {
            Look {
                name,
                spot,
                colour,
                fabric,
                hem,
                hair,
                shoes,
                wants: wish(fields.text(&look_field(row, Column::Wants))),
                shows_drops: fields.ticked(&look_field(row, Column::ShowsDrops)),
                marks_for_good: fields.ticked(&look_field(row, Column::MarksForGood)),
            }
        }));
    }
    if looks.is_empty() {
        fields.refuse(&look_field(0, Column::Name), words::NO_LOOKS);
        return None;
    }
    looks.into_iter().collect()
}

/// `Some(None)` where there is no deadline.
#[expect(clippy::option_option, reason = "no deadline, and one that cannot be read, are different")]
fn read_deadline(fields: &mut Fields) -> Option<Option<Deadline>> {
    if fields.filled("deadline_name").is_none() && fields.filled("deadline_date").is_none() {
        return Some(None);
    }
    let name = fields.need("deadline_name", words::DEADLINE_NAME_WRONG, plain_name);
    let date = fields
        .need("deadline_date", words::DEADLINE_DATE_WRONG, |text| text.parse::<civil::Date>().ok());
    Some(Some(Deadline { name: name?, date: date? }))
}
