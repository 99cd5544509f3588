//! Signing in and out.

use axum::{
    extract::{Query, State},
    http::{HeaderMap, Uri, header},
    response::{AppendHeaders, IntoResponse, Redirect, Response},
};
use fairspell_words::screens::sign_in as words;
use maud::html;
use serde::Deserialize;

use crate::{
    app::Shared,
    error::PageError,
    guesses::Guessed,
    page::bare_page,
    sign_in::{has_passphrase, is_passphrase, no_cookies, safe_next, sign_in},
    visit::{GuestPosted, Posted},
};

/// Where to go on to.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct GoingOn {
    #[serde(default)]
    next: String,
}

/// `GET /sign-in`.
pub(crate) async fn show(
    State(app): State<Shared>,
    Query(going_on): Query<GoingOn>,
) -> Result<Response, PageError> {
    if !has_passphrase(&app).await? {
        return Ok(Redirect::to("/start").into_response());
    }
    Ok(form(&going_on.next, None))
}

fn form(next: &str, wrong: Option<&str>) -> Response {
    let body = html! {
        h1 { (words::HEADING) }
        form method="post" action="/sign-in" {
            input type="hidden" name="next" value=(safe_next(next));
            div.field {
                label for="passphrase" { (words::PASSPHRASE) }
                input #passphrase type="password" name="passphrase" required autofocus
                    autocomplete="current-password" aria-describedby=[wrong.map(|_| "wrong")];
                @if let Some(wrong) = wrong { p.wrong #wrong role="alert" { (wrong) } }
            }
            button.main { (words::BUTTON) }
        }
        p.quiet { (words::FORGOTTEN) }
    };
    bare_page(words::HEADING, &body)
}

/// `POST /sign-in`.
pub(crate) async fn enter(
    headers: HeaderMap,
    uri: Uri,
    GuestPosted { app, from, fields }: GuestPosted,
) -> Result<Response, PageError> {
    let now = app.clock.real();
    if let Some(wait_s) = app.guesses.wait_s(Guessed::Passphrase, from, now) {
        return Err(PageError::Wait { wait_s });
    }
    // Counted before it is looked at, so that many tries at once gain nothing.
    app.guesses.wrong(Guessed::Passphrase, from, now);
    if !is_passphrase(&app, fields.text("passphrase")).await? {
        return Ok(form(fields.text("next"), Some(words::WRONG)));
    }
    app.guesses.right(Guessed::Passphrase, from);
    let cookie = sign_in(&app, &headers, &uri).await?;
    let next = safe_next(fields.text("next")).to_owned();
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(&next)).into_response())
}

/// `POST /sign-out`.
pub(crate) async fn leave(Posted { visit, .. }: Posted) -> Result<Response, PageError> {
    if let Some(known) = &visit.sign_in {
        visit.app.store.sign_out(known.id).await?;
    }
    let gone = no_cookies().map(|cookie| (header::SET_COOKIE, cookie));
    Ok((AppendHeaders(gone), Redirect::to("/sign-in")).into_response())
}
