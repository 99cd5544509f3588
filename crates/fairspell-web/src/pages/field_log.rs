//! What comes back from the field: a phone hands in its log, or somebody pastes it; what was made.

use axum::{
    body::Bytes,
    extract::{FromRequest, FromRequestParts, Path, Request, State},
    http::{StatusCode, header, request::Parts},
    response::{IntoResponse, Redirect, Response},
};
use fairspell_store::{StoreError, TakenFieldLog};
use fairspell_studio::{
    FieldRecord, Session,
    field_log::{Accepted, HandedIn},
    field_text::{LogText, read_log_text},
};
use fairspell_words::field_log as words;
use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::{Value, json};

use crate::{
    app::Shared,
    error::PageError,
    fields::FIELD_LOG,
    page::{Section, page},
    pages::session::back,
    skies::House,
    visit::{Posted, TurnedAway, Visit},
};

/// A clock that was set stands still, and a phone that was handed its time goes on from there. So far
/// ahead of it the phone is believed, hours: an evening.
const CARRIED_ON_H: i64 = 12;

/// What a phone sends.
#[derive(Debug, Deserialize)]
struct Handed {
    form_word: String,
    #[serde(default)]
    sheet_digest: String,
    sent_at: Timestamp,
    events: Vec<Value>,
}

/// `POST /sessions/{id}/field/log`: JSON in, JSON out, also when something is wrong.
pub(crate) async fn log(
    State(app): State<Shared>,
    Path(id): Path<String>,
    request: Request,
) -> Response {
    match take_log(&app, &id, request).await {
        Ok(answer) => as_json(StatusCode::OK, &answer),
        Err((status, why)) => as_json(status, &json!({ "error": why })),
    }
}

fn as_json(status: StatusCode, answer: &Value) -> Response {
    (status, [(header::CONTENT_TYPE, "application/json")], answer.to_string()).into_response()
}

async fn take_log(app: &Shared, id: &str, request: Request) -> Result<Value, (StatusCode, String)> {
    let not_understood = || (StatusCode::BAD_REQUEST, words::NOT_UNDERSTOOD.to_owned());
    let (mut parts, body) = request.into_parts();
    let visit = Visit::from_request_parts(&mut parts, app).await.map_err(turned_away)?;
    if !is_json(&parts) {
        return Err((StatusCode::UNSUPPORTED_MEDIA_TYPE, words::NOT_UNDERSTOOD.to_owned()));
    }
    let bytes = Bytes::from_request(Request::from_parts(parts, body), app).await;
    let bytes = bytes.map_err(|error| match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => {
            (StatusCode::PAYLOAD_TOO_LARGE, words::TOO_LONG.to_owned())
        }
        _ => not_understood(),
    })?;
    let handed: Handed = serde_json::from_slice(&bytes).map_err(|_| not_understood())?;
    if !visit.is_ours(&handed.form_word) {
        return Err(PageError::NotOurForm.in_short());
    }
    let Handed { sheet_digest, sent_at, events, .. } = handed;
    let taken = take(&visit, id, &events, &sheet_digest, HandedIn::Sent(sent_at)).await;
    let taken = taken.map_err(|error| error.in_short())?;
    let Taken { log: TakenFieldLog { accepted, all, .. }, now } = taken;
    let kept: Vec<&str> = accepted.kept.iter().map(|event| event.id.as_str()).collect();
    let refused: Vec<Value> = accepted
        .refused
        .iter()
        .map(|it| json!({ "id": it.id, "why": words::refusal(it.why) }))
        .collect();
    Ok(json!({
        "kept": kept,
        "refused": refused,
        "events": all,
        "server_now": now,
        "skew_s": accepted.skew_s,
    }))
}

/// Whoever is not signed in keeps the log on the phone.
fn turned_away(why: TurnedAway) -> (StatusCode, String) {
    match why {
        TurnedAway::SignIn(_) | TurnedAway::FirstStart => {
            (StatusCode::UNAUTHORIZED, words::SIGNED_OUT.to_owned())
        }
        TurnedAway::Problem(error) => error.in_short(),
    }
}

/// A form of another site cannot call itself that without asking us first.
fn is_json(parts: &Parts) -> bool {
    let kind = parts.headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    let kind = kind.and_then(|kind| kind.split(';').next()).unwrap_or_default();
    kind.trim().eq_ignore_ascii_case("application/json")
}

/// What became of what was handed in.
struct Taken {
    log: TakenFieldLog,
    /// The studio's time.
    now: Timestamp,
}

