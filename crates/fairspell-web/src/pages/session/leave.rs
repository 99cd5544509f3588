//! The leave gate: whether to drive off, the road there and home, and the list of what to pack.

use axum::{
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_plan::{KitItem, KitLine, LeaveAdvice, LeaveStep, kit, leave_advice};
use fairspell_words::{
    LeavePart, LeaveTold, kit as kit_words, leave_told,
    screens::{field as field_words, leave as words},
};
use maud::{Markup, html};

use super::back;
use crate::{
    error::PageError,
    figures::small_evening,
    page::{Section, page},
    pages::field::first_step,
    skies::{House, Sky},
    visit::{Posted, Visit},
};

/// `GET /sessions/{id}/leave`.
pub(crate) async fn show(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let session = house.session(&id).ok_or(PageError::NotThere)?;
    let heading = words::heading(session);
    let closed = if house.moved_to(session).is_some() {
        Some(words::MOVED)
    } else {
        skies.is_over(session).then_some(words::OVER)
    };
    if let Some(why) = closed {
        let body = html! {
            h1 { (heading) }
            p.large { (why) }
            p { (back(&id)) }
        };
        return Ok(page(&visit, Some(Section::Season), &heading, &body));
    }
    let sky = visit.app.sky(&id).await?;
    let (advice, kit) = {
        let (house, sky) = (house.clone(), sky.clone());
        let worked = tokio::task::spawn_blocking(move || asked(&house, &sky));
        worked.await.map_err(PageError::ours)??
    };
    let studio = &house.studio;
    let outlook = &sky.standing.outlook;
    let told = leave_told(&advice, outlook, &studio.policy, &studio.spots, &house.zone);
    let ticks = visit.app.store.kit_ticks(&id).await?;
    let first_step = first_step(&visit.app, &id).await?;
    let body = html! {
        h1 { (heading) }
        p.large.step { (told.headline) }
        @if let Some(leaving) = leaving(&advice, &told) { p.large { (leaving) } }
        p.quiet { (words::as_of(advice.as_of, &house.zone)) }
        (small_evening(&visit, &sky))
        (parts(&told))
        @if let Some(step) = first_step {
            p { a href=(format!("/sessions/{id}/field")) { (field_words::begins_with(&step)) } }
        }
        h2 { (kit_words::HEADING) }
        (list(&visit, &id, &kit, &ticks))
        p { (back(&id)) }
    };
    Ok(page(&visit, Some(Section::Season), &heading, &body))
}

/// The advice and the list, worked out beside the server's own work.
fn asked(house: &House, sky: &Sky) -> Result<(LeaveAdvice, Vec<KitLine>), PageError> {
    let House { studio, zone, .. } = house;
    let advice = leave_advice(studio, zone, &sky.session, &sky.standing, &sky.seen)
        .map_err(|error| PageError::Sky(error.to_string()))?;
    let kit = kit(studio, zone, &sky.session, &sky.standing.outlook, &advice);
    Ok((advice, kit))
}

/// When to leave, to stand beside a step that may be one.
fn leaving<'a>(advice: &LeaveAdvice, told: &'a LeaveTold) -> Option<&'a str> {
    if matches!(advice.step, LeaveStep::No) {
        return None;
    }
    let (_, lines) = told.parts.iter().find(|(part, _)| *part == LeavePart::Times)?;
    lines.first().map(String::as_str)
}

fn parts(told: &LeaveTold) -> Markup {
    html! {
        @for (part, lines) in &told.parts {
            @let id = format!("{part:?}").to_lowercase();
            section.close[*part == LeavePart::Why] aria-labelledby=(id) {
                h2 id=(id) { (part.heading()) }
                @for line in lines { p { (line) } }
            }
        }
    }
}

fn list(visit: &Visit, id: &str, kit: &[KitLine], ticks: &[String]) -> Markup {
    let is_in = |item: KitItem| ticks.iter().any(|tick| tick == item.slug());
    let packed = kit.iter().filter(|line| is_in(line.item)).count();
    html! {
        p role="status" { (words::packed(packed, kit.len())) }
        form method="post" action=(format!("/sessions/{id}/leave")) {
            (visit.form_field())
            @for group in kit.chunk_by(|a, b| a.item.group() == b.item.group()) {
                @let heading = kit_words::group_heading(group[0].item.group(), group);
                @let is_shared = heading != kit_words::group_name(group[0].item.group());
                fieldset {
                    legend { (heading) }
                    @for line in group {
                        @let name = format!("kit-{}", line.item.slug());
                        div.field.tick {
                            input id=(name) name="in" type="checkbox" value=(line.item.slug())
                                checked[is_in(line.item)];
                            label for=(name) { (kit_words::line(line, is_shared)) }
                        }
                    }
                }
            }
            div.buttons { button.main { (words::KEEP) } }
        }
    }
}

/// `POST /sessions/{id}/leave`: what is in the car.
pub(crate) async fn tick(
    Path(id): Path<String>,
    Posted { visit, fields }: Posted,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    house.session(&id).ok_or(PageError::NotThere)?;
    let known = fields.all("in").filter_map(KitItem::of_slug);
    let ticks: Vec<String> = known.map(|item| item.slug().to_owned()).collect();
    visit.app.store.save_kit_ticks(&id, &ticks).await?;
    Ok(Redirect::to(&format!("/sessions/{id}/leave?done=packed")).into_response())
}
