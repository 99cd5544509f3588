//! Who is signed in, and the passphrase.

use axum::response::{IntoResponse, Redirect, Response};
use fairspell_store::{SignIn, SignInId};
use fairspell_words::screens::studio::sign_ins as words;
use maud::{Markup, html};

use super::{done, part};
use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    guesses::Guessed,
    sign_in::{
        LONGEST_PASSPHRASE, PassphraseRefused, SHORTEST_PASSPHRASE, choose_passphrase,
        is_passphrase,
    },
    visit::{Caller, Posted, Visit},
};

/// Browsers and systems by what stands in the name that they give themselves; the first that is
/// found counts, for most name several others as well.
const BROWSERS: [(&str, &str); 5] = [
    ("Edg", "Edge"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("Chrom", "Chrome"),
    ("Safari", "Safari"),
];
const SYSTEMS: [(&str, &str); 6] = [
    ("Android", "Android"),
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Windows", "Windows"),
    ("Mac OS", "a Mac"),
    ("Linux", "Linux"),
];

/// `GET /studio/sign-ins`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    sign_ins_page(&visit, &Fields::default()).await
}

async fn sign_ins_page(visit: &Visit, fields: &Fields) -> Result<Response, PageError> {
    let Some(this) = &visit.sign_in else {
        return Ok(part(visit, words::HEADING, &html! { p { (words::DEMO) } }));
    };
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let known = app.store.sign_ins(app.clock.real()).await?;
    let others: Vec<&SignIn> = known.iter().filter(|one| one.id != this.id).collect();
    let line = |one: &SignIn| {
        html! {
            p {
                (device(&one.device))
                @if one.id == this.id { " (" (words::THIS) ")" }
            }
            p.quiet { (words::since(one.at, one.expires_at, &house.zone)) }
        }
    };
    let body = html! {
        ul.lines {
            li { (line(this)) }
            @for one in &others {
                li {
                    (line(one))
                    (end_form(visit, &one.id.0.to_string(), words::END))
                }
            }
        }
        @if others.is_empty() { p { (words::NO_OTHERS) } }
        @else { (end_form(visit, "others", words::END_OTHERS)) }
        h2 { (words::PASSPHRASE) }
        p { (words::CHANGE_MEANS) }
        (passphrase_form(visit, fields))
    };
    Ok(part(visit, words::HEADING, &body))
}

fn end_form(visit: &Visit, which: &str, label: &str) -> Markup {
    html! {
        form method="post" action="/studio/sign-ins" {
            (visit.form_field())
            input type="hidden" name="which" value=(which);
            button { (label) }
        }
    }
}

fn passphrase_form(visit: &Visit, fields: &Fields) -> Markup {
    let length = words::length(SHORTEST_PASSPHRASE);
    let field = |name, label| Field::new(fields, name, label).needed();
    html! {
        form method="post" action="/studio/passphrase" {
            (visit.form_field())
            (mistakes(fields))
            (field("present", words::PRESENT).input(Input::NewPassphrase))
            (field("new", words::NEW).hint(&length).input(Input::NewPassphrase))
            (field("again", words::AGAIN).input(Input::NewPassphrase))
            div.buttons { button.main { (words::CHANGE) } }
        }
    }
}

/// A device by the name that its browser gives itself.
fn device(said: &str) -> String {
    let find = |names: &[(&str, &'static str)]| {
        names.iter().find(|(sign, _)| said.contains(sign)).map(|(_, name)| *name)
    };
    match (find(&BROWSERS), find(&SYSTEMS)) {
        (None, None) => words::other_device(said),
        (browser, system) => words::device(browser, system),
    }
}

/// `POST /studio/sign-ins`: ends one, or all but this one.
pub(crate) async fn end(Posted { visit, fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    if fields.text("which") == "others" {
        end_others(&visit).await?;
        return Ok(done("sign-ins", "ended"));
    }
    let id: i64 = fields.text("which").parse().map_err(|_| PageError::NotThere)?;
    app.store.sign_out(SignInId(id)).await?;
    Ok(Redirect::to("/studio/sign-ins?done=signed-out").into_response())
}

async fn end_others(visit: &Visit) -> Result<(), PageError> {
    let app = &visit.app;
    let this = visit.sign_in.as_ref().map(|this| this.id);
    for one in app.store.sign_ins(app.clock.real()).await? {
        if Some(one.id) != this {
            app.store.sign_out(one.id).await?;
        }
    }
    Ok(())
}

/// `POST /studio/passphrase`.
pub(crate) async fn passphrase(
    Caller(from): Caller,
    Posted { visit, mut fields }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    if visit.sign_in.is_none() {
        return Err(PageError::NotThere);
    }
    let now = app.clock.real();
    if let Some(wait_s) = app.guesses.wait_s(Guessed::Passphrase, from, now) {
        return Err(PageError::Wait { wait_s });
    }
    if fields.text("new") != fields.text("again") {
        fields.refuse("again", words::AGAIN_WRONG);
    }
    let length = fields.text("new").chars().count();
    if !(SHORTEST_PASSPHRASE..=LONGEST_PASSPHRASE).contains(&length) {
        fields.refuse("new", words::length_wrong(SHORTEST_PASSPHRASE, LONGEST_PASSPHRASE));
    }
    if fields.is_right() {
        // Counted before it is looked at, so that many tries at once gain nothing.
        app.guesses.wrong(Guessed::Passphrase, from, now);
        if is_passphrase(app, fields.text("present")).await? {
            app.guesses.right(Guessed::Passphrase, from);
        } else {
            fields.refuse("present", words::PRESENT_WRONG);
        }
    }
    if !fields.is_right() {
        return sign_ins_page(&visit, &fields).await;
    }
    match choose_passphrase(app, fields.text("new")).await {
        Ok(()) => {}
        Err(PassphraseRefused::Page(error)) => return Err(error),
        Err(PassphraseRefused::Length { shortest, longest }) => {
            fields.refuse("new", words::length_wrong(shortest, longest));
            return sign_ins_page(&visit, &fields).await;
        }
    }
    end_others(&visit).await?;
    Ok(done("sign-ins", "passphrase"))
}
