//! How a season is worked: terms, stakes, schools' deadlines, exceptions from the week.

use axum::response::Response;
use fairspell_studio::{
    Studio,
    season::{EveningKind, Exception, SchoolDeadline},
    studio::Day,
    terms::SeasonTerms,
};
use fairspell_words::screens::studio::{season as words, week as week_words};
use jiff::civil::Date;
use maud::{Markup, html};

use super::{keep, part};
use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes, save_or_back, ticks},
    number_input::{decimal, whole},
    pages::people::plain_name,
    visit::{Posted, Visit},
};

/// One number of the terms.
struct Term {
    name: &'static str,
    label: &'static str,
    range: (f64, f64),
    shown: fn(&SeasonTerms) -> String,
    put: fn(&mut SeasonTerms, f64),
}

macro_rules! count {
    ($name:literal, $label:expr, $most:literal, $kind:ty, $($field:ident).+) => {
        Term {
            name: $name,
            label: $label,
            range: (0.0, $most),
            shown: |terms| terms.$($field).+.to_string(),
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "the form takes whole numbers within the range only"
            )]
            put: |terms, value| terms.$($field).+ = value as $kind,
        }
    };
}

macro_rules! amount {
    ($name:literal, $label:expr, $($field:ident).+) => {
        Term {
            name: $name,
            label: $label,
            range: (0.0, 1e6),
            shown: |terms| terms.$($field).+.to_string(),
            put: |terms, value| terms.$($field).+ = value,
        }
    };
}

const WORK: [Term; 8] = [
    count!("sold_a_week", words::SOLD_A_WEEK, 14.0, u16, sold_a_week_max),
    count!("worked_a_week", words::WORKED_A_WEEK, 14.0, u16, worked_a_week_max),
    count!("drive_max", words::DRIVE_MAX, 1440.0, u32, drive_max_min),
    count!("long_drive", words::LONG_DRIVE, 1440.0, u32, long_drive_min),
    count!("long_drives", words::LONG_DRIVES, 14.0, u16, long_drives_a_week_max),
    count!("notice", words::NOTICE, 1000.0, u32, notice_h),
    count!("free_moves", words::FREE_MOVES, 50.0, u16, free_moves),
    count!("credit", words::CREDIT, 120.0, u16, credit_months),
];

const BACK_PLAN: [Term; 5] = [
    count!("choose", words::CHOOSE, 365.0, u16, back_plan.choose_days),
    count!("deliver", words::DELIVER, 365.0, u16, back_plan.deliver_days),
    count!("weather", words::WEATHER, 365.0, u16, back_plan.weather_days),
    count!("rush", words::RUSH, 365.0, u16, back_plan.rush_days),
    count!("risk", words::RISK, 100.0, u8, risk_max_percent),
];

const STAKES: [Term; 8] = [
    amount!("messages", words::MESSAGES, stakes.messages),
    amount!("evening", words::EVENING, stakes.evening),
    amount!("ready", words::READY, stakes.getting_ready),
    amount!("goodwill", words::GOODWILL, stakes.goodwill),
    amount!("thin", words::THIN, stakes.thin_gallery),
    amount!("waiting", words::WAITING, stakes.day_of_waiting),
    amount!("driving", words::DRIVING, stakes.hour_of_driving),
    count!("resells", words::RESELLS, 10_000.0, u32, stakes.resells_until_h),
];

const KINDS: [(&str, EveningKind); 3] = [
    ("working", EveningKind::Working),
    ("reserve", EveningKind::Reserve),
    ("never", EveningKind::Never),
];

const DAYS: [Day; 7] = [
    Day::Monday,
    Day::Tuesday,
    Day::Wednesday,
    Day::Thursday,
    Day::Friday,
    Day::Saturday,
    Day::Sunday,
];

/// Every so many weeks at most.
const WEEKS: (u32, u32) = (1, 52);

fn all_terms() -> impl Iterator<Item = &'static Term> {
    WORK.iter().chain(&BACK_PLAN).chain(&STAKES)
}

/// `GET /studio/season`.
pub(crate) async fn edit(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let studio = &skies.house.as_deref().ok_or(PageError::NotThere)?.studio;
    Ok(season_page(&visit, studio, &fields_of(studio), &Fields::default()))
}

