//! The demo's clock: shown on every page, moved to a gate or to any moment.

use axum::response::{IntoResponse, Redirect, Response};
use fairspell_studio::next_gate;
use fairspell_words::{gate_name, screens::demo_clock as words};
use jiff::{Timestamp, civil::DateTime};
use maud::{Markup, html};

use crate::{
    error::PageError,
    sign_in::safe_next,
    skies::House,
    visit::{Posted, Visit},
};

/// The bar under the navigation.
pub(crate) fn bar(visit: &Visit) -> Markup {
    let skies = visit.app.skies();
    let Some(house) = skies.house.as_deref() else { return html! {} };
    let now = visit.app.clock.now();
    let next = skies
        .coming()
        .filter_map(|sky| Some((next_gate(&sky.standing.gates, now)?, sky)))
        .min_by_key(|(gate, _)| gate.at);
    html! {
        aside.demo-clock aria-label=(words::LABEL) {
            p { strong { (words::it_is(now, &house.zone)) } " " (words::WHAT_FOR) }
            @if let Some((gate, sky)) = next {
                form method="post" action="/clock" {
                    (visit.form_field())
                    input type="hidden" name="to" value=(gate.at);
                    input type="hidden" name="next" value=(format!("/sessions/{}", sky.session.id));
                    button { (words::go_on_to(gate.at, gate_name(gate.kind), &house.zone)) }
                }
            }
            details {
                summary { (words::SET) }
                form method="post" action="/clock" {
                    (visit.form_field())
                    label { (words::TO) " "
                        input type="datetime-local" name="to" required
                            value=(house.zone.to_datetime(now).strftime("%Y-%m-%dT%H:%M"));
                    }
                    button { (words::SET) }
                }
            }
        }
    }
}

/// `POST /clock`: sets it, and looks at the skies as of then.
pub(crate) async fn set(Posted { visit, fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    if !app.settings.is_demo {
        return Err(PageError::NotThere);
    }
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let moment =
        read_moment(fields.text("to"), house).ok_or(PageError::Typed(words::UNREADABLE))?;
    app.clock.set(moment);
    app.look_again().await?;
    Ok(Redirect::to(safe_next(fields.filled("next").unwrap_or("/"))).into_response())
}

/// An instant, or a time by the studio's clock.
fn read_moment(text: &str, house: &House) -> Option<Timestamp> {
    let local = |text: &str| {
        let wall: DateTime = text.replace(' ', "T").parse().ok()?;
        house.zone.to_timestamp(wall).ok()
    };
    text.parse().ok().or_else(|| local(text))
}
