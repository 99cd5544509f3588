//! The family's page: no sign-in, one letter, and nothing recorded until they say so twice.
//!
//! Mail programs and scanners open links; a GET therefore never records anything.

use axum::{
    extract::{Path, State},
    http::StatusCode,
    response::{IntoResponse, Response},
};
use fairspell_plan::Standing;
use fairspell_studio::{Answer, AnsweredBy, Offer, SentLetter, agreed};
use fairspell_words::{INVENTED, family as words, letter};
use jiff::{Timestamp, civil::DateTime};
use maud::{Markup, html};

use crate::{
    app::Shared,
    drawing::Drawn,
    error::PageError,
    fields::Fields,
    figures::drawn_evening,
    guesses::Guessed,
    links::FamilyLink,
    notices,
    page::{bare_page, bare_page_with_figures},
    pages::letter::{answer_of, offer_of, who_of},
    skies::{House, Pictures},
    visit::{Caller, GuestPosted, nonce},
};

/// A letter that a link leads to, with what was answered.
struct Opened {
    token: String,
    house: std::sync::Arc<House>,
    letter: SentLetter,
    answers: Vec<Answer>,
    /// The letter that replaces it, where one does.
    newer: Option<SentLetter>,
    has_begun: bool,
    /// The session's new date, where it has one.
    moved_to: Option<DateTime>,
    now: Timestamp,
}

/// `GET /f/{token}`.
pub(crate) async fn show(
    State(app): State<Shared>,
    Path(token): Path<String>,
    from: Caller,
) -> Result<Response, PageError> {
    match open(&app, token, from).await? {
        Some(opened) => Ok(letter_page(&app, &opened, &Fields::default())),
        None => Ok(bad_link()),
    }
}

/// `POST /f/{token}`: shows the choice once more, and records it the second time.
pub(crate) async fn answer(
    Path(token): Path<String>,
    GuestPosted { app, from, mut fields }: GuestPosted,
) -> Result<Response, PageError> {
    let Some(mut opened) = open(&app, token, Caller(from)).await? else { return Ok(bad_link()) };
    if opened.newer.is_some() || opened.has_begun || opened.moved_to.is_some() {
        return Ok(letter_page(&app, &opened, &Fields::default()));
    }
    let (who, offer) = (who_of(&opened.letter, &fields), offer_of(&opened.letter, &fields));
    if offer.is_none() {
        fields.refuse("number", words::CHOOSE_ONE);
    }
    if who.is_none() {
        fields.refuse("who", words::SAY_WHO);
    }
    let (Some(who), Some(offer)) = (who, offer) else {
        return Ok(letter_page(&app, &opened, &fields));
    };
    if fields.text("step") != "send" {
        return Ok(check_page(&opened, who, offer, fields.text("number")));
    }
    let answer = answer_of(&opened.letter, who, offer, opened.now, AnsweredBy::Page);
    let receipt = match app.store.record_answer(&answer).await {
        Ok(receipt) => receipt,
        Err(error) => {
            tracing::error!("a family's answer could not be kept: {error}");
            return Ok(not_noted_page(&opened));
        }
    };
    opened.answers.push(answer.clone());
    if let Err(error) = notices::note(&app, &app.skies()).await {
        // The answer is kept; the next look notes what it means.
        tracing::error!("what an answer means could not be noted: {error}");
    }
    Ok(receipt_page(&opened, &answer, &receipt.head.to_string()))
}

