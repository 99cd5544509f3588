//! Sun, light, camera and rain in pictures, as the terminal and the light plan say them.

use fairspell_light::{
    FacingReason, LensMist, RainKind, RainLook, RainShows, SettingLimit, Settings,
};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::{
    clock::{clock, moment},
    compass::compass,
    text::{and_list, capital},
};

/// What the sun does on a date, ready to be said.
#[derive(Debug, Clone)]
pub struct SunTold<'a> {
    /// The date.
    pub date: Date,
    /// The place's clock.
    pub zone: &'a TimeZone,
    /// Every sunrise of the date.
    pub sunrises: &'a [Timestamp],
    /// Every sunset.
    pub sunsets: &'a [Timestamp],
    /// Where it neither rises nor sets: whether it stays up.
    pub is_always_up: Option<bool>,
    /// Golden light.
    pub golden: Vec<(Timestamp, Timestamp)>,
    /// Blue light.
    pub blue: Vec<(Timestamp, Timestamp)>,
    /// When it is clear of the skyline, where one was given.
    pub direct: Option<Vec<(Timestamp, Timestamp)>>,
    /// When it stands highest.
    pub noon: Timestamp,
    /// The lit share of the moon, 0 to 1.
    pub moon_lit: f64,
}

/// What the sun does on a date, line by line.
pub fn sun_lines(told: &SunTold<'_>) -> Vec<String> {
    let SunTold { zone, .. } = told;
    let clocks = |moments: &[Timestamp]| -> String {
        and_list(&moments.iter().map(|at| clock(*at, zone)).collect::<Vec<_>>())
    };
    let mut lines = vec![told.date.strftime("%a %-d %b %Y").to_string()];
    match told.is_always_up {
        Some(true) => lines.push("The sun stays up all day.".to_owned()),
        Some(false) => lines.push("The sun stays down all day.".to_owned()),
        None => {
            let said = |what: &str, moments: &[Timestamp]| match moments {
                [] => format!("No {what} on this date."),
                moments => format!("{}: {}", capital(what), clocks(moments)),
            };
            lines.push(said("sunrise", told.sunrises));
            lines.push(said("sunset", told.sunsets));
        }
    }
    lines.push(format!("Highest at {}", clock(told.noon, zone)));
    for (what, spans) in [("Golden light", &told.golden), ("Blue light", &told.blue)] {
        if !spans.is_empty() {
            lines.push(format!("{what}: {}", spans_said(spans, zone)));
        }
    }
    match told.direct.as_deref() {
        None => {}
        Some([]) => lines.push("The skyline hides the sun all day.".to_owned()),
        Some(spans) => lines.push(format!("Sun clear of the skyline: {}", spans_said(spans, zone))),
    }
    lines.push(format!("Moon: {:.0} % lit", told.moon_lit * 100.0));
    lines
}

/// Stretches of time: "05:48 to 06:36 and 17:00 to 17:48".
pub fn spans_said(spans: &[(Timestamp, Timestamp)], zone: &TimeZone) -> String {
    let said = |(from, to): &(Timestamp, Timestamp)| {
        format!("{} to {}", clock(*from, zone), clock(*to, zone))
    };
    and_list(&spans.iter().map(said).collect::<Vec<_>>())
}

/// The light of a moment, ready to be said.
#[derive(Debug, Clone)]
pub struct LightTold<'a> {
    /// When.
    pub time: Timestamp,
    /// The place's clock.
    pub zone: &'a TimeZone,
    /// The covered share of the sky.
    pub cloud: Option<f64>,
    /// The sun's height, degrees.
    pub sun_elevation_deg: f64,
    /// Its direction, degrees.
    pub sun_azimuth_deg: f64,
    /// The way that is faced, degrees.
    pub facing_azimuth_deg: f64,
    /// The way that flatters, degrees.
    pub flattering_azimuth_deg: f64,
    /// The way with the sun behind, degrees.
    pub backlit_azimuth_deg: Option<f64>,
    /// Whether every way is nearly as good.
    pub any_way: bool,
    /// Exposure value at ISO 100 of the face, least and most.
    pub ev100: Option<(f64, f64)>,
    /// By sky: its name (`low`, `likely`, `high`), light on the face in lux, bright cheek over dark.
    pub face_lx: Vec<(&'static str, f64, f64)>,
}

