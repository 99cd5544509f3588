//! Bookings from elsewhere: shown before anything is saved.

use axum::response::{IntoResponse, Redirect, Response};
use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use fairspell_calendar::{Remark, people_from, read_bookings, sessions_from};
use fairspell_studio::{Person, Session};
use fairspell_words::screens::season as words;
use maud::html;

use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    page::{Section, page},
    skies::House,
    visit::{Posted, Visit},
};

/// The largest file that a page carries from the preview to the confirmation, MB.
const UPLOAD_MB: usize = 4;

/// The file travels in pieces of so many characters, since no field is longer than 20 000.
const PIECE: usize = 16_000;

/// `GET /season/import`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    Ok(choose_page(&visit, &Fields::default()))
}

fn choose_page(visit: &Visit, fields: &Fields) -> Response {
    let body = html! {
        h1 { (words::IMPORT_HEADING) }
        p { (words::IMPORT_MEANS) }
        form method="post" action="/season/import" enctype="multipart/form-data" {
            (visit.form_field())
            (mistakes(fields))
            (Field::new(fields, "file", words::FILE)
                .hint(words::IMPORT_COLUMNS)
                .needed()
                .input(Input::File(".csv,.tsv,.txt,.ics,text/csv,text/calendar")))
            div.buttons {
                button.main { (words::LOOK) }
                a.button.plain href="/season" { (fairspell_words::screens::shell::BACK) }
            }
        }
    };
    page(visit, Some(Section::Season), words::IMPORT_HEADING, &body)
}

/// What a file makes of the studio.
struct Import {
    sessions: Vec<Session>,
    people: Vec<Person>,
    remarks: Vec<Remark>,
}

/// `POST /season/import`: shows what a file makes, and saves it the second time.
///
/// In between the file travels in the page: what nobody confirmed is kept nowhere.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let is_confirmed = fields.text("step") == "confirm";
    let bytes = if is_confirmed {
        let pieces: String = fields.all("piece").collect();
        URL_SAFE_NO_PAD.decode(pieces).ok()
    } else {
        fields.file("file").map(|file| file.bytes.to_vec())
    };
    let read = match bytes {
        None => Err(words::NO_FILE.to_owned()),
        Some(bytes) if bytes.len() > UPLOAD_MB * 1_000_000 => Err(words::too_large(UPLOAD_MB)),
        Some(_) if house.studio.spots.is_empty() => Err(words::NO_SPOT.to_owned()),
        Some(bytes) => made_of(house, &bytes).map(|import| (import, bytes)),
    };
    let (import, bytes) = match read {
        Ok(read) => read,
        Err(why) => {
            fields.refuse("file", why);
            return Ok(choose_page(&visit, &fields));
        }
    };
    if !is_confirmed || import.sessions.is_empty() {
        return Ok(preview_page(&visit, &import, &bytes));
    }
    app.store.import(&import.people, &import.sessions, "a file", app.clock.real()).await?;
    app.look_again().await?;
    Ok(Redirect::to("/season?done=imported").into_response())
}

/// What the bytes of a file make, or why they cannot be used at all.
fn made_of(house: &House, bytes: &[u8]) -> Result<Import, String> {
    let bookings =
        read_bookings(bytes, &house.zone).map_err(|error| words::unreadable(&error.to_string()))?;
    let made = sessions_from(&bookings.value, &house.studio, &house.sessions);
    let people = people_from(&bookings.value, &made.value);
    let all: Vec<Session> = house.sessions.iter().chain(&made.value).cloned().collect();
    house.studio.check(&all).map_err(|error| words::unreadable(&error.to_string()))?;
    let remarks = bookings.remarks.into_iter().chain(made.remarks).collect();
    Ok(Import { sessions: made.value, people, remarks })
}

fn preview_page(visit: &Visit, import: &Import, bytes: &[u8]) -> Response {
    let body = html! {
        h1 { (words::PREVIEW) }
        @if import.sessions.is_empty() {
            p { (words::NOTHING) }
        } @else {
            p { (words::count(import.sessions.len(), import.people.len())) }
            ul.lines {
                @for session in &import.sessions {
                    li {
                        (words::made(
                            session.start,
                            session.duration_min,
                            &session.sitter,
                            &session.guardian,
                        ))
                    }
                }
            }
        }
        @if !import.remarks.is_empty() {
            h2 { (words::REMARKS) }
            ul.lines { @for remark in &import.remarks { li { (remark.to_string()) } } }
        }
        @if !import.sessions.is_empty() {
            form method="post" action="/season/import" {
                (visit.form_field())
                input type="hidden" name="step" value="confirm";
                @for piece in pieces(bytes) { input type="hidden" name="piece" value=(piece); }
                button.main { (words::CONFIRM) }
            }
        }
        p { a href="/season/import" { (words::OTHER_FILE) } }
    };
    page(visit, Some(Section::Season), words::PREVIEW, &body)
}

/// A file as fields of a form can carry it.
fn pieces(bytes: &[u8]) -> Vec<String> {
    // Three bytes are four characters, so that every piece stands by itself.
    bytes.chunks(PIECE / 4 * 3).map(|chunk| URL_SAFE_NO_PAD.encode(chunk)).collect()
}
