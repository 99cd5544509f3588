//! What else could be done with a session: keep it, another hour, in two parts, another evening.

use axum::{extract::Path, response::Response};
use fairspell_plan::{
    CostAdvice, RainRisk, cost_advice,
    season::can_move,
    season_climate::DayHalf,
    shift::{Shift, Split, shifts, split},
};
use fairspell_words::{
    alternatives as told, band_name,
    redate::cannot_move,
    screens::{alternatives as words, season as season_words, shell},
};
use jiff::civil::Date;
use maud::{Markup, html};

use crate::{
    error::PageError,
    page::{Section, page},
    pages::season::season,
    skies::House,
    visit::Visit,
};

/// `GET /sessions/{id}/alternatives`.
pub(crate) async fn show(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let app = visit.app.clone();
    let skies = app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let session = house.session(&id).ok_or(PageError::NotThere)?;
    if let Err(why) = can_move(&house.sessions, session, &house.zone, skies.as_of) {
        let heading = words::heading(&session.sitter);
        let body = html! {
            h1 { (heading) }
            p role="status" { (cannot_move(&session.sitter, why)) }
            p { a href=(format!("/sessions/{id}")) { (shell::BACK) } }
        };
        return Ok(page(&visit, Some(Section::Season), &heading, &body));
    }
    let sky = skies.of(&id).cloned().ok_or(PageError::NotThere)?;
    let as_of = skies.as_of;
    let view = season(&app, &house, house.zone.to_datetime(as_of).date()).await?;
    let start = sky.session.start;
    let p_other = view.climate.rain(start.date(), DayHalf::of(start.time())).p_rain;
    let outlook = &sky.standing.outlook;
    let advice = outlook.p_any_rain.as_ref().and_then(|rain| {
        let p_gap = outlook.p_gap.as_ref().map(|gap| gap.value.centre);
        let risk = RainRisk { p_rain: rain.value.centre, p_gap, p_other };
        cost_advice(&house.studio, &sky.session, &sky.standing.gates, as_of, risk)
    });
    let working = {
        let (house, sky) = (house.clone(), sky.clone());
        move || shifts(&house.studio, &house.zone, &sky.session, as_of, &sky.seen)
    };
    let starts = tokio::task::spawn_blocking(working).await.map_err(PageError::ours)?;
    let parts = split(&house.studio, &house.sessions, &sky.session);
    let body = html! {
        h1 { (words::heading(&sky.session.sitter)) }
        p { (words::as_it_stands(band_name(sky.standing.ruling.band), sky.session.start)) }
        section { h2 { (words::OTHER_HOUR) } (hours(&starts)) }
        section {
            h2 { (words::TWO_PARTS) }
            (two_parts(&house, sky.session.start.date(), parts.as_ref()))
        }
        section {
            h2 { (words::OTHER_EVENING) }
            div.buttons {
                a.button href=(format!("/season?moving={id}")) { (season_words::MOVE) }
                a.button href=(format!("/season/plan?ask=yes&session={id}#plan")) {
                    (words::BEST_EVENING)
                }
            }
        }
        section {
            h2 { (words::BESIDE_POLICY) }
            (costs(advice.as_ref(), &house.zone))
        }
        p { a href=(format!("/sessions/{id}")) { (shell::BACK) } }
    };
    Ok(page(&visit, Some(Section::Season), &words::heading(&sky.session.sitter), &body))
}

fn table(caption: &str, columns: &[&str; 4], rows: &[[String; 4]]) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(caption) {
            table {
                thead { tr { @for head in columns { th scope="col" { (head) } } } }
                tbody {
                    @for row in rows { tr { @for cell in row { td { (cell) } } } }
                }
            }
        }
    }
}

fn costs(advice: Option<&CostAdvice>, zone: &jiff::tz::TimeZone) -> Markup {
    html! {
        @match advice {
            Some(advice) => {
                p { (told::at_stake(advice)) }
                (table(
                    words::BESIDE_POLICY,
                    &told::GATE_COLUMNS,
                    &advice.gates.iter().map(|it| told::gate_row(it, zone)).collect::<Vec<_>>(),
                ))
                p.quiet { (told::COSTS_MEAN) }
            },
            None => p { (words::NOT_KNOWN) },
        }
    }
}

fn hours(starts: &[Shift]) -> Markup {
    let booked = starts.iter().find(|shift| shift.by_min == 0);
    let known = starts.iter().filter_map(|shift| Some((shift, shift.p_gap?.get())));
    let best = known
        .max_by(|a, b| a.1.total_cmp(&b.1).then(a.0.golden_min.total_cmp(&b.0.golden_min)))
        .map(|(shift, _)| shift);
    let said = match booked.filter(|booked| booked.p_gap.is_some()).zip(best) {
        Some((booked, best)) => {
            told::best_shift(booked, best).unwrap_or_else(|| told::NO_BETTER_HOUR.to_owned())
        }
        None => told::HOURS_NOT_KNOWN.to_owned(),
    };
    html! {
        p { (said) }
        details {
            summary { (words::ALL_HOURS) }
            (table(
                words::OTHER_HOUR,
                &told::SHIFT_COLUMNS,
                &starts.iter().map(told::shift_row).collect::<Vec<_>>(),
            ))
        }
        p.quiet { (told::SHIFTS_MEAN) }
    }
}

fn two_parts(house: &House, booked: Date, parts: Option<&Split>) -> Markup {
    html! {
        @match parts {
            Some(parts) => {
                @let name = house.studio.spot(&parts.roof).map_or(&parts.roof, |spot| &spot.name);
                p { (told::split(name, booked, parts.rest)) }
                p.quiet { (told::ROOF_CAUTION) }
            },
            None => p { (told::NO_ROOF) },
        }
    }
}
