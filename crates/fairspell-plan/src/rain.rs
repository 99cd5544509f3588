//! Any rain, wet minutes and dry gaps over a session's hours, from forecast and radar.
//!
//! Two events are kept apart. **Any rain** is what services forecast: at least their own small amount
//! in a period. A **wet minute** is one of at least 0.1 mm/h: it undoes hair without counting as
//! rain. Radar and gaps speak of wet minutes; the forecast's figure is carried over to them by
//! [`fairspell_chance::p_wet_minutes`] before the two are joined.

use fairspell_chance::{
    Chance, Character, Handover, Probability, Stated, default_correlation, joined, p_dry_gap,
    p_rain_in_window, p_wet_minutes, p_wet_step,
};
use fairspell_nowcast::spot::Spot;
use fairspell_studio::{
    Sourced, Span,
    outlook::{LikelyGap, RainStep},
};
use fairspell_weather::{
    Forecast,
    forecast::{self, RainStatement},
};
use jiff::{Timestamp, ToSpan};

use crate::{
    evening::Hours,
    handover::handover,
    seen::{SeenForecast, SeenRadar},
};

/// Length of one step of the evening, minutes.
const STEP_MIN: i64 = 5;

/// Dry gaps shorter than this are not drawn, minutes: a change of place eats them up.
const DRAWN_GAP_MIN: f64 = 15.0;

/// A source that has less of a say than this in a joined figure is not named beside it.
const NAMED_FROM_WEIGHT: f64 = 0.05;

/// What is known of the rain over a session's hours.
#[derive(Debug, Clone, Default)]
pub struct Rain {
    /// Chance of any rain in the booked hours.
    pub p_any_rain: Option<Sourced<Chance>>,
    /// Chance of a wet minute until last usable light.
    pub p_wet_minute: Option<Sourced<Chance>>,
    /// Chance of one dry gap of the rescue set's length until last usable light.
    pub p_gap: Option<Sourced<Chance>>,
    /// Showery or steady.
    pub character: Option<Sourced<Character>>,
    /// Rain in the booked hours, mm.
    pub rain_amount_mm: Option<Sourced<f64>>,
    /// The largest hour that the service published over the booked hours.
    pub largest_hour: Option<Sourced<Probability>>,
    /// The evening in five-minute steps.
    pub steps: Vec<RainStep>,
    /// Likely dry gaps.
    pub likely_gaps: Vec<LikelyGap>,
    /// How radar gave way to the forecast; by the hours where either is missing.
    pub handover: Handover,
}

/// A forecast and a radar picture, asked about the same place at the same moment.
struct Sky<'a> {
    as_of: Timestamp,
    place: &'a str,
    forecast: Option<&'a SeenForecast>,
    radar: Option<(&'a SeenRadar, Spot<'a>)>,
    character: Option<Character>,
    handover: Handover,
}

/// Asks forecast and radar about a session's hours. Sources too old to rely on are left out by the
/// caller.
///
/// - `rescue_set_min`: length of the gap that a session needs, minutes.
pub fn rain(
    hours: &Hours,
    as_of: Timestamp,
    forecast: Option<&SeenForecast>,
    radar: Option<&SeenRadar>,
    rescue_set_min: f64,
) -> Rain {
    let sky = Sky::over(hours, as_of, forecast, radar);
    let (character, handover) = (sky.character, sky.handover);

    // What is over already no longer matters.
    let left = |span: Span| Span { from: span.from.max(as_of).min(span.to), to: span.to };
    let booked = left(hours.window);
    let until_last_light = left(hours.until_last_light);
    Rain {
        p_any_rain: sky
            .by_forecast(booked, |seen| p_any_rain(&seen.forecast, booked, as_of))
            .map(|rain| Sourced { our_estimate: !is_stated_as_it_is(forecast, booked), ..rain }),
        p_wet_minute: sky.p_wet_minute(until_last_light),
        p_gap: sky.p_gap(until_last_light, rescue_set_min),
        character: sky.by_forecast(hours.until_last_light, |_| character),
        rain_amount_mm: sky.by_forecast(booked, |seen| rain_amount_mm(seen, booked)),
        largest_hour: sky.by_forecast(booked, |seen| {
            seen.forecast.largest_listed(booked.from, booked.to).map(|hour| hour.p)
        }),
        steps: sky.steps(hours.evening),
        likely_gaps: sky.likely_gaps(until_last_light),
        handover,
    }
}

