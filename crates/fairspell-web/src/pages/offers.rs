//! Which evenings suit some looks at a place: a question with an address, and its answers.
//!
//! Nothing is kept here. "Book this" leads to the form of a new session with the answer in it.

mod answer;
mod form;

use axum::{extract::Query, response::Response};
use fairspell_plan::{
    NoStart, StartQuestion,
    season::{Enquiry, OfferQuestion, SeasonOffers, season_offers},
    season_climate::SeasonClimate,
    season_standing::p_everybody,
};
use fairspell_words::screens::offers as words;
use jiff::{Timestamp, civil::Date};
use maud::{Markup, html};

use self::form::Asked;
use crate::{
    error::PageError,
    fields::Fields,
    page::{Section, page},
    pages::season,
    season_views::SeasonView,
    skies::House,
    visit::Visit,
};

/// From one outfit into the next, minutes (common practice).
const CHANGE_MIN: u32 = 8;

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
    let today = house.zone.to_datetime(now).date();
    let view = season::season(&visit.app, &house, today).await?;
    let searched = {
        let (house, asked, view) = (house.clone(), asked.clone(), view.clone());
        tokio::task::spawn_blocking(move || search(&house, &asked, now, &view.climate))
    };
    let answer = match searched.await.map_err(PageError::ours)? {
        Ok(found) => {
            let working = {
                let (house, view, deadline) = (house.clone(), view.clone(), asked.deadline);
                let dates: Vec<Date> = found.offers.iter().map(|it| it.start.date).collect();
                move || with_each(&house, &view, today, deadline, &dates)
            };
            let after = tokio::task::spawn_blocking(working).await.map_err(PageError::ours)?;
            answer::markup(&house, &asked, &found, &view, &after)
        }
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

/// The chance that everybody has a frame in time once an evening is sold, for each; `None` where nobody
/// can say.
fn with_each(
    house: &House,
    view: &SeasonView,
    today: Date,
    deadline: Option<Date>,
    dates: &[Date],
) -> Vec<Option<f64>> {
    let after = |date: &Date| {
        let enquiry = Some(Enquiry { date: *date, deadline });
        p_everybody(&house.studio, &house.sessions, today, &view.climate, enquiry).ok().flatten()
    };
    dates.iter().map(after).collect()
}

/// Three to five evenings, where there are so many.
fn search(
    house: &House,
    asked: &Asked,
    now: Timestamp,
    climate: &SeasonClimate,
) -> Result<SeasonOffers, NoStart> {
    let studio = &house.studio;
    let is_there = |id: &String| asked.place.as_ref().is_none_or(|place| place == id);
    // A tide that cannot be computed is one that nobody knows.
    let tide = studio.tide().ok().flatten();
    let question = StartQuestion {
        spots: studio.spots.iter().filter(|spot| is_there(&spot.id)).collect(),
        looks: asked.looks.clone(),
        in_order: asked.in_order,
        dates: asked.dates,
        taken: Vec::new(),
        with_reserve: asked.with_reserve,
        drive_min: asked.drive_min,
        change_min: CHANGE_MIN,
        any_dawn: false,
        count: 1,
    };
    let (zone, sessions) = (&house.zone, &house.sessions);
    let tide_m = |at| tide.as_ref()?.height_m(at);
    let question = OfferQuestion {
        evenings: question,
        deadline: asked.deadline,
        as_of: now,
        p_lost: &|date, half| climate.p_lost(date, half),
    };
    season_offers(studio, zone, sessions, &question, &tide_m)
}
