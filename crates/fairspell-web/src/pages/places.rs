//! Places: the spots with their two ratings, on a map and as a list; making, changing, deleting one.

mod form;
pub(crate) mod light;
mod site_form;
mod touch_map;

use axum::{
    extract::{Path, Query},
    response::{IntoResponse, Redirect, Response},
};
use fairspell_figures::with_nonce;
use fairspell_ground::LatLon;
use fairspell_studio::{Session, Spot, Studio};
use fairspell_words::screens::{places as words, shell, spot_light};
use maud::{Markup, PreEscaped, html};

use self::touch_map::Touched;
use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    page::{Section, page},
    place_map::View,
    skies::House,
    spelled_id::spelled_id,
    visit::{Posted, Visit},
};

/// The map's two sizes: what shows it, and how wide it is, pixels.
const MAP_PX: [(&str, f64); 2] = [("wide", 464.0), ("narrow", 328.0)];
/// Spots farther from home than this do not make the map smaller, km.
const MAP_REACH_KM: f64 = 100.0;
/// The map is never narrower than this, km: spots on one street need a coast to be told by.
const MAP_LEAST_KM: f64 = 4.0;

/// `GET /places`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let studio = &house.studio;
    let body = html! {
        h1 { (words::HEADING) }
        p { a.button href="/places/new" { (words::NEW) } }
        @if studio.spots.is_empty() {
            p { (words::NO_SPOT) }
        } @else {
            div.columns {
                ul.lines { @for spot in &studio.spots { li { (line(studio, spot)) } } }
                (map(&visit, studio))
            }
        }
    };
    Ok(page(&visit, Some(Section::Places), words::HEADING, &body))
}

fn line(studio: &Studio, spot: &Spot) -> Markup {
    html! {
        a href=(format!("/places/{}", spot.id)) { (spot.name) }
        p {
            (words::dry_under(spot.cover)) br;
            (words::safe_in_thunder(spot.refuge.as_ref()))
        }
        p.quiet {
            (words::wind(&spot.wind)) br;
            @if spot.shore { (words::ON_THE_SHORE) br; }
            (words::from_home(studio.home.distance_km(spot.position)))
        }
        p { a href=(format!("/places/{}/light", spot.id)) { (spot_light::TO_LIGHT) } }
    }
}

/// The spots around home.
fn map(visit: &Visit, studio: &Studio) -> Markup {
    let reach_km = studio
        .spots
        .iter()
        .map(|spot| studio.home.distance_km(spot.position))
        .filter(|km| *km <= MAP_REACH_KM)
        .fold(0.0, f64::max);
    // Room for the names at the edges.
    let width_km = (2.6 * reach_km).max(MAP_LEAST_KM);
    let view = View { centre: studio.home, width_km, aspect: 1.0 };
    let spots: Vec<(LatLon, String)> =
        studio.spots.iter().map(|spot| (spot.position, spot.name.clone())).collect();
    let coast = visit.app.looker.coast.as_deref();
    let drawn = |width_px: f64| {
        let description = words::map_description(studio.spots.len(), width_km);
        let svg = view.svg(width_px, coast, &spots, (words::MAP.to_owned(), description));
        PreEscaped(with_nonce(&svg, &visit.nonce))
    };
    html! {
        // The style sheet shows one size of whatever stands in such a figure.
        figure.evening {
            @for (size, width_px) in MAP_PX { div.(size) { (drawn(width_px)) } }
            figcaption.quiet { (words::MAP_CROSS) }
        }
    }
}

/// `GET /places/new`.
pub(crate) async fn new(
    visit: Visit,
    Query(touched): Query<Touched>,
) -> Result<Response, PageError> {
    let point = touched.point();
    Ok(new_page(&visit, &form::empty(point), point))
}

