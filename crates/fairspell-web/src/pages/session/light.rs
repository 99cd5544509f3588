//! The light plan of a session on a page of its own, to read and to print.

use axum::{extract::Path, response::Response};
use fairspell_words::screens::light_plan as words;
use maud::{Markup, html};

use super::back;
use crate::{
    error::PageError,
    figures::evening,
    light_plan::markup,
    page::{Section, page},
    visit::Visit,
};

/// `GET /sessions/{id}/light`.
pub(crate) async fn show(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let sky = visit.app.sky(&id).await?;
    let plan = plan(&visit, &id).await?;
    let heading = words::heading(&sky.session);
    let body = html! {
        h1 { (heading) }
        (evening(&visit, &sky))
        h2 { (words::HEADING) }
        (plan)
        p.quiet.on-screen { (words::PRINT_HINT) }
        p.on-screen { (back(&id)) }
    };
    Ok(page(&visit, Some(Section::Season), &heading, &body))
}

/// The plan, worked out beside the server's own work.
pub(crate) async fn plan(visit: &Visit, id: &str) -> Result<Markup, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let sky = visit.app.sky(id).await?;
    let drawn = tokio::task::spawn_blocking(move || markup(&house, &sky, sky.light_plan(&house)));
    drawn.await.map_err(PageError::ours)
}
