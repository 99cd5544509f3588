//! People: families, what they were told last and answered; one person.

mod erase;
mod reach;

use std::collections::BTreeSet;

use axum::{
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_studio::{Answer, Person, Role, SentLetter, Session, agreed};
use fairspell_words::{
    replies,
    screens::{people as words, session as session_words},
};
use maud::{Markup, html};

use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes, save_or_back},
    page::{Section, page},
    skies::House,
    spelled_id::spelled_id,
    visit::{Posted, Visit},
};

use reach::phone_number;
pub(crate) use {
    erase::{ask_erase, erase},
    reach::{email_address, plain_name},
};

const ROLES: [Role; 3] = [Role::Sitter, Role::Guardian, Role::Companion];

/// A session's letters with what was answered to each, the newest first.
type Record = Vec<(SentLetter, Vec<Answer>)>;

/// `GET /people`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let (mut coming, mut over) = (Vec::new(), Vec::new());
    let is_shown = |session: &&Session| {
        house.moved_to(session).is_none() && session.sitter != words::ERASED_NAME
    };
    for session in house.sessions.iter().filter(is_shown) {
        let told = told_last(&visit.app, &chain(house, session)).await?;
        let shown = family(house, session, told.as_ref());
        if skies.is_over(session) { over.push(shown) } else { coming.push(shown) }
    }
    // The evening that was last stands first.
    over.reverse();
    let in_sessions: BTreeSet<&String> =
        house.sessions.iter().flat_map(|session| &session.people).collect();
    let without: Vec<&Person> =
        house.people.iter().filter(|person| !in_sessions.contains(&person.id)).collect();
    let body = html! {
        h1 { (words::HEADING) }
        p { a.button href="/people/new" { (words::NEW) } }
        @if coming.is_empty() && over.is_empty() && without.is_empty() { p { (words::NOBODY) } }
        @for (heading, families) in [(words::COMING, &coming), (words::OVER, &over)] {
            @if !families.is_empty() {
                h2 { (heading) }
                ul.lines { @for one in families { li { (one) } } }
            }
        }
        @if !without.is_empty() {
            h2 { (words::WITHOUT_SESSION) }
            ul.lines { @for person in &without { li { (person_line(person)) } } }
        }
    };
    Ok(page(&visit, Some(Section::People), words::HEADING, &body))
}

fn family(house: &House, session: &Session, told: Option<&(SentLetter, Vec<Answer>)>) -> Markup {
    let name = words::family(session);
    html! {
        h3 { a href=(format!("/sessions/{}", session.id)) { (name) } }
        @if house.people_of(session).next().is_some() {
            ul { @for person in house.people_of(session) { li { (person_line(person)) } } }
        }
        @match told {
            None => p { (words::NO_LETTER) },
            Some((letter, answers)) => {
                p {
                    a href=(format!("/letters/{}", letter.id)) {
                        (words::last_told(letter.sent_at, &letter.subject, &house.zone))
                    }
                }
                (agreement(house, letter, answers))
            },
        }
        p.quiet {
            a href=(format!("/people/{}/erase", session.id))
                aria-label=(format!("{}: {name}", words::ERASE)) { (words::ERASE) }
        }
    }
}

fn person_line(person: &Person) -> Markup {
    html! {
        a href=(format!("/people/{}", person.id)) { (person.name) } ": " (words::person(person))
    }
}

fn agreement(house: &House, letter: &SentLetter, answers: &[Answer]) -> Markup {
    let agreement = agreed(answers, &letter.facts.sitter, &letter.facts.guardian);
    html! {
        @for line in replies::agreement_lines(&agreement, letter, &house.zone) { p { (line) } }
    }
}

/// A session and the dates that it was moved from, the newest first.
fn chain<'a>(house: &'a House, session: &'a Session) -> Vec<&'a Session> {
    let mut chain = vec![session];
    let mut last = session;
    while let Some(earlier) = last.moved_from.as_deref() {
        let Some(found) = house.sessions.iter().find(|one| one.id == earlier) else { break };
        if chain.iter().any(|one| one.id == found.id) {
            break;
        }
        chain.push(found);
        last = found;
    }
    chain
}

/// The last letter about any of the dates, with what was answered to it.
async fn told_last(
    app: &Shared,
    sessions: &[&Session],
) -> Result<Option<(SentLetter, Vec<Answer>)>, PageError> {
    let mut last: Option<SentLetter> = None;
    for session in sessions {
        let newest = app.store.newest_letter(&session.id).await?;
        last = last.into_iter().chain(newest).max_by_key(|letter| letter.sent_at);
    }
    let Some(letter) = last else { return Ok(None) };
    let answers = app.store.answers_of_letter(&letter.id).await?;
    Ok(Some((letter, answers)))
}

async fn record(app: &Shared, sessions: &[&Session]) -> Result<Record, PageError> {
    let mut record = Record::new();
    for session in sessions {
        let answers = app.store.answers_of_session(&session.id).await?;
        for letter in app.store.letters_of(&session.id).await? {
            let own = answers.iter().filter(|answer| answer.letter == letter.id).cloned();
            record.push((letter.clone(), own.collect()));
        }
    }
    record.sort_by_key(|(letter, _)| std::cmp::Reverse(letter.sent_at));
    Ok(record)
}

/// `GET /people/new`.
pub(crate) async fn new(visit: Visit) -> Result<Response, PageError> {
    let fields = Fields::of([("role", role_value(Role::Guardian))]);
    Ok(new_page(&visit, &fields))
}

