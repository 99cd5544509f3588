//! The owner's thresholds.

use axum::response::Response;
use fairspell_studio::Policy;
use fairspell_words::screens::studio::policy as words;
use jiff::civil;
use maud::{Markup, html};

use super::{keep, part};
use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes, save_or_back},
    visit::{Posted, Visit},
};

/// One number of the policy.
struct Figure {
    name: &'static str,
    label: &'static str,
    unit: &'static str,
    /// What the form takes; what the policy allows is [`Policy::check`]'s to say.
    range: (f64, f64),
    is_whole: bool,
    shown: fn(&Policy) -> String,
    /// Puts the number into the policy; `None` when it is none.
    put: fn(&mut Policy, &str) -> Option<()>,
}

macro_rules! figure {
    ($name:literal, $label:expr, $unit:expr, $range:expr, $is_whole:literal, $($field:ident).+) => {
        Figure {
            name: $name,
            label: $label,
            unit: $unit,
            range: $range,
            is_whole: $is_whole,
            shown: |policy| policy.$($field).+.to_string(),
            put: |policy, text| text.parse().ok().map(|value| policy.$($field).+ = value),
        }
    };
}

const PERCENT: (f64, f64) = (0.0, 100.0);
/// A source a week old says nothing of today.
const AGE_MIN: (f64, f64) = (1.0, 10_080.0);

const ANY_RAIN: [Figure; 3] = [
    figure!(
        "watch_from",
        words::WATCH_FROM,
        words::PERCENT,
        PERCENT,
        true,
        any_rain.watch_from_percent
    ),
    figure!(
        "choice_above",
        words::CHOICE_ABOVE,
        words::PERCENT,
        PERCENT,
        true,
        any_rain.choice_above_percent
    ),
    figure!(
        "advise_above",
        words::ADVISE_ABOVE,
        words::PERCENT,
        PERCENT,
        true,
        any_rain.advise_above_percent
    ),
];
const GAP: [Figure; 4] = [
    figure!(
        "settled_from",
        words::SETTLED_FROM,
        words::PERCENT,
        PERCENT,
        true,
        gap.settled_from_percent
    ),
    figure!("go_from", words::GO_FROM, words::PERCENT, PERCENT, true, gap.go_from_percent),
    figure!("wait_from", words::WAIT_FROM, words::PERCENT, PERCENT, true, gap.wait_from_percent),
    figure!("rescue_set", words::RESCUE_SET, words::MINUTES, (5.0, 180.0), true, rescue_set_min),
];
const SAFETY: [Figure; 3] = [
    figure!("heat", words::HEAT, words::CELSIUS, (20.0, 60.0), false, limits.heat_from_c),
    figure!("cold", words::COLD, words::CELSIUS, (-40.0, 15.0), false, limits.cold_below_c),
    figure!("gust", words::GUST, words::KM_H, (5.0, 120.0), false, limits.gust_above_km_h),
];
const LIGHT: [Figure; 2] = [
    figure!(
        "last_light",
        words::LAST_LIGHT,
        words::DEGREES,
        (-18.0, 30.0),
        false,
        last_usable_sun_elevation_deg
    ),
    figure!("arrive", words::ARRIVE, words::MINUTES, (0.0, 240.0), true, arrive_before_min),
];
const DRIVER: [Figure; 1] = [figure!(
    "drive_home",
    words::DRIVE_HOME,
    words::MINUTES,
    (0.0, 1440.0),
    true,
    driver.drive_home_max_min
)];
const HOURS: [Figure; 3] = [
    figure!(
        "golden_from",
        words::GOLDEN_FROM,
        words::DEGREES,
        (0.0, 30.0),
        false,
        light.golden_from_deg
    ),
    figure!("golden_to", words::GOLDEN_TO, words::DEGREES, (-6.0, 0.0), false, light.golden_to_deg),
    figure!("blue_to", words::BLUE_TO, words::DEGREES, (-12.0, 0.0), false, light.blue_to_deg),
];
const CAMERA: [Figure; 6] = [
    Figure {
        name: "shutter",
        label: words::SHUTTER,
        unit: words::OF_A_SECOND,
        range: (1.0, 8000.0),
        is_whole: true,
        shown: |policy| (1.0 / policy.light.shutter_max_s).round().to_string(),
        put: |policy, text| {
            text.parse::<f64>().ok().map(|parts| policy.light.shutter_max_s = 1.0 / parts)
        },
    },
    figure!("f_number", words::F_NUMBER, words::F, (0.7, 22.0), false, light.f_number_min),
    figure!("iso", words::ISO, words::ISO_UNIT, (50.0, 409_600.0), true, light.iso_max),
    figure!(
        "sensor_width",
        words::SENSOR_WIDTH,
        words::MM,
        (4.0, 70.0),
        false,
        light.sensor_width_mm
    ),
    figure!(
        "pixels_across",
        words::PIXELS_ACROSS,
        words::PIXELS,
        (500.0, 30_000.0),
        true,
        light.pixels_across
    ),
    figure!("lens", words::LENS, words::MM, (8.0, 800.0), false, light.lens_mm),
];
/// What hair and an umbrella bear, and what a set takes.
const FIELD: [Figure; 9] = [
    figure!(
        "hair_damp",
        words::HAIR_DAMP,
        words::WATER,
        (1.0, 200.0),
        false,
        field.hair_damp_at_g_m2
    ),
    figure!("hair_wet", words::HAIR_WET, words::WATER, (2.0, 400.0), false, field.hair_wet_at_g_m2),
    Figure {
        name: "umbrella",
        label: words::UMBRELLA,
        unit: words::PERCENT,
        range: PERCENT,
        is_whole: false,
        shown: |policy| (100.0 * policy.field.umbrella_lets_through).to_string(),
        put: |policy, text| {
            let percent = text.parse::<f64>().ok()?;
            policy.field.umbrella_lets_through = percent / 100.0;
            Some(())
        },
    },
    figure!(
        "umbrella_gust",
        words::UMBRELLA_GUST,
        words::KM_H,
        (5.0, 80.0),
        false,
        field.umbrella_gust_to_km_h
    ),
    figure!("change", words::CHANGE, words::MINUTES, (0.0, 60.0), true, field.change_min),
    figure!("open_set", words::OPEN_SET, words::MINUTES, (1.0, 60.0), true, field.open_set_min),
    figure!(
        "sheltered_set",
        words::SHELTERED_SET,
        words::MINUTES,
        (1.0, 60.0),
        true,
        field.sheltered_set_min
    ),
    figure!("short_set", words::SHORT_SET, words::MINUTES, (1.0, 60.0), true, field.short_set_min),
    figure!(
        "pictures",
        words::PICTURES,
        words::PICTURES_UNIT,
        (0.0, 255.0),
        true,
        field.pictures_promised
    ),
];
const FRESH: [Figure; 3] = [
    figure!(
        "fresh_forecast",
        words::FRESH_FORECAST,
        words::MINUTES,
        AGE_MIN,
        true,
        freshness.forecast_min
    ),
    figure!(
        "fresh_warnings",
        words::FRESH_WARNINGS,
        words::MINUTES,
        AGE_MIN,
        true,
        freshness.warnings_min
    ),
    figure!("fresh_radar", words::FRESH_RADAR, words::MINUTES, AGE_MIN, true, freshness.radar_min),
];

