//! Weeks as rows of evenings: sold, kept for weather, free.

use std::collections::BTreeMap;

use fairspell_figures::{Evening, Size, Theme, evening_svg, with_nonce};
use fairspell_plan::{
    evening::hours,
    season::{latest_evening, standing_sessions},
    season_climate::{DayHalf, evening_span},
};
use fairspell_studio::{
    Session,
    season::{EveningKind, Pattern, monday},
};
use fairspell_words::{
    band_name,
    clock::{date, date_and_clock},
    redate::rain_in_short,
    screens::season as words,
    season_risk,
};
use jiff::{ToSpan, civil::Date};
use maud::{Markup, PreEscaped, html};

use crate::{
    drawing::clear_evening,
    figures::small_evening,
    season_views::SeasonView,
    skies::{House, Skies},
    visit::Visit,
};

/// Without a session ahead so many weeks are shown.
const WEEKS_LEAST: i64 = 6;

/// Weeks are shown this far at most.
const WEEKS_MOST: i64 = 60;

/// The weeks from this one to four beyond the last session.
///
/// - `moving`: the session that looks for another evening; then evenings are places to put it.
pub(super) fn weeks(
    visit: &Visit,
    house: &House,
    skies: &Skies,
    view: &SeasonView,
    moving: Option<&Session>,
) -> Markup {
    let today = house.zone.to_datetime(skies.as_of).date();
    let least = today.saturating_add((7 * WEEKS_LEAST).days());
    let most = today.saturating_add((7 * WEEKS_MOST).days());
    let until = view.standing.as_ref().map_or(least, |standing| standing.until.max(least));
    let sunday = monday(until.min(most)).saturating_add(6.days());
    let pattern = Pattern::of(&house.studio, (monday(today), sunday));
    let mut sold: BTreeMap<Date, Vec<&Session>> = BTreeMap::new();
    for session in standing_sessions(&house.sessions) {
        sold.entry(session.start.date()).or_default().push(session);
    }
    let mut rows: Vec<(Date, Vec<(Date, EveningKind)>)> = Vec::new();
    for (day, kind) in pattern.evenings().filter(|(day, _)| *day >= today) {
        if kind == EveningKind::Never && !sold.contains_key(&day) {
            // A week that is never offered says so.
            let is_black = house.studio.blackouts.iter().any(|it| (it.from..=it.to).contains(&day));
            if is_black && rows.last().is_none_or(|(week, _)| *week != monday(day)) {
                rows.push((monday(day), Vec::new()));
            }
            continue;
        }
        match rows.last_mut() {
            Some((week, evenings)) if *week == monday(day) => evenings.push((day, kind)),
            _ => rows.push((monday(day), vec![(day, kind)])),
        }
    }
    let table = Weeks { visit, house, skies, view, moving, sold };
    html! {
        section.season data-season {
            h2 { (words::WEEKS) }
            @if rows.is_empty() {
                p { (words::NO_EVENING) " " a href="/studio/week" { (words::TO_WEEK) } }
            }
            @for (week, evenings) in &rows {
                section.week {
                    h3 { (words::week(*week)) @if let Some(why) = table.never(*week) { " " span.quiet { (why) } } }
                    ul.week-evenings {
                        @for (day, kind) in evenings { (table.cell(*day, *kind)) }
                    }
                }
            }
            p { a href="/studio/week" { (words::TO_WEEK) } }
        }
    }
}

struct Weeks<'a> {
    visit: &'a Visit,
    house: &'a House,
    skies: &'a Skies,
    view: &'a SeasonView,
    moving: Option<&'a Session>,
    sold: BTreeMap<Date, Vec<&'a Session>>,
}

