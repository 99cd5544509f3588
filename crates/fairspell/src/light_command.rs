//! `fairspell light`: how much light a spot has at a moment, and what it does to a face.

use std::{fs, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result, bail};
use clap::Args;
use fairspell_almanac::{SunPosition, sun_position};
use fairspell_ground::LatLon;
use fairspell_light::{
    Dome, Ev100, FaceLight, FacingReason, Ground, LitDome, PlaneLight, SkyCondition, SkyRange,
    Surroundings, best_facing, colour_temperature_k,
};
use fairspell_plan::surroundings;
use fairspell_studio::Spot;
use fairspell_words::{LightTold, light_lines};
use jiff::tz::TimeZone;
use serde::Serialize;

use crate::{
    json::{self, rounded},
    local_time::{local, moment, zone_named},
    terminal::say,
};

/// How much light a spot has at a moment, and what it does to a face.
#[derive(Args)]
pub(crate) struct LightArguments {
    /// The place: degrees north, degrees east
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    at: LatLon,
    /// The zone of the clock, such as Australia/Sydney
    #[arg(long, value_name = "TZ", value_parser = zone_named)]
    zone: TimeZone,
    /// The moment: RFC 3339, or by the zone's clock
    #[arg(long, value_name = "T")]
    time: String,
    /// The share of the sky that is covered, 0 to 1; left out, nobody knows
    #[arg(long, value_name = "F")]
    cloud: Option<f64>,
    /// A spot, as one of the `spots` in studio.json: its skyline, roof, leaves and ground. Without it an
    /// open place on grass
    #[arg(long, value_name = "FILE")]
    spot: Option<PathBuf>,
    /// The way to face, degrees clockwise from north; left out, the way that flatters
    #[arg(long, value_name = "DEG", allow_hyphen_values = true)]
    facing: Option<f64>,
    /// The ground is wet
    #[arg(long)]
    wet: bool,
    /// Print JSON (see `fairspell schema light`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct LightReport {
    at: LatLon,
    time: String,
    cloud: Option<f64>,
    sun: SunPosition,
    /// The darkest and the brightest that it may be.
    ev100: Option<RangeReport>,
    facing_azimuth_deg: f64,
    flattering_azimuth_deg: f64,
    backlit_azimuth_deg: Option<f64>,
    /// Whether every way is nearly as good.
    any_way: bool,
    reasons: Vec<FacingReason>,
    skies: Vec<SkyReport>,
}

#[derive(Serialize)]
struct RangeReport {
    low: f64,
    high: f64,
}

/// One of the skies that the cloud allows.
#[derive(Serialize)]
struct SkyReport {
    sky: &'static str,
    sun_is_out: bool,
    horizontal: PlaneReport,
    face: FaceReport,
}

#[derive(Serialize)]
#[expect(clippy::struct_field_names, reason = "keys carry their unit")]
struct PlaneReport {
    illuminance_lx: f64,
    direct_lx: f64,
    sky_lx: f64,
    reflected_lx: f64,
}

#[derive(Serialize)]
struct FaceReport {
    #[serde(flatten)]
    front: PlaneReport,
    ev100: Option<f64>,
    ratio: f64,
    ratio_stops: f64,
    top_over_front: f64,
    eye_share: f64,
    eyes_lit: bool,
    squint: bool,
    colour_temperature_low_k: Option<f64>,
    colour_temperature_high_k: Option<f64>,
}

