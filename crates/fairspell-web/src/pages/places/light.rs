//! A spot's light: on any date as an evening, through the year as a picture; and what the sun was seen
//! to do there.

use std::sync::Arc;

use axum::{
    extract::{Path, Query},
    response::Response,
};
use fairspell_almanac::{Sighting, SightingKind, sun_day, with_sightings};
use fairspell_figures::{MapWidth, Size, Theme, evening_svg, with_nonce, year_svg};
use fairspell_plan::{MinuteLight, SpotDay};
use fairspell_studio::Spot;
use fairspell_words::screens::{forms, spot_light as words};
use jiff::{Timestamp, ToSpan, civil, tz::AmbiguousOffset};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use super::keep;
use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    page::{Section, page},
    skies::House,
    spot_drawing::{golden_and_blue, spot_evening, year_figure},
    visit::{Posted, Visit},
};

/// Which date is asked for; without it the studio's today.
#[derive(Debug, Deserialize)]
pub(crate) struct Asked {
    date: Option<String>,
}

/// `GET /places/{id}/light`.
pub(crate) async fn show(
    visit: Visit,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let today = house.zone.to_datetime(visit.app.clock.now()).date();
    let typed = asked.date.unwrap_or_default();
    let mut fields = Fields::of([("date", typed.clone())]);
    let date = match fields.may("date", words::DATE_WRONG, |text| text.parse().ok()) {
        Some(date) => date.unwrap_or(today),
        None => today,
    };
    let seen = Fields::of([("seen", "left"), ("on", &date.to_string())]);
    light_page(&visit, &id, date, &fields, &seen).await
}

/// - `asked`, `seen`: the two forms of the page.
async fn light_page(
    visit: &Visit,
    id: &str,
    date: civil::Date,
    asked: &Fields,
    seen: &Fields,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let spot = house.studio.spot(id).ok_or(PageError::NotThere)?;
    let year = year(visit, &house, spot, date.year()).await?;
    let day = year.iter().find(|day| day.date == date).ok_or(PageError::NotThere)?;
    let days_without_tide = year.iter().filter(|day| day.is_tide_missing).count();
    let (evening, year_picture) = {
        let (visit, house, spot) = (visit.clone(), house.clone(), spot.clone());
        let (day, year) = (day.clone(), year.clone());
        let drawn = tokio::task::spawn_blocking(move || {
            (evening(&visit, &house, &spot, &day), year_picture(&visit, &spot, date, &year))
        });
        drawn.await.map_err(PageError::ours)?
    };
    let heading = words::heading(&spot.name);
    let body = html! {
        h1 { (heading) }
        (steps(id, date, asked))
        (evening)
        h2 { (words::THAT_DAY) }
        (facts(&house, spot, day))
        h2 { (words::YEAR) }
        @if year.iter().all(|day| day.last_usable_min.is_none()) {
            p.large { (words::NEVER_USABLE) }
        }
        (year_picture)
        @if days_without_tide > 0 { p { (words::days_without_tide(days_without_tide)) } }
        (sighting_form(visit, id, seen))
        p { a href=(format!("/places/{id}")) { (words::TO_SPOT) } }
    };
    Ok(page(visit, Some(Section::Places), &heading, &body))
}

/// The year of a spot, worked out beside the server's own work, and remembered.
async fn year(
    visit: &Visit,
    house: &Arc<House>,
    spot: &Spot,
    year: i16,
) -> Result<Arc<Vec<SpotDay>>, PageError> {
    let (app, house, spot) = (visit.app.clone(), house.clone(), spot.clone());
    let year = tokio::task::spawn_blocking(move || app.spot_years.year(&house, &spot, year));
    year.await.map_err(PageError::ours)
}

fn steps(id: &str, date: civil::Date, asked: &Fields) -> Markup {
    let at = |days: i64| date.checked_add(days.days()).ok();
    let address = |date: civil::Date| format!("/places/{id}/light?date={date}");
    let rel = |days: i64| match days {
        -1 => Some("prev"),
        1 => Some("next"),
        _ => None,
    };
    let typed = asked.filled("date").map_or_else(|| date.to_string(), str::to_owned);
    html! {
        nav.buttons aria-label=(words::ANOTHER_DATE) {
            @for (days, label) in words::STEPS {
                @if let Some(date) = at(days) {
                    a.button.plain href=(address(date)) rel=[rel(days)] { (label) }
                }
            }
        }
        form method="get" action=(format!("/places/{id}/light")) {
            (Field::new(asked, "date", words::DATE).value(&typed).hint(words::KEYS).input(Input::Date))
            button { (words::LOOK) }
        }
    }
}

fn evening(visit: &Visit, house: &House, spot: &Spot, day: &SpotDay) -> Markup {
    let Some(evening) = spot_evening(&house.zone, spot, day) else { return html! {} };
    let drawn =
        |size| PreEscaped(with_nonce(&evening_svg(&evening, size, Theme::Auto), &visit.nonce));
    html! {
        figure.evening {
            div.wide { (drawn(Size::Large)) }
            div.narrow { (drawn(Size::Narrow)) }
        }
    }
}

