//! The letter: its draft, how it goes out, what was answered.

use std::fmt::Write;

use axum::{
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use fairspell_store::Draft;
use fairspell_studio::{
    Answer, AnsweredBy, Offer, SentLetter, Session, agreed, answer::is_late, person::Role,
};
use fairspell_words::{
    family::who_are_you,
    letter as written,
    letters::{AnswerBy, changed_choices, family_text, sms_text},
    replies,
    screens::{letter as words, session as session_words},
    the_sky,
};
use maud::{Markup, html};

use crate::{
    app::Shared,
    drafts::{self, asked_for},
    error::PageError,
    fields::Fields,
    figures::grouped,
    links::FamilyLink,
    notices,
    page::{Section, page},
    pages::session::{back, chosen_move, reach, reply_by},
    skies::{House, Sky},
    visit::{Posted, Visit},
};

/// `GET /sessions/{id}/letter`.
pub(crate) async fn draft(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let sky = &app.sky(&id).await?;
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let (subject, text, begun_for) = match (drafts::kept(app, &id).await?, &sky.letter) {
        (Some((draft, begun_for)), _) => (draft.subject, draft.body, begun_for),
        (None, Some((_, written))) => {
            (written.subject.clone(), written.body.clone(), asked_for(written))
        }
        (None, None) => return Ok(Redirect::to(&format!("/sessions/{id}")).into_response()),
    };
    let mut fields = Fields::of([("subject", subject), ("body", text), ("begun_for", begun_for)]);
    if sky.letter.is_none() {
        fields.refuse("body", words::SKY_CHANGED);
    }
    Ok(draft_page(&visit, house, sky, &fields))
}

fn draft_page(visit: &Visit, house: &House, sky: &Sky, fields: &Fields) -> Response {
    let id = &sky.session.id;
    let body = html! {
        h1 { (words::HEADING) }
        p { (session_words::heading(&sky.session)) }
        form method="post" action=(format!("/sessions/{id}/letter")) {
            (visit.form_field())
            input type="hidden" name="begun_for" value=(fields.text("begun_for"));
            @if let Some(wrong) = fields.wrong("body") { p.wrong role="alert" { (wrong) } }
            div.field {
                label for="subject" { (words::SUBJECT) }
                input #subject name="subject" maxlength="200" required value=(fields.text("subject"));
            }
            div.field {
                label for="body" { (words::BODY) }
                textarea #body name="body" rows="16" maxlength="4000" required { (fields.text("body")) }
            }
            p { (words::USE_MEANS) }
            div.buttons {
                button.main name="do" value="use" { (words::USE) }
                button name="do" value="keep" { (words::KEEP_DRAFT) }
                button.plain name="do" value="anew" formnovalidate { (words::START_ANEW) }
            }
        }
        h2 { (words::RESTS_ON) }
        (grouped(&the_sky(&sky.standing.outlook, &house.studio.spots, &house.zone)))
        p { (back(id)) }
    };
    page(visit, Some(Section::Season), words::HEADING, &body)
}

/// `POST /sessions/{id}/letter`: keeps the draft, throws it away, or makes it the letter.
pub(crate) async fn post_draft(
    Path(id): Path<String>,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let sky = &app.sky(&id).await?;
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let here = format!("/sessions/{id}/letter");
    match fields.text("do") {
        "anew" => {
            drafts::forget(app, &[&id]).await?;
            return Ok(Redirect::to(&here).into_response());
        }
        "keep" => {
            let kept = Draft {
                subject: fields.text("subject").to_owned(),
                body: fields.text("body").to_owned(),
                at: app.clock.now(),
            };
            drafts::keep(app, &id, &kept, fields.text("begun_for")).await?;
            return Ok(Redirect::to(&format!("{here}?done=draft")).into_response());
        }
        _ => {}
    }
    if fields.filled("subject").is_none() || fields.filled("body").is_none() {
        fields.refuse("body", words::EMPTY);
        return Ok(draft_page(&visit, house, sky, &fields));
    }
    let asked =
        sky.letter.as_ref().filter(|(_, written)| fields.text("begun_for") == asked_for(written));
    let Some((facts, written)) = asked else {
        fields.refuse("body", words::SKY_CHANGED);
        return Ok(draft_page(&visit, house, sky, &fields));
    };
    let listed = if written.asked.is_some() { written.offers.as_slice() } else { &[] };
    if let Some(number) = changed_choices(fields.text("body"), listed).first() {
        let offer = &written.offers[number - 1];
        fields.refuse("body", replies::choice_was_edited(*number, &offer.words));
        return Ok(draft_page(&visit, house, sky, &fields));
    }
    let subject = fields.text("subject").to_owned();
    let body = fields.text("body").to_owned();
    if let Some(known) = app.store.newest_letter(&id).await?
        && known.subject == subject
        && known.body == body
        && known.outlook.as_of == sky.standing.outlook.as_of
    {
        // Tapped twice: it is the same letter.
        return Ok(Redirect::to(&format!("/letters/{}?done=sent", known.id)).into_response());
    }
    let letter = SentLetter {
        id: URL_SAFE_NO_PAD.encode(app.machine.random_bytes::<9>()),
        session: id.clone(),
        subject,
        body,
        offers: written.offers.clone(),
        facts: facts.clone(),
        outlook: sky.standing.outlook.clone(),
        ruling: sky.standing.ruling.clone(),
        sent_at: app.clock.now(),
        reply_by: reply_by(house, sky),
    };
    app.store.send_letter(&letter).await?;
    drafts::forget(app, &[&id]).await?;
    Ok(Redirect::to(&format!("/letters/{}?done=sent", letter.id)).into_response())
}

/// `GET /letters/{id}`: how to send it, and what was answered.
pub(crate) async fn sent(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let app = &visit.app;
    let letter = app.store.letter(&id).await?.ok_or(PageError::NotThere)?;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let session = house.sessions.iter().find(|session| session.id == letter.session);
    let newest = app.store.newest_letter(&letter.session).await?;
    let newer = newest.filter(|newest| newest.id != letter.id);
    let answers = app.store.answers_of_letter(&id).await?;
    let link = family_link(app, &letter);
    let head = app.store.journal_head().await?;
    let body = html! {
        h1 { (words::SENT_HEADING) }
        @if let Some(session) = session {
            p { a href=(format!("/sessions/{}", session.id)) { (session_words::heading(session)) } }
        }
        p.quiet {
            (words::sent_at(letter.sent_at, &house.zone))
            @if let Some(by) = letter.reply_by { ". " (words::reply_by(by, &house.zone)) }
        }
        @if newer.is_some() { p.wanting { (words::REPLACED) } }
        @else { (ways_out(house, session, &letter, link.as_deref())) }
        @if let Some(link) = &link {
            h2 { (words::FAMILY_PAGE) }
            p { a href=(link) target="_blank" rel="noopener" { (link) } }
            p.quiet { (words::FAMILY_PAGE_MEANS) }
        }
        h2 { (words::ANSWERS) }
        (answered(house, &letter, newer.as_ref(), &answers))
        @if let (Some(session), None) = (session, &newer) {
            (chosen_move(&visit, house, session, &agreed(&answers, &letter.facts.sitter, &letter.facts.guardian)))
            (reach(house, session))
        }
        (record_buttons(&visit, &letter))
        p { a href=(format!("/sessions/{}/letter", letter.session)) { (words::TO_DRAFT) } }
        @if let Some(head) = head { p.quiet { (words::seal(&head.to_string())) } }
    };
    Ok(page(&visit, Some(Section::Season), words::SENT_HEADING, &body))
}

/// Mail program, messages, copy.
fn ways_out(
    house: &House,
    session: Option<&Session>,
    letter: &SentLetter,
    link: Option<&str>,
) -> Markup {
    let by = link.map_or(AnswerBy::Number, AnswerBy::Link);
    let text = family_text(&letter.body, by);
    let drafted = written(&letter.facts);
    // The short form is made from the facts: where she has changed the text, hers goes out whole.
    let short =
        if letter.body == drafted.body.trim() { sms_text(&drafted, by) } else { text.clone() };
    let people: Vec<_> = session
        .into_iter()
        .flat_map(|session| house.people_of(session))
        .filter(|person| person.role != Role::Companion)
        .collect();
    let emails: Vec<&str> = people.iter().filter_map(|person| person.email.as_deref()).collect();
    let phones: Vec<&str> = people.iter().filter_map(|person| person.phone.as_deref()).collect();
    html! {
        div.buttons {
            a.button.main href=(mailto(&emails, &letter.subject, &text)) { (words::BY_MAIL) }
            a.button href=(sms(&phones, &short)) { (words::BY_MESSAGE) }
            button data-copy="#letter-text" data-copied=(words::COPIED) hidden { (words::COPY) }
        }
        @if emails.is_empty() { p.quiet { (words::NO_EMAIL) } }
        @if phones.is_empty() { p.quiet { (words::NO_PHONE) } }
        p.quiet { (words::COPY_BY_HAND) }
        pre #letter-text .letter tabindex="0" { (text) }
    }
}

fn answered(
    house: &House,
    letter: &SentLetter,
    newer: Option<&SentLetter>,
    answers: &[Answer],
) -> Markup {
    let agreement = agreed(answers, &letter.facts.sitter, &letter.facts.guardian);
    let too_late =
        newer.zip(answers.last()).filter(|(newer, answer)| newer.sent_at <= answer.answered_at);
    html! {
        @if let Some((newer, answer)) = too_late {
            p.wanting { (replies::to_a_replaced_letter(answer, letter, newer.sent_at, &house.zone)) }
        } @else {
            @for line in replies::agreement_lines(&agreement, letter, &house.zone) { p { (line) } }
        }
        ul.lines {
            @for answer in answers { li { (replies::record_line(answer, letter, &house.zone)) } }
        }
    }
}

/// A button for each person and each number.
fn record_buttons(visit: &Visit, letter: &SentLetter) -> Markup {
    html! {
        section.record aria-labelledby="record" {
            h3 #record { (words::RECORD) }
            p.quiet { (words::RECORD_MEANS) }
            ol { @for offer in &letter.offers { li { (offer.words) } } }
            @for who in who_are_you(&letter.facts.sitter, &letter.facts.guardian) {
                form.buttons method="post" action=(format!("/letters/{}/answers", letter.id)) {
                    (visit.form_field())
                    input type="hidden" name="who" value=(who);
                    @for number in 1..=letter.offers.len() {
                        button name="number" value=(number) { (words::answer_button(who, number)) }
                    }
                }
            }
        }
    }
}

/// `POST /letters/{id}/answers`: what they answered by message or call.
pub(crate) async fn record(
    Path(id): Path<String>,
    Posted { visit, fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    let letter = app.store.letter(&id).await?.ok_or(PageError::NotThere)?;
    let (Some(who), Some(offer)) = (who_of(&letter, &fields), offer_of(&letter, &fields)) else {
        return Err(PageError::BadRequest("no such person or number".to_owned()));
    };
    let answer = answer_of(&letter, who, offer, app.clock.now(), AnsweredBy::Owner);
    if !repeats(&app.store.answers_of_letter(&id).await?, &answer) {
        app.store.record_answer(&answer).await?;
        notices::note(app, &app.skies()).await?;
    }
    Ok(Redirect::to(&format!("/letters/{id}?done=answer")).into_response())
}

/// Who answered, out of a form; only the letter's people.
pub(crate) fn who_of<'a>(letter: &'a SentLetter, fields: &Fields) -> Option<&'a str> {
    let who = fields.filled("who")?;
    let mut names = [&letter.facts.sitter, &letter.facts.guardian].into_iter();
    names.find(|name| name.trim() == who).map(String::as_str)
}

