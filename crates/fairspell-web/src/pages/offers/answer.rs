//! The evenings that were found, each with its looks and a way to book it.

use fairspell_plan::{
    NoStart, Start,
    season::{SeasonOffer, SeasonOffers},
    season_climate::DayHalf,
};
use fairspell_words::{
    redate::rain_in_short,
    screens::offers as words,
    season_risk,
    time_left::{nothing_before, reserve_pair, time_left},
};
use jiff::SignedDuration;
use maud::{Markup, html};

use super::form::Asked;
use crate::{
    pages::session_edit::{Column, look_field, wish_value},
    season_views::SeasonView,
    skies::House,
    start_told::{bound_line, hours_line, look_line, look_reason},
};

/// Why there is no answer, and what to change.
pub(super) fn none(why: &NoStart) -> Markup {
    let said = match why {
        NoStart::NoDays => words::NO_DAYS,
        NoStart::TideNotKnown => words::TIDE_NOT_KNOWN,
        NoStart::NoLight => words::NO_LIGHT,
        NoStart::Drive(..) => words::DRIVE_TOO_LONG,
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

pub(super) fn markup(
    house: &House,
    asked: &Asked,
    found: &SeasonOffers,
    view: &SeasonView,
    after: &[Option<f64>],
) -> Markup {
    let standing = view.standing.as_ref();
    let terms = &house.studio.policy.season;
    html! {
        section #answers {
            @if let (Some(deadline), true) = (asked.deadline, found.offers.is_empty()) {
                h2 { (words::NO_ANSWER) }
                p role="status" { (nothing_before(deadline, asked.dates, &found.reserves_in_time)) }
            } @else {
                h2 { (words::ANSWERS) }
                p role="status" { (words::OFFERS_MEAN) }
            }
            @if let Some((date, left)) = &found.first_free {
                p { (words::first_free(*date)) " " (time_left(left)) }
            }
            @if let Some(room) = standing.and_then(|standing| standing.room.as_ref()) {
                p { (season_risk::room(room, terms.risk_max_percent)) }
            }
            ol.offered {
                @for (offer, after) in found.offers.iter().zip(after) {
                    li {
                        @let before = standing.map(|standing| standing.risk.p_all_delivered);
                        (card(house, asked, offer, view, before.zip(*after)))
                    }
                }
            }
        }
    }
}

fn card(
    house: &House,
    asked: &Asked,
    offer: &SeasonOffer,
    view: &SeasonView,
    everybody: Option<(f64, f64)>,
) -> Markup {
    let start = &offer.start;
    let zone = &house.zone;
    let studio = &house.studio;
    html! {
        h3 { (words::heading(start.date)) }
        p { (hours_line(zone, start)) }
        p { (words::road(start.leave_home, start.home_again, zone)) }
        @if let Some(left) = &offer.time_left { p { (time_left(left)) } }
        p { (reserve_pair(&offer.reserves)) }
        @let half = if start.at_dawn { DayHalf::Morning } else { DayHalf::Evening };
        p.quiet { (rain_in_short(view.climate.rain(start.date, half))) }
        @if let Some((before, after)) = everybody {
            p.quiet { (season_risk::before_and_after(before, after)) }
        }
        h4 { (words::IN_ORDER_OF_TIME) }
        ul.lines {
            @for placed in &start.looks {
                li {
                    @let wanted = &asked.looks[placed.look];
                    (look_line(studio, zone, placed, &wanted.name))
                    p { (look_reason(studio, zone, start, placed, wanted.wants)) }
                }
            }
        }
        @if !start.bounds.is_empty() {
            h4 { (words::BOUNDS) }
            ul.plain {
                @for bound in &start.bounds { li { (bound_line(studio, zone, bound)) } }
            }
        }
        a.button.main href=(book(house, asked, start)) aria-label=(words::book(start.date)) {
            (words::BOOK)
        }
    }
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
