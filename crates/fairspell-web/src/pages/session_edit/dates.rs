//! The part of a session's form that asks what its dates depend on beside the sky.

use fairspell_studio::{
    permit::{Permit, PermitState},
    session::DateNotes,
};
use fairspell_words::screens::session_edit as words;
use jiff::civil::Date;
use maud::{Markup, html};

use crate::{fields::Fields, form_markup::Field, skies::House};

/// The fields with a session's notes in them.
pub(super) fn filled(notes: &DateNotes) -> [(String, String); 3] {
    let dates = |dates: &[Date]| dates.iter().map(Date::to_string).collect::<Vec<_>>().join(", ");
    let permit = |it: &Permit| {
        let state = match it.state {
            PermitState::Asked => words::PERMIT_ASKED,
            PermitState::Granted => words::PERMIT_GRANTED,
        };
        format!("{}; {}; {state}", it.spot, it.date)
    };
    let permits = notes.permits.iter().map(permit).collect::<Vec<_>>().join("\n");
    [("cannot", dates(&notes.cannot)), ("prefers", dates(&notes.prefers)), ("permits", permits)]
        .map(|(name, value)| (name.to_owned(), value))
}

pub(super) fn markup(fields: &Fields) -> Markup {
    let field = |name, label| Field::new(fields, name, label);
    html! {
        fieldset {
            legend { (words::DATES) }
            (field("cannot", words::CANNOT).hint(words::DATES_HINT).text_area(2))
            (field("prefers", words::PREFERS).text_area(2))
            (field("permits", words::PERMITS).hint(words::PERMITS_HINT).text_area(2))
        }
    }
}

/// The notes out of a form; `None` when something in them is wrong.
pub(super) fn read(fields: &mut Fields, house: &House) -> Option<DateNotes> {
    let (cannot, prefers) = (dates(fields, "cannot"), dates(fields, "prefers"));
    let lines = fields.text("permits").lines().map(str::trim).filter(|line| !line.is_empty());
    let permits: Result<Vec<Permit>, String> =
        lines.map(|line| permit(house, line).ok_or_else(|| words::permit_wrong(line))).collect();
    let permits = match permits {
        Ok(permits) => Some(permits),
        Err(why) => {
            fields.refuse("permits", why);
            None
        }
    };
    Some(DateNotes { cannot: cannot?, prefers: prefers?, permits: permits? })
}

/// "2026-09-20, 2026-09-23".
fn dates(fields: &mut Fields, name: &str) -> Option<Vec<Date>> {
    let parts = fields.text(name).split([',', ';', '\n', ' ']).map(str::trim);
    let read: Result<Vec<Date>, String> = parts
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().map_err(|_| words::date_wrong(part)))
        .collect();
    match read {
        Ok(dates) => Some(dates),
        Err(why) => {
            fields.refuse(name, why);
            None
        }
    }
}

/// "Ferrow House veranda; 2026-09-17; granted", the spot by its name or its id.
fn permit(house: &House, line: &str) -> Option<Permit> {
    let mut parts = line.split(';').map(str::trim);
    let (spot, date, state) = (parts.next()?, parts.next()?, parts.next()?);
    let is_it = |it: &&fairspell_studio::Spot| it.id == spot || it.name.eq_ignore_ascii_case(spot);
    let spot = house.studio.spots.iter().find(is_it)?.id.clone();
    let state = match state.to_lowercase().as_str() {
        words::PERMIT_ASKED => PermitState::Asked,
        words::PERMIT_GRANTED => PermitState::Granted,
        _ => return None,
    };
    Some(Permit { spot, date: date.parse().ok()?, state })
}