fn fields_of(studio: &Studio) -> Fields {
    let terms = &studio.policy.season;
    let mut fields: Vec<(&str, String)> =
        all_terms().map(|term| (term.name, (term.shown)(terms))).collect();
    fields.push(("deadlines", written(&studio.season.deadlines)));
    Fields::of(fields)
}

fn season_page(visit: &Visit, studio: &Studio, terms: &Fields, exception: &Fields) -> Response {
    let group = |heading: &str, group: &'static [Term]| {
        html! {
            fieldset {
                legend { (heading) }
                @for term in group {
                    @let (from, to) = term.range;
                    (Field::new(terms, term.name, term.label)
                        .needed()
                        .input(Input::Number { from, to, step: 1.0 }))
                }
            }
        }
    };
    let days = DAYS.map(|day| (week_words::day(day).to_lowercase(), week_words::day(day)));
    let kinds = KINDS.map(|(value, kind)| (value, words::kind(kind)));
    let every = Input::Number { from: f64::from(WEEKS.0), to: f64::from(WEEKS.1), step: 1.0 };
    let body = html! {
        form method="post" action="/studio/season" {
            (visit.form_field())
            input type="hidden" name="do" value="terms";
            (mistakes(terms))
            (group(words::WORK, &WORK))
            (group(words::BACK_PLAN, &BACK_PLAN))
            (Field::new(terms, "deadlines", words::DEADLINES)
                .hint(words::DEADLINES_HINT)
                .text_area(4))
            (group(words::STAKES, &STAKES))
            p.hint { (words::STAKES_HINT) }
            (save_or_back("/studio"))
        }
        h2 { (words::EXCEPTIONS) }
        (exceptions(visit, studio))
        h3 { (words::ADD_HEADING) }
        form method="post" action="/studio/season" {
            (visit.form_field())
            input type="hidden" name="do" value="add";
            (mistakes(exception))
            (Field::new(exception, "name", words::WHY).needed().input(Input::Text))
            (Field::new(exception, "kind", words::KIND).select(&kinds))
            (ticks(exception, "days", words::DAYS, &days))
            div.row {
                (Field::new(exception, "weeks", words::EVERY).input(every))
                (Field::new(exception, "from", words::FROM).input(Input::Date))
                (Field::new(exception, "to", words::TO).input(Input::Date))
            }
            details {
                summary { (words::BY_RULE) }
                (Field::new(exception, "rule", words::RULE).hint(words::RULE_HINT).text_area(3))
            }
            div.buttons { button.main { (words::ADD) } }
        }
    };
    part(visit, words::HEADING, &body)
}

fn exceptions(visit: &Visit, studio: &Studio) -> Markup {
    html! {
        @if studio.season.exceptions.is_empty() {
            p { (words::NO_EXCEPTION) }
        } @else {
            ul.lines {
                @for (index, exception) in studio.season.exceptions.iter().enumerate() {
                    @let line = words::exception(exception);
                    li {
                        (line)
                        details { summary { (words::RULE) } pre { (exception.rule) } }
                        form method="post" action="/studio/season" {
                            (visit.form_field())
                            input type="hidden" name="do" value="remove";
                            input type="hidden" name="index" value=(index);
                            // Between loading and sending another page may have changed the list.
                            input type="hidden" name="line" value=(line);
                            button.plain aria-label=(format!("{}: {line}", week_words::REMOVE)) {
                                (week_words::REMOVE)
                            }
                        }
                    }
                }
            }
        }
    }
}

