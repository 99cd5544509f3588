//! The tide of the studio's coast, pasted or sent as a file.

use axum::response::Response;
use fairspell_almanac::tide::{HarmonicConstants, TideKind, TideTable};
use fairspell_studio::{Studio, studio::TideSource};
use fairspell_words::screens::{shell, studio::tide as words};
use jiff::{Timestamp, ToSpan, tz::TimeZone};
use maud::{Markup, html};

use super::{keep, part};
use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    skies::House,
    visit::{Posted, Visit},
};

/// How far ahead the page tells the tide, hours.
const AHEAD_H: i64 = 72;

/// `GET /studio/tide`.
pub(crate) async fn edit(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    Ok(tide_page(&visit, house, &Fields::default()))
}

/// The tide in one line, for the studio's list.
pub(crate) fn line(studio: &Studio, zone: &TimeZone) -> String {
    words::line(source(studio, zone))
}

fn source(studio: &Studio, zone: &TimeZone) -> Option<String> {
    match studio.tide.as_ref()? {
        TideSource::Constants(HarmonicConstants { name, datum, constituents, .. }) => {
            Some(words::constants(name, datum, constituents.len()))
        }
        TideSource::Table(rows) => {
            let day = |row: &(Timestamp, f64)| zone.to_datetime(row.0).date();
            Some(words::table(rows.len(), rows.first().map(day)?, rows.last().map(day)?))
        }
    }
}

fn tide_page(visit: &Visit, house: &House, fields: &Fields) -> Response {
    let source = source(&house.studio, &house.zone);
    let body = html! {
        p { (words::MEANS) }
        @if let Some(source) = &source {
            p { (source) "." }
            h2 { (words::NEXT) }
            (turns(visit, house))
            p { (words::CAUTION) }
        } @else {
            p { (words::NONE) }
        }
        h2 { (words::ENTER) }
        form method="post" action="/studio/tide" enctype="multipart/form-data" {
            (visit.form_field())
            (mistakes(fields))
            (Field::new(fields, "tide", words::TEXT).hint(words::TEXT_HINT).text_area(8))
            (Field::new(fields, "file", words::FILE).input(Input::File(".csv,.json,text/csv")))
            div.buttons { button.main { (shell::SAVE) } }
        }
        @if source.is_some() {
            form method="post" action="/studio/tide" {
                (visit.form_field())
                input type="hidden" name="do" value="remove";
                button { (words::REMOVE) }
            }
        }
    };
    part(visit, words::HEADING, &body)
}

fn turns(visit: &Visit, house: &House) -> Markup {
    let now = visit.app.clock.now();
    let ahead = now.checked_add(AHEAD_H.hours()).unwrap_or(now);
    let tide = house.studio.tide().ok().flatten();
    let turns = tide.map(|tide| tide.extremes(now, ahead)).unwrap_or_default();
    html! {
        @if turns.is_empty() {
            p { (words::NOTHING_KNOWN) }
        } @else {
            ul.lines {
                @for turn in &turns {
                    @let is_high = turn.kind == TideKind::High;
                    li { (words::turn(turn.time, turn.height_m, is_high, &house.zone)) }
                }
            }
        }
    }
}

/// `POST /studio/tide`: another tide, or none.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let mut studio = app.store.studio().await?.ok_or(PageError::NotThere)?;
    if fields.text("do") == "remove" {
        studio.tide = None;
        return keep(app, &studio, "tide").await;
    }
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let given = match fields.file("file") {
        Some(file) => String::from_utf8_lossy(&file.bytes).into_owned(),
        None => fields.text("tide").to_owned(),
    };
    match read(&given, &house.zone) {
        Ok(source) => {
            studio.tide = Some(source);
            keep(app, &studio, "tide").await
        }
        Err(why) => {
            fields.refuse("tide", why);
            Ok(tide_page(&visit, house, &fields))
        }
    }
}

/// Constants begin with a brace; anything else is a table.
fn read(text: &str, zone: &TimeZone) -> Result<TideSource, String> {
    let text = text.trim_start_matches('\u{feff}').trim();
    if text.is_empty() {
        return Err(words::NEEDED.to_owned());
    }
    if !text.starts_with('{') {
        let table = TideTable::from_csv(text, Some(zone));
        let table = table.map_err(|error| words::wrong(&error.to_string()))?;
        let rows = table.rows().iter().map(|row| (row.time, row.height_m)).collect();
        return Ok(TideSource::Table(rows));
    }
    let constants = serde_json::from_str::<HarmonicConstants>(text);
    let source =
        TideSource::Constants(constants.map_err(|error| words::wrong(&error.to_string()))?);
    source.tide().map_err(|error| words::wrong(&error.to_string()))?;
    Ok(source)
}
