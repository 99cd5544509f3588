//! Now: what needs her today.

use std::sync::Arc;

use axum::response::{IntoResponse, Redirect, Response};
use fairspell_studio::{Agreement, GateKind, SourceState, agreed, next_gate, outlook::SourceKind};
use fairspell_words::{
    replies,
    screens::{now as words, session as session_words},
    standing_line,
};
use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};

use crate::{
    error::PageError,
    figures::{evening, small_evening},
    page::{Section, page},
    pages::field,
    skies::{House, Sky},
    visit::{Posted, Visit},
    watch::CONTACT,
};

/// Gates nearer than this are to be decided, hours.
const DECIDE_WITHIN_H: i64 = 48;
/// Sessions nearer than this stand on the page, days.
const SHOWN_DAYS: i64 = 15;

/// An answer that is waited for, or one that differs.
struct Waiting {
    session: String,
    letter: String,
    lines: Vec<String>,
}

/// `GET /`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let until = skies.as_of + SignedDuration::from_hours(24 * SHOWN_DAYS);
    let coming: Vec<&Arc<Sky>> =
        skies.coming().filter(|sky| sky.hours.window.from <= until).collect();
    let today = house.zone.to_datetime(skies.as_of).date();
    let to_come = house.sessions.iter().filter(|session| session.start.date() >= today);
    let unseen: Vec<_> = to_come.filter_map(|s| Some((s, skies.unseen(&s.id)?))).collect();
    let waiting = waiting(&visit, house, &coming).await?;
    let told = visit.app.store.last_told().await?;
    let channels = crate::telling::channels(&visit.app).await?;
    let contact: Option<String> = visit.app.store.setting(CONTACT).await?;
    let wants_contact = !visit.app.settings.is_demo && contact.is_none_or(|text| text.is_empty());
    let body = html! {
        h1 { (words::HEADING) }
        p.quiet { (words::as_of(skies.as_of, &house.zone)) }
        @for (session, why) in &unseen {
            p.wanting {
                a href=(format!("/sessions/{}", session.id)) { (session_words::heading(session)) } ". "
                (session_words::unseen(why))
            }
        }
        @if let Some((next, later)) = coming.split_first() {
            (next_evening(&visit, house, next, skies.as_of))
            (decisions(house, &coming, skies.as_of))
            @if !waiting.is_empty() {
                h2 { (words::ANSWERS) }
                ul.lines {
                    @for one in &waiting {
                        li { a href=(format!("/letters/{}", one.letter)) { (one.lines.join(" ")) } }
                    }
                }
            }
            @if !later.is_empty() {
                h2 { (words::AFTERWARDS) }
                (list(&visit, house, later))
            }
            h2 { (words::SOURCES) }
            (sources(house, next))
            @if wants_contact { p { a href="/studio/about" { (words::NO_CONTACT) } } }
        }
        @if coming.is_empty() && unseen.is_empty() {
            p { (words::NO_SESSION) }
        } @else {
            form method="post" action="/look-again" {
                (visit.form_field())
                button { (words::LOOK_AGAIN) }
            }
        }
        p { a.button href="/sessions/new" { (words::NEW_SESSION) } }
        h2 { (words::TOLD) }
        (crate::telling::last_told(house, told.as_ref(), &channels))
    };
    Ok(page(&visit, Some(Section::Now), words::HEADING, &body))
}

fn next_evening(visit: &Visit, house: &House, sky: &Sky, now: Timestamp) -> Markup {
    let zone = &house.zone;
    let line = standing_line(&sky.standing.ruling, &sky.standing.outlook, zone);
    html! {
        section {
            h2 {
                a href=(format!("/sessions/{}", sky.session.id)) {
                    (words::session_line(sky.hours.window.from, &sky.session.sitter, zone))
                }
            }
            p.large { (line) }
            @if house.is_on(&sky.session, now) { (field::day_links(&sky.session.id)) }
            (evening(visit, sky))
        }
    }
}

/// What to decide by when, the soonest first.
fn decisions(house: &House, coming: &[&Arc<Sky>], now: Timestamp) -> Markup {
    let until = now + SignedDuration::from_hours(DECIDE_WITHIN_H);
    let mut gates: Vec<_> = coming
        .iter()
        .filter_map(|sky| Some((next_gate(&sky.standing.gates, now)?, *sky)))
        .filter(|(gate, _)| gate.at <= until)
        .collect();
    gates.sort_by_key(|(gate, _)| gate.at);
    html! {
        h2 { (words::DECIDE) }
        @if gates.is_empty() { p { (words::NOTHING_TO_DECIDE) } }
        ul.lines {
            @for (gate, sky) in &gates {
                // At the last gate before the drive there is a page of its own.
                @let there = if gate.kind == GateKind::LeaveBy { "/leave" } else { "" };
                li {
                    a href=(format!("/sessions/{}{there}", sky.session.id)) {
                        (words::decide_by(gate, &sky.session.sitter, sky.standing.ruling.band, &house.zone))
                    }
                }
            }
        }
    }
}

/// Sessions with their small evenings.
pub(crate) fn list(visit: &Visit, house: &House, skies: &[&Arc<Sky>]) -> Markup {
    html! {
        ul.evenings {
            @for sky in skies {
                li {
                    a href=(format!("/sessions/{}", sky.session.id)) {
                        (words::session_line(sky.hours.window.from, &sky.session.sitter, &house.zone))
                    }
                    (small_evening(visit, sky))
                    p { (standing_line(&sky.standing.ruling, &sky.standing.outlook, &house.zone)) }
                }
            }
        }
    }
}

fn sources(house: &House, sky: &Sky) -> Markup {
    let outlook = &sky.standing.outlook;
    let kinds = [SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar];
    let is_wanting = |state: &SourceState| !state.is_sound();
    html! {
        ul.lines {
            @for kind in kinds {
                @let state = outlook.source(kind);
                li.wanting[is_wanting(state)] { (words::source(kind, state, &house.zone)) }
            }
        }
        @if kinds.iter().any(|kind| is_wanting(outlook.source(*kind))) {
            p { a href="/studio/sources" { (words::WHY_WANTING) } }
        }
    }
}

/// `POST /look-again`: fetches what may be fetched, and looks at the skies.
pub(crate) async fn look_again(Posted { visit, .. }: Posted) -> Result<Response, PageError> {
    visit.app.fetch_soon();
    visit.app.look_again().await?;
    Ok(Redirect::to("/?done=looked").into_response())
}

async fn waiting(
    visit: &Visit,
    house: &House,
    coming: &[&Arc<Sky>],
) -> Result<Vec<Waiting>, PageError> {
    let mut waiting = Vec::new();
    for sky in coming {
        let Some(letter) = visit.app.store.newest_letter(&sky.session.id).await? else { continue };
        let answers = visit.app.store.answers_of_letter(&letter.id).await?;
        let agreement = agreed(&answers, &letter.facts.sitter, &letter.facts.guardian);
        let is_open = letter.reply_by.is_some() && matches!(agreement, Agreement::Nobody);
        let differs = matches!(agreement, Agreement::Differ { .. });
        let one_of_two = letter.reply_by.is_some() && matches!(agreement, Agreement::One { .. });
        if is_open || differs || one_of_two {
            let lines = replies::agreement_lines(&agreement, &letter, &house.zone);
            waiting.push(Waiting { session: sky.session.sitter.clone(), letter: letter.id, lines });
        }
    }
    waiting.sort_by(|a, b| a.session.cmp(&b.session));
    Ok(waiting)
}