/// What a link leads to; `None` for one that was altered, has ended, or leads nowhere.
///
/// Who guesses has to wait; a link that fits opens meanwhile, for behind a proxy all families come
/// from the guesser's address.
async fn open(
    app: &Shared,
    token: String,
    Caller(from): Caller,
) -> Result<Option<Opened>, PageError> {
    let real = app.clock.real();
    let Some(link) = FamilyLink::read(&token, &app.secrets) else {
        if let Some(wait_s) = app.guesses.wait_s(Guessed::Link, from, real) {
            return Err(PageError::Wait { wait_s });
        }
        app.guesses.wrong(Guessed::Link, from, real);
        return Ok(None);
    };
    let (skies, now) = (app.skies(), app.clock.now());
    let Some(house) = skies.house.clone() else { return Ok(None) };
    let Some(letter) = app.store.letter(&link.letter).await? else { return Ok(None) };
    if link.ends <= now {
        return Ok(None);
    }
    let answers = app.store.answers_of_letter(&letter.id).await?;
    let newest = app.store.newest_letter(&letter.session).await?;
    let Some(session) = house.sessions.iter().find(|session| session.id == letter.session) else {
        return Ok(None);
    };
    let has_begun = session.booked(&house.zone).is_ok_and(|booked| booked.from < now);
    let moved_to = house.moved_to(session).map(|later| later.start);
    let newer = newest.filter(|newest| newest.id != letter.id);
    Ok(Some(Opened { token, house, letter, answers, newer, has_begun, moved_to, now }))
}

fn bad_link() -> Response {
    let body = html! { h1 { (words::BAD_LINK_TITLE) } p { (words::BAD_LINK) } };
    (StatusCode::NOT_FOUND, bare_page(words::BAD_LINK_TITLE, &body)).into_response()
}

fn letter_page(app: &Shared, opened: &Opened, fields: &Fields) -> Response {
    let Opened { letter: sent, house, now, .. } = opened;
    let (zone, owner) = (&house.zone, &sent.facts.owner);
    let known = words::known(sent, *now, zone);
    let nonce = nonce(app);
    let body = html! {
        @if house.studio.invented { p.quiet { (INVENTED) } }
        p.quiet { (known.for_whom) }
        h1 { (known.state) }
        @for line in &known.why { p { (line) } }
        p.quiet { (known.written) }
        (evening(opened, &nonce))
        details {
            summary { (words::THE_LETTER) }
            pre.letter { (sent.body) }
        }
        ul.lines { @for line in &known.figures { li { (line) } } }
        p.quiet { (words::PERCENT_MEANS) }
        @for caution in &known.cautions { p { (caution) } }
        (answered(opened))
        @if let Some(newer) = &opened.newer {
            p.wanting { (words::replaced(owner, newer.sent_at, zone)) }
            p { a.button.main href=(newer_address(app, opened, newer)) { (words::NEWER_LETTER) } }
        } @else if let Some(start) = opened.moved_to {
            p.wanting { (words::moved(start, owner)) }
        } @else if opened.has_begun {
            p.wanting { (words::begun(sent.facts.start, owner)) }
        } @else {
            (choices(opened, fields))
        }
    };
    bare_page_with_figures(&sent.subject, &body, &nonce)
}

/// The evening as it looked when the letter was sent.
fn evening(opened: &Opened, nonce: &str) -> Markup {
    let Opened { letter: sent, house, .. } = opened;
    let session = house.sessions.iter().find(|session| session.id == sent.session);
    let pictures = session.map(|session| {
        let standing = Standing {
            gates: Vec::new(),
            outlook: sent.outlook.clone(),
            ruling: sent.ruling.clone(),
        };
        let House { studio, zone, .. } = &**house;
        Pictures::of(Drawn { studio, zone, session, standing: &standing })
    });
    html! { @if let Some(pictures) = &pictures { (drawn_evening(nonce, pictures)) } }
}

/// The link to the newer letter, good for as long as the old one would be.
fn newer_address(app: &Shared, opened: &Opened, newer: &SentLetter) -> String {
    let ends = FamilyLink::read(&opened.token, &app.secrets).map_or(opened.now, |link| link.ends);
    let link = FamilyLink { letter: newer.id.clone(), ends };
    format!("/f/{}", link.token(&app.secrets))
}

fn answered(opened: &Opened) -> Markup {
    let facts = &opened.letter.facts;
    let agreement = agreed(&opened.answers, &facts.sitter, &facts.guardian);
    let lines = words::together(&agreement, &facts.sitter, &facts.guardian, &facts.owner);
    html! {
        @if !lines.is_empty() {
            div.notice role="status" { @for line in &lines { p { (line) } } }
        }
    }
}

