//! What the leave gate said, by name: as JSON.

use fairspell_chance::Chance;
use fairspell_light::LensMist;
use fairspell_plan::{
    BagOut,
    kit::{KitGroup, KitLine, KitWhy},
    leave::{
        BusySky, LeaveAdvice, LeaveReason, LeaveStep, LookUp, RoadCheck, RoadState, Say, Trend,
        Voice, Way, WayWarning,
    },
};
use fairspell_studio::{
    Rule, Ruling, SourceState, Sourced, Span,
    outlook::{SourceKind, WarningSeen},
};
use jiff::Timestamp;
use serde::Serialize;

use crate::json::rounded;

/// What is printed; its keys are stable.
#[derive(Serialize)]
pub(crate) struct LeaveReport<'a> {
    invented: bool,
    session: &'a str,
    as_of: Timestamp,
    step: &'static str,
    look_again_at: Option<Timestamp>,
    reasons: Vec<ReasonReport<'a>>,
    go_once: Vec<LookUpReport<'a>>,
    gap_min: u32,
    window: Span,
    p_gap: Option<&'a Sourced<Chance>>,
    p_wet_minute: Option<&'a Sourced<Chance>>,
    says: Vec<SayReport<'a>>,
    busy: Option<BusyReport<'a>>,
    times: TimesReport,
    waiting: Option<WaitingReport>,
    warnings: Vec<WarningReport<'a>>,
    road: Vec<RoadReport<'a>>,
    driver: DriverReport,
    bag: Option<BagReport>,
    kit: Vec<KitReport<'a>>,
    sources: &'a [(SourceKind, SourceState)],
    ruling: &'a Ruling,
    remarks: &'a [String],
}

#[derive(Serialize)]
#[serde(tag = "reason", rename_all = "snake_case")]
enum ReasonReport<'a> {
    Sky { rule: &'a Rule },
    Figure { rule: &'a Rule },
    Warned { warning: &'a WarningSeen },
    WarnedSomewhere { event: &'a str },
    Road { name: &'a str, way: &'static str, state: &'static str },
    TooLate { latest: Timestamp },
}

#[derive(Serialize)]
#[serde(tag = "look_up", rename_all = "snake_case")]
enum LookUpReport<'a> {
    Warnings,
    Road { name: &'a str },
}

#[derive(Serialize)]
struct SayReport<'a> {
    voice: &'static str,
    share: f64,
    p_gap: &'a Chance,
    source: &'a str,
    issued: Timestamp,
}

#[derive(Serialize)]
struct BusyReport<'a> {
    radius_km: f64,
    wet_share: f64,
    trend_per_hour: Option<f64>,
    trend: Option<&'static str>,
    gap_between_rain_min: Option<[f64; 3]>,
    place_wet_share: Option<f64>,
    place_pictures: usize,
    source: &'a str,
    issued: Timestamp,
}

#[derive(Serialize)]
struct TimesReport {
    for_the_start: Timestamp,
    latest: Timestamp,
    leaving_at: Timestamp,
    arrives_at: Timestamp,
    last_usable: Timestamp,
    wait_at_home_min: f64,
    wait_at_place_min: f64,
}

#[derive(Serialize)]
struct WaitingReport {
    minutes: u32,
    arrives_at: Timestamp,
    p_gap: Chance,
    radar_share_now: f64,
    radar_share_then: f64,
}

#[derive(Serialize)]
struct WarningReport<'a> {
    warning: &'a WarningSeen,
    there: bool,
    place: bool,
    home: bool,
}

#[derive(Serialize)]
struct RoadReport<'a> {
    name: &'a str,
    way: &'static str,
    passed: Span,
    tide_max_m: Option<f64>,
    tide_limit_m: Option<f64>,
    state: &'static str,
    changes_at: Option<Timestamp>,
    rain_limit_mm_24h: Option<f64>,
}

#[derive(Serialize)]
struct DriverReport {
    home_at: Timestamp,
    home_by: Timestamp,
    drive_min: u32,
    drive_home_max_min: u32,
    stay_over: bool,
}