fn new_page(visit: &Visit, fields: &Fields) -> Response {
    let body = html! {
        h1 { (words::NEW_HEADING) }
        (form(visit, "/people", fields))
    };
    page(visit, Some(Section::People), words::NEW_HEADING, &body)
}

/// `POST /people`.
pub(crate) async fn create(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let Some(read) = read(&mut fields) else { return Ok(new_page(&visit, &fields)) };
    let person = Person { id: new_id(app).await?, ..read };
    save_and_show(app, &person).await
}

/// `GET /people/{id}`.
pub(crate) async fn edit(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let person = visit.app.store.person(&id).await?.ok_or(PageError::NotThere)?;
    let fields = Fields::of([
        ("name", person.name.clone()),
        ("role", role_value(person.role).to_owned()),
        ("email", person.email.clone().unwrap_or_default()),
        ("phone", person.phone.clone().unwrap_or_default()),
    ]);
    person_page(&visit, &person, &fields).await
}

/// `POST /people/{id}`.
pub(crate) async fn save(
    Path(id): Path<String>,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let person = app.store.person(&id).await?.ok_or(PageError::NotThere)?;
    match read(&mut fields) {
        None => person_page(&visit, &person, &fields).await,
        Some(read) => save_and_show(app, &Person { id, ..read }).await,
    }
}

async fn save_and_show(app: &Shared, person: &Person) -> Result<Response, PageError> {
    let change = app.store.save_person(person, app.clock.real()).await?;
    app.look_again().await?;
    Ok(Redirect::to(&format!("/people/{}?saved={change}", person.id)).into_response())
}

/// `POST /people/{id}/delete`.
pub(crate) async fn delete(
    Path(id): Path<String>,
    Posted { visit, .. }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let deleted = app.store.delete_person(&id, app.clock.real()).await?;
    let change = deleted.ok_or(PageError::NotThere)?;
    app.look_again().await?;
    Ok(Redirect::to(&format!("/people?saved={change}")).into_response())
}

async fn person_page(
    visit: &Visit,
    person: &Person,
    fields: &Fields,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let here = format!("/people/{}", person.id);
    let sessions: Vec<&Session> =
        house.sessions.iter().filter(|one| one.people.contains(&person.id)).collect();
    let record = record(&visit.app, &sessions).await?;
    let body = html! {
        h1 { (person.name) }
        (form(visit, &here, fields))
        h2 { (words::SESSIONS) }
        @if sessions.is_empty() {
            p { (words::NO_SESSION) }
        } @else {
            ul.lines {
                @for session in &sessions {
                    li {
                        a href=(format!("/sessions/{}", session.id)) {
                            (session_words::heading(session))
                        }
                    }
                }
            }
        }
        h2 { (words::RECORD) }
        @if record.is_empty() { p { (words::NO_LETTER) } }
        @for (letter, answers) in &record {
            article.letter-sent {
                h3 {
                    a href=(format!("/letters/{}", letter.id)) {
                        (session_words::sent(letter.sent_at, &letter.subject, &house.zone))
                    }
                }
                (agreement(house, letter, answers))
                @if !answers.is_empty() {
                    ul.lines {
                        @for answer in answers {
                            li { (replies::record_line(answer, letter, &house.zone)) }
                        }
                    }
                }
            }
        }
        h2 { (words::TAKE_AWAY) }
        p { (words::DELETE_MEANS) }
        form method="post" action=(format!("{here}/delete")) {
            (visit.form_field())
            button { (words::DELETE) }
        }
        p { (words::ERASE_MEANS) }
        p { a href=(format!("{here}/erase")) { (words::ERASE) } }
    };
    Ok(page(visit, Some(Section::People), &person.name, &body))
}

fn form(visit: &Visit, action: &str, fields: &Fields) -> Markup {
    let roles = ROLES.map(|role| (role_value(role), words::role(role)));
    html! {
        form method="post" action=(action) {
            (visit.form_field())
            (mistakes(fields))
            (Field::new(fields, "name", words::NAME).needed().input(Input::Text))
            (Field::new(fields, "role", words::ROLE).needed().select(&roles))
            (Field::new(fields, "email", words::EMAIL).hint(words::EMAIL_HINT).input(Input::Email))
            (Field::new(fields, "phone", words::PHONE).hint(words::PHONE_HINT).input(Input::Phone))
            (save_or_back("/people"))
        }
    }
}

fn role_value(role: Role) -> &'static str {
    match role {
        Role::Sitter => "sitter",
        Role::Guardian => "guardian",
        Role::Companion => "companion",
    }
}

/// A person out of a form, still without an id; `None` when something in it is wrong.
fn read(fields: &mut Fields) -> Option<Person> {
    let name = fields.need("name", words::NAME_WRONG, plain_name);
    let role = fields.need("role", words::ROLE_WRONG, |text| {
        ROLES.into_iter().find(|role| role_value(*role) == text)
    });
    let email = fields.may("email", words::EMAIL_WRONG, email_address);
    let phone = fields.may("phone", words::PHONE_WRONG, phone_number);
    Some(Person { id: String::new(), name: name?, role: role?, email: email?, phone: phone? })
}

/// An id that says nothing of the person: letters, digits and hyphens drawn at random.
async fn new_id(app: &Shared) -> Result<String, PageError> {
    let drawn = u32::from_be_bytes(app.machine.random_bytes());
    let people = app.store.people().await?;
    let is_taken = |id: &str| people.iter().any(|person| person.id == id);
    Ok(spelled_id(&format!("p {drawn:08x}"), "p", is_taken))
}
