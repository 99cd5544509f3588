//! The owner's table of colours and fabrics, saved as one form.

use axum::response::Response;
use fairspell_studio::{
    LookTable, LookTableError,
    look_table::{DRIES_MAX_MIN, FabricRow, Pairing, Verdict},
};
use fairspell_words::{
    looks::verdict,
    screens::{forms, studio::looks as words},
};
use maud::{Markup, html};

use super::{keep, part};
use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes, save_or_back},
    number_input::whole,
    pages::people::plain_name,
    visit::{Posted, Visit},
};

/// So many rows of each kind stay empty.
const EMPTY_ROWS: usize = 3;
/// No table has more rows of a kind: somebody else would be sending the form.
const MOST_ROWS: usize = 300;

const HUMID_PERCENT: (u32, u32) = (0, 100);
const GUST_KM_H: (u32, u32) = (0, 120);
const DRIES_MIN: (u32, u32) = (0, DRIES_MAX_MIN);

/// `GET /studio/looks`.
pub(crate) async fn edit(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let studio = &skies.house.as_deref().ok_or(PageError::NotThere)?.studio;
    Ok(form_page(&visit, &fields_of(&studio.look_table)))
}

fn fields_of(table: &LookTable) -> Fields {
    let mut values: Vec<(String, String)> = vec![
        ("humid".to_owned(), table.humid_from_percent.to_string()),
        ("hair_gust".to_owned(), table.hair_gust_from_km_h.to_string()),
        ("shoes".to_owned(), table.sinking_shoes.join("\n")),
    ];
    for (row, fabric) in table.fabrics.iter().enumerate() {
        values.push((format!("fabric-{row}-name"), fabric.name.clone()));
        let ticked = [
            ("drops", fabric.shows_drops),
            ("marks", fabric.marks_for_good),
            ("shape", fabric.collapses_wet),
        ];
        for (column, _) in ticked.into_iter().filter(|(_, is_ticked)| *is_ticked) {
            values.push((format!("fabric-{row}-{column}"), "yes".to_owned()));
        }
        let dries = fabric.dries_min.map(|minutes| minutes.to_string());
        values.extend(dries.map(|minutes| (format!("fabric-{row}-dries"), minutes)));
    }
    for (row, pairing) in table.pairings.iter().enumerate() {
        values.push((format!("pairing-{row}-colour"), pairing.colour.clone()));
        let backdrop = pairing.backdrop.clone().unwrap_or_default();
        values.push((format!("pairing-{row}-backdrop"), backdrop));
        values.push((format!("pairing-{row}-verdict"), value(pairing.verdict).to_owned()));
    }
    Fields::of(values)
}

fn value(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::SinksIn => "sinks_in",
        Verdict::Vanishes => "vanishes",
        Verdict::Shines => "shines",
        Verdict::CastsColour => "casts_colour",
        Verdict::Suits => "suits",
    }
}

/// How many rows of a kind are filled in, up to the last of them.
fn rows(fields: &Fields, kind: &str, columns: &[&str]) -> usize {
    let is_filled = |row: &usize| {
        columns.iter().any(|column| fields.filled(&format!("{kind}-{row}-{column}")).is_some())
    };
    (0..MOST_ROWS).rev().find(is_filled).map_or(0, |last| last + 1)
}

const FABRIC_COLUMNS: [&str; 5] = ["name", "drops", "marks", "shape", "dries"];
/// The verdict is always chosen, and fills no row in.
const PAIRING_COLUMNS: [&str; 2] = ["colour", "backdrop"];

fn form_page(visit: &Visit, fields: &Fields) -> Response {
    let number = |(from, to): (u32, u32)| Input::Number {
        from: f64::from(from),
        to: f64::from(to),
        step: 1.0,
    };
    let body = html! {
        p { (words::MEANS) }
        p.hint { (words::FOUND) }
        form.looks method="post" action="/studio/looks" {
            (visit.form_field())
            (mistakes(fields))
            fieldset {
                legend { (words::FABRICS) }
                p.hint { (words::FABRIC_HINT) }
                @for row in 0..rows(fields, "fabric", &FABRIC_COLUMNS) + EMPTY_ROWS {
                    (fabric_row(fields, row, number(DRIES_MIN)))
                }
            }
            fieldset {
                legend { (words::PAIRINGS) }
                p.hint { (words::PAIRINGS_HINT) }
                @for row in 0..rows(fields, "pairing", &PAIRING_COLUMNS) + EMPTY_ROWS {
                    (pairing_row(fields, row))
                }
            }
            fieldset {
                legend { (words::HAIR_AND_SHOES) }
                (Field::new(fields, "humid", words::HUMID).needed().input(number(HUMID_PERCENT)))
                (Field::new(fields, "hair_gust", words::HAIR_GUST)
                    .needed()
                    .input(number(GUST_KM_H)))
                (Field::new(fields, "shoes", words::SHOES).text_area(3))
            }
            (save_or_back("/studio"))
        }
        form method="post" action="/studio/looks" {
            (visit.form_field())
            input type="hidden" name="do" value="usual";
            button { (words::DEFAULTS) }
        }
    };
    part(visit, words::HEADING, &body)
}

