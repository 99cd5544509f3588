//! Season: weeks as rows of evenings, what is at risk, and the ways to change it.

pub(crate) mod climate;
pub(crate) mod import;
pub(crate) mod plan;
pub(crate) mod try_evening;
mod weeks;

use std::sync::Arc;

use axum::{extract::Query, response::Response};
use fairspell_plan::{radar_climate::radar_record, season::can_move};
use fairspell_words::{
    redate::cannot_move,
    screens::{offers, season as words},
    season_risk,
};
use jiff::{Timestamp, civil::Date};
use maud::{Markup, html};
use serde::Deserialize;

use crate::{
    app::Shared,
    error::PageError,
    page::{Section, page},
    season_views::SeasonView,
    skies::House,
    visit::Visit,
};

/// What the address asks.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    /// A session that looks for another evening, by id.
    moving: Option<String>,
}

/// `GET /season`.
pub(crate) async fn show(visit: Visit, Query(asked): Query<Asked>) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let today = house.zone.to_datetime(skies.as_of).date();
    let view = season(&visit.app, &house, today).await?;
    let moving = match &asked.moving {
        Some(id) => Some(house.session(id).ok_or(PageError::NotThere)?),
        None => None,
    };
    let refused = moving.and_then(|session| {
        let why = can_move(&house.sessions, session, &house.zone, skies.as_of).err()?;
        Some(cannot_move(&session.sitter, why))
    });
    let moving = moving.filter(|_| refused.is_none());
    let body = html! {
        h1 { (words::HEADING) }
        div.buttons {
            a.button.main href="/sessions/new" { (words::NEW) }
            a.button href="/season/offers" { (offers::HEADING) }
            a.button href="/season/plan" { (words::PLAN) }
            a.button href="/season/import" { (words::IMPORT) }
        }
        @if let Some(why) = &refused { p role="alert" { (why) } }
        @if let Some(session) = moving {
            div.moving role="status" {
                p { (words::moving(&session.sitter, session.start)) }
                p { a.button href="/season" { (words::MOVING_NOT) } }
            }
        } @else {
            (at_risk(&house, &view))
        }
        (weeks::weeks(&visit, &house, &skies, &view, moving))
        (weeks::behind(&house, &skies))
    };
    Ok(page(&visit, Some(Section::Season), words::HEADING, &body))
}

/// The season from a day on; worked out beside the server's own work.
pub(crate) async fn season(
    app: &Shared,
    house: &Arc<House>,
    today: Date,
) -> Result<Arc<SeasonView>, PageError> {
    if let Some(known) = app.season_views.known(&app.settings.data, house, today) {
        return Ok(known);
    }
    let mut radar = Vec::new();
    for spot in &house.studio.spots {
        let figures = app.store.radar_figures(&spot.id, Timestamp::MIN, Timestamp::MAX).await?;
        radar.extend(radar_record(spot, &figures));
    }
    let (app, house) = (app.clone(), house.clone());
    let working = move || app.season_views.work_out(&app.settings.data, &house, today, radar);
    tokio::task::spawn_blocking(working).await.map_err(PageError::ours)
}

/// How the season stands, in a few sentences.
fn at_risk(house: &House, view: &SeasonView) -> Markup {
    let terms = &house.studio.policy.season;
    html! {
        section {
            h2 { (words::AT_RISK) }
            @if let Some(standing) = &view.standing {
                p { strong { (season_risk::season_line(&standing.risk, standing.until)) } }
                ul.lines {
                    @if let Some(best) = standing.helpful.first() {
                        li { (season_risk::helps_most(best, standing.risk.p_all_delivered)) }
                    }
                    @if let Some(room) = &standing.room {
                        li { (season_risk::room(room, terms.risk_max_percent)) }
                    }
                    @if !standing.ahead.left_out.is_empty() {
                        li { (season_risk::left_out(&sitters(house, &standing.ahead.left_out))) }
                    }
                    li {
                        (season_risk::method(&standing.risk.method)) " "
                        (season_risk::rests_on(&view.climate.voice)) " "
                        a href="/season/climate" { (words::TO_CLIMATE) }
                    }
                    @for remark in &view.remarks { li { (remark) } }
                }
            } @else {
                p { (words::NOTHING_AHEAD) }
            }
        }
    }
}

fn sitters<'a>(house: &'a House, ids: &[String]) -> Vec<&'a str> {
    ids.iter().filter_map(|id| house.session(id)).map(|one| one.sitter.as_str()).collect()
}
