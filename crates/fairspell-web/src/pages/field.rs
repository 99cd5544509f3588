//! The field sheet: one document that the phone keeps, the newest sheet by itself, and the same as a file.

use std::sync::Arc;

use axum::{
    extract::Path,
    http::{HeaderValue, header},
    response::{Html, IntoResponse, Response},
};
use fairspell_words::screens::{field as words, session as session_words};
use maud::{Markup, html};
use serde_json::Value;

use crate::{
    app::Shared,
    error::PageError,
    field_document::{Online, embedded_sheet, field_document, sheet_digest},
    field_sheet::{FieldSource, field_sheet},
    page::{Section, page},
    visit::Visit,
};

/// The header under which a sheet that goes out by itself names its digest.
const DIGEST_HEADER: &str = "x-field-digest";

/// `GET /sessions/{id}/field`.
pub(crate) async fn show(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let sheet = match sheet_json(&visit.app, &id).await? {
        Ok(sheet) => sheet,
        Err(problem) => return Ok(without_sheet(&visit, &id, &problem)),
    };
    let online = Online {
        log: format!("/sessions/{id}/field/log"),
        sheet: format!("/sessions/{id}/field/sheet"),
        form_word: visit.form_word().to_owned(),
    };
    let document = field_document(&sheet, Some(&online), Some(&visit.nonce));
    let policy = format!(
        "default-src 'none'; style-src 'nonce-{0}'; script-src 'nonce-{0}' 'self'; img-src data:; \
         font-src data:; connect-src 'self'; worker-src 'self'; form-action 'self'; \
         base-uri 'none'; frame-ancestors 'none'",
        visit.nonce
    );
    let mut response = Html(document).into_response();
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
    }
    Ok(response)
}

/// `GET /sessions/{id}/field/sheet`: the newest sheet, for a page that is open already.
pub(crate) async fn sheet(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let Ok(sheet) = sheet_json(&visit.app, &id).await? else { return Err(PageError::NotThere) };
    let kind = (header::CONTENT_TYPE.as_str(), "application/json".to_owned());
    let digest = (DIGEST_HEADER, sheet_digest(&sheet));
    Ok(([kind, digest], embedded_sheet(&sheet)).into_response())
}

/// `GET /sessions/{id}/field/file`: the sheet as one file that works by itself.
pub(crate) async fn file(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let sheet = match sheet_json(&visit.app, &id).await? {
        Ok(sheet) => sheet,
        Err(problem) => return Ok(without_sheet(&visit, &id, &problem)),
    };
    let name = format!("attachment; filename=\"{}\"", words::FILE_NAME);
    let disposition = (header::CONTENT_DISPOSITION.as_str(), name);
    Ok(([disposition], Html(field_document(&sheet, None, None))).into_response())
}

/// On the day: to the leave gate and to the sheet, in large.
pub(crate) fn day_links(id: &str) -> Markup {
    html! {
        p.buttons {
            a.button.main href=(format!("/sessions/{id}/leave")) { (words::LEAVE) }
            a.button.main href=(format!("/sessions/{id}/field")) { (words::OPEN) }
        }
    }
}

/// What the sheet begins with if it stays dry; `None` without a sheet.
pub(crate) async fn first_step(app: &Shared, id: &str) -> Result<Option<String>, PageError> {
    let Ok(sheet) = sheet_json(app, id).await? else { return Ok(None) };
    let sheet: Value = serde_json::from_str(&sheet).map_err(PageError::ours)?;
    Ok(sheet["outline"][0]["steps"][0]["text"].as_str().map(str::to_owned))
}

/// The ways to a session's sheet.
pub(crate) fn links(id: &str) -> Markup {
    html! {
        p {
            a.button href=(format!("/sessions/{id}/field")) { (words::OPEN) } " "
            a href=(format!("/sessions/{id}/field/file")) download=(words::FILE_NAME) { (words::AS_FILE) }
        }
    }
}

/// The sheet as JSON, or why there is none.
async fn sheet_json(app: &Shared, id: &str) -> Result<Result<Arc<str>, String>, PageError> {
    let house = app.skies().house.clone().ok_or(PageError::NotThere)?;
    let sky = app.sky(id).await?;
    let (now, made_at) = (app.clock.now(), app.clock.real());
    let solved = tokio::task::spawn_blocking(move || {
        let make = || {
            let sheet = field_sheet(FieldSource {
                studio: &house.studio,
                zone: &house.zone,
                session: &sky.session,
                people: &house.people,
                standing: &sky.standing,
                seen: &sky.seen,
                is_moved: house.moved_to(&sky.session).is_some(),
                now,
                made_at,
            })?;
            Ok(serde_json::to_string(&sheet).expect("a sheet becomes JSON"))
        };
        sky.field_sheet(make).clone()
    });
    let solved = solved.await.map_err(PageError::ours)?;
    if let Ok(sheet) = &solved {
        app.store.remember_field_sheet(id, &sheet_digest(sheet), now).await?;
    }
    Ok(solved.map_err(|error| fairspell_words::field_sheet::field_problem(&error)))
}

fn without_sheet(visit: &Visit, id: &str, problem: &str) -> Response {
    let skies = visit.app.skies();
    let session = skies.house.as_ref().and_then(|house| house.session(id));
    let title = session.map_or_else(|| words::HEADING.to_owned(), session_words::heading);
    let body = html! {
        h1 { (title) }
        p.wanting { (problem) }
        p { a href=(format!("/sessions/{id}")) { (words::TO_SESSION) } }
    };
    page(visit, Some(Section::Season), &title, &body)
}