/// What radar and forecast each say of one dry gap, before they are joined.
#[derive(Debug, Clone, Copy)]
pub(crate) struct GapParts {
    /// By the rain that the radar sees on its way; `None` where the hours are beyond it.
    pub(crate) by_radar: Option<Chance>,
    /// By the forecast.
    pub(crate) by_forecast: Option<Chance>,
    /// How the one gives way to the other.
    pub(crate) handover: Handover,
    /// Showery or steady, where the forecast says so.
    pub(crate) character: Option<Character>,
    /// How far the middle of the hours lies ahead, minutes.
    pub(crate) lead_min: f64,
}

/// What each source says of one dry gap in some hours of a session's day, at its place.
///
/// - `span`: what is asked about, none of it over and no shorter than the gap.
/// - `gap_min`: the gap, minutes.
pub(crate) fn gap_parts(
    hours: &Hours,
    span: Span,
    as_of: Timestamp,
    forecast: Option<&SeenForecast>,
    radar: Option<&SeenRadar>,
    gap_min: f64,
) -> GapParts {
    let sky = Sky::over(hours, as_of, forecast, radar);
    GapParts {
        by_radar: sky.gap_by_radar(span, gap_min),
        by_forecast: sky.gap_by_forecast(span, gap_min),
        handover: sky.handover,
        character: sky.character,
        lead_min: middle_lead_min(span, as_of),
    }
}

impl<'a> Sky<'a> {
    /// The sky of a session's hours.
    fn over(
        hours: &'a Hours,
        as_of: Timestamp,
        forecast: Option<&'a SeenForecast>,
        radar: Option<&'a SeenRadar>,
    ) -> Self {
        let radar = radar.and_then(|seen| Some((seen, seen.nowcast.at(hours.place).ok()?)));
        let character = forecast.and_then(|seen| character(seen, hours.until_last_light));
        let handover = match (forecast, &radar) {
            (Some(seen), Some((_, spot))) => handover(seen, spot),
            _ => Handover::by_hours(),
        };
        Sky { as_of, place: &hours.place_name, forecast, radar, character, handover }
    }
}