fn choices(opened: &Opened, fields: &Fields) -> Markup {
    let Opened { letter: sent, house, now, .. } = opened;
    let facts = &sent.facts;
    let names = words::who_are_you(&facts.sitter, &facts.guardian);
    let late = sent.reply_by.filter(|by| by < now);
    html! {
        form method="post" action=(format!("/f/{}", opened.token)) {
            @if let Some(by) = late { p.wanting { (words::time_has_passed(by, &facts.owner, &house.zone)) } }
            @else { p { (words::asks_until(&letter(facts))) } }
            fieldset aria-describedby=[fields.wrong("number").map(|_| "number-wrong")] {
                legend { (words::CHOICES) }
                @for (index, offer) in sent.offers.iter().enumerate() {
                    label.choice {
                        input type="radio" name="number" value=(index + 1) required
                            checked[fields.text("number") == (index + 1).to_string()];
                        span { (index + 1) ". " (offer.words) }
                    }
                }
                @if let Some(wrong) = fields.wrong("number") { p.wrong #number-wrong { (wrong) } }
            }
            fieldset aria-describedby=[fields.wrong("who").map(|_| "who-wrong")] {
                legend { (words::WHO_ARE_YOU) }
                @for name in &names {
                    label.choice {
                        input type="radio" name="who" value=(name) required
                            checked[fields.text("who") == name.trim() || names.len() == 1];
                        span { (name) }
                    }
                }
                @if let Some(wrong) = fields.wrong("who") { p.wrong #who-wrong { (wrong) } }
                @if let Some(both) = words::each_of_you(&names) { p.hint { (both) } }
            }
            p { (words::ONCE_WE_BEGIN) }
            button.main { (words::NEXT) }
        }
    }
}

/// The choice once more; still nothing is recorded.
fn check_page(opened: &Opened, who: &str, offer: &Offer, number: &str) -> Response {
    let action = format!("/f/{}", opened.token);
    let body = html! {
        h1 { (words::you_choose(who, &offer.words)) }
        p { (words::ONCE_WE_BEGIN) }
        p.quiet { (words::NOT_SENT_YET) }
        form method="post" action=(action) {
            input type="hidden" name="step" value="send";
            input type="hidden" name="who" value=(who);
            input type="hidden" name="number" value=(number);
            div.buttons {
                button.main { (words::YES) }
                a.button href=(action) { (words::BACK) }
            }
        }
    };
    bare_page(&opened.letter.subject, &body)
}

/// The answer could not be kept, and it says so: the family must not rely on it.
fn not_noted_page(opened: &Opened) -> Response {
    let owner = &opened.letter.facts.owner;
    let body = html! {
        h1 { (words::NOT_NOTED) }
        p { (words::phone_instead(owner)) }
        p { a.button href=(format!("/f/{}", opened.token)) { (words::CHOOSE_AGAIN) } }
    };
    let page = bare_page(words::NOT_NOTED, &body);
    (StatusCode::INTERNAL_SERVER_ERROR, page).into_response()
}

fn receipt_page(opened: &Opened, answer: &Answer, head: &str) -> Response {
    let Opened { letter: sent, house, now, .. } = opened;
    let owner = &sent.facts.owner;
    // Where no answer was asked for, it may change until the session begins.
    let until = sent.reply_by.unwrap_or(sent.outlook.window.from);
    let lines = words::receipt(answer, head, Some(until), owner, *now, &house.zone);
    let (first, rest) = lines.split_first().map_or(("", &[][..]), |(first, rest)| (first, rest));
    let body = html! {
        h1 { (first) }
        @for line in rest { p { (line) } }
        (answered(opened))
        p.quiet { (words::RECEIPT_MEANS) }
        p { a.button href=(format!("/f/{}", opened.token)) { (words::CHOOSE_AGAIN) } }
    };
    bare_page(&sent.subject, &body)
}
