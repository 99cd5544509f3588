//! The light of a session, look by look: where to stand and face, until when the sun stays, what to set
//! the camera to, when the water comes, when the bag has to be out.
//!
//! Everything is said for the sky that the forecast of cloud leaves open, from its darkest to its
//! brightest; without a forecast that is anything from thick rain cloud to a clear sky.

use fairspell_almanac::{direct_light_spans, sun_position, tide::Tide};
use fairspell_light::{
    COOLED_CAR_C, Camera, ColourTemperatureRange, Doing, Dome, Ev100, Facing, FacingAdvice,
    LARGE_LENS_MIN, LensMist, RainLook, Settings, SkyCondition, SkyRange, UsableLight, best_facing,
    colour_temperature_k, dew_point_c, last_usable_light, lens_mist, rain_look, settings,
};
use fairspell_studio::{LightWish, Policy, Span, Spot};
use fairspell_weather::{Forecast, forecast::Condition};
use jiff::{Timestamp, ToSpan, tz::TimeZone};

use crate::{light_wish::exposure_floor_lx, spot_surroundings::surroundings, starts_day::stands};

/// How far away somebody stands whose portrait is made, metres.
pub const PORTRAIT_DISTANCE_M: f64 = 3.0;

/// A look with its spot and its minutes.
#[derive(Debug, Clone)]
pub struct PlannedLook<'a> {
    /// What it is called.
    pub name: String,
    /// Where it is made.
    pub spot: &'a Spot,
    /// The light that it wants.
    pub wants: LightWish,
    /// When it is made.
    pub hours: Span,
    /// The rain that may fall then, mm/h; `None` where none is likely or nobody knows.
    pub rain_rate_mm_h: Option<f64>,
}

/// The light of a look.
#[derive(Debug, Clone, PartialEq)]
pub struct LookLight {
    /// When the sun stands on the spot within the look's day, in a clear sky.
    pub sun_on_spot: Vec<Span>,
    /// The forecast's share of cloud, 0 to 1; `None` where nobody knows.
    pub cloud: Option<f64>,
    /// Which way to face, under the likeliest sky (a clear one where nobody knows), in the middle of the
    /// look.
    pub facing: FacingAdvice,
    /// Whether that is with the sun behind.
    pub is_backlit: bool,
    /// The least and the most light on that face in the look's minutes.
    pub ev100: (Ev100, Ev100),
    /// How warm or cool it is.
    pub colour_temperature: Option<ColourTemperatureRange>,
    /// Settings to begin with, under the likeliest sky; `None` for a lens that cannot.
    pub settings: Option<Settings>,
    /// Settings for the least light.
    pub settings_darkest: Option<Settings>,
    /// How the rain will look, if it comes.
    pub rain: Option<RainLook>,
    /// What the water does to the spot.
    pub water: Water,
    /// Until when there is light to work by here; `None` for a look in the morning.
    pub last_usable: Option<UsableLight>,
}

/// What the water does to a spot while a look is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Water {
    /// It has no say there.
    NoLimit,
    /// It leaves the spot alone; it comes, if it does in the next hours, at this moment.
    Free(Option<Timestamp>),
    /// It leaves the spot alone until this moment, beyond which nobody knows the tide.
    FreeAsFarAsKnown(Timestamp),
    /// It takes the spot before the look ends.
    Comes(Timestamp),
    /// It has the spot when the look begins, and leaves it, if it does, at this moment.
    There(Option<Timestamp>),
    /// The spot has a limit, and nobody knows the tide.
    NotKnown,
}

/// When the bag has to be out of a cooled car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BagOut {
    /// The air at the start, °C.
    pub air_temperature_c: f64,
    /// Its dew point, °C.
    pub dew_point_c: f64,
    /// What a large lens does that comes out of a car at 20 °C.
    pub mist: LensMist,
    /// The latest moment to set it out or stop the cooling; `None` where it stays clear, or never clears.
    pub by: Option<Timestamp>,
}