/// What was chosen, out of a form; only the letter's numbers.
pub(crate) fn offer_of<'a>(letter: &'a SentLetter, fields: &Fields) -> Option<&'a Offer> {
    let number: usize = fields.text("number").parse().ok()?;
    letter.offers.get(number.checked_sub(1)?)
}

/// Whether an answer says again what the same person said last: a tap that came twice.
fn repeats(answers: &[Answer], answer: &Answer) -> bool {
    let last = answers.iter().rev().find(|known| known.who == answer.who);
    last.is_some_and(|last| last.choice == answer.choice && last.words == answer.words)
}

/// The answer as it is kept.
pub(crate) fn answer_of(
    letter: &SentLetter,
    who: &str,
    offer: &Offer,
    at: jiff::Timestamp,
    by: AnsweredBy,
) -> Answer {
    Answer {
        letter: letter.id.clone(),
        session: letter.session.clone(),
        who: who.to_owned(),
        choice: offer.choice.clone(),
        words: offer.words.clone(),
        answered_at: at,
        by,
        is_late: is_late(at, letter.reply_by),
    }
}

/// The family's link, while the public address answers (the demo's own address always does).
fn family_link(app: &Shared, letter: &SentLetter) -> Option<String> {
    let ends = letter.outlook.evening.to.max(letter.outlook.window.to);
    let token = FamilyLink::to_letter(&letter.id, ends).token(&app.secrets);
    let base = app.public_url()?;
    Some(format!("{base}/f/{token}"))
}

/// RFC 6068: addresses and text percent-encoded.
fn mailto(to: &[&str], subject: &str, body: &str) -> String {
    let address = |to: &&str| match to.rsplit_once('@') {
        Some((name, host)) => format!("{}@{}", percent(name), percent(host)),
        None => percent(to),
    };
    let to: Vec<String> = to.iter().map(address).collect();
    let body = body.replace('\n', "\r\n");
    format!("mailto:{}?subject={}&body={}", to.join(","), percent(subject), percent(&body))
}

/// RFC 5724, with the body as telephones understand it.
fn sms(to: &[&str], body: &str) -> String {
    let digits = |number: &&str| -> String {
        number.chars().filter(|c| c.is_ascii_digit() || *c == '+').collect()
    };
    let to: Vec<String> = to.iter().map(digits).collect();
    format!("sms:{}?body={}", to.join(","), percent(body))
}

/// Everything escaped that RFC 3986 does not call unreserved: that is right in both.
fn percent(text: &str) -> String {
    text.bytes().fold(String::new(), |mut encoded, byte| {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            encoded.push(char::from(byte));
        } else {
            let _ = write!(encoded, "%{byte:02X}");
        }
        encoded
    })
}