impl Sky<'_> {
    fn by_forecast<T>(
        &self,
        hours: Span,
        figure: impl Fn(&SeenForecast) -> Option<T>,
    ) -> Option<Sourced<T>> {
        let seen = self.forecast?;
        Some(Sourced {
            value: figure(seen)?,
            hours,
            place: self.place.to_owned(),
            source: seen.source.clone(),
            issued: seen.forecast.reference_time,
            our_estimate: estimated(seen, hours),
        })
    }

    fn p_wet_minute(&self, hours: Span) -> Option<Sourced<Chance>> {
        let by_radar = self
            .radar
            .as_ref()
            .and_then(|(_, spot)| spot.p_rain(hours.from, hours.to))
            .map(with_doubt);
        self.joined(hours, by_radar, self.p_wet_by_forecast(hours))
    }

    /// A span too short for the gap has none: that is known, whatever the sky does.
    fn p_gap(&self, hours: Span, gap_min: f64) -> Option<Sourced<Chance>> {
        if hours.minutes() < gap_min {
            let none = Some(Chance::certain(Probability::ZERO));
            return self.joined(hours, none, none);
        }
        let (by_radar, by_forecast) =
            (self.gap_by_radar(hours, gap_min), self.gap_by_forecast(hours, gap_min));
        self.joined(hours, by_radar, by_forecast)
    }

    fn gap_by_radar(&self, hours: Span, gap_min: f64) -> Option<Chance> {
        let (_, spot) = self.radar.as_ref()?;
        spot.p_gap(hours.from, hours.to, gap_min).map(with_doubt)
    }

    fn gap_by_forecast(&self, hours: Span, gap_min: f64) -> Option<Chance> {
        self.p_gap_by_forecast(&self.p_wet_by_forecast(hours)?, hours.minutes(), gap_min)
    }

    fn p_wet_by_forecast(&self, hours: Span) -> Option<Chance> {
        p_any_rain(&self.forecast?.forecast, hours, self.as_of).map(|p_rain| p_wet_minutes(&p_rain))
    }

    /// Where the forecast does not say how it rains, the range holds both ways.
    fn p_gap_by_forecast(&self, p_wet: &Chance, window_min: f64, gap_min: f64) -> Option<Chance> {
        if let Some(character) = self.character {
            return p_dry_gap(p_wet, window_min, gap_min, character);
        }
        let showery = p_dry_gap(p_wet, window_min, gap_min, Character::Showery)?;
        let steady = p_dry_gap(p_wet, window_min, gap_min, Character::Steady)?;
        let both = showery.blend(&steady, 0.5);
        Some(both.widened_to(&showery).widened_to(&steady))
    }

    /// Joins the radar's and the forecast's figure for one event, and says whose it then is.
    fn joined(
        &self,
        hours: Span,
        by_radar: Option<Chance>,
        by_forecast: Option<Chance>,
    ) -> Option<Sourced<Chance>> {
        let lead_min = middle_lead_min(hours, self.as_of);
        let value = joined(by_radar.as_ref(), by_forecast.as_ref(), lead_min, self.handover)?;
        // Radar alone fades by the hours; whether it is named does too.
        let handover = if by_forecast.is_some() { self.handover } else { Handover::by_hours() };
        let weight = handover.radar_share(lead_min);
        let radar_counts = by_radar.is_some() && weight >= NAMED_FROM_WEIGHT;
        let forecast_counts =
            by_forecast.is_some() && (by_radar.is_none() || 1.0 - weight >= NAMED_FROM_WEIGHT);
        let radar = self.radar.as_ref().filter(|_| radar_counts);
        let radar = radar.map(|(seen, _)| (seen.source.clone(), seen.nowcast.valid_time()));
        let forecast = self.forecast.filter(|_| forecast_counts);
        let forecast = forecast.map(|seen| (seen.source.clone(), seen.forecast.reference_time));
        let (source, issued) = match (radar, forecast) {
            // The older of the two is the one to know of.
            (Some(radar), Some(forecast)) => {
                (format!("{} + {}", radar.0, forecast.0), radar.1.min(forecast.1))
            }
            (Some(only), None) | (None, Some(only)) => only,
            (None, None) => return None,
        };
        let place = self.place.to_owned();
        Some(Sourced { value, hours, place, source, issued, our_estimate: true })
    }

    fn steps(&self, evening: Span) -> Vec<RainStep> {
        let minutes = self.radar.as_ref().map(|(_, spot)| spot.minutes()).unwrap_or_default();
        let mut steps = Vec::new();
        let mut from = evening.from;
        while from < evening.to {
            let to = (from + STEP_MIN.minutes()).min(evening.to);
            let hours = Span { from, to };
            let middle = from + (to.duration_since(from) / 2);
            let minute = minutes.iter().find(|minute| minute.time >= middle);
            let by_radar = minute.and_then(|minute| minute.p_rain).map(Chance::certain);
            let by_forecast = self.p_wet_step_by_forecast(hours);
            let lead_min = middle_lead_min(hours, self.as_of);
            let p_wet = if to <= self.as_of {
                None
            } else {
                joined(by_radar.as_ref(), by_forecast.as_ref(), lead_min, self.handover)
                    .map(|p| p.centre)
            };
            // The radar's mean counts dry outcomes as nothing; a drawing wants the rate if it rains.
            let rain_rate_mm_h = minute.and_then(|minute| {
                let p = minute.p_rain?.get();
                minute.rain_rate_mm_h.filter(|_| p > 0.05).map(|rate| rate / p)
            });
            steps.push(RainStep { hours, p_wet, rain_rate_mm_h });
            from = to;
        }
        steps
    }

    /// The chance of a wet five minutes, from the clock hour around them.
    fn p_wet_step_by_forecast(&self, step: Span) -> Option<Chance> {
        let second = step.from.as_second().div_euclid(3600) * 3600;
        let from = Timestamp::from_second(second).ok()?;
        let hour = Span { from, to: from + 1.hour() };
        let p_wet = self.p_wet_by_forecast(hour)?;
        p_wet_step(&p_wet, 60.0, self.character.unwrap_or(Character::Showery))
    }

    fn likely_gaps(&self, hours: Span) -> Vec<LikelyGap> {
        let Some((_, spot)) = &self.radar else { return Vec::new() };
        let half = |earliest: Timestamp, latest: Timestamp| {
            latest.duration_since(earliest).as_secs_f64() / 120.0
        };
        spot.dry_gaps(DRAWN_GAP_MIN)
            .into_iter()
            .filter_map(|gap| {
                let from = gap.begins.likely.max(hours.from);
                let to = gap.ends.likely.min(hours.to);
                let span = Span { from, to };
                (from < to && span.minutes() >= DRAWN_GAP_MIN).then(|| LikelyGap {
                    hours: span,
                    from_doubt_min: if from == gap.begins.likely {
                        half(gap.begins.earliest, gap.begins.latest)
                    } else {
                        0.0
                    },
                    to_doubt_min: if to == gap.ends.likely {
                        half(gap.ends.earliest, gap.ends.latest)
                    } else {
                        0.0
                    },
                })
            })
            .collect()
    }
}