fn figures() -> impl Iterator<Item = &'static Figure> {
    ANY_RAIN
        .iter()
        .chain(&GAP)
        .chain(&SAFETY)
        .chain(&LIGHT)
        .chain(&DRIVER)
        .chain(&HOURS)
        .chain(&CAMERA)
        .chain(&FIELD)
        .chain(&FRESH)
}

/// `GET /studio/policy`.
pub(crate) async fn edit(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let studio = &skies.house.as_deref().ok_or(PageError::NotThere)?.studio;
    Ok(form_page(&visit, &fields_of(&studio.policy)))
}

fn fields_of(policy: &Policy) -> Fields {
    let time = |time: civil::Time| time.strftime("%H:%M").to_string();
    let times = [
        ("evening", time(policy.evening_reading)),
        ("morning", time(policy.morning_reading)),
        ("home_by", time(policy.driver.home_by)),
    ];
    Fields::of(figures().map(|figure| (figure.name, (figure.shown)(policy))).chain(times))
}

fn form_page(visit: &Visit, fields: &Fields) -> Response {
    let usual = Policy::default();
    let group = |legend: &str, figures: &[Figure]| {
        html! {
            fieldset {
                legend { (legend) }
                @for figure in figures { (figure_field(fields, figure, &usual)) }
            }
        }
    };
    let body = html! {
        p { (words::MEANS) }
        form method="post" action="/studio/policy" {
            (visit.form_field())
            (mistakes(fields))
            (group(words::ANY_RAIN, &ANY_RAIN))
            (group(words::GAP, &GAP))
            (group(words::SAFETY, &SAFETY))
            fieldset {
                legend { (words::TIMES) }
                (time_field(fields, "evening", words::EVENING, usual.evening_reading))
                (time_field(fields, "morning", words::MORNING, usual.morning_reading))
                @for figure in &LIGHT { (figure_field(fields, figure, &usual)) }
                p.hint { (words::LAST_LIGHT_HINT) }
            }
            fieldset {
                legend { (words::DRIVER) }
                (time_field(fields, "home_by", words::HOME_BY, usual.driver.home_by))
                @for figure in &DRIVER { (figure_field(fields, figure, &usual)) }
            }
            (group(words::LIGHT_HOURS, &HOURS))
            (group(words::CAMERA, &CAMERA))
            (group(words::FIELD, &FIELD))
            (group(words::FRESH, &FRESH))
            (save_or_back("/studio"))
        }
        form method="post" action="/studio/policy" {
            (visit.form_field())
            input type="hidden" name="do" value="usual";
            button { (words::DEFAULTS) }
        }
    };
    part(visit, words::HEADING, &body)
}

