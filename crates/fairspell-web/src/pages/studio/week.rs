//! Working and reserve days, and dates that are never offered.

use axum::response::Response;
use fairspell_studio::{
    Studio,
    studio::{Blackout, Day, School, Week},
};
use fairspell_words::screens::{forms, shell, studio::week as words};
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
    Ok(week_page(&visit, studio, &fields_of(studio), &Fields::default()))
}

fn fields_of(studio: &Studio) -> Fields {
    let Studio { week, school, .. } = studio;
    let named = |name, days: &[Day]| -> Vec<(&str, String)> {
        days.iter().map(|day| (name, words::day(*day).to_lowercase())).collect()
    };
    let days = [("working", &week.working), ("reserve", &week.reserve), ("dawn", &week.dawn)];
    let ends = school.as_ref().map(|school| school.ends.strftime("%H:%M").to_string());
    let terms = school.as_ref().map(written_terms);
    let mut fields = days.map(|(name, days)| named(name, days)).concat();
    fields
        .extend([("school_ends", ends.unwrap_or_default()), ("terms", terms.unwrap_or_default())]);
    Fields::of(fields)
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
            fieldset {
                legend { (words::SCHOOL) }
                (Field::new(days, "school_ends", words::SCHOOL_ENDS)
                    .hint(words::SCHOOL_ENDS_HINT)
                    .input(Input::Time))
                (Field::new(days, "terms", words::TERMS).hint(words::TERMS_HINT).text_area(4))
            }
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
                let days = fields_of(&studio);
                return Ok(week_page(&visit, &studio, &days, &fields));
            };
            studio.blackouts.push(blackout);
            studio.blackouts.sort_by_key(|blackout| (blackout.from, blackout.to));
        }
        "remove" => {
            let index = fields.text("index").parse::<usize>().unwrap_or(usize::MAX);
            let known = studio.blackouts.get(index).map(words::blackout);
            if known.as_deref() != Some(fields.text("line")) {
                let days = fields_of(&studio);
                return Ok(week_page(&visit, &studio, &days, &Fields::default()));
            }
            studio.blackouts.remove(index);
        }
        _ => {
            let (week, school) = (week(&mut fields), school(&mut fields));
            let (Some(week), Some(school)) = (week, school) else {
                return Ok(week_page(&visit, &studio, &fields, &Fields::default()));
            };
            (studio.week, studio.school) = (week, school);
        }
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

/// `Some(None)` where nobody goes to school.
#[expect(clippy::option_option, reason = "no school, and hours that cannot be, are different")]
fn school(fields: &mut Fields) -> Option<Option<School>> {
    let ends = fields.may("school_ends", forms::TIME, |text| {
        let with_seconds = || civil::Time::strptime("%H:%M:%S", text).ok();
        civil::Time::strptime("%H:%M", text).ok().or_else(with_seconds)
    });
    let lines = fields.text("terms").lines().map(str::trim).filter(|line| !line.is_empty());
    let terms: Result<Vec<(civil::Date, civil::Date)>, String> =
        lines.map(|line| term(line).ok_or_else(|| words::term_wrong(line))).collect();
    let terms = match terms {
        Ok(terms) => terms,
        Err(why) => {
            fields.refuse("terms", why);
            return None;
        }
    };
    match ends? {
        Some(ends) => Some(Some(School { ends, terms })),
        None if terms.is_empty() => Some(None),
        None => {
            fields.refuse("school_ends", words::SCHOOL_ENDS_NEEDED);
            None
        }
    }
}

/// "2026-07-20 to 2026-09-25".
fn term(line: &str) -> Option<(civil::Date, civil::Date)> {
    let (from, to) = line.split_once("to")?;
    let (from, to) = (from.trim().parse().ok()?, to.trim().parse().ok()?);
    (from <= to).then_some((from, to))
}

fn written_terms(school: &School) -> String {
    let line = |(from, to): &(civil::Date, civil::Date)| format!("{from} to {to}");
    school.terms.iter().map(line).collect::<Vec<_>>().join("\n")
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