/// What all looks share.
#[derive(Debug, Clone, Copy)]
pub struct LightAsk<'a> {
    /// The owner's rules.
    pub policy: &'a Policy,
    /// The clock on the studio's wall.
    pub zone: &'a TimeZone,
    /// The newest forecast; `None` without one.
    pub forecast: Option<&'a Forecast>,
    /// The tide of the studio's coast.
    pub tide: Option<&'a Tide>,
    /// Whether the ground is wet.
    pub wet: bool,
}

/// How far ahead the water is looked at, hours.
const WATER_AHEAD_H: i64 = 12;

/// The light of one look.
///
/// - `ask`: what all looks share.
///
/// `None` where there is no light at all, or the owner's least exposure is none.
pub fn look_light(ask: LightAsk<'_>, look: &PlannedLook<'_>) -> Option<LookLight> {
    let LightAsk { policy, zone, wet, .. } = ask;
    let (spot, hours) = (look.spot, look.hours);
    let dome = Dome::new(surroundings(spot, wet));
    let middle = hours.from + (hours.to.duration_since(hours.from) / 2);
    let cloud = ask.forecast.and_then(|forecast| cloud_at(forecast, middle));
    let sky = SkyRange::for_cloud(cloud);
    let likely = sky.likely.unwrap_or(sky.high);

    let sun = sun_position(middle, spot.position);
    let lit = dome.lit(&sun, &likely.daylight(sun.elevation_deg));
    let facings = best_facing(&lit);
    let backlit = facings.backlit.filter(|_| look.wants == LightWish::Backlight);
    let is_backlit = backlit.is_some();
    let facing = backlit.unwrap_or(facings.flattering);
    let azimuth_deg = facing.light.facing_azimuth_deg;

    let face_lx = |at: Timestamp, sky: SkyCondition| {
        let sun = sun_position(at, spot.position);
        let lit = dome.lit(&sun, &sky.daylight(sun.elevation_deg));
        lit.face(azimuth_deg).front.total_lx()
    };
    let moments = [hours.from, middle, hours.to];
    let least = moments.map(|at| face_lx(at, sky.low)).into_iter().reduce(f64::min)?;
    let most = moments.map(|at| face_lx(at, sky.high)).into_iter().reduce(f64::max)?;
    let ev100 = (Ev100::from_illuminance_lx(least)?, Ev100::from_illuminance_lx(most)?);
    let to_begin = Ev100::from_illuminance_lx(face_lx(hours.from, likely))?;
    let camera = camera(policy);
    let set = |ev100: Ev100| {
        settings(ev100.value(), Doing::Standing, policy.light.lens_mm, PORTRAIT_DISTANCE_M, &camera)
    };
    let settings = set(to_begin);
    let rain = look.rain_rate_mm_h.zip(settings.as_ref()).and_then(|(rate, settings)| {
        let dark_behind = spot.site.is_dark_towards(azimuth_deg + 180.0);
        rain_look(
            rate,
            settings.shutter_s,
            policy.light.lens_mm,
            PORTRAIT_DISTANCE_M,
            &camera,
            0.0,
            is_backlit,
            dark_behind,
        )
    });
    let floor = Ev100::from_illuminance_lx(exposure_floor_lx(policy))?;
    let date = zone.to_datetime(hours.from).date();
    let is_evening = zone.to_datetime(hours.from).hour() >= 12;
    let last_usable = is_evening.then(|| {
        let facing = Facing::Toward { azimuth_deg };
        last_usable_light(date, zone, spot.position, &dome, facing, floor, &sky)
    });
    Some(LookLight {
        sun_on_spot: sun_on_spot(zone, spot, hours),
        cloud,
        colour_temperature: colour_temperature_k(
            sun.elevation_deg,
            &facing.light.front,
            likely.sky(),
        ),
        facing,
        is_backlit,
        ev100,
        settings,
        settings_darkest: set(ev100.0),
        rain,
        water: water(ask.tide, spot, hours),
        last_usable,
    })
}