/// The light of a moment, line by line.
pub fn light_lines(told: &LightTold<'_>) -> Vec<String> {
    let mut lines = vec![moment(told.time, told.zone)];
    let sun_from = direction(told.sun_azimuth_deg);
    let height = told.sun_elevation_deg;
    lines.push(if height > 0.0 {
        format!("The sun stands {height:.0} degrees high in the {sun_from}.")
    } else {
        format!("The sun is {:.0} degrees below the horizon in the {sun_from}.", -height)
    });
    lines.push(match told.cloud {
        Some(cloud) => format!("Cloud over {:.0} % of the sky.", cloud * 100.0),
        None => "Nobody knows the cloud: anything from thick rain cloud to a clear sky.".to_owned(),
    });
    for (sky, lx, ratio) in &told.face_lx {
        let sky = match *sky {
            "low" => "Darkest likely sky",
            "high" => "Brightest likely sky",
            _ => "Likeliest sky",
        };
        lines.push(format!("{sky}: {} on the face, {}", lux(*lx), ratio_said(*ratio)));
    }
    if let Some((low, high)) = told.ev100 {
        lines.push(format!("Exposure value at ISO 100 (settings --ev): {low:.1} to {high:.1}"));
    }
    lines.push(format!("Faced here: {}.", direction(told.facing_azimuth_deg)));
    lines.push(if told.any_way {
        "Every way to face is nearly as good.".to_owned()
    } else {
        format!("Most flattering: facing {}.", direction(told.flattering_azimuth_deg))
    });
    if let Some(azimuth_deg) = told.backlit_azimuth_deg {
        lines.push(format!("With the sun behind: facing {}.", direction(azimuth_deg)));
    }
    lines
}

/// A direction in words; nothing is left out where there is none.
fn direction(azimuth_deg: f64) -> &'static str {
    compass(azimuth_deg).unwrap_or("no direction")
}

/// Light in lux with two digits: nobody knows it more finely.
pub fn lux(illuminance_lx: f64) -> String {
    if illuminance_lx < 10.0 {
        return format!("{illuminance_lx:.1} lux");
    }
    let unit = 10f64.powf(illuminance_lx.log10().floor() - 1.0);
    let digits = format!("{:.0}", (illuminance_lx / unit).round() * unit);
    let split = digits.len().saturating_sub(3);
    let grouped = if split > 0 && digits.len() > 4 {
        format!("{} {}", &digits[..split], &digits[split..])
    } else {
        digits
    };
    format!("{grouped} lux")
}

/// How the light falls across a face: "bright side twice the dark one".
pub fn ratio_said(ratio: f64) -> String {
    if ratio < 1.15 {
        "both cheeks alike".to_owned()
    } else {
        format!("bright cheek {ratio:.1} times the dark one")
    }
}

/// What to set the camera to: "1/250 s, f/2, ISO 400".
pub fn settings_said(settings: &Settings) -> String {
    format!("{}, f/{}, ISO {}", shutter_said(settings.shutter_s), settings.f_number, settings.iso)
}

/// A shutter time: "1/250 s".
pub fn shutter_said(shutter_s: f64) -> String {
    if shutter_s >= 0.3 {
        format!("{shutter_s:.1} s")
    } else {
        format!("1/{:.0} s", 1.0 / shutter_s)
    }
}

/// How rain will look, and with which times otherwise.
#[derive(Debug, Clone)]
pub struct RainTimes<'a> {
    /// With these settings.
    pub look: &'a RainLook,
    /// How far one sees through it, km.
    pub visual_range_km: f64,
    /// The shortest and the longest time that draw it as something, s.
    pub shutters: Vec<(RainKind, f64, f64)>,
}

