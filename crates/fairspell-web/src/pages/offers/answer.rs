//! The evenings that were found, each with its looks and a way to book it.

use fairspell_plan::{
    NoStart, Start,
    starts::{Bound, DayKind, PlacedLook},
};
use fairspell_studio::spot::Cover;
use fairspell_words::screens::offers as words;
use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};

use super::form::Asked;
use crate::{
    pages::session_edit::{Column, look_field, wish_value},
    skies::House,
};

/// Why there is no answer, and what to change.
pub(super) fn none(why: &NoStart) -> Markup {
    let said = match why {
        NoStart::NoDays => words::NO_DAYS,
        NoStart::TideNotKnown => words::TIDE_NOT_KNOWN,
        NoStart::NoLight => words::NO_LIGHT,
        // The form lets none of these through.
        NoStart::NoLooks
        | NoStart::TooManyLooks(_)
        | NoStart::Minutes(..)
        | NoStart::NoSpots
        | NoStart::UnknownSpot(_)
        | NoStart::Dates(..) => words::NOT_AS_ASKED,
    };
    html! {
        section #answers {
            h2 { (words::NO_ANSWER) }
            p role="status" { (said) }
        }
    }
}

pub(super) fn markup(house: &House, asked: &Asked, found: &[Start]) -> Markup {
    html! {
        section #answers {
            h2 { (words::ANSWERS) }
            p role="status" { (words::ANSWERS_MEAN) }
            ol.offered { @for start in found { li { (card(house, asked, start)) } } }
        }
    }
}

fn card(house: &House, asked: &Asked, start: &Start) -> Markup {
    let zone = &house.zone;
    let hours = (start.from, start.to);
    let is_reserve = start.kind == DayKind::Reserve;
    html! {
        h3 { (words::heading(start.date)) }
        p { (words::hours(hours, zone, is_reserve, start.at_dawn)) }
        p { (words::road(start.leave_home, start.home_again, zone)) }
        h4 { (words::IN_ORDER_OF_TIME) }
        ul.lines {
            @for placed in &start.looks {
                li {
                    (words::look(
                        (placed.from, placed.to),
                        zone,
                        &asked.looks[placed.look].name,
                        name_of(house, &placed.spot),
                    ))
                    p { (reason(house, asked, start, placed)) }
                }
            }
        }
        @if !start.bounds.is_empty() {
            h4 { (words::BOUNDS) }
            ul.plain {
                @for bound in &start.bounds { li { (words::bound(bounding(house, bound), bound.time(), zone)) } }
            }
        }
        a.button.main href=(book(house, asked, start)) aria-label=(words::book(start.date)) {
            (words::BOOK)
        }
    }
}

fn name_of<'a>(house: &'a House, spot: &'a str) -> &'a str {
    house.studio.spot(spot).map_or(spot, |spot| spot.name.as_str())
}

fn bounding<'a>(house: &'a House, bound: &'a Bound) -> words::Bounding<'a> {
    match bound {
        Bound::SchoolOut(_) => words::Bounding::SchoolOut,
        Bound::SunLeaves(spot, _) => words::Bounding::SunLeaves(name_of(house, spot)),
        Bound::TideShuts(spot, _) => words::Bounding::TideShuts(name_of(house, spot)),
        Bound::TideOpens(spot, _) => words::Bounding::TideOpens(name_of(house, spot)),
        Bound::Shuts(spot, _) => words::Bounding::Shuts(name_of(house, spot)),
        Bound::LastLight(_) => words::Bounding::LastLight,
    }
}

fn reason(house: &House, asked: &Asked, start: &Start, placed: &PlacedLook) -> String {
    let spot = house.studio.spot(&placed.spot);
    let (from_deg, to_deg) = placed.sun_elevation_deg;
    let find =
        |at_spot: &dyn Fn(&Bound) -> Option<Timestamp>| start.bounds.iter().find_map(at_spot);
    let sun_leaves = find(&|bound| match bound {
        Bound::SunLeaves(id, at) if *id == placed.spot => Some(*at),
        _ => None,
    });
    let tide_shuts = find(&|bound| match bound {
        Bound::TideShuts(id, at) if *id == placed.spot && *at >= placed.to => Some(*at),
        _ => None,
    });
    let light = words::LookLight {
        wants: asked.looks[placed.look].wants,
        sun_elevation_deg: f64::midpoint(from_deg, to_deg),
        sun_azimuth_deg: placed.sun_azimuth_deg,
        direct_share: placed.direct_share,
        under_roof: spot.is_some_and(|it| it.site.roof.is_some() || it.cover == Cover::Roof),
        has_lamps: spot.is_some_and(|it| it.site.lamps),
        sun_leaves,
        tide_shuts,
        score: placed.score,
    };
    words::reason(&light, placed.to, &house.zone)
}

/// The form of a new session with this answer in it.
fn book(house: &House, asked: &Asked, start: &Start) -> String {
    let begins = house.zone.to_datetime(start.from);
    let minutes = SignedDuration::as_mins(&start.from.duration_until(start.to));
    let mut fields = vec![
        ("date".to_owned(), start.date.to_string()),
        ("start".to_owned(), begins.time().strftime("%H:%M").to_string()),
        ("minutes".to_owned(), minutes.to_string()),
        ("drive".to_owned(), asked.drive_min.to_string()),
    ];
    for (row, placed) in start.looks.iter().enumerate() {
        let wanted = &asked.looks[placed.look];
        fields.push((look_field(row, Column::Name), wanted.name.clone()));
        fields.push((look_field(row, Column::Spot), placed.spot.clone()));
        fields.push((look_field(row, Column::Wants), wish_value(wanted.wants).to_owned()));
    }
    let query = serde_urlencoded::to_string(&fields).unwrap_or_default();
    format!("/sessions/new?{query}")
}