fn facts(house: &House, spot: &Spot, day: &SpotDay) -> Markup {
    let zone = &house.zone;
    let sun = sun_day(day.date, zone, spot.position);
    let direct: Vec<(u16, u16)> = joined(day, |light| light >= MinuteLight::LowSun);
    let phases = golden_and_blue(&house.studio.policy, zone, spot, day.date);
    let has_limit = spot.site.tide.is_some();
    html! {
        ul.lines {
            li { (words::sun_on_the_spot(&direct)) }
            li { (words::rise_and_set(sun.sunrise.timestamp(), sun.sunset.timestamp(), zone)) }
            @for (is_golden, spans) in &phases {
                @if let Some(line) = words::phase(*is_golden, spans, zone) { li { (line) } }
            }
            li { (words::last_light(day.last_usable_min)) }
            @if has_limit && !day.is_tide_missing { li { (words::flooded(&day.flooded)) } }
        }
        @if day.is_tide_missing {
            p { (words::TIDE_MISSING) " " a href="/studio/tide" { (words::TO_TIDE) } }
        } @else if has_limit {
            p.quiet { (words::TIDE_CAUTION) }
        }
    }
}

/// Minutes of a day whose light is of some kind, neighbours joined.
fn joined(day: &SpotDay, holds: impl Fn(MinuteLight) -> bool) -> Vec<(u16, u16)> {
    let mut spans: Vec<(u16, u16)> = Vec::new();
    for run in day.light.iter().filter(|run| holds(run.light)) {
        match spans.last_mut() {
            Some((_, to)) if *to == run.from_min => *to = run.to_min,
            _ => spans.push((run.from_min, run.to_min)),
        }
    }
    spans
}

fn year_picture(visit: &Visit, spot: &Spot, date: civil::Date, year: &[SpotDay]) -> Markup {
    let figure = year_figure(spot, date, year);
    let drawn =
        |width| PreEscaped(with_nonce(&year_svg(&figure, width, Theme::Auto), &visit.nonce));
    html! {
        figure.evening {
            div.wide { (drawn(MapWidth::Wide)) }
            div.narrow { (drawn(MapWidth::Narrow)) }
        }
    }
}

fn sighting_form(visit: &Visit, id: &str, fields: &Fields) -> Markup {
    let kinds = [("left", words::LEFT), ("came", words::CAME)];
    html! {
        h2 { (words::SIGHTING) }
        p { (words::SIGHTING_MEANS) }
        form method="post" action=(format!("/places/{id}/sighting")) {
            (visit.form_field())
            (mistakes(fields))
            (Field::new(fields, "seen", words::SAW).select(&kinds))
            (Field::new(fields, "on", words::SAW_DATE).needed().input(Input::Date))
            (Field::new(fields, "at", words::SAW_TIME).needed().input(Input::Time))
            div.buttons { button.main { (fairspell_words::screens::shell::SAVE) } }
        }
    }
}

/// `POST /places/{id}/sighting`.
pub(crate) async fn sighting(
    Path(id): Path<String>,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let mut studio = visit.app.store.studio().await?.ok_or(PageError::NotThere)?;
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let spot = studio.spots.iter_mut().find(|spot| spot.id == id).ok_or(PageError::NotThere)?;
    let date = fields.need("on", words::DATE_WRONG, |text| text.parse::<civil::Date>().ok());
    let sighting = date.and_then(|date| read_sighting(&mut fields, house, date));
    let skyline = sighting.and_then(|sighting| {
        let put_right = with_sightings(&spot.skyline, spot.position, &[sighting]);
        if put_right.is_err() {
            fields.refuse("at", words::NO_SUN);
        }
        put_right.ok()
    });
    let Some(skyline) = skyline else {
        let shown = date.unwrap_or_else(|| house.zone.to_datetime(visit.app.clock.now()).date());
        return light_page(&visit, &id, shown, &Fields::default(), &fields).await;
    };
    spot.skyline = skyline;
    let date = date.map(|date| format!("?date={date}")).unwrap_or_default();
    keep(&visit.app, &studio, &format!("/places/{id}/light{date}")).await
}

fn read_sighting(fields: &mut Fields, house: &House, date: civil::Date) -> Option<Sighting> {
    let kind = fields.need("seen", forms::CHOOSE, |text| match text {
        "left" => Some(SightingKind::Left),
        "came" => Some(SightingKind::Came),
        _ => None,
    });
    let with_seconds = |text: &str| civil::Time::strptime("%H:%M:%S", text).ok();
    let time = fields.need("at", forms::TIME, |text| {
        civil::Time::strptime("%H:%M", text).ok().or_else(|| with_seconds(text))
    })?;
    let ambiguous = house.zone.to_ambiguous_timestamp(date.to_datetime(time));
    if matches!(ambiguous.offset(), AmbiguousOffset::Gap { .. }) {
        fields.refuse("at", words::NO_SUCH_TIME);
        return None;
    }
    let at: Timestamp = ambiguous.compatible().ok()?;
    Some(Sighting { at, kind: kind? })
}