impl Weeks<'_> {
    /// Why a week has evenings that are never offered.
    fn never(&self, week: Date) -> Option<String> {
        let sunday = week.saturating_add(6.days());
        let names: Vec<&str> = self
            .house
            .studio
            .blackouts
            .iter()
            .filter(|never| never.from <= sunday && never.to >= week)
            .map(|never| never.name.as_str())
            .collect();
        (!names.is_empty()).then(|| words::never(&names))
    }

    fn cell(&self, day: Date, kind: EveningKind) -> Markup {
        let sessions = self.sold.get(&day).map(Vec::as_slice).unwrap_or_default();
        html! {
            @if sessions.is_empty() {
                li.free.reserve[kind == EveningKind::Reserve] data-date=(day) {
                    p.day { (date(day)) " " span.kind { (words::kind(kind)) } }
                    (self.clear(day, None))
                    @if !self.is_over(day) {
                        p.quiet { (rain_in_short(self.view.climate.rain(day, DayHalf::Evening))) }
                    }
                    @if let Some(session) = self.moving.filter(|it| self.can_have(it, day)) {
                        (put_here(session, day))
                    }
                }
            }
            @for session in sessions { (self.sold_cell(day, session)) }
        }
    }

    fn sold_cell(&self, day: Date, session: &Session) -> Markup {
        let sky = self.skies.of(&session.id);
        let is_moving = self.moving.is_some_and(|moving| moving.id == session.id);
        html! {
            li.sold.is-moving[is_moving] data-date=(day) data-session=(session.id)
                data-try=(format!("/season/try?session={}", session.id)) {
                p.day {
                    a href=(format!("/sessions/{}", session.id)) {
                        (words::session(session.start, &session.sitter))
                    }
                }
                @match sky {
                    Some(sky) => {
                        (small_evening(self.visit, sky))
                        p { (band_name(sky.standing.ruling.band)) }
                    },
                    None => (self.clear(day, Some(session))),
                }
                @if let Some(line) = self.risk(session) { p.quiet { (line) } }
                @if let Some(latest) = latest_evening(&self.house.studio, session) {
                    p.quiet { (words::latest(latest)) }
                }
                @if self.moving.is_none() {
                    p { a.button.plain href=(format!("/season?moving={}", session.id))
                        aria-label=(words::move_label(&session.sitter)) { (words::MOVE) } }
                }
            }
        }
    }

    /// Whether an evening is worth trying: neither over nor too late for the session's deadline.
    fn can_have(&self, session: &Session, day: Date) -> bool {
        let studio = &self.house.studio;
        let is_late = latest_evening(studio, session).is_some_and(|latest| day > latest);
        !self.is_over(day) && !is_late
    }

    fn is_over(&self, day: Date) -> bool {
        let span = evening_span(&self.house.studio, &self.house.zone, day);
        span.is_some_and(|span| span.to <= self.skies.as_of)
    }

    fn risk(&self, session: &Session) -> Option<String> {
        let standing = self.view.standing.as_ref()?;
        let sessions = &standing.ahead.problem.sessions;
        let index = sessions.iter().position(|placed| placed.id == session.id)?;
        standing.risk.sessions.get(index).map(season_risk::session_risk)
    }

    /// The light of an evening under a clear sky: no forecast is drawn where none was asked.
    fn clear(&self, day: Date, session: Option<&Session>) -> Markup {
        let figure = self.evening(day, session);
        html! {
            @if let Some(figure) = figure {
                div.evening-small {
                    (PreEscaped(with_nonce(
                        &evening_svg(&figure, Size::Small, Theme::Auto),
                        &self.visit.nonce,
                    )))
                }
            }
        }
    }

    fn evening(&self, day: Date, session: Option<&Session>) -> Option<Evening> {
        let House { studio, zone, .. } = self.house;
        if let Some(session) = session {
            let hours = hours(studio, zone, session).ok()?;
            return Some(clear_evening(zone, hours.evening, hours.place, words::clear(day)));
        }
        let span = evening_span(studio, zone, day)?;
        Some(clear_evening(zone, span, studio.home, words::clear(day)))
    }
}

fn put_here(session: &Session, day: Date) -> Markup {
    html! {
        p { a.button href=(format!("/season/try?session={}&date={day}", session.id)) {
            (words::put_here(day))
        } }
    }
}

/// Sessions that are over or moved, folded.
pub(super) fn behind(house: &House, skies: &Skies) -> Markup {
    let today = house.zone.to_datetime(skies.as_of).date();
    let behind: Vec<&Session> = house
        .sessions
        .iter()
        .filter(|one| house.moved_to(one).is_some() || one.start.date() < today || one.is_erased())
        .collect();
    html! {
        @if !behind.is_empty() {
            details {
                summary { (words::behind(behind.len())) }
                ul.lines {
                    @for session in &behind {
                        li {
                            a href=(format!("/sessions/{}", session.id)) {
                                (words::session(session.start, &session.sitter))
                            }
                            @if let Some(later) = house.moved_to(session) {
                                p.quiet {
                                    (words::MOVED_TO) " "
                                    a href=(format!("/sessions/{}", later.id)) {
                                        (date_and_clock(later.start))
                                    }
                                }
                            } @else { p.quiet { (words::OVER) } }
                        }
                    }
                }
            }
        }
    }
}