#[derive(Serialize)]
struct BagReport {
    air_temperature_c: f64,
    dew_point_c: f64,
    mists: bool,
    clear_after_min: Option<f64>,
    out_by: Option<Timestamp>,
}

#[derive(Serialize)]
struct KitReport<'a> {
    item: &'static str,
    group: &'static str,
    why: Option<&'static str>,
    of: &'a [String],
}

impl<'a> LeaveReport<'a> {
    /// The report of a session's leave gate.
    ///
    /// - `invented`: whether the studio is.
    /// - `remarks`: what could not be read.
    pub(crate) fn of(
        invented: bool,
        advice: &'a LeaveAdvice,
        kit: &'a [KitLine],
        remarks: &'a [String],
    ) -> Self {
        let (times, driver) = (advice.times, advice.driver);
        let (step, look_again_at) = match advice.step {
            LeaveStep::Go => ("go", None),
            LeaveStep::Hold { look_again_at } => ("hold", Some(look_again_at)),
            LeaveStep::No => ("no", None),
            LeaveStep::Yours => ("yours", None),
        };
        LeaveReport {
            invented,
            session: &advice.session,
            as_of: advice.as_of,
            step,
            look_again_at,
            reasons: advice.reasons.iter().map(reason).collect(),
            go_once: advice.go_once.iter().map(look_up).collect(),
            gap_min: advice.gap_min,
            window: advice.window,
            p_gap: advice.p_gap.as_ref(),
            p_wet_minute: advice.p_wet_minute.as_ref(),
            says: advice.says.iter().map(say).collect(),
            busy: advice.busy.as_ref().map(busy),
            times: TimesReport {
                for_the_start: times.for_the_start,
                latest: times.latest,
                leaving_at: times.leaving_at,
                arrives_at: times.arrives_at,
                last_usable: times.last_usable,
                wait_at_home_min: rounded(times.wait_at_home_min),
                wait_at_place_min: rounded(times.wait_at_place_min),
            },
            waiting: advice.waiting.map(|waiting| WaitingReport {
                minutes: waiting.minutes,
                arrives_at: waiting.arrives_at,
                p_gap: waiting.p_gap,
                radar_share_now: rounded(waiting.radar_share.0),
                radar_share_then: rounded(waiting.radar_share.1),
            }),
            warnings: advice.warnings.iter().map(warning).collect(),
            road: advice.road.iter().map(road).collect(),
            driver: DriverReport {
                home_at: driver.home_at,
                home_by: driver.home_by,
                drive_min: driver.drive_min,
                drive_home_max_min: driver.drive_home_max_min,
                stay_over: driver.stay_over(),
            },
            bag: advice.bag.map(bag),
            kit: kit.iter().map(kit_line).collect(),
            sources: &advice.sources,
            ruling: &advice.ruling,
            remarks,
        }
    }
}

fn reason(reason: &LeaveReason) -> ReasonReport<'_> {
    match reason {
        LeaveReason::Sky(rule) => ReasonReport::Sky { rule },
        LeaveReason::Figure(rule) => ReasonReport::Figure { rule },
        LeaveReason::Warned(known) => ReasonReport::Warned { warning: &known.warning },
        LeaveReason::WarnedSomewhere { event } => ReasonReport::WarnedSomewhere { event },
        LeaveReason::Road(check) => ReasonReport::Road {
            name: &check.name,
            way: way_name(check.way),
            state: state_name(check.state).0,
        },
        LeaveReason::TooLate { latest } => ReasonReport::TooLate { latest: *latest },
    }
}

fn look_up(look_up: &LookUp) -> LookUpReport<'_> {
    match look_up {
        LookUp::Warnings => LookUpReport::Warnings,
        LookUp::Road(name) => LookUpReport::Road { name },
    }
}

