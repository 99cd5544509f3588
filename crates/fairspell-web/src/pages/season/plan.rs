//! One plan when a week washes out: looked at, changed, accepted.

use std::collections::BTreeMap;

use axum::{
    extract::Query,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_plan::{
    redate::{Candidate, OutOfReach, RedateQuestion, Redating, redate},
    season::{can_move, standing_sessions},
};
use fairspell_studio::{Band, Session};
use fairspell_words::{
    band_name,
    clock::date,
    redate as told,
    screens::{season as words, shell},
    time_left::time_left,
};
use jiff::{Timestamp, civil::Date};
use maud::{Markup, html};

use super::try_evening::chosen_starts;
use crate::{
    error::PageError,
    page::{Section, page},
    pages::session::new_id,
    season_views::{rain_there, seen_at_places},
    skies::{House, Skies},
    visit::{Posted, Visit},
};

/// Evenings are looked at so many days ahead.
const HORIZON_DAYS: i64 = 42;

/// Sessions that may be re-dated together are shown so many days ahead.
const SHOWN_DAYS: i32 = 21;

/// `GET /season/plan`: which sessions, and with `session=` in the address the plan for them.
pub(crate) async fn show(
    visit: Visit,
    Query(sent): Query<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let wanted: Vec<String> =
        sent.iter().filter(|(name, _)| name == "session").map(|(_, id)| id.clone()).collect();
    let fixed = fixed(&sent);
    let is_asked = sent.iter().any(|(name, _)| name == "ask");
    let mut refused = Vec::new();
    let mut moving = Vec::new();
    for id in &wanted {
        let Some(session) = house.session(id) else {
            refused.push(words::NO_SUCH_SESSION.to_owned());
            continue;
        };
        match can_move(&house.sessions, session, &house.zone, skies.as_of) {
            Ok(()) => moving.push(id.clone()),
            Err(why) => refused.push(told::cannot_move(&session.sitter, why)),
        }
    }
    if is_asked && wanted.is_empty() {
        refused.push(words::CHOOSE_ONE.to_owned());
    }
    let plan = if moving.is_empty() { None } else { Some(planned(&visit, &moving, &fixed).await?) };
    let body = html! {
        h1 { (words::PLAN) }
        p { (words::PLAN_MEANS) }
        @for why in &refused { p role="alert" { (why) } }
        (choice(&house, &skies, &wanted, is_asked))
        @if let Some(found) = &plan { (markup(&visit, &house, found, &fixed)) }
        p { a href="/season" { (shell::BACK) } }
    };
    Ok(page(&visit, Some(Section::Season), words::PLAN, &body))
}

/// Evenings that she has fixed herself: `on-ID=DATE`.
fn fixed(sent: &[(String, String)]) -> BTreeMap<String, Date> {
    let fix = |(name, value): &(String, String)| {
        Some((name.strip_prefix("on-")?.to_owned(), value.parse().ok()?))
    };
    sent.iter().filter_map(fix).collect()
}

/// The plan, worked out beside the server's own work.
async fn planned(
    visit: &Visit,
    wanted: &[String],
    fixed: &BTreeMap<String, Date>,
) -> Result<Redating, PageError> {
    let app = visit.app.clone();
    let skies = app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let as_of = skies.as_of;
    let view = super::season(&app, &house, house.zone.to_datetime(as_of).date()).await?;
    let (wanted, fixed) = (wanted.to_vec(), fixed.clone());
    let working = move || {
        let seen = seen_at_places(&app.settings.data, &house, &wanted, as_of);
        let rain = |there: &Session| rain_there(&house, &view, &seen, as_of, there);
        redate(&RedateQuestion {
            studio: &house.studio,
            zone: &house.zone,
            sessions: &house.sessions,
            moving: wanted,
            fixed,
            as_of,
            horizon_days: HORIZON_DAYS,
            rain: &rain,
        })
    };
    tokio::task::spawn_blocking(working).await.map_err(PageError::ours)
}

/// Which sessions: those that must or should move are ticked.
fn choice(house: &House, skies: &Skies, wanted: &[String], is_asked: bool) -> Markup {
    let today = house.zone.to_datetime(skies.as_of).date();
    let is_near = |session: &&Session| {
        let ahead = today.until(session.start.date()).map_or(i32::MAX, |span| span.get_days());
        let can_move = can_move(&house.sessions, session, &house.zone, skies.as_of).is_ok();
        let is_shown = (0..=SHOWN_DAYS).contains(&ahead) && skies.of(&session.id).is_some();
        can_move && (is_shown || wanted.contains(&session.id))
    };
    let near: Vec<&Session> = standing_sessions(&house.sessions).filter(is_near).collect();
    let band = |session: &Session| skies.of(&session.id).map(|sky| sky.standing.ruling.band);
    let is_at_risk =
        |session: &Session| matches!(band(session), Some(Band::AdviseMoving | Band::MustMove));
    let is_ticked = |session: &Session| {
        if is_asked { wanted.contains(&session.id) } else { is_at_risk(session) }
    };
    html! {
        @if near.is_empty() {
            p { (words::NONE_NEAR) }
        } @else {
            form action="/season/plan#plan" {
                input type="hidden" name="ask" value="yes";
                fieldset {
                    legend { (words::WHICH) }
                    @for session in &near {
                        @let id = format!("move-{}", session.id);
                        div.field.tick {
                            input type="checkbox" id=(id) name="session" value=(session.id)
                                checked[is_ticked(session)];
                            label for=(id) {
                                (words::session(session.start, &session.sitter))
                                @if let Some(band) = band(session) { ": " (band_name(band)) }
                            }
                        }
                    }
                }
                div.buttons { button.main { (words::FIND_PLAN) } }
            }
        }
    }
}

fn markup(
    visit: &Visit,
    house: &House,
    found: &Redating,
    fixed: &BTreeMap<String, Date>,
) -> Markup {
    let moves = match &found.moves {
        Ok(moves) => moves,
        Err(why) => {
            return html! {
                section #plan {
                    h2 { (words::NO_PLAN) }
                    p role="status" { (told::no_plan(found, why)) }
                    form action="/season/plan#plan" {
                        input type="hidden" name="ask" value="yes";
                        @for (index, session) in found.sessions.iter().enumerate() {
                            input type="hidden" name="session" value=(session.id);
                            h3 { (told::looks_in_vain(&session.sitter)) }
                            ul.lines {
                                @for line in told::refusals(found, index) { li { (line) } }
                            }
                            (other_evening(found, index, session, fixed))
                        }
                        div.buttons { button { (words::WEIGH_AGAIN) } }
                    }
                }
            };
        }
    };
    let starts = chosen_starts(found);
    html! {
        section #plan {
            h2 { (words::THE_PLAN) }
            p role="status" { (told::whole(moves)) }
            form action="/season/plan#plan" {
                input type="hidden" name="ask" value="yes";
                ol.offered {
                    @for (index, session) in found.sessions.iter().enumerate() {
                        li {
                            input type="hidden" name="session" value=(session.id);
                            (card(house, found, index, session))
                            (other_evening(found, index, session, fixed))
                        }
                    }
                }
                div.buttons { button { (words::WEIGH_AGAIN) } }
            }
            @if let Some(second) = told::second_best(found) { p { (second) } }
            p.quiet { (told::COSTS_MEAN) }
            @if starts.is_empty() {
                p { (words::NOTHING_MOVES) }
            } @else {
                form method="post" action="/season/plan" {
                    (visit.form_field())
                    @for (id, start) in &starts {
                        input type="hidden" name="session" value=(id);
                        input type="hidden" name="start" value=(start);
                    }
                    div.buttons { button.main { (words::accept(starts.len())) } }
                    p.quiet { (words::ACCEPT_MEANS) }
                }
            }
        }
    }
}

