//! What else could be done with a session: keep it, another hour, in two parts, another evening.

use axum::{extract::Path, response::Response};
use fairspell_chance::Probability;
use fairspell_plan::{
    CostAdvice, RainRisk, cost_advice,
    shift::{Shift, Split, shifts, split},
};
use fairspell_words::{
    alternatives as told,
    screens::{alternatives as words, season as season_words, shell},
};
use maud::{Markup, html};

use crate::{
    error::PageError,
    page::{Section, page},
    pages::season::season,
    visit::Visit,
};

/// `GET /sessions/{id}/alternatives`.
pub(crate) async fn show(visit: Visit, Path(id): Path<String>) -> Result<Response, PageError> {
    let app = visit.app.clone();
    let skies = app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let sky = skies.of(&id).cloned().ok_or(PageError::NotThere)?;
    let as_of = skies.as_of;
    let view = season(&app, &house, house.zone.to_datetime(as_of).date()).await?;
    let other = view.climate.rain(sky.session.start.date()).map(|rain| rain.p_rain);
    let outlook = &sky.standing.outlook;
    let advice = outlook.p_any_rain.as_ref().zip(other).and_then(|(rain, p_other)| {
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
        section {
            h2 { (words::BESIDE_POLICY) }
            (costs(advice.as_ref(), &house.zone))
        }
        section { h2 { (words::OTHER_HOUR) } (hours(&starts)) }
        section { h2 { (words::TWO_PARTS) } (two_parts(&house, parts.as_ref())) }
        section {
            h2 { (words::OTHER_EVENING) }
            div.buttons {
                a.button href=(format!("/season?moving={id}")) { (season_words::MOVE) }
                a.button href=(format!("/season/plan?ask=yes&session={id}#plan")) {
                    (words::BEST_EVENING)
                }
            }
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
    let chance = |shift: &Shift| shift.p_gap.map_or(0.0, Probability::get);
    let best = starts
        .iter()
        .max_by(|a, b| chance(a).total_cmp(&chance(b)).then(a.golden_min.total_cmp(&b.golden_min)));
    let better = booked.zip(best).and_then(|(booked, best)| told::best_shift(booked, best));
    html! {
        p { (better.unwrap_or_else(|| told::NO_BETTER_HOUR.to_owned())) }
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

fn two_parts(house: &crate::skies::House, parts: Option<&Split>) -> Markup {
    html! {
        @match parts {
            Some(parts) => {
                @let name = house.studio.spot(&parts.roof).map_or(&parts.roof, |spot| &spot.name);
                p { (told::split(name, parts.rest)) }
                p.quiet { (told::ROOF_CAUTION) }
            },
            None => p { (told::NO_ROOF) },
        }
    }
}