fn fabric_row(fields: &Fields, row: usize, minutes: Input<'_>) -> Markup {
    let name = |column: &str| format!("fabric-{row}-{column}");
    html! {
        fieldset.look {
            legend { (words::fabric_row(row + 1)) }
            (Field::new(fields, &name("name"), words::FABRIC).input(Input::Text))
            (Field::new(fields, &name("drops"), words::SHOWS_DROPS).tick())
            (Field::new(fields, &name("marks"), words::MARKS_FOR_GOOD).tick())
            (Field::new(fields, &name("shape"), words::LOSES_SHAPE).tick())
            (Field::new(fields, &name("dries"), words::DRIES).input(minutes))
        }
    }
}

fn pairing_row(fields: &Fields, row: usize) -> Markup {
    let name = |column: &str| format!("pairing-{row}-{column}");
    let verdicts = Verdict::ALL.map(|one| (value(one), verdict(one)));
    html! {
        fieldset.look {
            legend { (words::pairing_row(row + 1)) }
            (Field::new(fields, &name("colour"), words::COLOUR).input(Input::Text))
            (Field::new(fields, &name("backdrop"), words::BACKDROP).input(Input::Text))
            (Field::new(fields, &name("verdict"), words::VERDICT).select(&verdicts))
        }
    }
}

/// `POST /studio/looks`: saves it, or fills the form with common practice and saves nothing.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    if fields.text("do") == "usual" {
        return Ok(form_page(&visit, &fields_of(&LookTable::default())));
    }
    let mut studio = app.store.studio().await?.ok_or(PageError::NotThere)?;
    let Some(table) = read(&mut fields) else { return Ok(form_page(&visit, &fields)) };
    studio.look_table = table;
    keep(app, &studio, "looks").await
}

/// The table of a form; `None` when something in it is wrong.
fn read(fields: &mut Fields) -> Option<LookTable> {
    let (fabrics, fabric_names) = fabrics(fields);
    let (pairings, pairing_names) = pairings(fields);
    let number = |(from, to): (u32, u32)| forms::number(f64::from(from), f64::from(to));
    let humid = fields.need("humid", &number(HUMID_PERCENT), |text| whole(text, HUMID_PERCENT));
    let gust = fields.need("hair_gust", &number(GUST_KM_H), |text| whole(text, GUST_KM_H));
    let shoes = fields.text("shoes").lines().map(str::trim).filter(|line| !line.is_empty());
    let sinking_shoes: Vec<String> = shoes.map(str::to_owned).collect();
    let (humid_from_percent, hair_gust_from_km_h) = (humid?, gust?);
    if !fields.is_right() {
        return None;
    }
    // Row by row, so that what is wrong is said beside the row that makes it so.
    let mut table = LookTable {
        fabrics: Vec::new(),
        pairings: Vec::new(),
        sinking_shoes: Vec::new(),
        humid_from_percent,
        hair_gust_from_km_h,
    };
    let mut refuse =
        |field: &str, error: LookTableError| fields.refuse(field, words::wrong(&error));
    for (fabric, field) in fabrics.into_iter().zip(fabric_names) {
        table.fabrics.push(fabric);
        if let Err(error) = table.check() {
            refuse(&field, error);
            return None;
        }
    }
    for (pairing, field) in pairings.into_iter().zip(pairing_names) {
        table.pairings.push(pairing);
        if let Err(error) = table.check() {
            refuse(&field, error);
            return None;
        }
    }
    table.sinking_shoes = sinking_shoes;
    if let Err(error) = table.check() {
        refuse("shoes", error);
        return None;
    }
    Some(table)
}

/// The fabrics of a form, each with the field of its name.
fn fabrics(fields: &mut Fields) -> (Vec<FabricRow>, Vec<String>) {
    let mut found = (Vec::new(), Vec::new());
    for row in 0..rows(fields, "fabric", &FABRIC_COLUMNS) {
        let field = |column: &str| format!("fabric-{row}-{column}");
        if FABRIC_COLUMNS.iter().all(|column| fields.filled(&field(column)).is_none()) {
            continue;
        }
        let name = fields.need(&field("name"), words::FABRIC_NEEDED, plain_name);
        let dries = fields.may(&field("dries"), forms::MINUTES, |text| whole(text, DRIES_MIN));
        if let Some((name, dries_min)) = name.zip(dries) {
            found.0.push(FabricRow {
                name,
                shows_drops: fields.ticked(&field("drops")),
                marks_for_good: fields.ticked(&field("marks")),
                collapses_wet: fields.ticked(&field("shape")),
                dries_min,
            });
            found.1.push(field("name"));
        }
    }
    found
}

/// The pairings of a form, each with the field of its colour.
fn pairings(fields: &mut Fields) -> (Vec<Pairing>, Vec<String>) {
    let mut found = (Vec::new(), Vec::new());
    for row in 0..rows(fields, "pairing", &PAIRING_COLUMNS) {
        let field = |column: &str| format!("pairing-{row}-{column}");
        if PAIRING_COLUMNS.iter().all(|column| fields.filled(&field(column)).is_none()) {
            continue;
        }
        let colour = fields.need(&field("colour"), words::COLOUR_NEEDED, plain_name);
        let backdrop = fields.may(&field("backdrop"), forms::NAME, plain_name);
        let verdict = fields.need(&field("verdict"), forms::CHOOSE, |text| {
            Verdict::ALL.into_iter().find(|one| value(*one) == text)
        });
        if let Some(((colour, backdrop), verdict)) = colour.zip(backdrop).zip(verdict) {
            found.0.push(Pairing { colour, backdrop, verdict });
            found.1.push(field("colour"));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_table_goes_through_the_form_unchanged() {
        let usual = LookTable::default();
        assert_eq!(read(&mut fields_of(&usual)), Some(usual));
    }
}