/// The camera that the owner's rules describe.
pub fn camera(policy: &Policy) -> Camera {
    let rules = &policy.light;
    Camera {
        sensor_width_mm: rules.sensor_width_mm,
        pixels_across: rules.pixels_across,
        f_number_min: rules.f_number_min,
        iso_max: rules.iso_max,
        ..Camera::default()
    }
}

/// When the sun is on a spot, clear of skyline and roof, on the day of some hours.
fn sun_on_spot(zone: &TimeZone, spot: &Spot, hours: Span) -> Vec<Span> {
    let date = zone.to_datetime(hours.from).date();
    let midnight = |date: jiff::civil::Date| zone.to_timestamp(date.at(0, 0, 0, 0)).ok();
    let (Some(from), Some(to)) = (midnight(date), date.tomorrow().ok().and_then(midnight)) else {
        return Vec::new();
    };
    // Under a roof it comes in at a slant for minutes; nobody plans by those.
    if spot.site.roof.is_some() {
        return Vec::new();
    }
    let spans = direct_light_spans(from, to, spot.position, &spot.skyline);
    spans.into_iter().map(|(from, to)| Span { from, to }).collect()
}

/// What the water does to a spot in some hours.
fn water(tide: Option<&Tide>, spot: &Spot, hours: Span) -> Water {
    let limits = spot.site.tide;
    if stands(limits, None) == Some(true) {
        return Water::NoLimit;
    }
    let dry = |at: Timestamp| stands(limits, tide.and_then(|tide| tide.height_m(at)));
    let Some(is_dry) = dry(hours.from) else { return Water::NotKnown };
    let last = hours.from + WATER_AHEAD_H.hours();
    let minutes = (0..).map(|minute: i64| hours.from + minute.minutes());
    let mut change = None;
    for at in minutes.take_while(|at| *at <= last) {
        match dry(at) {
            Some(then) if then == is_dry => {}
            Some(_) => {
                change = Some(at);
                break;
            }
            // Beyond the table's end nobody knows, and within the look that is all there is to say.
            None if at <= hours.to || !is_dry => return Water::NotKnown,
            None => return Water::FreeAsFarAsKnown(at),
        }
    }
    match (is_dry, change) {
        (true, Some(at)) if at <= hours.to => Water::Comes(at),
        (true, at) => Water::Free(at),
        (false, at) => Water::There(at),
    }
}

/// When the bag has to be out, for a start out of a cooled car.
///
/// `None` where the forecast says nothing of the air's water then.
pub fn bag_out(forecast: &Forecast, start: Timestamp) -> Option<BagOut> {
    let air = condition(forecast, start)?;
    let air_temperature_c = air.air_temperature_c?;
    let by_humidity = || dew_point_c(air_temperature_c, air.relative_humidity?);
    let dew_c = air.dew_point_c.or_else(by_humidity)?;
    let mist = lens_mist(air_temperature_c, dew_c, COOLED_CAR_C, LARGE_LENS_MIN);
    let by = match mist {
        LensMist::Mists { clear_after_min: Some(minutes) } => {
            Some(start - jiff::SignedDuration::from_secs_f64(minutes * 60.0))
        }
        _ => None,
    };
    Some(BagOut { air_temperature_c, dew_point_c: dew_c, mist, by })
}

/// The share of the sky that the forecast covers with cloud at a moment, 0 to 1; `None` where it does
/// not say.
pub(crate) fn cloud_at(forecast: &Forecast, at: Timestamp) -> Option<f64> {
    condition(forecast, at)?.cloud_area_fraction
}

/// What the forecast says of the weather at a moment.
fn condition(forecast: &Forecast, at: Timestamp) -> Option<&Condition> {
    forecast.conditions_during(at, at + 1.second()).next()
}
