//! The radar around a session's place, with what is likely to come.

use axum::{
    extract::{Path, Query},
    response::Response,
};
use fairspell_figures::{LoopWidth, Theme, rain_loop_svg, with_nonce};
use fairspell_studio::{SourceState, outlook::SourceKind};
use fairspell_words::screens::{radar as words, session as session_words};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use crate::{
    drawing::{Drawn, rain_loop},
    error::PageError,
    page::{Section, page},
    pages::session::back,
    skies::{House, Looker, Skies, Sky},
    visit::Visit,
};

/// Which picture is asked for; without it the newest that was measured.
#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    frame: Option<String>,
}

/// `GET /sessions/{id}/radar`.
pub(crate) async fn show(
    visit: Visit,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    let frame = asked.frame.and_then(|frame| frame.parse().ok());
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let sky = visit.app.sky(&id).await?;
    let app = visit.app.clone();
    let (drawn_house, drawn_sky) = (house.clone(), sky.clone());
    let drawn = tokio::task::spawn_blocking(move || {
        drawn_sky.rain_loop(|| draw(&drawn_house, &drawn_sky, app.looker.coast.as_deref())).cloned()
    })
    .await
    .map_err(PageError::ours)?;
    let body = html! {
        h1 { (words::HEADING) }
        p { (session_words::heading(&sky.session)) }
        @match drawn {
            Some(drawn) => (loop_markup(&visit, &drawn, frame)),
            None => p.large { (why_none(&sky)) },
        }
        p.quiet { (words::BLIND) }
        p { (back(&id)) }
    };
    Ok(page(&visit, Some(Section::Season), words::HEADING, &body))
}

/// A drawn loop: both widths, and what its pictures are called.
#[derive(Debug, Clone)]
pub(crate) struct DrawnLoop {
    wide: String,
    narrow: String,
    labels: Vec<String>,
    newest: usize,
}

/// Draws the rain loops of all sessions that radar speaks of, so that their pages need not.
pub(crate) fn draw_loops(skies: &Skies, looker: &Looker) {
    let Some(house) = skies.house.as_deref() else { return };
    for sky in skies.coming().filter(|sky| sky.seen.radar.is_some()) {
        sky.rain_loop(|| draw(house, sky, looker.coast.as_deref()));
    }
}

fn draw(
    house: &House,
    sky: &Sky,
    coast: Option<&[Vec<fairspell_ground::LatLon>]>,
) -> Option<DrawnLoop> {
    let drawn = Drawn {
        studio: &house.studio,
        zone: &house.zone,
        session: &sky.session,
        standing: &sky.standing,
    };
    let rain = rain_loop(drawn, sky.seen.radar.as_ref()?, coast)?;
    Some(DrawnLoop {
        wide: rain_loop_svg(&rain, LoopWidth::Wide, Theme::Auto),
        narrow: rain_loop_svg(&rain, LoopWidth::Narrow, Theme::Auto),
        newest: rain.frames.iter().rposition(|frame| !frame.is_coming).unwrap_or(0),
        labels: rain.frames.into_iter().map(|frame| frame.label).collect(),
    })
}

fn loop_markup(visit: &Visit, drawn: &DrawnLoop, asked: Option<usize>) -> Markup {
    let shown = asked.filter(|frame| *frame < drawn.labels.len()).unwrap_or(drawn.newest);
    let inline = |svg: &str| {
        let svg =
            if shown == drawn.newest { svg.to_owned() } else { moved(svg, drawn.newest, shown) };
        PreEscaped(with_nonce(&svg, &visit.nonce))
    };
    html! {
        div.rain-loop data-rain-loop="" {
            figure {
                div.wide { (inline(&drawn.wide)) }
                div.narrow { (inline(&drawn.narrow)) }
            }
            div.buttons {
                button data-play=(words::PLAY) data-stop=(words::STOP) hidden { (words::PLAY) }
            }
            ol.frames aria-label=(words::FRAMES) {
                @for (number, label) in drawn.labels.iter().enumerate() {
                    li {
                        a href=(format!("?frame={number}")) data-show-frame=(number)
                            aria-current=[(number == shown).then_some("true")] { (label) }
                    }
                }
            }
        }
        p { (words::COMING_MEANS) }
    }
}

/// Shows another picture of a drawn loop, as the script would.
fn moved(svg: &str, from: usize, to: usize) -> String {
    const HIDDEN: &str = " data-off=\"\">";
    let mut moved = svg.to_owned();
    for (frame, is_shown) in [(from, false), (to, true)] {
        let tag = format!("<g data-frame=\"{frame}\"");
        let Some(start) = moved.find(&tag) else { continue };
        let Some(end) = moved[start..].find('>').map(|end| start + end + 1) else { continue };
        let opening = moved[start..end].replace(HIDDEN, ">");
        let opening = if is_shown { opening } else { opening.replace('>', HIDDEN) };
        moved.replace_range(start..end, &opening);
    }
    moved
}

fn why_none(sky: &Sky) -> &'static str {
    match sky.standing.outlook.source(SourceKind::Radar) {
        SourceState::NoneHere => words::NO_SERVICE,
        SourceState::NotYet => words::TOO_EARLY,
        _ => words::NONE,
    }
}
