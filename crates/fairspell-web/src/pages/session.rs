//! One session: this evening, where it stands and why, its letters.

pub(crate) mod alternatives;
pub(crate) mod leave;
pub(crate) mod light;
mod looks;

use axum::{
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_plan::Standing;
use fairspell_studio::{Agreement, Answer, Choice, LookSky, SentLetter, Session, agreed};
use fairspell_words::{
    replies,
    screens::{
        alternatives as alternative_words, leave as leave_words, light_plan as light_words,
        session as words, shell,
    },
    standing_line, the_sky, where_we_stand,
};
use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::{
    error::PageError,
    figures::{evening, grouped},
    page::{Section, page},
    pages::{field, field_log},
    skies::{House, Sky},
    visit::{Posted, Visit},
};

/// `GET /sessions/{id}`.
pub(crate) async fn show(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let store = &visit.app.store;
    let letters = store.letters_of(&id).await?;
    let answers = store.answers_of_session(&id).await?;
    if let (Some(why), Some(session)) = (skies.unseen(&id), house.session(&id)) {
        let record = record(&visit, house, session, &letters, &answers);
        let made = field_log::made(&visit, house, session).await?;
        return Ok(unseen(&visit, house, session, why, &html! { (record) (made) }));
    }
    let sky = &visit.app.sky(&id).await?;
    let outlook = &sky.standing.outlook;
    let is_over = skies.is_over(&sky.session);
    let body = html! {
        h1 { (words::heading(&sky.session)) }
        p.large { (standing_line(&sky.standing.ruling, outlook, &house.zone)) }
        @if is_over { p { (words::OVER) } }
        @if !is_over && house.is_on(&sky.session, skies.as_of) { (field::day_links(&id)) }
        (moves(house, &sky.session))
        (evening(&visit, sky))
        (stands(house, sky))
        @if house.moved_to(&sky.session).is_none() { (field::links(&id)) }
        @if !is_over {
            p { a href=(format!("/sessions/{id}/leave")) { (leave_words::LINK) } }
            p { a href=(format!("/sessions/{id}/alternatives")) { (alternative_words::LINK) } }
        }
        h2 { (light_words::HEADING) }
        (light::plan(&visit, &id).await?)
        p { a href=(format!("/sessions/{id}/light")) { (light_words::TO_PLAN) } }
        h2 { (words::LETTER) }
        (letter(house, sky))
        (record(&visit, house, &sky.session, &letters, &answers))
        (field_log::made(&visit, house, &sky.session).await?)
        (the_sky_lines(house, sky))
        p { a href=(format!("/sessions/{id}/radar")) { (words::RADAR) } }
        div.columns {
            section { h2 { (words::GATES) } (gates(house, sky, skies.as_of)) }
            section {
                h2 { (words::LOOKS) }
                (looks::list(house, &sky.session, looks::sky(house, sky)))
            }
        }
        (people(house, &sky.session))
        (remarks(sky))
    };
    Ok(page(&visit, Some(Section::Season), &words::heading(&sky.session), &body))
}

/// A session whose sky cannot be looked at: why, and what is known all the same.
fn unseen(visit: &Visit, house: &House, session: &Session, why: &str, record: &Markup) -> Response {
    let body = html! {
        h1 { (words::heading(session)) }
        p.wanting { (words::unseen(why)) }
        (moves(house, session))
        h2 { (words::LETTER) }
        (record)
        h2 { (words::LOOKS) }
        (looks::list(house, session, LookSky::default()))
        (people(house, session))
    };
    page(visit, Some(Section::Season), &words::heading(session), &body)
}

fn stands(house: &House, sky: &Sky) -> Markup {
    let Standing { outlook, ruling, .. } = &sky.standing;
    let (spots, zone) = (&house.studio.spots, &house.zone);
    html! {
        section.close aria-labelledby="stands" {
            h2 #stands { (words::WHERE_WE_STAND) }
            @for line in where_we_stand(ruling, outlook, spots, zone) { p { (line) } }
        }
    }
}

/// The sky, figure by figure under its hours, place, source and age; what was said above is left out.
fn the_sky_lines(house: &House, sky: &Sky) -> Markup {
    let Standing { outlook, ruling, .. } = &sky.standing;
    let (spots, zone) = (&house.studio.spots, &house.zone);
    let stands = where_we_stand(ruling, outlook, spots, zone);
    let said: Vec<String> =
        the_sky(outlook, spots, zone).into_iter().filter(|line| !stands.contains(line)).collect();
    html! {
        section aria-labelledby="sky" {
            h2 #sky { (words::THE_SKY) }
            (grouped(&said))
        }
    }
}

fn letter(house: &House, sky: &Sky) -> Markup {
    let address = format!("/sessions/{}/letter", sky.session.id);
    html! {
        @if house.moved_to(&sky.session).is_some() {
            p { (words::MOVED) }
        } @else if sky.session.sitter == fairspell_words::screens::first_start::SITTER {
            p { a.button href=(format!("/sessions/{}/edit", sky.session.id)) { (words::NAME_FIRST) } }
        } @else if let Some((_, letter)) = &sky.letter {
            p { (letter.subject) }
            p { a.button.main href=(address) { (words::OPEN_LETTER) } }
        } @else if sky.standing.ruling.band == fairspell_studio::Band::Unknown {
            p { (fairspell_words::NO_LETTER) }
        } @else {
            p { (fairspell_words::NOTHING_TO_TELL) }
        }
    }
}

/// Letters, the newest first, with what was answered and on what.
fn record(
    visit: &Visit,
    house: &House,
    session: &Session,
    letters: &[SentLetter],
    answers: &[Answer],
) -> Markup {
    html! {
        @if letters.is_empty() { p { (words::NO_LETTER_SENT) } }
        @for (index, letter) in letters.iter().enumerate() {
            @let own: Vec<Answer> =
                answers.iter().filter(|answer| answer.letter == letter.id).cloned().collect();
            @let agreement = agreed(&own, &letter.facts.sitter, &letter.facts.guardian);
            article.letter-sent {
                h3 {
                    a href=(format!("/letters/{}", letter.id)) {
                        (words::sent(letter.sent_at, &letter.subject, &house.zone))
                    }
                }
                @if index == 0 {
                    @for line in replies::agreement_lines(&agreement, letter, &house.zone) { p { (line) } }
                    (chosen_move(visit, house, session, &agreement))
                }
                ul.lines {
                    @for answer in &own { li { (replies::record_line(answer, letter, &house.zone)) } }
                }
            }
        }
    }
}

/// The move that the family chose, to be made in one tap.
pub(crate) fn chosen_move(
    visit: &Visit,
    house: &House,
    session: &Session,
    agreement: &Agreement,
) -> Markup {
    let chosen = match agreement {
        Agreement::Both { choice, .. } => Some(choice),
        // The adult consents and pays: the sitter's answer alone moves nothing.
        Agreement::One { answer, .. } if answer.who == session.guardian => Some(&answer.choice),
        Agreement::One { .. } | Agreement::Nobody | Agreement::Differ { .. } => None,
    };
    html! {
        @if let (Some(Choice::MoveTo { start }), None) = (chosen, house.moved_to(session)) {
            form method="post" action=(format!("/sessions/{}/move", session.id)) {
                (visit.form_field())
                input type="hidden" name="start" value=(start);
                button.main { (words::move_to(*start)) }
            }
        }
    }
}

/// Where the session was moved to or from.
fn moves(house: &House, session: &Session) -> Markup {
    html! {
        @if let Some(later) = house.moved_to(session) {
            p { (words::MOVED) " " a href=(format!("/sessions/{}", later.id)) { (words::TO_NEW_DATE) } }
        }
        @if let Some(earlier) = &session.moved_from {
            p { a href=(format!("/sessions/{earlier}")) { (words::FROM_OLD_DATE) } }
        }
    }
}

fn gates(house: &House, sky: &Sky, now: jiff::Timestamp) -> Markup {
    html! {
        ol.lines {
            @for gate in &sky.standing.gates {
                @let passed = gate.at <= now;
                li.quiet[passed] {
                    (words::gate(gate, &house.zone))
                    @if passed { " (" (words::PASSED) ")" }
                }
            }
        }
    }
}

/// The people of a session, and how to reach them in one tap.
pub(crate) fn reach(house: &House, session: &Session) -> Markup {
    html! {
        ul.lines {
            @for person in house.people_of(session) {
                li.reach {
                    a href=(format!("/people/{}", person.id)) { (person.name) }
                    @if let Some(phone) = &person.phone { a href=(tel(phone)) { (phone) } }
                    @if let Some(email) = &person.email { a href=(format!("mailto:{email}")) { (email) } }
                }
            }
        }
    }
}

/// RFC 3966: the digits alone, with the plus of a country's number.
fn tel(phone: &str) -> String {
    let digits: String = phone.chars().filter(|c| c.is_ascii_digit() || *c == '+').collect();
    format!("tel:{digits}")
}

fn people(house: &House, session: &Session) -> Markup {
    html! {
        h2 { (words::PEOPLE) }
        p { (words::particulars(session)) }
        (reach(house, session))
        p { a.button href=(format!("/sessions/{}/edit", session.id)) { (words::CHANGE) } }
    }
}

fn remarks(sky: &Sky) -> Markup {
    html! {
        @if !sky.remarks.is_empty() {
            details {
                summary { (words::REMARKS) }
                ul.lines { @for remark in &sky.remarks { li { (remark) } } }
            }
        }
    }
}

/// `POST /sessions/{id}/move`: the session gets a second life on another date.
///
/// It takes its people and looks along; the old date stays in the record.
pub(crate) async fn move_to(
    Path(id): Path<String>,
    Posted { visit, fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let session = house.sessions.iter().find(|one| one.id == id).ok_or(PageError::NotThere)?;
    let start: DateTime = fields
        .text("start")
        .parse()
        .map_err(|error: jiff::Error| PageError::BadRequest(error.to_string()))?;
    if let Some(known) = house.moved_to(session) {
        return Ok(Redirect::to(&format!("/sessions/{}", known.id)).into_response());
    }
    if let Some(other) = house.taken_by(session, start.date()) {
        return Err(PageError::Taken { by: other.sitter.clone() });
    }
    let moved = Session {
        id: new_id(house, session, start),
        start,
        moved_from: Some(session.id.clone()),
        ..session.clone()
    };
    moved.booked(&house.zone).map_err(|error| PageError::BadRequest(error.to_string()))?;
    let change = app.store.save_session(&moved, app.clock.real()).await?;
    app.look_again().await?;
    Ok(Redirect::to(&format!("/sessions/{}?saved={}", moved.id, change.0)).into_response())
}

/// The id on the new date: the old one with its date replaced.
pub(crate) fn new_id(house: &House, session: &Session, start: DateTime) -> String {
    let name = session.id.get(11..).filter(|name| !name.is_empty()).unwrap_or(&session.id);
    let id = format!("{}-{name}", start.date());
    let is_taken = |id: &str| house.sessions.iter().any(|one| one.id == id);
    if !is_taken(&id) {
        return id;
    }
    let numbered = (2..=house.sessions.len() + 2).map(|number| format!("{id}-{number}"));
    numbered.into_iter().find(|id| !is_taken(id)).unwrap_or(id)
}

/// By when the letter of a sky asks for an answer.
pub(crate) fn reply_by(house: &House, sky: &Sky) -> Option<jiff::Timestamp> {
    let (facts, _) = sky.letter.as_ref()?;
    facts.reply_by.and_then(|by| house.zone.to_timestamp(by).ok())
}

/// Where a form leads back to.
pub(crate) fn back(id: &str) -> Markup {
    html! { a href=(format!("/sessions/{id}")) { (shell::BACK) } }
}
