//! Making a session, changing one, deleting one.

mod dates;
mod form;

pub(crate) use self::form::{Column, clock_time, look_field, wish, wish_value};

use axum::{
    extract::{Path, Query},
    response::{IntoResponse, Redirect, Response},
};
use fairspell_studio::Session;
use fairspell_words::screens::{session_edit as words, shell};
use maud::html;

use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    page::{Section, page},
    skies::House,
    spelled_id::spelled_id,
    visit::{Posted, Visit},
};

/// `GET /sessions/new`: with a date from the season, or all of an offer.
pub(crate) async fn new(
    visit: Visit,
    Query(wished): Query<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let fields = form::wished(house, wished);
    Ok(new_page(&visit, house, &fields))
}

fn new_page(visit: &Visit, house: &House, fields: &Fields) -> Response {
    let body = html! {
        h1 { (words::NEW_HEADING) }
        (form::markup(visit, house, "/sessions", "/season", fields))
    };
    page(visit, Some(Section::Season), words::NEW_HEADING, &body)
}

/// `POST /sessions`.
pub(crate) async fn create(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let Some(read) = form::read(&mut fields, house, None) else {
        return Ok(new_page(&visit, house, &fields));
    };
    let id = new_id(house, &read);
    keep(&visit.app, &Session { id, ..read }).await
}

/// The date and the sitter's name; it stays as it is when the session moves, so that links do.
fn new_id(house: &House, session: &Session) -> String {
    let date = session.start.date();
    let is_taken =
        |name: &str| house.sessions.iter().any(|known| known.id == format!("{date}-{name}"));
    format!("{date}-{}", spelled_id(&session.sitter, "session", is_taken))
}

/// `GET /sessions/{id}/edit`.
pub(crate) async fn edit(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let session = session(house, &id)?;
    Ok(edit_page(&visit, house, session, &form::filled(session)))
}

fn session<'a>(house: &'a House, id: &str) -> Result<&'a Session, PageError> {
    house.sessions.iter().find(|session| session.id == id).ok_or(PageError::NotThere)
}

fn edit_page(visit: &Visit, house: &House, session: &Session, fields: &Fields) -> Response {
    let there = format!("/sessions/{}", session.id);
    let body = html! {
        h1 { (words::EDIT_HEADING) }
        (form::markup(visit, house, &format!("{there}/edit"), &there, fields))
        form method="post" action=(format!("{there}/delete")) {
            (visit.form_field())
            h2 { (shell::DELETE) }
            p { (words::DELETE_MEANS) }
            button { (words::DELETE) }
        }
    };
    page(visit, Some(Section::Season), words::EDIT_HEADING, &body)
}

/// `POST /sessions/{id}/edit`.
pub(crate) async fn save(
    Path(id): Path<String>,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let known = session(house, &id)?;
    match form::read(&mut fields, house, Some(known)) {
        None => Ok(edit_page(&visit, house, known, &fields)),
        Some(read) => keep(&visit.app, &Session { id, ..read }).await,
    }
}

async fn keep(app: &Shared, session: &Session) -> Result<Response, PageError> {
    let change = app.store.save_session(session, app.clock.real()).await?;
    app.look_again().await?;
    Ok(Redirect::to(&format!("/sessions/{}?saved={change}", session.id)).into_response())
}

/// `POST /sessions/{id}/delete`.
pub(crate) async fn delete(
    Path(id): Path<String>,
    Posted { visit, .. }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let deleted = app.store.delete_session(&id, app.clock.real()).await?;
    let change = deleted.ok_or(PageError::NotThere)?;
    app.look_again().await?;
    Ok(Redirect::to(&format!("/season?saved={change}")).into_response())
}
