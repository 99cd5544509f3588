//! The question after evenings, as a form whose answer has an address.

use std::collections::BTreeMap;

use fairspell_plan::{WantedLook, starts::LOOKS_MAX};
use fairspell_studio::LightWish;
use fairspell_words::{
    screens::{forms, offers as words, session_edit},
    time_left::deadline_behind,
};
use jiff::{Timestamp, ToSpan, civil::Date};
use maud::{Markup, html};

use crate::{
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    number_input::whole,
    pages::{
        people::plain_name,
        session_edit::{Column, look_field, wish, wish_value},
    },
    skies::House,
};

/// So many rows for looks stand open; the others are folded.
const OPEN_ROWS: usize = 3;

/// No question goes over more days: a page answers within seconds.
const DAYS_MAX: i32 = 100;

/// A question begins with so many days.
const DAYS: i64 = 42;

/// A look's minutes.
const MINUTES: (u32, u32) = (5, 240);

/// No drive is longer than a day, minutes.
const DRIVE_MAX: u32 = 24 * 60;

/// A question that can be asked.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    /// The only spot, by id; `None` for any.
    pub(super) place: Option<String>,
    pub(super) dates: (Date, Date),
    pub(super) looks: Vec<WantedLook>,
    pub(super) in_order: bool,
    pub(super) with_reserve: bool,
    pub(super) drive_min: u32,
    /// The day on which a picture must be handed in.
    pub(super) deadline: Option<Date>,
}

fn minutes_field(row: usize) -> String {
    format!("look-{row}-minutes")
}

/// A form that nobody has sent yet.
///
/// - `wished`: what its address says of it already.
pub(super) fn empty(house: &House, now: Timestamp, wished: Vec<(String, String)>) -> Fields {
    let today = house.zone.to_datetime(now).date();
    let day = |days: i64| today.saturating_add(days.days()).to_string();
    let wished = Fields::new(wished, BTreeMap::new());
    let place = wished.text("place").to_owned();
    let drive = drive_min(house, &place).to_string();
    let mut values: Vec<(String, String)> =
        [("place", place), ("from", day(1)), ("to", day(DAYS)), ("drive", drive)]
            .map(|(name, value)| (name.to_owned(), value))
            .into();
    values.extend((0..LOOKS_MAX).map(|row| (minutes_field(row), "25".to_owned())));
    Fields::of(values)
}

/// The drive of the last session there, minutes; of the last one anywhere where there was none.
fn drive_min(house: &House, place: &str) -> u32 {
    let mut latest = house.sessions.iter().rev();
    let there = house.sessions.iter().rev().find(|it| it.looks.iter().any(|l| l.spot == place));
    there.or_else(|| latest.next()).map_or(15, |session| session.drive.minutes)
}

pub(super) fn sent(values: Vec<(String, String)>) -> Fields {
    Fields::new(values, BTreeMap::new())
}

/// What is asked; `None` when something in it is wrong.
pub(super) fn read(fields: &mut Fields, house: &House, now: Timestamp) -> Option<Asked> {
    let today = house.zone.to_datetime(now).date();
    let studio = &house.studio;
    let spot = |id: &str| studio.spot(id).map(|spot| spot.id.clone());
    if studio.spots.is_empty() {
        fields.refuse("place", session_edit::NO_SPOT);
    }
    let place = fields.may("place", words::UNKNOWN_PLACE, spot);
    let date = |text: &str| text.parse::<Date>().ok();
    let from = fields.need("from", forms::DATE, date);
    let to = fields.need("to", forms::DATE, date);
    if from.is_some_and(|from| from < today) {
        fields.refuse("from", words::FROM_BEHIND);
    }
    if let Some((from, to)) = from.zip(to) {
        let days = from.until(to).map_or(i32::MAX, |span| span.get_days());
        if days < 0 {
            fields.refuse("to", words::TO_BEFORE);
        } else if days >= DAYS_MAX {
            fields.refuse("to", words::too_long(DAYS_MAX));
        }
    }
    let deadline = fields.may("deadline", forms::DATE, date);
    if let Some(deadline) = deadline.flatten().filter(|deadline| *deadline <= today) {
        fields.refuse("deadline", deadline_behind(deadline));
    }
    let drive_min = fields.need("drive", forms::MINUTES, |text| whole(text, (0, DRIVE_MAX)));
    let looks = read_looks(fields, house, place.as_ref().and_then(Option::as_deref));
    let asked = Asked {
        place: place?,
        dates: from.zip(to)?,
        looks: looks?,
        in_order: fields.ticked("in_order"),
        with_reserve: fields.ticked("reserve"),
        drive_min: drive_min?,
        deadline: deadline?,
    };
    fields.is_right().then_some(asked)
}