fn say(say: &Say) -> SayReport<'_> {
    SayReport {
        voice: match say.voice {
            Voice::RadarTrack => "radar_track",
            Voice::RadarBusyness => "radar_busyness",
            Voice::Forecast => "forecast",
        },
        share: rounded(say.share),
        p_gap: &say.p_gap,
        source: &say.source,
        issued: say.issued,
    }
}

fn busy(busy: &BusySky) -> BusyReport<'_> {
    BusyReport {
        radius_km: busy.radius_km,
        wet_share: rounded(busy.wet_share),
        trend_per_hour: busy.trend_per_hour.map(rounded),
        trend: busy.trend.map(|trend| match trend {
            Trend::Growing => "growing",
            Trend::Steady => "steady",
            Trend::Shrinking => "shrinking",
        }),
        gap_between_rain_min: busy
            .gap_between_rain
            .map(|gap| [gap.p10_min, gap.p50_min, gap.p90_min].map(rounded)),
        place_wet_share: busy.place_wet_share.map(rounded),
        place_pictures: busy.place_pictures,
        source: &busy.source,
        issued: busy.issued,
    }
}

fn warning(known: &WayWarning) -> WarningReport<'_> {
    let WayWarning { warning, there, place, home } = known;
    WarningReport { warning, there: *there, place: *place, home: *home }
}

fn road(check: &RoadCheck) -> RoadReport<'_> {
    let (state, changes_at) = state_name(check.state);
    RoadReport {
        name: &check.name,
        way: way_name(check.way),
        passed: check.passed,
        tide_max_m: check.tide_max_m.map(rounded),
        tide_limit_m: check.tide_limit_m,
        state,
        changes_at,
        rain_limit_mm_24h: check.rain_limit_mm_24h,
    }
}

fn way_name(way: Way) -> &'static str {
    match way {
        Way::There => "there",
        Way::Home => "home",
    }
}

fn state_name(state: RoadState) -> (&'static str, Option<Timestamp>) {
    match state {
        RoadState::Open { until } => ("open", until),
        RoadState::Shut { opens } => ("shut", opens),
        RoadState::ShutWithSwell { opens } => ("shut_with_swell", opens),
        RoadState::OpenButForRain { until } => ("not_known", until),
        RoadState::NotKnown => ("not_known", None),
    }
}

fn bag(bag: BagOut) -> BagReport {
    let clear_after_min = match bag.mist {
        LensMist::Mists { clear_after_min } => clear_after_min,
        LensMist::Clear => None,
    };
    BagReport {
        air_temperature_c: rounded(bag.air_temperature_c),
        dew_point_c: rounded(bag.dew_point_c),
        mists: bag.mist != LensMist::Clear,
        clear_after_min: clear_after_min.map(rounded),
        out_by: bag.by,
    }
}

fn kit_line(line: &KitLine) -> KitReport<'_> {
    let group = match line.item.group() {
        KitGroup::Always => "always",
        KitGroup::Wet => "wet",
        KitGroup::Heat => "heat",
        KitGroup::Cold => "cold",
        KitGroup::Place => "place",
        KitGroup::Looks => "looks",
        KitGroup::Car => "car",
        KitGroup::Papers => "papers",
    };
    let of: &[String] = match &line.why {
        Some(KitWhy::ForLooks(names) | KitWhy::PermitFor(names)) => names,
        _ => &[],
    };
    let why = line.why.as_ref().map(|why| match why {
        KitWhy::RainPossible => "rain_possible",
        KitWhy::RainNotKnown => "rain_not_known",
        KitWhy::Hot => "hot",
        KitWhy::Cold => "cold",
        KitWhy::TemperatureNotKnown => "temperature_not_known",
        KitWhy::Mist => "mist",
        KitWhy::DarkPath => "dark_path",
        KitWhy::Insects => "insects",
        KitWhy::Sand => "sand",
        KitWhy::ForLooks(_) => "for_looks",
        KitWhy::LongDrive => "long_drive",
        KitWhy::StayOver => "stay_over",
        KitWhy::PermitFor(_) => "permit_for",
    });
    KitReport { item: line.item.slug(), group, why, of }
}
