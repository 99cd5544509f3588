//! The looks of a session, each with what to mind about it.

use fairspell_studio::{
    LookSky, Session, Spot, look_advice, look_table::Verdict, session::Look, suited_spots,
};
use fairspell_words::{
    looks::{advice_line, pairing_line},
    screens::session as words,
};
use maud::{Markup, html};

use crate::skies::{House, Sky};

/// What is known of a sky, as far as it concerns clothes and hair.
pub(super) fn sky(house: &House, sky: &Sky) -> LookSky {
    let outlook = &sky.standing.outlook;
    let humidity = sky.seen.forecast.as_ref().and_then(|seen| {
        let during = seen.forecast.conditions_during(outlook.window.from, outlook.window.to);
        during.filter_map(|condition| condition.relative_humidity).reduce(f64::max)
    });
    LookSky {
        humidity_percent: humidity.map(|share| 100.0 * share),
        ..LookSky::of(outlook, &house.studio.policy)
    }
}

/// The looks in their order.
pub(super) fn list(house: &House, session: &Session, sky: LookSky) -> Markup {
    let table = &house.studio.look_table;
    let month = session.start.month();
    let pairings: Vec<String> =
        session.looks.iter().filter_map(|look| pairing(house, look, month)).collect();
    html! {
        ol.lines {
            @for look in &session.looks {
                @let spot = house.studio.spot(&look.spot);
                li {
                    (words::look(&look.name, spot.map_or(&look.spot, |spot| &spot.name)))
                    @if table.shows_drops(look) { ", " (words::SHOWS_DROPS) }
                    @if table.marks_for_good(look) { ", " (words::MARKS_FOR_GOOD) }
                    @if let Some(spot) = spot {
                        @for advice in look_advice(table, look, spot, month, &sky) {
                            p { (advice_line(&advice)) }
                        }
                    }
                }
            }
        }
        @if !pairings.is_empty() {
            details {
                summary { (words::PAIRINGS) }
                ul.lines { @for line in &pairings { li { (line) } } }
            }
        }
    }
}

/// Where a look's colour goes well among the spots within reach of its own.
fn pairing(house: &House, look: &Look, month: i8) -> Option<String> {
    let studio = &house.studio;
    let own = studio.spot(&look.spot)?;
    let near: Vec<Spot> =
        studio.spots.iter().filter(|spot| spot.is_near(own.position)).cloned().collect();
    let suited = suited_spots(&studio.look_table, look, &near, month);
    let name = |id: &str| studio.spot(id).map_or_else(String::new, |spot| spot.name.clone());
    let named: Vec<(String, _)> = suited.iter().map(|spot| (name(&spot.spot), spot)).collect();
    let against = |(_, verdict): &&(Option<String>, Verdict)| *verdict != Verdict::Suits;
    let scored = |wanted: fn(i32) -> bool| -> Vec<&str> {
        let fits = named.iter().filter(|(_, spot)| {
            wanted(spot.score) && !spot.verdicts.iter().any(|verdict| against(&verdict))
        });
        fits.map(|(name, _)| name.as_str()).collect()
    };
    let (well, silent) = (scored(|score| score > 0), scored(|score| score == 0));
    let less: Vec<(&str, Option<&str>, Verdict)> = named
        .iter()
        .filter_map(|(name, spot)| {
            let (backdrop, verdict) = spot.verdicts.iter().find(against)?;
            Some((name.as_str(), backdrop.as_deref(), *verdict))
        })
        .collect();
    pairing_line(&look.name, &well, &silent, &less)
}
