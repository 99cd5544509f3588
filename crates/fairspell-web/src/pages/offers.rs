//! Which evenings suit some looks at a place: a question with an address, and its answers.
//!
//! Nothing is kept here. "Book this" leads to the form of a new session with the answer in it.

mod answer;
mod form;

use axum::{extract::Query, response::Response};
use fairspell_plan::{NoStart, Start, StartQuestion, starts};
use fairspell_words::screens::offers as words;
use jiff::{Timestamp, civil::Date};
use maud::{Markup, html};

use self::form::Asked;
use crate::{
    error::PageError,
    fields::Fields,
    page::{Section, page},
    skies::House,
    visit::Visit,
};

/// From one outfit into the next, minutes (common practice).
const CHANGE_MIN: u32 = 8;

/// So many dates are offered at least, where there are, and at most.
const FEWEST: usize = 3;
const MOST: usize = 5;

/// Beyond the fewest a date is offered only while its looks are granted so much of the best one's.
const NEARLY_AS_GOOD: f64 = 0.9;

/// `GET /season/offers`: the empty question, or the answer to the one in the address.
pub(crate) async fn show(
    visit: Visit,
    Query(sent): Query<Vec<(String, String)>>,
) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let now = skies.as_of;
    if !sent.iter().any(|(name, _)| name == "from") {
        let fields = form::empty(&house, now, sent);
        return Ok(shown(&visit, &house, &fields, &html! {}));
    }
    let mut fields = form::sent(sent);
    let Some(asked) = form::read(&mut fields, &house, now) else {
        return Ok(shown(&visit, &house, &fields, &html! {}));
    };
    let searched = {
        let (house, asked) = (house.clone(), asked.clone());
        tokio::task::spawn_blocking(move || search(&house, &asked, now))
    };
    let answer = match searched.await.map_err(PageError::ours)? {
        Ok(found) => answer::markup(&house, &asked, &found),
        Err(why) => answer::none(&why),
    };
    Ok(shown(&visit, &house, &fields, &answer))
}

fn shown(visit: &Visit, house: &House, fields: &Fields, answer: &Markup) -> Response {
    let body = html! {
        h1 { (words::HEADING) }
        p { (words::MEANS) }
        (form::markup(house, fields))
        (answer)
    };
    page(visit, Some(Section::Season), words::HEADING, &body)
}

/// The best dates, the best first, each once.
fn search(house: &House, asked: &Asked, now: Timestamp) -> Result<Vec<Start>, NoStart> {
    let studio = &house.studio;
    let is_there = |id: &String| asked.place.as_ref().is_none_or(|place| place == id);
    // A tide that cannot be computed is one that nobody knows.
    let tide = studio.tide().ok().flatten();
    let question = StartQuestion {
        spots: studio.spots.iter().filter(|spot| is_there(&spot.id)).collect(),
        looks: asked.looks.clone(),
        in_order: asked.in_order,
        dates: asked.dates,
        taken: taken(house),
        with_reserve: asked.with_reserve,
        drive_min: asked.drive_min,
        change_min: CHANGE_MIN,
        // Dawn and evening of one date are two answers, and today's may be over.
        count: 2 * (MOST + 1),
    };
    let found = starts(studio, &house.zone, &question, &|at| tide.as_ref()?.height_m(at))?;
    let offered = offered(found, now);
    if offered.is_empty() { Err(NoStart::NoDays) } else { Ok(offered) }
}

/// Dates on which somebody is photographed; one that was moved away from is free again.
fn taken(house: &House) -> Vec<Date> {
    let stands = house.sessions.iter().filter(|session| house.moved_to(session).is_none());
    stands.map(|session| session.start.date()).collect()
}

fn offered(found: Vec<Start>, now: Timestamp) -> Vec<Start> {
    let mut offered: Vec<Start> = Vec::new();
    for start in found.into_iter().filter(|start| start.leave_home > now) {
        let is_new = offered.iter().all(|known| known.date != start.date);
        let is_good = |best: &Start| start.score >= NEARLY_AS_GOOD * best.score;
        let is_wanted = offered.len() < FEWEST || offered.first().is_some_and(is_good);
        if is_new && is_wanted && offered.len() < MOST {
            offered.push(start);
        }
    }
    offered
}
