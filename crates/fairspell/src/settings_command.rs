//! `fairspell settings`: what to set the camera to, and what rain will look like with it.

use std::process::ExitCode;

use anyhow::{Result, bail};
use clap::{Args, ValueEnum};
use fairspell_light::{
    Camera, DepthOfField, Doing, RainKind, RainLook, SettingLimit, rain_look, settings,
    shutter_for, visual_range_km,
};
use fairspell_words::{RainTimes, settings_lines};
use serde::Serialize;

use crate::{
    json::{self, rounded},
    terminal::say,
};

/// What to set the camera to, and what rain will look like with it.
#[derive(Args)]
pub(crate) struct SettingsArguments {
    /// The light on the face: exposure value at ISO 100
    #[arg(long, value_name = "EV", allow_hyphen_values = true)]
    ev: f64,
    /// What is being done
    #[arg(long, value_name = "WHAT")]
    doing: What,
    /// Focal length, mm
    #[arg(long, value_name = "MM")]
    lens: f64,
    /// How far away they stand, m
    #[arg(long, value_name = "M")]
    distance: f64,
    /// Rain, mm an hour
    #[arg(long, value_name = "MM_H")]
    rain: Option<f64>,
    /// Low sun or bright sky stands behind the rain
    #[arg(long)]
    backlit: bool,
    /// What stands behind the rain is dark
    #[arg(long)]
    dark_behind: bool,
    /// Wind across the picture, km/h
    #[arg(long, value_name = "KM_H", default_value_t = 0.0)]
    wind: f64,
    /// The lens's widest aperture
    #[arg(long, value_name = "F", default_value_t = 1.8)]
    widest: f64,
    /// The highest sensitivity
    #[arg(long, value_name = "ISO", default_value_t = 3200)]
    iso_max: u32,
    /// Width of the sensor, mm
    #[arg(long, value_name = "MM", default_value_t = 36.0)]
    sensor: f64,
    /// Pixels across it
    #[arg(long, value_name = "N", default_value_t = 6000)]
    pixels: u32,
    /// Print JSON (see `fairspell schema settings`)
    #[arg(long)]
    json: bool,
}

/// What is being done, as it is typed.
#[derive(Clone, Copy, ValueEnum)]
enum What {
    Standing,
    Walking,
    Laughing,
    Twirl,
    TwoPeople,
    Group,
}

impl From<What> for Doing {
    fn from(what: What) -> Self {
        match what {
            What::Standing => Doing::Standing,
            What::Walking => Doing::Walking,
            What::Laughing => Doing::Laughing,
            What::Twirl => Doing::Twirl,
            What::TwoPeople => Doing::TwoPeople,
            What::Group => Doing::Group,
        }
    }
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct SettingsReport {
    ev100: f64,
    doing: Doing,
    lens_mm: f64,
    distance_m: f64,
    shutter_s: f64,
    f_number: f64,
    iso: u32,
    depth_of_field: DepthOfField,
    blur_px: f64,
    limits: Vec<SettingLimit>,
    rain: Option<RainReport>,
}

#[derive(Serialize)]
struct RainReport {
    rain_rate_mm_h: f64,
    #[serde(flatten)]
    look: RainLook,
    visual_range_km: f64,
    shutters: Vec<ShutterReport>,
}

#[derive(Serialize)]
struct ShutterReport {
    kind: RainKind,
    shortest_s: f64,
    longest_s: f64,
}

/// Runs the command.
pub(crate) fn run(arguments: &SettingsArguments) -> Result<ExitCode> {
    let SettingsArguments { ev, lens, distance, .. } = *arguments;
    for (name, value, from, to) in [
        ("--ev", ev, -10.0, 24.0),
        ("--lens", lens, 4.0, 2000.0),
        ("--distance", distance, 0.1, 1000.0),
        ("--rain", arguments.rain.unwrap_or(1.0), 0.01, 300.0),
        ("--wind", arguments.wind, 0.0, 150.0),
        ("--widest", arguments.widest, 0.7, 22.0),
        ("--sensor", arguments.sensor, 4.0, 70.0),
    ] {
        if !(from..=to).contains(&value) {
            bail!("{name} {value}: a number from {from} to {to} is needed");
        }
    }
    if !(100..=409_600).contains(&arguments.iso_max) || arguments.pixels == 0 {
        bail!("--iso-max is at least 100, and --pixels at least 1");
    }
    let doing = Doing::from(arguments.doing);
    let camera = Camera {
        sensor_width_mm: arguments.sensor,
        pixels_across: arguments.pixels,
        f_number_min: arguments.widest,
        iso_max: arguments.iso_max,
        ..Camera::default()
    };
    let Some(set) = settings(ev, doing, lens, distance, &camera) else {
        bail!("a lens of {lens} mm cannot focus at {distance} m, or has no aperture for this");
    };
    let rain = arguments.rain.and_then(|rate| {
        let look = rain_look(
            rate,
            set.shutter_s,
            lens,
            distance,
            &camera,
            arguments.wind / 3.6,
            arguments.backlit,
            arguments.dark_behind,
        )?;
        let shutters = RainKind::ALL.into_iter().filter_map(|kind| {
            let (shortest_s, longest_s) = shutter_for(kind, rate, lens, distance, &camera)?;
            Some(ShutterReport {
                kind,
                shortest_s: rounded_time(shortest_s),
                longest_s: rounded_time(longest_s),
            })
        });
        Some(RainReport {
            rain_rate_mm_h: rate,
            look,
            visual_range_km: rounded(visual_range_km(rate)?),
            shutters: shutters.collect(),
        })
    });
    if !arguments.json {
        let rain = rain.as_ref().map(|rain| RainTimes {
            look: &rain.look,
            visual_range_km: rain.visual_range_km,
            shutters: rain
                .shutters
                .iter()
                .map(|one| (one.kind, one.shortest_s, one.longest_s))
                .collect(),
        });
        for line in settings_lines(&set, rain.as_ref()) {
            say(&line);
        }
        return Ok(ExitCode::SUCCESS);
    }
    json::print(&SettingsReport {
        ev100: ev,
        doing,
        lens_mm: lens,
        distance_m: distance,
        shutter_s: set.shutter_s,
        f_number: set.f_number,
        iso: set.iso,
        depth_of_field: set.depth_of_field,
        blur_px: rounded(set.blur_px),
        limits: set.limits,
        rain,
    })?;
    Ok(ExitCode::SUCCESS)
}

/// A shutter time to six decimals.
fn rounded_time(time_s: f64) -> f64 {
    (time_s * 1e6).round() / 1e6
}
