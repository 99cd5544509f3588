//! Every route on one page. Read this first.

use axum::{
    Router,
    extract::DefaultBodyLimit,
    middleware,
    routing::{get, post},
};
use std::time::Duration;
use tower_http::{compression::CompressionLayer, timeout::TimeoutLayer};

use crate::{
    app::Shared,
    assets,
    error::PageError,
    guard::guard,
    pages::{
        calendar, changes, demo_clock, family, field, field_log, first_start, letter, now, offers,
        people, places, radar, season, session, session_edit, sign_in, studio,
    },
    self_check,
};

/// The longest form of a guest, bytes.
const GUEST_BYTES: usize = 64 << 10;
/// The longest form of somebody signed in, bytes: a photograph with its position, a list of bookings.
const UPLOAD_BYTES: usize = 40 << 20;
/// The longest log of a phone, bytes: far more than an evening of taps with their notes.
const FIELD_LOG_BYTES: usize = 4 << 20;
/// No answer takes longer than this.
const TIMEOUT: Duration = Duration::from_mins(1);

/// The router over a studio.
pub fn router(app: Shared) -> Router {
    let hers = Router::new()
        .route("/", get(now::show))
        .route("/look-again", post(now::look_again))
        .route("/clock", post(demo_clock::set))
        .route("/changes/{change}/undo", post(changes::undo))
        .route("/season", get(season::show))
        .route("/season/import", get(season::import::show).post(season::import::save))
        .route("/season/try", get(season::try_evening::show))
        .route("/season/plan", get(season::plan::show).post(season::plan::accept))
        .route("/season/climate", get(season::climate::show).post(season::climate::change))
        .route("/season/offers", get(offers::show))
        .route("/sessions/new", get(session_edit::new))
        .route("/sessions", post(session_edit::create))
        .route("/sessions/{id}", get(session::show))
        .route("/sessions/{id}/edit", get(session_edit::edit).post(session_edit::save))
        .route("/sessions/{id}/delete", post(session_edit::delete))
        .route("/sessions/{id}/move", post(session::move_to))
        .route("/sessions/{id}/letter", get(letter::draft).post(letter::post_draft))
        .route("/sessions/{id}/light", get(session::light::show))
        .route("/sessions/{id}/field", get(field::show))
        .route("/sessions/{id}/field/sheet", get(field::sheet))
        .route("/sessions/{id}/field/file", get(field::file))
        .route("/sessions/{id}/leave", get(session::leave::show).post(session::leave::tick))
        .route("/sessions/{id}/alternatives", get(session::alternatives::show))
        .route(
            "/sessions/{id}/field/log",
            post(field_log::log).layer(DefaultBodyLimit::max(FIELD_LOG_BYTES)),
        )
        .route(
            "/sessions/{id}/field/paste",
            post(field_log::paste).layer(DefaultBodyLimit::max(FIELD_LOG_BYTES)),
        )
        .route("/sessions/{id}/radar", get(radar::show))
        .route("/letters/{id}", get(letter::sent))
        .route("/letters/{id}/answers", post(letter::record))
        .route("/places", get(places::show).post(places::create))
        .route("/places/new", get(places::new))
        .route("/places/{id}", get(places::edit).post(places::save))
        .route("/places/{id}/light", get(places::light::show))
        .route("/places/{id}/sighting", post(places::light::sighting))
        .route("/places/{id}/delete", post(places::delete))
        .route("/people", get(people::show).post(people::create))
        .route("/people/new", get(people::new))
        .route("/people/{id}", get(people::edit).post(people::save))
        .route("/people/{id}/delete", post(people::delete))
        .route("/people/{id}/erase", get(people::ask_erase).post(people::erase))
        .route("/studio", get(studio::show))
        .route("/studio/about", get(studio::about::edit).post(studio::about::save))
        .route("/studio/week", get(studio::week::edit).post(studio::week::save))
        .route("/studio/season", get(studio::season::edit).post(studio::season::save))
        .route("/studio/tide", get(studio::tide::edit).post(studio::tide::save))
        .route("/studio/policy", get(studio::policy::edit).post(studio::policy::save))
        .route("/studio/looks", get(studio::looks::edit).post(studio::looks::save))
        .route("/studio/sources", get(studio::sources::edit).post(studio::sources::save))
        .route("/studio/telling", get(studio::telling::edit).post(studio::telling::save))
        .route("/studio/telling/push", post(studio::telling::subscribe))
        .route("/studio/telling/test", post(studio::telling::test))
        .route("/studio/sign-ins", get(studio::sign_ins::show).post(studio::sign_ins::end))
        .route("/studio/passphrase", post(studio::sign_ins::passphrase))
        .route("/studio/backups", get(studio::backups::show).post(studio::backups::make))
        .route("/studio/journal", get(studio::journal::show))
        .route("/sign-out", post(sign_in::leave))
        .layer(DefaultBodyLimit::max(UPLOAD_BYTES));
    let guests = Router::new()
        .route("/sign-in", get(sign_in::show).post(sign_in::enter))
        .route("/start", get(first_start::show).post(first_start::begin))
        .route("/start/map", post(first_start::map))
        .route("/f/{token}", get(family::show).post(family::answer))
        .route("/calendar/{token}", get(calendar::feed))
        .route("/self-check/{word}", get(self_check::answer))
        .route("/static/{name}", get(assets::serve))
        .route("/worker.js", get(assets::worker))
        .layer(DefaultBodyLimit::max(GUEST_BYTES));
    hers.merge(guests)
        .fallback(async || PageError::NotThere)
        .layer(CompressionLayer::new())
        .layer(TimeoutLayer::with_status_code(axum::http::StatusCode::SERVICE_UNAVAILABLE, TIMEOUT))
        // The outermost, so that what the others answer carries its headers too.
        .layer(middleware::from_fn_with_state(app.clone(), guard))
        .with_state(app)
}
