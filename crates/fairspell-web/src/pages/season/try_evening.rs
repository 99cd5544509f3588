//! One session on another evening: what would change, before anything is saved.

use std::collections::BTreeMap;

use axum::{
    extract::Query,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_figures::{Size, Theme, evening_svg, with_nonce};
use fairspell_plan::{
    evening::hours,
    redate::{Candidate, OutOfReach, RedateQuestion, Redating, candidate_on},
    season::can_move,
    season_standing::{SeasonStanding, p_everybody},
};
use fairspell_studio::Session;
use fairspell_words::{
    clock::date_and_clock,
    redate as told,
    screens::{season as words, shell},
    season_risk,
    time_left::time_left,
};
use jiff::civil::Date;
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use crate::{
    drawing::clear_evening,
    error::PageError,
    page::{Section, page},
    season_views::{rain_there, seen_at_places},
    visit::Visit,
};

/// Evenings are looked at so many days ahead at most.
pub(super) const HORIZON_DAYS: i64 = 400;

/// Which session, and which evening.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Asked {
    session: String,
    date: String,
}

/// `GET /season/try`.
pub(crate) async fn show(visit: Visit, Query(asked): Query<Asked>) -> Result<Response, PageError> {
    let app = visit.app.clone();
    let skies = app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let session = house.session(&asked.session).ok_or(PageError::NotThere)?.clone();
    if can_move(&house.sessions, &session, &house.zone, skies.as_of).is_err() {
        // That page says why.
        return Ok(Redirect::to(&format!("/season?moving={}", session.id)).into_response());
    }
    let date: Date = asked.date.parse().map_err(|_| PageError::Typed(words::DATE_WRONG))?;
    if date == session.start.date() {
        return Ok(Redirect::to(&format!("/sessions/{}", session.id)).into_response());
    }
    let today = house.zone.to_datetime(skies.as_of).date();
    let view = super::season(&app, &house, today).await?;
    let as_of = skies.as_of;
    let working = {
        let (house, session, view) = (house.clone(), session.clone(), view.clone());
        let data = app.settings.data.clone();
        move || {
            let seen = seen_at_places(&data, &house, std::slice::from_ref(&session.id), as_of);
            let rain = |there: &Session| rain_there(&house, &view, &seen, as_of, there);
            let question = RedateQuestion {
                studio: &house.studio,
                zone: &house.zone,
                sessions: &house.sessions,
                moving: vec![session.id.clone()],
                fixed: BTreeMap::new(),
                as_of,
                horizon_days: HORIZON_DAYS,
                rain: &rain,
            };
            let [from, to] = [session.start.date(), date]
                .map(|evening| candidate_on(&question, &session, evening));
            let after = to.as_ref().ok().and_then(|there| {
                let moved = moved(&session, there);
                let others = house.sessions.iter().filter(|other| other.id != session.id);
                let sessions: Vec<Session> = others.cloned().chain([moved]).collect();
                let climate = &view.climate;
                p_everybody(&house.studio, &sessions, today, climate, None).ok().flatten()
            });
            (from, to, after)
        }
    };
    let (from, to, after) = tokio::task::spawn_blocking(working).await.map_err(PageError::ours)?;
    let body = html! {
        h1 { (words::try_heading(&session.sitter, date)) }
        @match &to {
            Err(why) => (refused(why)),
            Ok(there) => {
                (changes(&visit, &house.zone, &house.studio, &session, from.as_ref().ok(), there))
                (season_change(view.standing.as_ref(), after))
                form method="post" action=(format!("/sessions/{}/move", session.id)) {
                    (visit.form_field())
                    input type="hidden" name="start" value=(there.start);
                    div.buttons {
                        button.main { (words::move_there(there.start)) }
                        a.button.plain href=(format!("/season?moving={}", session.id)) {
                            (words::ANOTHER_EVENING)
                        }
                    }
                }
            },
        }
        p { a href="/season" { (shell::BACK) } }
    };
    Ok(page(&visit, Some(Section::Season), words::HEADING, &body))
}

/// The session as it would stand there.
fn moved(session: &Session, there: &Candidate) -> Session {
    Session { start: there.start, ..session.clone() }
}

fn refused(why: &OutOfReach) -> Markup {
    html! { p role="alert" { (words::not_there(&told::out_of_reach(why))) } }
}

fn changes(
    visit: &Visit,
    zone: &jiff::tz::TimeZone,
    studio: &fairspell_studio::Studio,
    session: &Session,
    from: Option<&Candidate>,
    to: &Candidate,
) -> Markup {
    let column = |start, candidate: Option<&Candidate>| {
        let there = Session { start, ..session.clone() };
        let hours = hours(studio, zone, &there).ok();
        html! {
            h2 { (date_and_clock(start)) }
            @if let Some(hours) = hours {
                div.evening-small {
                    (PreEscaped(with_nonce(
                        &evening_svg(
                            &clear_evening(zone, hours.evening, hours.place, words::clear(start.date())),
                            Size::Small,
                            Theme::Auto,
                        ),
                        &visit.nonce,
                    )))
                }
            }
            @match candidate {
                Some(candidate) => {
                    ul.lines {
                        li { (told::rain(&candidate.rain, zone)) }
                        @if let Some(left) = &candidate.time_left { li { (time_left(left)) } }
                        @for permit in told::permits(studio, candidate) { li { (permit) } }
                        li { (told::costs(candidate)) }
                    }
                },
                None => p { (words::RULED_OUT) },
            }
        }
    };
    html! {
        div.then-and-now {
            section { (column(session.start, from)) }
            section { (column(to.start, Some(to))) }
        }
        p.quiet { (told::COSTS_MEAN) }
    }
}

fn season_change(before: Option<&SeasonStanding>, after: Option<f64>) -> Markup {
    html! {
        @if let Some((before, after)) = before.zip(after) {
            p { (season_risk::before_and_after(before.risk.p_all_delivered, after)) }
        }
    }
}

/// What a plan of moves is made of, for the page that shows it.
pub(super) fn chosen_starts(found: &Redating) -> Vec<(String, jiff::civil::DateTime)> {
    let moved = |index: usize| {
        let (date, candidate) = found.chosen(index)?;
        let session = found.sessions.get(index)?;
        (date != session.start.date()).then(|| (session.id.clone(), candidate.start))
    };
    (0..found.sessions.len()).filter_map(moved).collect()
}