fn card(house: &House, found: &Redating, index: usize, session: &Session) -> Markup {
    let spare = found.spares.get(index).copied().flatten();
    html! {
        @if let Some((evening, candidate)) = found.chosen(index) {
            h3 { (told::chosen(&session.sitter, candidate, evening == session.start.date())) }
            p.quiet { (words::booked(session.start)) }
            @if let Some(why) = told::reason(found, index) { p { (why) } }
            ul.lines {
                li { (told::rain(&candidate.rain, &house.zone)) }
                li { (told::costs(candidate)) }
                @if let Some(left) = &candidate.time_left { li { (time_left(left)) } }
                @for permit in told::permits(&house.studio, candidate) { li { (permit) } }
                li { (told::spare(spare, candidate.way)) }
            }
        } @else {
            h3 { (words::without_date(&session.sitter)) }
        }
    }
}

/// The evenings that it could have instead, with what they cost; the others with why not.
fn other_evening(
    found: &Redating,
    index: usize,
    session: &Session,
    fixed: &BTreeMap<String, Date>,
) -> Markup {
    let name = format!("on-{}", session.id);
    let rows: Vec<(&Date, &Result<Candidate, OutOfReach>)> =
        found.evenings.iter().zip(&found.candidates[index]).collect();
    let kept = fixed.get(&session.id);
    html! {
        div.field {
            label for=(name) { (words::OTHER_EVENING) }
            select id=(name) name=(name) {
                option value="" { (words::WHATEVER_IS_BEST) }
                @for (evening, candidate) in &rows {
                    @match candidate {
                        Ok(candidate) => {
                            option value=(evening) selected[kept == Some(*evening)] {
                                (words::option(**evening, candidate.costs.total()))
                            }
                        },
                        Err(why) => {
                            option value=(evening) disabled selected[kept == Some(*evening)] {
                                (date(**evening)) ": " (told::out_of_reach(why))
                            }
                        },
                    }
                }
            }
        }
    }
}

/// `POST /season/plan`: all of the plan, or nothing where an evening was taken meanwhile.
pub(crate) async fn accept(Posted { visit, fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let mut moved: Vec<Session> = Vec::new();
    for (id, start) in fields.all("session").zip(fields.all("start")) {
        let session = house.session(id).ok_or(PageError::NotThere)?;
        let start: jiff::civil::DateTime =
            start.parse().map_err(|_| PageError::Typed(words::DATE_WRONG))?;
        if can_move(&house.sessions, session, &house.zone, skies.as_of).is_err() {
            return Err(PageError::Typed(words::CANNOT_MOVE_NOW));
        }
        let taken = house.taken_by(session, start.date());
        // An evening that another session of this plan gives up is free.
        let gives_up = |other: &Session| fields.all("session").any(|moving| moving == other.id);
        if let Some(other) = taken.filter(|other| !gives_up(other)) {
            return Err(PageError::Taken { by: other.sitter.clone() });
        }
        if let Some(other) = moved.iter().find(|other| other.start.date() == start.date()) {
            return Err(PageError::Taken { by: other.sitter.clone() });
        }
        let there = Session {
            id: new_id(house, session, start),
            start,
            moved_from: Some(session.id.clone()),
            ..session.clone()
        };
        there.booked(&house.zone).map_err(|error| PageError::BadRequest(error.to_string()))?;
        moved.push(there);
    }
    app.store.import(&[], &moved, "a plan", real_now(&visit)).await?;
    app.look_again().await?;
    Ok(Redirect::to("/season?done=planned").into_response())
}

fn real_now(visit: &Visit) -> Timestamp {
    visit.app.clock.real()
}