fn figure_field(fields: &Fields, figure: &Figure, usual: &Policy) -> Markup {
    let (from, to) = figure.range;
    let step = if figure.is_whole { 1.0 } else { 0.1 };
    let hint = words::hint(figure.unit, &(figure.shown)(usual), figure.range);
    Field::new(fields, figure.name, figure.label).hint(&hint).needed().input(Input::Number {
        from,
        to,
        step,
    })
}

fn time_field(fields: &Fields, name: &str, label: &str, usual: civil::Time) -> Markup {
    let hint = words::time_hint(&usual.strftime("%H:%M").to_string());
    Field::new(fields, name, label).hint(&hint).needed().input(Input::Time)
}

/// `POST /studio/policy`: saves it, or fills the form with common practice and saves nothing.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    if fields.text("do") == "usual" {
        return Ok(form_page(&visit, &fields_of(&Policy::default())));
    }
    let mut studio = app.store.studio().await?.ok_or(PageError::NotThere)?;
    let Some(policy) = read(&mut fields, &studio.policy) else {
        return Ok(form_page(&visit, &fields));
    };
    studio.policy = policy;
    keep(app, &studio, "policy").await
}

/// The policy of a form; `None` when something in it is wrong.
fn read(fields: &mut Fields, before: &Policy) -> Option<Policy> {
    let mut policy = before.clone();
    for figure in figures() {
        let (from, to) = figure.range;
        let why = words::number_wrong(figure.range, figure.is_whole);
        fields.need(figure.name, &why, |text| {
            let text = text.replace(',', ".");
            let value: f64 = text.parse().ok()?;
            if (from..=to).contains(&value) { (figure.put)(&mut policy, &text) } else { None }
        });
    }
    let time = |text: &str| {
        let with_seconds = || civil::Time::strptime("%H:%M:%S", text).ok();
        civil::Time::strptime("%H:%M", text).ok().or_else(with_seconds)
    };
    if let Some(at) = fields.need("evening", words::TIME_WRONG, time) {
        policy.evening_reading = at;
    }
    if let Some(at) = fields.need("morning", words::TIME_WRONG, time) {
        policy.morning_reading = at;
    }
    if let Some(at) = fields.need("home_by", words::TIME_WRONG, time) {
        policy.driver.home_by = at;
    }
    if !fields.is_right() {
        return None;
    }
    if policy.light.blue_to_deg > policy.light.golden_to_deg {
        fields.refuse("blue_to", words::BLUE_ABOVE_GOLD);
        return None;
    }
    if let Err(error) = policy.check() {
        fields.refuse(edge(&policy), words::contradiction(&error));
        return None;
    }
    Some(policy)
}

/// The field of the first edge that does not lie above the one below it.
fn edge(policy: &Policy) -> &'static str {
    let (rain, gap) = (&policy.any_rain, &policy.gap);
    [
        (rain.watch_from_percent, rain.choice_above_percent, "choice_above"),
        (rain.choice_above_percent, rain.advise_above_percent, "advise_above"),
        (gap.wait_from_percent, gap.go_from_percent, "go_from"),
        (gap.go_from_percent, gap.settled_from_percent, "settled_from"),
    ]
    .into_iter()
    .find(|(lower, upper, _)| lower >= upper)
    .map_or("watch_from", |(_, _, field)| field)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_form_takes_what_the_policy_allows_and_nothing_else() {
        let own_ends = HOURS[..2].iter().chain(&CAMERA);
        for figure in SAFETY.iter().chain(&LIGHT).chain(&GAP[3..]).chain(own_ends) {
            let takes = |value: f64| {
                let mut policy = Policy::default();
                (figure.put)(&mut policy, &value.to_string()).map(|()| policy.check().is_ok())
            };
            let (from, to) = figure.range;
            assert_eq!(takes(from), Some(true), "{}", figure.name);
            assert_eq!(takes(to), Some(true), "{}", figure.name);
            assert_ne!(takes(from - 1.0), Some(true), "{}", figure.name);
            assert_eq!(takes(to + 1.0), Some(false), "{}", figure.name);
        }
    }

    #[test]
    fn the_usual_policy_goes_through_the_form_unchanged() {
        let usual = Policy::default();
        assert_eq!(read(&mut fields_of(&usual), &usual), Some(usual));
    }
}
