//! The calendar that her own programs fetch: an alarm at every moment by which she has to decide.

use axum::{
    extract::{Path, State},
    http::header,
    response::{IntoResponse, Response},
};
use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use fairspell_calendar::{Planned, gates_calendar};
use fairspell_studio::{Session, gates};
use fairspell_words::{screens::telling as words, standing_line};

use crate::{
    app::Shared,
    error::PageError,
    guesses::Guessed,
    secrets::{Purpose, Secrets},
    telling::calendar,
    visit::Caller,
};

/// So much of the signature stands in the address, bytes: 2^128 guesses.
const SIGNATURE_BYTES: usize = 16;

/// What stands in the address of a number.
pub(crate) fn token(secrets: &Secrets, number: u32) -> String {
    let said = number.to_string();
    let signature = &secrets.sign(Purpose::Calendar, &said)[..SIGNATURE_BYTES];
    format!("{said}.{}", URL_SAFE_NO_PAD.encode(signature))
}

/// The number of an address; `None` when it was altered.
fn number(secrets: &Secrets, token: &str) -> Option<u32> {
    let (said, signature) = token.split_once('.')?;
    let signature = URL_SAFE_NO_PAD.decode(signature).ok()?;
    let fits = secrets.fits_start(Purpose::Calendar, said, &signature, SIGNATURE_BYTES);
    if fits { said.parse().ok() } else { None }
}

/// `GET /calendar/{token}`.
pub(crate) async fn feed(
    State(app): State<Shared>,
    Path(token): Path<String>,
    Caller(from): Caller,
) -> Result<Response, PageError> {
    let real = app.clock.real();
    let Some(number) = number(&app.secrets, &token) else {
        if let Some(wait_s) = app.guesses.wait_s(Guessed::Link, from, real) {
            return Err(PageError::Wait { wait_s });
        }
        app.guesses.wrong(Guessed::Link, from, real);
        return Err(PageError::NotThere);
    };
    let kept = calendar(&app).await?;
    if !kept.is_on || kept.number != number {
        return Err(PageError::NotThere);
    }
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    // The gates do not hang on the sky: a session that cannot be looked at keeps its alarms.
    let stays = |session: &&Session| {
        house.moved_to(session).is_none() && !session.is_erased() && !skies.is_over(session)
    };
    let coming: Vec<_> = house
        .sessions
        .iter()
        .filter(stays)
        .filter_map(|session| {
            let standing = skies.of(&session.id).map(|sky| &sky.standing);
            let line = standing.map_or_else(String::new, |standing| {
                standing_line(&standing.ruling, &standing.outlook, &house.zone)
            });
            Some((session, gates(&house.studio, &house.zone, session).ok()?, line))
        })
        .collect();
    let planned: Vec<Planned<'_>> = coming
        .iter()
        .map(|(session, gates, standing)| Planned { session, gates, standing })
        .collect();
    let name = words::CALENDAR_NAME;
    let text = gates_calendar(&house.studio, &house.zone, &planned, skies.as_of, name);
    Ok(([(header::CONTENT_TYPE, "text/calendar; charset=utf-8")], text).into_response())
}