/// - `point`: chosen on the map.
fn new_page(visit: &Visit, fields: &Fields, point: Option<LatLon>) -> Response {
    let skies = visit.app.skies();
    let coast = visit.app.looker.coast.as_deref();
    let body = html! {
        h1 { (words::NEW_HEADING) }
        @if let Some(house) = &skies.house { (touch_map::markup(&house.studio, point, coast)) }
        (form::markup(visit, "/places", fields))
    };
    page(visit, Some(Section::Places), words::NEW_HEADING, &body)
}

/// `POST /places`.
pub(crate) async fn create(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let Some(read) = form::read(&mut fields) else { return Ok(new_page(&visit, &fields, None)) };
    let mut studio = visit.app.store.studio().await?.ok_or(PageError::NotThere)?;
    let id = spelled_id(&read.name, "spot", |id| studio.spot(id).is_some());
    studio.spots.push(Spot { id, ..read });
    keep(&visit.app, &studio, "/places").await
}

/// `GET /places/{id}`.
pub(crate) async fn edit(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let spot = house.studio.spot(&id).ok_or(PageError::NotThere)?;
    Ok(edit_page(&visit, spot, &form::filled(spot)))
}

fn edit_page(visit: &Visit, spot: &Spot, fields: &Fields) -> Response {
    let here = format!("/places/{}", spot.id);
    let body = html! {
        h1 { (spot.name) }
        p { a href=(format!("{here}/light")) { (spot_light::TO_LIGHT) } }
        (form::markup(visit, &here, fields))
        form method="post" action=(format!("{here}/delete")) {
            (visit.form_field())
            h2 { (shell::DELETE) }
            p { (words::DELETE_MEANS) }
            button { (words::DELETE) }
        }
    };
    page(visit, Some(Section::Places), &spot.name, &body)
}

/// `POST /places/{id}`.
pub(crate) async fn save(
    Path(id): Path<String>,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let mut studio = visit.app.store.studio().await?.ok_or(PageError::NotThere)?;
    let spot = studio.spots.iter_mut().find(|spot| spot.id == id).ok_or(PageError::NotThere)?;
    let Some(read) = form::read(&mut fields) else {
        return Ok(edit_page(&visit, spot, &fields));
    };
    *spot = Spot { id, ..read };
    keep(&visit.app, &studio, "/places").await
}

/// `POST /places/{id}/delete`: refused while a session has a look there.
pub(crate) async fn delete(
    Path(id): Path<String>,
    Posted { visit, .. }: Posted,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let spot = house.studio.spot(&id).ok_or(PageError::NotThere)?;
    let sessions = sessions_at(house, &id);
    if !sessions.is_empty() {
        return Ok(in_use_page(&visit, spot, &sessions));
    }
    let mut studio = visit.app.store.studio().await?.ok_or(PageError::NotThere)?;
    studio.spots.retain(|spot| spot.id != id);
    keep(&visit.app, &studio, "/places").await
}

fn sessions_at<'a>(house: &'a House, id: &str) -> Vec<&'a Session> {
    let has_look_there = |session: &&Session| session.looks.iter().any(|look| look.spot == id);
    house.sessions.iter().filter(has_look_there).collect()
}

fn in_use_page(visit: &Visit, spot: &Spot, sessions: &[&Session]) -> Response {
    let body = html! {
        h1 { (words::IN_USE) }
        p.large { (spot.name) }
        p { (words::IN_USE_MEANS) }
        ul.lines {
            @for session in sessions {
                li {
                    a href=(format!("/sessions/{}/edit", session.id)) {
                        (words::session_there(session))
                    }
                }
            }
        }
        p { a href="/places" { (words::TO_PLACES) } }
    };
    page(visit, Some(Section::Places), words::IN_USE, &body)
}

/// Saves the studio and goes to a page, where it can be undone.
async fn keep(app: &Shared, studio: &Studio, to: &str) -> Result<Response, PageError> {
    let change = app.store.save_studio(studio, app.clock.real()).await?;
    app.look_again().await?;
    let joint = if to.contains('?') { '&' } else { '?' };
    Ok(Redirect::to(&format!("{to}{joint}saved={change}")).into_response())
}