/// Lets a log in, however it came.
async fn take(
    visit: &Visit,
    id: &str,
    events: &[Value],
    sheet_digest: &str,
    handed_in: HandedIn,
) -> Result<Taken, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    house.session(id).filter(|session| !session.is_erased()).ok_or(PageError::NotThere)?;
    let now = studio_time(app, handed_in);
    let received_at = app.clock.real();
    let taken = app.store.take_field_log(id, events, sheet_digest, handed_in, now, received_at);
    match taken.await {
        Ok(log) => Ok(Taken { log, now }),
        // Deleted or erased while the phone was sending.
        Err(StoreError::Conflict { .. }) => Err(PageError::NotThere),
        Err(error) => Err(error.into()),
    }
}

/// The studio's time, against which a phone's is held.
fn studio_time(app: &Shared, handed_in: HandedIn) -> Timestamp {
    let (HandedIn::Sent(phone) | HandedIn::Written(phone)) = handed_in;
    let now = app.clock.now();
    let ahead = phone.duration_since(now);
    let carried_on = SignedDuration::ZERO..=SignedDuration::from_hours(CARRIED_ON_H);
    if app.clock.is_set() && carried_on.contains(&ahead) { phone } else { now }
}

/// `POST /sessions/{id}/field/paste`: the log as text.
pub(crate) async fn paste(
    Path(id): Path<String>,
    Posted { visit, fields }: Posted,
) -> Result<Response, PageError> {
    let text = fields.text(FIELD_LOG);
    let LogText { sheet_digest, written_at, events, .. } = match read_log_text(text, &id) {
        Ok(log) => log,
        Err(problem) => {
            let body = html! {
                h1 { (words::NOT_TAKEN_IN) }
                p.wanting { (words::log_text_problem(&problem)) }
                (form(&visit, &id, text))
                p { (back(&id)) }
            };
            let page = page(&visit, Some(Section::Season), words::NOT_TAKEN_IN, &body);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let written = HandedIn::Written(written_at);
    let taken = take(&visit, &id, &events, &sheet_digest, written).await?;
    let TakenFieldLog { accepted, new, .. } = &taken.log;
    let Accepted { kept, refused, skew_s, corrected } = accepted;
    if refused.is_empty() && !corrected {
        return Ok(Redirect::to(&format!("/sessions/{id}?done=field-log#made")).into_response());
    }
    let body = html! {
        h1 { (words::TAKEN_IN) }
        p { (words::taken_in(kept.len(), *new, refused.len())) }
        ul.lines { @for it in refused { li { (words::refused_line(&it.id, it.why)) } } }
        @if *corrected { p { (words::clock_corrected(*skew_s)) } }
        p { (back(&id)) }
    };
    Ok(page(&visit, Some(Section::Season), words::TAKEN_IN, &body))
}

/// What was made, on the session's page, with the form for a log as text.
pub(crate) async fn made(
    visit: &Visit,
    house: &House,
    session: &Session,
) -> Result<Markup, PageError> {
    let log = visit.app.store.field_log(&session.id).await?;
    let record = FieldRecord::of(&log.events);
    let told = words::FieldTold {
        record: &record,
        spots: &house.studio.spots,
        zone: &house.zone,
        foreign_sheet: log.foreign_sheet,
        altered: !log.altered.is_empty(),
    };
    let lines = words::field_record_lines(&told);
    Ok(html! {
        section aria-labelledby="made" {
            h2 #made { (words::HEADING) }
            @if log.events.is_empty() && log.altered.is_empty() { p { (words::EMPTY) } }
            ul.lines { @for line in &lines { li { (line) } } }
            @if !log.events.is_empty() { (coverage(session, &record)) }
            @if !session.is_erased() {
                details {
                    summary { (words::PASTE) }
                    p { (words::PASTE_MEANS) }
                    (form(visit, &session.id, ""))
                }
            }
        }
    })
}

/// How varied each look is: those of the session, and others that were tapped.
fn coverage(session: &Session, record: &FieldRecord) -> Markup {
    html! {
        h3 { (words::COVERAGE) }
        ul.lines {
            @for look in record.looks(session) {
                @for line in words::coverage_lines(look, &record.coverage(look)) { li { (line) } }
            }
        }
    }
}

fn form(visit: &Visit, id: &str, text: &str) -> Markup {
    html! {
        form method="post" action=(format!("/sessions/{id}/field/paste")) {
            (visit.form_field())
            label for=(FIELD_LOG) { (words::PASTED) }
            textarea id=(FIELD_LOG) name=(FIELD_LOG) rows="4" required autocomplete="off" spellcheck="false" {
                // A parser drops the first line break of a text area.
                "\n" (text)
            }
            button { (words::TAKE_IN) }
        }
    }
}