/// Doubt about a chance told by radar, log-odds either way.
///
/// # Source
///
/// Our choice, from the two open events that the nowcast is scored on: the level of what was told
/// and what came differed by up to a quarter of the log-odds between events (0.338 told, 0.313 seen).
const RADAR_DOUBT: f64 = 0.25;

/// A chance told by radar with its doubt about itself.
fn with_doubt(p: Probability) -> Chance {
    let odds = p.get() / (1.0 - p.get());
    let shifted = |by: f64| {
        let odds = odds * by.exp();
        Probability::clamped(if odds.is_finite() { odds / (1.0 + odds) } else { 1.0 })
    };
    let centre = Chance::certain(p);
    centre
        .widened_to(&Chance::certain(shifted(-RADAR_DOUBT)))
        .widened_to(&Chance::certain(shifted(RADAR_DOUBT)))
}

/// How far the middle of some hours lies ahead, minutes.
fn middle_lead_min(hours: Span, as_of: Timestamp) -> f64 {
    hours.from.duration_since(as_of).as_secs_f64() / 60.0 + hours.minutes() / 2.0
}

/// Chance of any rain in some hours, from the chances that the forecast states for its own periods.
pub(crate) fn p_any_rain(forecast: &Forecast, hours: Span, as_of: Timestamp) -> Option<Chance> {
    let lead_min = hours.from.duration_since(as_of).as_secs_f64() / 60.0;
    let correlation = default_correlation(hours.minutes(), lead_min);
    let over = |p_of: &dyn Fn(&RainStatement) -> Option<Probability>| {
        let stated: Vec<Stated> = forecast
            .rain_during(hours.from, hours.to)
            .filter_map(|statement| {
                Some(Stated {
                    from_min: minutes_since(hours.from, statement.from),
                    to_min: minutes_since(hours.from, statement.to),
                    p: p_of(statement)?,
                })
            })
            .collect();
        p_rain_in_window(&stated, 0.0, hours.minutes(), correlation)
    };
    let centre = over(&|statement| statement.p_rain)?;
    let low = over(&|statement| statement.spread.map(|spread| spread.low).or(statement.p_rain))?;
    let high = over(&|statement| statement.spread.map(|spread| spread.high).or(statement.p_rain))?;
    Some(centre.widened_to(&low).widened_to(&high))
}

/// Whether any chance over the hours is our own estimate from an amount.
fn estimated(seen: &SeenForecast, hours: Span) -> bool {
    seen.forecast
        .rain_during(hours.from, hours.to)
        .any(|statement| statement.basis == forecast::Basis::OurEstimate)
}

/// Whether the forecast states one chance for just these hours; otherwise the figure is ours, made of
/// its chances.
fn is_stated_as_it_is(forecast: Option<&SeenForecast>, hours: Span) -> bool {
    forecast.is_some_and(|seen| {
        seen.forecast.rain_during(hours.from, hours.to).any(|statement| {
            (statement.from, statement.to) == (hours.from, hours.to)
                && statement.basis == forecast::Basis::Stated
        })
    })
}

fn minutes_since(origin: Timestamp, moment: Timestamp) -> f64 {
    moment.duration_since(origin).as_secs_f64() / 60.0
}

/// Showery or steady, by what the forecast says of more of the hours; `None` when it says nothing.
fn character(seen: &SeenForecast, hours: Span) -> Option<Character> {
    let minutes_of = |wanted: Character| -> f64 {
        seen.forecast
            .conditions_during(hours.from, hours.to)
            .filter(|condition| condition.rain_character == Some(wanted))
            .map(|c| Span { from: c.from.max(hours.from), to: c.to.min(hours.to) }.minutes())
            .sum()
    };
    let showery = minutes_of(Character::Showery);
    let steady = minutes_of(Character::Steady);
    match (showery > 0.0, steady > 0.0) {
        (false, false) => None,
        _ if showery >= steady => Some(Character::Showery),
        _ => Some(Character::Steady),
    }
}

/// Rain in some hours, mm: the stated amounts, each by the share of its period that lies in them.
fn rain_amount_mm(seen: &SeenForecast, hours: Span) -> Option<f64> {
    let mut covered_min = 0.0;
    let mut total_mm = 0.0;
    for amount in &seen.forecast.rain_amounts {
        let part = Span { from: amount.from.max(hours.from), to: amount.to.min(hours.to) };
        let whole_min = Span { from: amount.from, to: amount.to }.minutes();
        if part.from < part.to && whole_min > 0.0 {
            covered_min += part.minutes();
            total_mm += amount.rain_amount_mm * part.minutes() / whole_min;
        }
    }
    (covered_min >= hours.minutes() - 1e-6).then_some(total_mm)
}