/// `POST /studio/season`: the terms, or one exception more or less.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let mut studio = app.store.studio().await?.ok_or(PageError::NotThere)?;
    match fields.text("do") {
        "add" => {
            let Some(exception) = exception(&mut fields) else {
                return Ok(season_page(&visit, &studio, &fields_of(&studio), &fields));
            };
            studio.season.exceptions.push(exception);
            if let Err(error) = studio.season.check() {
                fields.refuse("rule", words::rule_wrong(&error.to_string()));
                studio.season.exceptions.pop();
                return Ok(season_page(&visit, &studio, &fields_of(&studio), &fields));
            }
        }
        "remove" => {
            let index = fields.text("index").parse::<usize>().unwrap_or(usize::MAX);
            let known = studio.season.exceptions.get(index).map(words::exception);
            if known.as_deref() != Some(fields.text("line")) {
                let terms = fields_of(&studio);
                return Ok(season_page(&visit, &studio, &terms, &Fields::default()));
            }
            studio.season.exceptions.remove(index);
        }
        _ => {
            let (terms, deadlines) =
                (terms(&mut fields, studio.policy.season), deadlines(&mut fields));
            let (Some(terms), Some(deadlines)) = (terms, deadlines) else {
                return Ok(season_page(&visit, &studio, &fields, &Fields::default()));
            };
            (studio.policy.season, studio.season.deadlines) = (terms, deadlines);
        }
    }
    keep(app, &studio, "season").await
}

fn terms(fields: &mut Fields, mut terms: SeasonTerms) -> Option<SeasonTerms> {
    for term in all_terms() {
        let wrong = words::number_wrong(term.range.1);
        let is_whole = term.range.1 < 1e6;
        let value = fields.need(term.name, &wrong, |text| {
            decimal(text, term.range).filter(|value| !is_whole || value.fract() == 0.0)
        });
        (term.put)(&mut terms, value?);
    }
    Some(terms)
}

fn exception(fields: &mut Fields) -> Option<Exception> {
    let name = fields.need("name", week_words::WHY_WRONG, plain_name);
    let kind = KINDS.into_iter().find(|(value, _)| *value == fields.text("kind"));
    let kind = kind.map_or(EveningKind::Working, |(_, kind)| kind);
    if let Some(rule) = fields.filled("rule").map(str::to_owned) {
        return Some(Exception { name: name?, kind, rule });
    }
    let day = |text: &str| text.parse::<Date>().ok();
    let from = fields.need("from", week_words::DAY_WRONG, day);
    let to = fields.need("to", week_words::DAY_WRONG, day);
    let weeks = fields.may("weeks", words::WEEKS_WRONG, |text| whole(text, WEEKS));
    let is_ticked = |day: &Day| {
        let value = week_words::day(*day).to_lowercase();
        fields.all("days").any(|ticked| ticked == value)
    };
    let days: Vec<Day> = DAYS.into_iter().filter(is_ticked).collect();
    let (name, from, to, weeks) = (name?, from?, to?, weeks?.unwrap_or(1));
    if days.is_empty() {
        fields.refuse("days", words::NO_DAY);
        return None;
    }
    if to < from {
        fields.refuse("to", week_words::ORDER_WRONG);
        return None;
    }
    Some(Exception::weekly(&name, kind, &days, weeks, (from, to)))
}

/// "Saltern High; yearbook; 2026-09-18; the school's newsletter", one on each line.
fn deadlines(fields: &mut Fields) -> Option<Vec<SchoolDeadline>> {
    let lines = fields.text("deadlines").lines().map(str::trim).filter(|line| !line.is_empty());
    let read: Result<Vec<SchoolDeadline>, String> =
        lines.map(|line| deadline(line).ok_or_else(|| words::deadline_wrong(line))).collect();
    match read {
        Ok(deadlines) => Some(deadlines),
        Err(why) => {
            fields.refuse("deadlines", why);
            None
        }
    }
}

fn deadline(line: &str) -> Option<SchoolDeadline> {
    let mut parts = line.split(';').map(str::trim);
    let (school, name, date) = (parts.next()?, parts.next()?, parts.next()?);
    let told_by = parts.next().filter(|by| !by.is_empty()).map(str::to_owned);
    let is_named = !school.is_empty() && !name.is_empty();
    let date = date.parse().ok()?;
    is_named.then(|| SchoolDeadline {
        school: school.to_owned(),
        name: name.to_owned(),
        date,
        told_by,
    })
}

fn written(deadlines: &[SchoolDeadline]) -> String {
    let line = |it: &SchoolDeadline| {
        let by = it.told_by.as_ref().map(|by| format!("; {by}")).unwrap_or_default();
        format!("{}; {}; {}{by}", it.school, it.name, it.date)
    };
    deadlines.iter().map(line).collect::<Vec<_>>().join("\n")
}
