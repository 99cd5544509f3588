//! Studio: its parts, each on a page of its own, and here their list.

pub(crate) mod about;
pub(crate) mod backups;
pub(crate) mod journal;
pub(crate) mod looks;
pub(crate) mod policy;
pub(crate) mod season;
pub(crate) mod sign_ins;
pub(crate) mod sources;
pub(crate) mod telling;
pub(crate) mod tide;
pub(crate) mod week;

use axum::response::{IntoResponse, Redirect, Response};
use fairspell_studio::Studio;
use fairspell_words::screens::{studio as words, telling as telling_words};
use maud::{Markup, html};

use crate::{
    app::Shared,
    error::PageError,
    page::{Section, page},
    visit::{Notice, Visit},
};

/// `GET /studio`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let (studio, zone) = (&house.studio, &house.zone);
    let sign_ins = app.store.sign_ins(app.clock.real()).await?;
    let channels = crate::telling::channels(app).await?;
    let newest_backup = backups::made(app).await?.first().and_then(|made| made.made_at);
    let newest_entry = app.store.journal_entries(1, 0).await?;
    let parts = [
        ("about", words::about::HEADING, words::about_line(studio)),
        ("week", words::week::HEADING, words::week_line(&studio.week, studio.blackouts.len())),
        (
            "season",
            words::season::HEADING,
            words::season::line(
                studio.policy.season.sold_a_week_max,
                studio.policy.season.worked_a_week_max,
                studio.season.deadlines.len(),
            ),
        ),
        ("tide", words::tide::HEADING, tide::line(studio, zone)),
        ("policy", words::policy::HEADING, words::policy_line(&studio.policy)),
        ("looks", words::looks::HEADING, words::looks::line(&studio.look_table)),
        ("sources", words::sources::HEADING, sources::line(app).await?),
        ("telling", telling_words::HEADING, words::telling_line(channels.line())),
        ("sign-ins", words::sign_ins::HEADING, words::sign_ins_line(sign_ins.len())),
        ("backups", words::backups::HEADING, words::backups_line(newest_backup, zone)),
        (
            "journal",
            words::journal::HEADING,
            words::journal_line(newest_entry.first().map(|kept| kept.entry.seq)),
        ),
    ];
    let body = html! {
        h1 { (words::HEADING) }
        ul.lines {
            @for (part, heading, line) in &parts {
                li {
                    a href=(format!("/studio/{part}")) { (heading) }
                    p.quiet { (line) }
                }
            }
        }
        @if visit.sign_in.is_some() {
            form method="post" action="/sign-out" {
                (visit.form_field())
                button { (fairspell_words::screens::sign_in::SIGN_OUT) }
            }
        }
    };
    Ok(page(&visit, Some(Section::Studio), words::HEADING, &body))
}

/// The page of a part, with what was just done and the way back.
fn part(visit: &Visit, heading: &str, body: &Markup) -> Response {
    let done = match &visit.notice {
        Some(Notice::Done(word)) => words::done(word),
        _ => None,
    };
    let body = html! {
        h1 { (heading) }
        @if let Some(done) = done { div.notice role="status" { p { (done) } } }
        (body)
        p { a href="/studio" { (words::TO_STUDIO) } }
    };
    page(visit, Some(Section::Studio), heading, &body)
}

/// Saves the studio and goes back to the part that changed it, where it can be undone.
async fn keep(app: &Shared, studio: &Studio, part: &str) -> Result<Response, PageError> {
    let change = app.store.save_studio(studio, app.clock.real()).await?;
    app.look_again().await?;
    Ok(Redirect::to(&format!("/studio/{part}?saved={change}")).into_response())
}

/// Back to a part, with a word about what was done.
fn done(part: &str, word: &str) -> Response {
    Redirect::to(&format!("/studio/{part}?done={word}")).into_response()
}
