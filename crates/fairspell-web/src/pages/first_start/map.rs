//! The map on which a place is chosen: the world, a region, a town, each a touch.
//!
//! The pictures are buttons (`<input type="image">`), so that a touch arrives as pixels, whatever the
//! browser is allowed to run. Pixels are those of the picture as it is shown, hence its two fixed
//! sizes, of which the style sheet shows the one that fits.

use std::sync::LazyLock;

use axum::response::{IntoResponse, Redirect, Response};
use base64::{Engine, engine::general_purpose::STANDARD};
use fairspell_ground::LatLon;
use fairspell_words::screens::{first_start as words, places as place_words};
use maud::{Markup, html};
use serde::Deserialize;

use super::{starting::StartingPosted, to_tonight};
use crate::{error::PageError, place_map::View};

/// How near the map has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Level {
    #[default]
    World,
    Region,
    Town,
}

impl Level {
    fn name(self) -> &'static str {
        match self {
            Level::World => "world",
            Level::Region => "region",
            Level::Town => "town",
        }
    }

    fn of(name: &str) -> Level {
        [Level::Region, Level::Town].into_iter().find(|l| l.name() == name).unwrap_or_default()
    }

    /// Each is some 15 times nearer than the one before, so that a finger on a small screen hits
    /// what it means.
    fn width_km(self) -> f64 {
        match self {
            Level::World => 40_030.0,
            Level::Region => 2600.0,
            Level::Town => 160.0,
        }
    }

    fn told(self) -> &'static str {
        match self {
            Level::World => words::MAP_WORLD,
            Level::Region => words::MAP_REGION,
            Level::Town => words::MAP_TOWN,
        }
    }
}

/// The size in which a map is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sheet {
    Wide,
    Narrow,
}

impl Sheet {
    fn name(self) -> &'static str {
        match self {
            Sheet::Wide => "wide",
            Sheet::Narrow => "narrow",
        }
    }

    /// The narrow one fits the smallest telephone.
    fn width_px(self) -> f64 {
        match self {
            Sheet::Wide => 600.0,
            Sheet::Narrow => 288.0,
        }
    }

    fn aspect(self, level: Level) -> f64 {
        match (level, self) {
            (Level::World, _) => 2.0,
            (_, Sheet::Wide) => 1.5,
            (_, Sheet::Narrow) => 1.0,
        }
    }
}

/// The last map: a few kilometres, to see whether it is the place.
const PLACE_KM: f64 = 20.0;

fn middle_of_the_world() -> Option<LatLon> {
    LatLon::new(0.0, 0.0).ok()
}

fn view_of(near: &str, level: Level, sheet: Sheet) -> Option<(Level, View)> {
    let (level, centre) = match near.parse() {
        Ok(centre) if level != Level::World => (level, centre),
        _ => (Level::World, middle_of_the_world()?),
    };
    let (width_km, aspect) = (level.width_km(), sheet.aspect(level));
    Some((level, View { centre, width_km, aspect }))
}

/// The map as two forms, of which the style sheet shows one.
pub(super) fn forms(near: &str, level: Level) -> Markup {
    html! {
        // The style sheet shows one size of whatever stands in such a figure.
        figure.evening {
            @for sheet in [Sheet::Wide, Sheet::Narrow] {
                @if let Some((level, view)) = view_of(near, level, sheet) {
                    form.map.(sheet.name()) method="post" action="/start/map" {
                        p { (level.told()) }
                        input type="hidden" name="near" value=(view.centre);
                        input type="hidden" name="level" value=(level.name());
                        input type="hidden" name="sheet" value=(sheet.name());
                        input type="image" name="at" alt=(words::map_title(view.width_km))
                            width=(sheet.width_px()) height=(sheet.width_px() / view.aspect)
                            src=(source(level, view, sheet));
                    }
                }
            }
        }
        @if level != Level::World { p { a href="/start#map" { (words::MAP_WIDER) } } }
    }
}

/// A small map around a place, to see that it is the one.
pub(super) fn picture(place: LatLon) -> Markup {
    let view = View { centre: place, width_km: PLACE_KM, aspect: 1.5 };
    let width = Sheet::Narrow.width_px();
    html! {
        img alt=(words::map_title(PLACE_KM)) width=(width) height=(width / view.aspect)
            src=(drawn(view, width));
    }
}

/// The world is drawn once.
fn source(level: Level, view: View, sheet: Sheet) -> String {
    static WORLD: LazyLock<[String; 2]> = LazyLock::new(|| {
        [Sheet::Wide, Sheet::Narrow].map(|sheet| {
            let world = view_of("", Level::World, sheet);
            world.map_or_else(String::new, |(_, view)| drawn(view, sheet.width_px()))
        })
    });
    match (level, sheet) {
        (Level::World, Sheet::Wide) => WORLD[0].clone(),
        (Level::World, Sheet::Narrow) => WORLD[1].clone(),
        _ => drawn(view, sheet.width_px()),
    }
}

/// The picture itself as an address.
fn drawn(view: View, width_px: f64) -> String {
    let position = place_words::position(view.centre.lat_deg(), view.centre.lon_deg());
    let words = (words::map_title(view.width_km), words::map_description(&position));
    // On the map of the whole world names would hide the land.
    let towns = if view.width_km > 10_000.0 { Vec::new() } else { view.towns() };
    let svg = view.svg(width_px, None, &towns, words);
    format!("data:image/svg+xml;base64,{}", STANDARD.encode(svg))
}

/// `POST /start/map`: comes nearer, and with the third touch knows the place.
pub(crate) async fn choose(
    StartingPosted { fields, .. }: StartingPosted,
) -> Result<Response, PageError> {
    let sheet = if fields.text("sheet") == "wide" { Sheet::Wide } else { Sheet::Narrow };
    let bad = || PageError::BadRequest("no point of the map".to_owned());
    let (level, view) =
        view_of(fields.text("near"), Level::of(fields.text("level")), sheet).ok_or_else(bad)?;
    let pixel = |name: &str| fields.text(name).parse::<u32>().ok().map(f64::from);
    let (x, y) = pixel("at.x").zip(pixel("at.y")).unwrap_or_default();
    let near = view.centre;
    if x == 0.0 && y == 0.0 {
        // So a browser sends a button that was pressed by keyboard.
        let level = level.name();
        let again = format!("/start?near={near}&level={level}&untouched=true#map");
        return Ok(Redirect::to(&again).into_response());
    }
    let width = sheet.width_px();
    let point = view.point(x / width, y / (width / view.aspect)).ok_or_else(bad)?;
    let nearer = match level {
        Level::World => Level::Region,
        Level::Region => Level::Town,
        Level::Town => return Ok(to_tonight(rounded(point))),
    };
    let (point, nearer) = (rounded(point), nearer.name());
    Ok(Redirect::to(&format!("/start?near={point}&level={nearer}#map")).into_response())
}

/// To a thousandth of a degree: a finger is no finer.
fn rounded(point: LatLon) -> LatLon {
    let round = |degrees: f64| (degrees * 1000.0).round() / 1000.0;
    LatLon::new(round(point.lat_deg()), round(point.lon_deg())).unwrap_or(point)
}