fn read_looks(fields: &mut Fields, house: &House, place: Option<&str>) -> Option<Vec<WantedLook>> {
    let mut looks = Vec::new();
    for row in 0..LOOKS_MAX {
        let name_field = look_field(row, Column::Name);
        if fields.filled(&name_field).is_none() {
            continue;
        }
        let name = fields.need(&name_field, forms::NAME, plain_name);
        let minutes =
            fields.need(&minutes_field(row), words::LOOK_MINUTES_WRONG, |t| whole(t, MINUTES));
        let spot_field = look_field(row, Column::Spot);
        let spot = fields.may(&spot_field, session_edit::UNKNOWN_SPOT, |id| {
            house.studio.spot(id).map(|spot| spot.id.clone())
        });
        let is_elsewhere = |id: &String| place.is_some_and(|place| place != id);
        if spot.iter().flatten().any(is_elsewhere) {
            fields.refuse(&spot_field, words::SPOT_ELSEWHERE);
        }
        let wants = wish(fields.text(&look_field(row, Column::Wants)));
        let read = name.zip(minutes).zip(spot);
        looks.push(read.map(|((name, minutes), spot)| WantedLook { name, wants, minutes, spot }));
    }
    if looks.is_empty() {
        fields.refuse(&look_field(0, Column::Name), session_edit::NO_LOOKS);
        return None;
    }
    looks.into_iter().collect()
}

pub(super) fn markup(house: &House, fields: &Fields) -> Markup {
    let field = |name, label| Field::new(fields, name, label);
    let spots = &house.studio.spots;
    let places: Vec<(&str, String)> = [("", words::ANYWHERE.to_owned())]
        .into_iter()
        .chain(spots.iter().map(|spot| (spot.id.as_str(), words::only(&spot.name))))
        .collect();
    let deadlines = words::deadlines(&house.studio.season.deadlines);
    let drive = Input::Number { from: 0.0, to: f64::from(DRIVE_MAX), step: 1.0 };
    html! {
        // The answer lies below a long form: it is shown at once.
        form.offers action="/season/offers#answers" {
            (mistakes(fields))
            @if spots.is_empty() {
                p.wrong {
                    (session_edit::NO_SPOT) " " a href="/places/new" { (session_edit::NEW_SPOT) }
                }
            }
            div.row {
                (field("place", words::PLACE).select(&places))
                (field("drive", words::DRIVE).needed().input(drive))
            }
            div.row {
                (field("from", words::FROM).needed().input(Input::Date))
                (field("to", words::TO).needed().input(Input::Date))
            }
            (field("deadline", words::DEADLINE).hint(&deadlines).input(Input::Date))
            (field("reserve", words::WITH_RESERVE).tick())
            fieldset {
                legend { (words::LOOKS) }
                p.hint { (words::LOOKS_HINT) }
                @for row in 0..OPEN_ROWS { (look(house, fields, row)) }
                details open[has_more(fields)] {
                    summary { (words::MORE_LOOKS) }
                    @for row in OPEN_ROWS..LOOKS_MAX { (look(house, fields, row)) }
                }
                (field("in_order", words::IN_ORDER).tick())
            }
            div.buttons {
                button.main { (words::SEARCH) }
                a.button.plain href="/season" { (fairspell_words::screens::shell::BACK) }
            }
        }
    }
}

fn has_more(fields: &Fields) -> bool {
    (OPEN_ROWS..LOOKS_MAX).any(|row| fields.filled(&look_field(row, Column::Name)).is_some())
}

fn look(house: &House, fields: &Fields, row: usize) -> Markup {
    let spots: Vec<(&str, &str)> = [("", words::BEST_LIGHT)]
        .into_iter()
        .chain(house.studio.spots.iter().map(|spot| (spot.id.as_str(), spot.name.as_str())))
        .collect();
    let wishes = LightWish::ALL.map(|wish| (wish_value(wish), session_edit::wish(wish)));
    let name = |column| look_field(row, column);
    let minutes = Input::Number { from: f64::from(MINUTES.0), to: f64::from(MINUTES.1), step: 1.0 };
    html! {
        fieldset.look {
            legend { (session_edit::look_row(row + 1)) }
            div.row {
                (Field::new(fields, &name(Column::Name), session_edit::LOOK_NAME).input(Input::Text))
                (Field::new(fields, &name(Column::Wants), session_edit::WANTS).select(&wishes))
                (Field::new(fields, &minutes_field(row), words::LOOK_MINUTES).input(minutes))
                (Field::new(fields, &name(Column::Spot), session_edit::LOOK_SPOT).select(&spots))
            }
        }
    }
}
