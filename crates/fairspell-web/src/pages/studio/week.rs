//! Working and reserve days, and dates that are never offered.

use axum::response::Response;
use fairspell_studio::{
    Studio,
    studio::{Blackout, Day, Week},
};
use fairspell_words::screens::{shell, studio::week as words};
use jiff::civil;
use maud::{Markup, html};

use super::{keep, part};
use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes, ticks},
    pages::people::plain_name,
    visit::{Posted, Visit},
};

const DAYS: [Day; 7] = [
    Day::Monday,
    Day::Tuesday,
    Day::Wednesday,
    Day::Thursday,
    Day::Friday,
    Day::Saturday,
    Day::Sunday,
];

/// `GET /studio/week`.
pub(crate) async fn edit(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let studio = &skies.house.as_deref().ok_or(PageError::NotThere)?.studio;
    Ok(week_page(&visit, studio, &fields_of(&studio.week), &Fields::default()))
}

fn fields_of(week: &Week) -> Fields {
    let named = |name, days: &[Day]| -> Vec<(&str, String)> {
        days.iter().map(|day| (name, words::day(*day).to_lowercase())).collect()
    };
    let days = [("working", &week.working), ("reserve", &week.reserve), ("dawn", &week.dawn)];
    Fields::of(days.map(|(name, days)| named(name, days)).concat())
}

/// - `days`, `never`: the two forms of the page.
fn week_page(visit: &Visit, studio: &Studio, days: &Fields, never: &Fields) -> Response {
    let options = DAYS.map(|day| (words::day(day).to_lowercase(), words::day(day)));
    let body = html! {
        form method="post" action="/studio/week" {
            (visit.form_field())
            input type="hidden" name="do" value="days";
            (mistakes(days))
            (ticks(days, "working", words::WORKING, &options))
            (ticks(days, "reserve", words::RESERVE, &options))
            p.hint { (words::RESERVE_HINT) }
            (ticks(days, "dawn", words::DAWN, &options))
            div.buttons { button.main { (shell::SAVE) } }
        }
        h2 { (words::NEVER) }
        (blackouts(visit, studio))
        h3 { (words::ADD_HEADING) }
        form method="post" action="/studio/week" {
            (visit.form_field())
            input type="hidden" name="do" value="add";
            (mistakes(never))
            (Field::new(never, "why", words::WHY).needed().input(Input::Text))
            (Field::new(never, "from", words::FROM).needed().input(Input::Date))
            (Field::new(never, "to", words::TO).needed().input(Input::Date))
            div.buttons { button.main { (words::ADD) } }
        }
    };
    part(visit, words::HEADING, &body)
}

fn blackouts(visit: &Visit, studio: &Studio) -> Markup {
    html! {
        @if studio.blackouts.is_empty() {
            p { (words::NEVER_NONE) }
        } @else {
            ul.lines {
                @for (index, blackout) in studio.blackouts.iter().enumerate() {
                    @let line = words::blackout(blackout);
                    li {
                        (line)
                        form method="post" action="/studio/week" {
                            (visit.form_field())
                            input type="hidden" name="do" value="remove";
                            input type="hidden" name="index" value=(index);
                            // Between loading and sending another page may have changed the list.
                            input type="hidden" name="line" value=(line);
                            button.plain aria-label=(format!("{}: {line}", words::REMOVE)) {
                                (words::REMOVE)
                            }
                        }
                    }
                }
            }
        }
    }
}

/// `POST /studio/week`: the days, or one stretch of dates more or less.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let mut studio = app.store.studio().await?.ok_or(PageError::NotThere)?;
    match fields.text("do") {
        "add" => {
            let Some(blackout) = blackout(&mut fields) else {
                let days = fields_of(&studio.week);
                return Ok(week_page(&visit, &studio, &days, &fields));
            };
            studio.blackouts.push(blackout);
            studio.blackouts.sort_by_key(|blackout| (blackout.from, blackout.to));
        }
        "remove" => {
            let index = fields.text("index").parse::<usize>().unwrap_or(usize::MAX);
            let known = studio.blackouts.get(index).map(words::blackout);
            if known.as_deref() != Some(fields.text("line")) {
                let days = fields_of(&studio.week);
                return Ok(week_page(&visit, &studio, &days, &Fields::default()));
            }
            studio.blackouts.remove(index);
        }
        _ => match week(&mut fields) {
            Some(week) => studio.week = week,
            None => return Ok(week_page(&visit, &studio, &fields, &Fields::default())),
        },
    }
    keep(app, &studio, "week").await
}

fn week(fields: &mut Fields) -> Option<Week> {
    let ticked = |name: &str| -> Vec<Day> {
        let is_ticked = |day: &Day| {
            let value = words::day(*day).to_lowercase();
            fields.all(name).any(|ticked| ticked == value)
        };
        DAYS.into_iter().filter(is_ticked).collect()
    };
    let (working, reserve) = (ticked("working"), ticked("reserve"));
    let both: Vec<Day> = working.iter().copied().filter(|day| reserve.contains(day)).collect();
    if !both.is_empty() {
        fields.refuse("reserve", words::both(&both));
        return None;
    }
    Some(Week { working, reserve, dawn: ticked("dawn") })
}

fn blackout(fields: &mut Fields) -> Option<Blackout> {
    let name = fields.need("why", words::WHY_WRONG, plain_name);
    let day = |text: &str| text.parse::<civil::Date>().ok();
    let from = fields.need("from", words::DAY_WRONG, day);
    let to = fields.need("to", words::DAY_WRONG, day);
    let (name, from, to) = (name?, from?, to?);
    if to < from {
        fields.refuse("to", words::ORDER_WRONG);
        return None;
    }
    Some(Blackout { name, from, to })
}