/// Runs the command.
pub(crate) fn run(arguments: &LightArguments) -> Result<ExitCode> {
    let LightArguments { at, zone, cloud, .. } = arguments;
    if let Some(odd) = cloud.filter(|cloud| !(0.0..=1.0).contains(cloud)) {
        bail!("--cloud {odd}: the covered share of the sky is a number from 0 to 1");
    }
    if let Some(odd) = arguments.facing.filter(|deg| !(-360.0..=360.0).contains(deg)) {
        bail!("--facing {odd}: a direction is a number of degrees from 0 to 360");
    }
    let time = moment(&arguments.time, zone)?;
    let around = match &arguments.spot {
        Some(file) => surroundings(&read_spot(file)?, arguments.wet),
        None => Surroundings::open(Ground::Grass, arguments.wet),
    };
    let dome = Dome::new(around);
    let sun = sun_position(time, *at);
    let range = SkyRange::for_cloud(*cloud);
    let likely = range.likely.unwrap_or(range.high);
    let lit_by = |sky: SkyCondition| dome.lit(&sun, &sky.daylight(sun.elevation_deg));
    let facings = best_facing(&lit_by(likely));
    let flattering_deg = facings.flattering.light.facing_azimuth_deg;
    let facing_deg = arguments.facing.map_or(flattering_deg, |deg| deg.rem_euclid(360.0));
    let skies: Vec<SkyReport> = [("low", Some(range.low)), ("likely", range.likely)]
        .into_iter()
        .chain([("high", Some(range.high))])
        .filter_map(|(name, sky)| sky.map(|sky| sky_report(name, sky, &lit_by(sky), facing_deg)))
        .collect();
    let values = || skies.iter().filter_map(|sky| sky.face.ev100);
    let ev100 = values().reduce(f64::min).zip(values().reduce(f64::max));
    let report = LightReport {
        at: *at,
        time: local(time, zone),
        cloud: *cloud,
        sun,
        ev100: ev100.map(|(low, high)| RangeReport { low, high }),
        facing_azimuth_deg: rounded(facing_deg),
        flattering_azimuth_deg: rounded(flattering_deg),
        backlit_azimuth_deg: facings
            .backlit
            .map(|backlit| rounded(backlit.light.facing_azimuth_deg)),
        any_way: facings.any,
        reasons: facings.flattering.reasons,
        skies,
    };
    if arguments.json {
        return json::print(&report).map(|()| ExitCode::SUCCESS);
    }
    let told = LightTold {
        time,
        zone,
        cloud: *cloud,
        sun_elevation_deg: sun.elevation_deg,
        sun_azimuth_deg: sun.azimuth_deg,
        facing_azimuth_deg: facing_deg,
        flattering_azimuth_deg: flattering_deg,
        backlit_azimuth_deg: report.backlit_azimuth_deg,
        any_way: report.any_way,
        ev100,
        face_lx: report
            .skies
            .iter()
            .map(|sky| (sky.sky, sky.face.front.illuminance_lx, sky.face.ratio))
            .collect(),
    };
    for line in light_lines(&told) {
        say(&line);
    }
    Ok(ExitCode::SUCCESS)
}

fn sky_report(
    name: &'static str,
    sky: SkyCondition,
    lit: &LitDome<'_>,
    facing_deg: f64,
) -> SkyReport {
    let face = lit.face(facing_deg);
    let colour = colour_temperature_k(lit.sun().elevation_deg, &face.front, sky.sky());
    SkyReport {
        sky: name,
        sun_is_out: sky.sun_is_out(),
        horizontal: plane(&face.top),
        face: FaceReport {
            ev100: ev100(&face),
            ratio: rounded(face.ratio()),
            ratio_stops: rounded(face.ratio_stops()),
            top_over_front: rounded(face.top_over_front()),
            eye_share: rounded(face.eye_share()),
            eyes_lit: face.eyes_lit(),
            squint: face.squint,
            front: plane(&face.front),
            colour_temperature_low_k: colour.map(|colour| colour.low_k.round()),
            colour_temperature_high_k: colour.map(|colour| colour.high_k.round()),
        },
    }
}

fn ev100(face: &FaceLight) -> Option<f64> {
    Ev100::from_illuminance_lx(face.front.total_lx()).map(|ev100| rounded(ev100.value()))
}

fn plane(light: &PlaneLight) -> PlaneReport {
    PlaneReport {
        illuminance_lx: rounded(light.total_lx()),
        direct_lx: rounded(light.direct_lx),
        sky_lx: rounded(light.sky_lx),
        reflected_lx: rounded(light.reflected_lx),
    }
}

fn read_spot(file: &std::path::Path) -> Result<Spot> {
    let read = || -> Result<Spot> {
        let spot: Spot = serde_json::from_str(&fs::read_to_string(file)?)?;
        spot.skyline.check()?;
        Ok(spot)
    };
    read().with_context(|| format!("read the spot {}", file.display()))
}
