//! The light of a session's looks, as its page and its plan on paper show it.

use fairspell_plan::{BagOut, LightAsk, LookLight, PlannedLook, Water, bag_out, look_light};
use fairspell_studio::{LightWish, Span, Spot};
use fairspell_words::{clock::clock, light::mist_said, screens::light_plan as words};
use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};

use crate::skies::{House, Sky};

/// The plan of a session's light.
#[derive(Debug)]
pub(crate) struct LightPlan {
    looks: Vec<PlannedLight>,
    bag: Option<BagOut>,
    start: Timestamp,
}

/// A look with its light; `None` where there is none.
#[derive(Debug)]
struct PlannedLight {
    name: String,
    spot: Spot,
    wants: LightWish,
    hours: Span,
    light: Option<LookLight>,
}

/// Rain less likely than this is not spoken of.
const RAIN_FROM: f64 = 0.2;

/// Works the plan out.
pub(crate) fn light_plan(house: &House, sky: &Sky) -> LightPlan {
    let studio = &house.studio;
    let window = sky.standing.outlook.window;
    let forecast = sky.seen.forecast.as_ref().map(|seen| &seen.forecast);
    let tide = studio.tide().ok().flatten();
    let ask = LightAsk {
        policy: &studio.policy,
        zone: &house.zone,
        forecast,
        tide: tide.as_ref(),
        wet: false,
    };
    let looks = planned(house, sky).into_iter().map(|look| {
        let light = look_light(ask, &look);
        let PlannedLook { name, spot, wants, hours, .. } = look;
        PlannedLight { name, spot: spot.clone(), wants, hours, light }
    });
    LightPlan {
        looks: looks.collect(),
        bag: forecast.and_then(|forecast| bag_out(forecast, window.from)),
        start: window.from,
    }
}

/// The looks where and when the evening's figure has them.
fn planned<'a>(house: &'a House, sky: &Sky) -> Vec<PlannedLook<'a>> {
    let outlook = &sky.standing.outlook;
    let looks = &sky.session.looks;
    let (from, minutes) = (outlook.window.from, outlook.window.minutes());
    let after = |share: f64| from + SignedDuration::from_secs_f64(minutes * 60.0 * share);
    let count = looks.len().max(1) as f64;
    let rain_rate_mm_h = |hours: Span| {
        let likely = outlook.steps.iter().filter(|step| {
            let meets = step.hours.from < hours.to && hours.from < step.hours.to;
            meets && step.p_wet.is_some_and(|p| p.get() >= RAIN_FROM)
        });
        likely.filter_map(|step| step.rain_rate_mm_h).reduce(f64::max)
    };
    let place = |(index, look): (usize, &fairspell_studio::session::Look)| {
        let changes = &sky.standing.ruling.spot_changes;
        let moved = changes.iter().find(|change| change.from == look.spot);
        let spot = house.studio.spot(moved.map_or(&look.spot, |change| &change.to))?;
        let index = index as f64;
        let hours = Span { from: after(index / count), to: after((index + 1.0) / count) };
        Some(PlannedLook {
            name: look.name.clone(),
            spot,
            wants: look.wants,
            hours,
            rain_rate_mm_h: rain_rate_mm_h(hours),
        })
    };
    looks.iter().enumerate().filter_map(place).collect()
}

/// The plan as a part of a page.
pub(crate) fn markup(house: &House, sky: &Sky, plan: &LightPlan) -> Markup {
    let (zone, now) = (&house.zone, sky.standing.outlook.as_of);
    let seen = sky.seen.forecast.as_ref();
    let cloud = plan.looks.iter().find_map(|look| look.light.as_ref()?.cloud);
    let cloud = seen
        .zip(cloud)
        .map(|(seen, cloud)| (cloud, seen.source.as_str(), seen.forecast.reference_time));
    let has_limit = plan.looks.iter().any(|look| look.spot.site.tide.is_some());
    html! {
        p { (words::cloud(cloud, now, zone)) " " (words::PROPOSED) }
        @for look in &plan.looks { (one(house, look)) }
        @if has_limit { p.quiet { (words::WATER_CAUTION) } }
        section.look-light {
            h3 { (words::BAG) }
            @match plan.bag {
                None => p { (words::BAG_NOT_KNOWN) },
                Some(bag) => {
                    @let by = bag.by.map(|by| clock(by.min(plan.start), zone));
                    p { (mist_said(bag.mist, bag.air_temperature_c, bag.dew_point_c, by.as_deref())) }
                }
            }
        }
    }
}

fn one(house: &House, look: &PlannedLight) -> Markup {
    let zone = &house.zone;
    let row = |what: &str, said: &str| html! { dt { (what) } dd { (said) } };
    html! {
        section.look-light {
            h3 { (words::look(look.hours, &look.name, &look.spot.name, zone)) }
            @if let Some(wants) = words::wants(look.wants) { p.quiet { (wants) } }
            @match &look.light {
                None => p { (words::NO_LIGHT) },
                Some(light) => {
                    @let under_roof = look.spot.site.roof.is_some();
                    @let doubt_stops = light.ev100.1.value() - light.ev100.0.value();
                    dl {
                        (row(words::STAND, &words::facing(&light.facing, light.is_backlit, look.wants)))
                        (row(words::SUN, &words::sun(&light.sun_on_spot, under_roof, look.hours, zone)))
                        (row(words::CAMERA, &words::camera(
                            light.settings.as_ref(),
                            light.settings_darkest.as_ref(),
                            doubt_stops,
                        )))
                        @if let Some(colour) = light.colour_temperature {
                            (row(words::COLOUR, &words::colour(colour)))
                        }
                        @if let Some(rain) = &light.rain { (row(words::RAIN, &words::rain(rain))) }
                        @if light.water != Water::NoLimit {
                            (row(words::WATER, &water(house, light.water)))
                        }
                        @if let Some(end) = light.last_usable {
                            (row(words::END, &words::last_light(
                                end.dark.timestamp(),
                                end.likely.and_then(fairspell_almanac::Crossing::timestamp),
                                end.bright.timestamp(),
                                zone,
                            )))
                        }
                    }
                }
            }
        }
    }
}

fn water(house: &House, water: Water) -> String {
    if let Water::FreeAsFarAsKnown(at) = water {
        return words::water_known_until(at, &house.zone);
    }
    let (free, at) = match water {
        Water::NotKnown | Water::FreeAsFarAsKnown(_) => (None, None),
        Water::NoLimit => (Some(true), None),
        Water::Free(at) => (Some(true), at),
        Water::Comes(at) => (Some(true), Some(at)),
        Water::There(at) => (Some(false), at),
    };
    words::water(free, at, &house.zone)
}
