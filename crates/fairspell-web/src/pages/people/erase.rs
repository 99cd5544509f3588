//! A family that asks to be forgotten: what goes, what stays, and doing it.

use std::collections::BTreeSet;

use axum::{
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_studio::{Person, Role, Session};
use fairspell_words::screens::{people as words, shell};
use maud::html;

use crate::{
    drafts,
    error::PageError,
    fields::Fields,
    form_markup::Field,
    notices,
    page::{Section, page},
    skies::House,
    visit::{Posted, Visit},
};

/// Who is erased together.
#[derive(Debug)]
struct Family<'a> {
    sessions: Vec<&'a Session>,
    people: Vec<&'a Person>,
}

/// The family of a person or a session, by id.
///
/// Sessions belong together when one was moved from the other, or when they share a sitter or a
/// guardian. A companion is somebody's friend as well: he goes only when no other session has him.
fn family_of<'a>(house: &'a House, id: &str) -> Option<Family<'a>> {
    let person = house.people.iter().find(|person| person.id == id);
    let mut sessions: BTreeSet<&str> = match person {
        Some(person) => {
            let of_hers = house.sessions.iter().filter(|one| one.people.contains(&person.id));
            of_hers.map(|one| one.id.as_str()).collect()
        }
        None => [house.sessions.iter().find(|session| session.id == id)?.id.as_str()].into(),
    };
    let is_close = |id: &String| {
        house.people.iter().any(|person| person.id == *id && person.role != Role::Companion)
    };
    loop {
        let inside: Vec<&Session> =
            house.sessions.iter().filter(|one| sessions.contains(one.id.as_str())).collect();
        let belongs = |one: &&Session| {
            inside.iter().any(|known| {
                known.moved_from.as_deref() == Some(&one.id)
                    || one.moved_from.as_deref() == Some(&known.id)
                    || one.people.iter().any(|id| is_close(id) && known.people.contains(id))
            })
        };
        let found: Vec<&str> =
            house.sessions.iter().filter(belongs).map(|one| one.id.as_str()).collect();
        let before = sessions.len();
        sessions.extend(found);
        if sessions.len() == before {
            break;
        }
    }
    let (inside, outside): (Vec<&Session>, Vec<&Session>) =
        house.sessions.iter().partition(|one| sessions.contains(one.id.as_str()));
    let in_any =
        |of: &[&Session], person: &Person| of.iter().any(|s| s.people.contains(&person.id));
    let people = house.people.iter().filter(|one| {
        one.id == id
            || (in_any(&inside, one) && (one.role != Role::Companion || !in_any(&outside, one)))
    });
    Some(Family { people: people.collect(), sessions: inside })
}

/// `GET /people/{id}/erase`: what goes and what stays.
pub(crate) async fn ask_erase(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    erase_page(&visit, &id, &Fields::default())
}

fn erase_page(visit: &Visit, id: &str, fields: &Fields) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let family = family_of(house, id).ok_or(PageError::NotThere)?;
    let names: Vec<String> = family.people.iter().map(|person| person.name.clone()).collect();
    let body = html! {
        h1 { (words::ERASE_HEADING) }
        h2 { (words::GOES) }
        ul.lines {
            li { (words::goes_people(&names)) }
            @for session in &family.sessions {
                li { (words::goes_session(session)) ": " (words::family(session)) }
            }
            li { (words::GOES_TEXTS) }
            li { (words::GOES_CHANGES) }
        }
        h2 { (words::STAYS) }
        ul.lines {
            li { (words::STAYS_PROOF) }
            li { (words::STAYS_SESSIONS) }
            li { (words::STAYS_ELSEWHERE) }
        }
        form method="post" action=(format!("/people/{id}/erase")) {
            (visit.form_field())
            (Field::new(fields, "sure", words::SURE).tick())
            div.buttons {
                button.main { (words::ERASE_BUTTON) }
                a.button.plain href="/people" { (shell::BACK) }
            }
        }
    };
    Ok(page(visit, Some(Section::People), words::ERASE_HEADING, &body))
}

/// `POST /people/{id}/erase`.
pub(crate) async fn erase(
    Path(id): Path<String>,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    if !fields.ticked("sure") {
        fields.refuse("sure", words::SURE_WRONG);
        return erase_page(&visit, &id, &fields);
    }
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let family = family_of(house, &id).ok_or(PageError::NotThere)?;
    let sessions: Vec<&str> = family.sessions.iter().map(|session| session.id.as_str()).collect();
    let people: Vec<&str> = family.people.iter().map(|person| person.id.as_str()).collect();
    let now = app.clock.real();
    // First, so that the store's final sweep takes what stood there along.
    notices::forget(app, &sessions).await?;
    drafts::forget(app, &sessions).await?;
    drafts::forget(app, &sessions).await?;
    app.store.erase_family(&sessions, &people, words::ERASED_NAME, now).await?;
    app.look_again().await?;
    Ok(Redirect::to("/people?done=erased").into_response())
}
