//! The radar around a session's place, with what is likely to come.

use axum::{
    extract::{Path, Query},
    response::Response,
};
use fairspell_figures::{LoopFrame, MapWidth, Theme, chance_map_svg, rain_loop_svg, with_nonce};
use fairspell_studio::{SourceState, outlook::SourceKind};
use fairspell_words::screens::{radar as words, session as session_words};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use crate::{
    drawing::{Drawn, chance_map, rain_loop},
    error::PageError,
    page::{Section, page},
    pages::session::back,
    rain_here::rain_here_lines,
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

/// A drawn loop and the chances of the next hour, both in both widths, and what the loop's pictures
/// are called.
#[derive(Debug, Clone)]
pub(crate) struct DrawnLoop {
    wide: String,
    narrow: String,
    frames: Vec<Frame>,
    newest: usize,
    /// Wide and narrow.
    chances: Option<[String; 2]>,
    /// What is told of the place itself.
    here: Vec<String>,
}

/// A picture of a loop.
#[derive(Debug, Clone)]
struct Frame {
    label: String,
    words: String,
    is_coming: bool,
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
    let radar = sky.seen.radar.as_ref()?;
    let rain = rain_loop(drawn, radar, coast)?;
    let chances = chance_map(drawn, radar, coast);
    let frame = |frame: LoopFrame| Frame {
        is_coming: frame.is_coming(),
        label: frame.label,
        words: frame.words,
    };
    Some(DrawnLoop {
        here: rain_here_lines(drawn, radar),
        wide: rain_loop_svg(&rain, MapWidth::Wide, Theme::Auto),
        narrow: rain_loop_svg(&rain, MapWidth::Narrow, Theme::Auto),
        newest: rain.frames.iter().rposition(|frame| !frame.is_coming()).unwrap_or(0),
        frames: rain.frames.into_iter().map(frame).collect(),
        chances: chances.map(|map| {
            [MapWidth::Wide, MapWidth::Narrow].map(|width| chance_map_svg(&map, width, Theme::Auto))
        }),
    })
}

fn loop_markup(visit: &Visit, drawn: &DrawnLoop, asked: Option<usize>) -> Markup {
    let shown = asked.filter(|frame| *frame < drawn.frames.len()).unwrap_or(drawn.newest);
    let inline = |svg: &str| {
        let svg =
            if shown == drawn.newest { svg.to_owned() } else { moved(svg, drawn.newest, shown) };
        PreEscaped(with_nonce(&svg, &visit.nonce))
    };
    html! {
        @if !drawn.here.is_empty() {
            section aria-labelledby="here" {
                h2 #here { (words::HERE) }
                ul { @for line in &drawn.here { li { (line) } } }
            }
        }
        div.rain-loop data-rain-loop="" {
            figure {
                div.wide { (inline(&drawn.wide)) }
                div.narrow { (inline(&drawn.narrow)) }
            }
            div.buttons {
                button data-play=(words::PLAY) data-stop=(words::STOP) hidden { (words::PLAY) }
            }
            @for (is_coming, kind) in [(false, words::SEEN), (true, words::COMING)] {
                @let of_kind = || drawn.frames.iter().enumerate().filter(move |(_, frame)| frame.is_coming == is_coming);
                @if of_kind().next().is_some() {
                    p.frames-kind id=(frames_id(is_coming)) { (kind) }
                    ol.frames.coming[is_coming] aria-labelledby=(frames_id(is_coming)) {
                        @for (number, frame) in of_kind() {
                            li {
                                a href=(format!("?frame={number}"))
                                    aria-label=(format!("{}, {}", frame.label, frame.words))
                                    data-show-frame=(number)
                                    aria-current=[(number == shown).then_some("true")] { (frame.label) }
                            }
                        }
                    }
                }
            }
        }
        p { (words::COMING_MEANS) }
        @if let Some([wide, narrow]) = &drawn.chances {
            section.rain-loop aria-labelledby="next-hour" {
                h2 #next-hour { (words::NEXT_HOUR) }
                figure {
                    div.wide { (PreEscaped(with_nonce(wide, &visit.nonce))) }
                    div.narrow { (PreEscaped(with_nonce(narrow, &visit.nonce))) }
                }
                p { (words::NEXT_HOUR_MEANS) }
            }
        }
    }
}

fn frames_id(is_coming: bool) -> &'static str {
    if is_coming { "frames-coming" } else { "frames-seen" }
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