/// Settings, line by line.
///
/// - `rain`: how it will look, where any was asked for.
pub fn settings_lines(settings: &Settings, rain: Option<&RainTimes<'_>>) -> Vec<String> {
    let mut lines = vec![settings_said(settings)];
    let depth = &settings.depth_of_field;
    lines.push(match depth.far_m {
        Some(far_m) => format!(
            "Sharp from {:.2} to {far_m:.2} m, {:.0} cm deep",
            depth.near_m,
            (far_m - depth.near_m) * 100.0
        ),
        None => format!("Sharp from {:.2} m on", depth.near_m),
    });
    lines.push(format!("Movement smears {:.0} pixels", settings.blur_px));
    lines.extend(settings.limits.iter().map(limit_said));
    if let Some(RainTimes { look, visual_range_km, shutters }) = rain {
        lines.push(rain_said(look));
        for (kind, shortest_s, longest_s) in shutters {
            lines.push(format!("{}: {}", rain_kind(*kind), times_said(*shortest_s, *longest_s)));
        }
        lines.push(format!("One sees about {visual_range_km:.0} km through it"));
    }
    lines
}

fn times_said(shortest_s: f64, longest_s: f64) -> String {
    if shortest_s > 0.0 {
        format!("{} to {}", shutter_said(shortest_s), shutter_said(longest_s))
    } else {
        format!("{} or shorter", shutter_said(longest_s))
    }
}

/// What the camera cannot do.
pub fn limit_said(limit: &SettingLimit) -> String {
    match limit {
        SettingLimit::TooDark { stops } => format!(
            "Too dark by {stops:.1} stops: a stiller pose, a faster lens, lamps, or an end to it"
        ),
        SettingLimit::TooBright { stops } => {
            format!("Too bright by {stops:.1} stops: into the shade, or a grey filter")
        }
    }
}

/// What rain is drawn as.
pub fn rain_kind(kind: RainKind) -> &'static str {
    match kind {
        RainKind::Frozen => "Drops that hang like snow",
        RainKind::Streaks => "Streaks that say rain",
        RainKind::Curtain => "A curtain",
    }
}

/// How rain will look with these settings.
pub fn rain_said(look: &RainLook) -> String {
    let shows = match look.shows {
        RainShows::Yes => "it will show, with light behind it and something dark beyond",
        RainShows::NoLightBehind => "it will hardly show: the light does not come from behind it",
        RainShows::PaleBehind => "it will hardly show: what stands behind it is pale",
    };
    format!("Rain is drawn as {}; {shows}", rain_kind(look.kind).to_lowercase())
}

/// What speaks for or against a way to face.
pub fn facing_reason(reason: &FacingReason) -> String {
    match reason {
        FacingReason::Soft { ratio } => format!("soft shape, {}", ratio_said(*ratio)),
        FacingReason::Even { .. } => "even light, both cheeks alike".to_owned(),
        FacingReason::Hard { ratio } => format!("hard, {}", ratio_said(*ratio)),
        FacingReason::FromAbove { .. } => "light from above: lift the chin".to_owned(),
        FacingReason::EyesLit { .. } => "eyes lit".to_owned(),
        FacingReason::EyesDark { .. } => {
            "dark eyes: pale ground, a reflector, or a step under a ledge".to_owned()
        }
        FacingReason::NoSpark => "no spark in the eyes".to_owned(),
        FacingReason::Squint { .. } => "the sun is in the eyes".to_owned(),
        FacingReason::SunBehind { rim_stops, .. } => {
            format!("the sun behind draws a rim, {rim_stops:.1} stops over the face")
        }
    }
}

/// A way to face: "Facing south-east, the camera looks north-west".
pub fn facing_said(azimuth_deg: f64) -> String {
    format!(
        "Facing {}; the camera looks {}",
        direction(azimuth_deg),
        direction(azimuth_deg + 180.0)
    )
}

/// What cold glass does.
pub fn mist_said(mist: LensMist, air_c: f64, dew_c: f64, by: Option<&str>) -> String {
    let air = format!("air {air_c:.0} °C, its water settles on glass below {dew_c:.0} °C");
    match (mist, by) {
        (LensMist::Clear, _) => format!("Glass from a cooled car stays clear ({air})."),
        (LensMist::Mists { clear_after_min: Some(minutes) }, Some(by)) => format!(
            "Glass from a cooled car mists for about {minutes:.0} minutes ({air}). Stop the cooling or set \
             the bag out by {by}; don't change a lens while it is misted."
        ),
        (LensMist::Mists { .. }, _) => format!(
            "Glass from a cooled car mists and will not clear by itself ({air}). Stop the cooling early and \
             keep the bag as warm as the air."
        ),
    }
}
