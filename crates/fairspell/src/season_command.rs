//! `fairspell season`: how the season stands, and which evenings an enquiry can be offered.

use std::{path::PathBuf, process::ExitCode};

use anyhow::{Context, Result, bail, ensure};
use clap::{Args, Subcommand};
use fairspell_plan::{
    StartQuestion, WantedLook,
    evening_rain::RainVoice,
    season::{
        Enquiry, NoReserve, OfferQuestion, ReserveEvening, SeasonAhead, SeasonOffer,
        latest_evening, season_offers,
    },
    season_climate::{DayHalf, SeasonClimate},
    season_risk::{EveningUse, HelpfulEvening, RoomEvening, SeasonEvening, SeasonMethod},
    season_standing::{SeasonStanding, Working, p_everybody, season_standing},
};
use fairspell_studio::{LightWish, back_plan::TimeLeft};
use fairspell_words::{
    redate::rain_in_short,
    screens::offers as offer_words,
    season_risk as words,
    time_left::{deadline_behind, nothing_before, reserve_pair, time_left},
};
use jiff::{Timestamp, civil::Date};
use serde::Serialize;

use crate::{
    folder::Folder,
    json::{self, rounded},
    season_sky::records,
    starts_command::{StartReport, Wanted, lines, report, spots},
    terminal::{now, progress, say},
    typed::{self, date},
};

/// Looks of a session that nobody has described yet: name, wish, minutes (common practice).
const USUAL_LOOKS: [(&str, LightWish, u32); 3] = [
    ("look in shade", LightWish::OpenShade, 25),
    ("look with the light behind", LightWish::Backlight, 25),
    ("look in low sun", LightWish::LowSun, 25),
];

/// How many evenings that would help are named.
const HELPFUL_TOLD: usize = 5;

/// How the season stands, and what can be offered.
#[derive(Args)]
pub(crate) struct SeasonArguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// The chance that every session is made in time, and whether another one fits
    Risk(RiskArguments),
    /// Three to five evenings for an enquiry, each with its reserve evenings
    Offers(OffersArguments),
}

#[derive(Args)]
struct RiskArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// The moment (RFC 3339) from which the season is looked at. Now when left out
    #[arg(long, value_name = "T", value_parser = typed::moment)]
    as_of: Option<Timestamp>,
    /// Play the season so many times instead of working it out
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    runs: Option<u32>,
    /// Where the dice of those plays begin
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u64,
    /// Print JSON (see `fairspell schema season-risk`)
    #[arg(long)]
    json: bool,
}

#[derive(Args)]
struct OffersArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// A spot that may be used, by its id; several with commas, or `all` that one session reaches
    #[arg(long, value_name = "ID", value_delimiter = ',', required = true)]
    place: Vec<String>,
    /// The first date
    #[arg(long, value_name = "D", value_parser = date)]
    from: Date,
    /// The last date
    #[arg(long, value_name = "D", value_parser = date)]
    to: Date,
    /// The day on which a picture must be handed in
    #[arg(long, value_name = "D", value_parser = date)]
    deadline: Option<Date>,
    /// The looks, each NAME:LIGHT:MINUTES; three of 25 minutes in shade, backlight and low sun when
    /// left out
    #[arg(long, value_name = "LOOK", num_args = 1..)]
    looks: Vec<Wanted>,
    /// Offer reserve evenings too
    #[arg(long)]
    reserve: bool,
    /// The drive from home, minutes
    #[arg(long, value_name = "MIN", default_value_t = 30)]
    drive: u32,
    /// The moment (RFC 3339) at which it is asked. Now when left out
    #[arg(long, value_name = "T", value_parser = typed::moment)]
    as_of: Option<Timestamp>,
    /// Print JSON (see `fairspell schema season-offers`)
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &SeasonArguments) -> Result<ExitCode> {
    match &arguments.what {
        What::Risk(arguments) => risk(arguments),
        What::Offers(arguments) => offers(arguments),
    }
}

/// What is printed of a season; its keys are stable.
#[derive(Serialize)]
struct RiskReport {
    invented: bool,
    as_of: Timestamp,
    from: Date,
    until: Date,
    p_all_delivered: f64,
    moves_expected: f64,
    method: MethodReport,
    rests_on: VoiceReport,
    correlation_next_day: f64,
    sessions: Vec<SessionReport>,
    evenings: Vec<EveningReport>,
    helps_most: Option<Vec<DateChance>>,
    room: Option<RoomReport>,
    left_out: Vec<String>,
    remarks: Vec<String>,
}

#[derive(Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
enum MethodReport {
    Exact { states: usize, dropped: f64 },
    Simulated { runs: u32, standard_error: f64 },
}

#[derive(Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
enum VoiceReport {
    Climate { station: String, evenings: usize },
    Default,
}

#[derive(Serialize)]
struct SessionReport {
    id: String,
    sitter: String,
    date: Date,
    latest: Option<Date>,
    p_delivered: f64,
    moves_expected: f64,
}

#[derive(Serialize)]
struct EveningReport {
    date: Date,
    evening: &'static str,
    session: Option<String>,
    p_lost: f64,
}

#[derive(Serialize)]
struct DateChance {
    date: Date,
    p_all_delivered: f64,
}

#[derive(Serialize)]
struct RoomReport {
    risk_max_percent: u8,
    more: usize,
    evenings: Vec<DateChance>,
}

fn risk(arguments: &RiskArguments) -> Result<ExitCode> {
    let folder = Folder::open(&arguments.data)?;
    let studio = &folder.studio;
    let as_of = arguments.as_of.unwrap_or_else(now);
    let today = folder.zone.to_datetime(as_of).date();
    let (record, remarks) = records(&folder)?;
    let climate = SeasonClimate::of(studio, &folder.zone, record.as_ref());
    let working = match arguments.runs {
        Some(runs) => Working::Played { runs, seed: arguments.seed },
        None => Working::Exactly,
    };
    progress("working out the season");
    let season = season_standing(studio, &folder.sessions, today, &climate, working)
        .context("work out the season")?;
    let Some(season) = season else {
        bail!("no session lies ahead of {today}: nothing is at risk")
    };
    let first = season.ahead.problem.evenings.first();
    let (from, until) = (first.map_or(today, |evening| evening.date), season.until);
    if arguments.json {
        json::print(&RiskReport {
            invented: studio.invented,
            as_of,
            from,
            until,
            p_all_delivered: rounded(season.risk.p_all_delivered),
            moves_expected: rounded(season.risk.moves_expected),
            method: match season.risk.method {
                SeasonMethod::Exact { states, dropped } => MethodReport::Exact { states, dropped },
                SeasonMethod::Simulated { runs, standard_error, .. } => {
                    MethodReport::Simulated { runs, standard_error }
                }
            },
            rests_on: match &climate.voice {
                RainVoice::Climate { station, evenings, .. } => {
                    VoiceReport::Climate { station: station.clone(), evenings: *evenings }
                }
                RainVoice::WholeDays { .. } | RainVoice::Default | RainVoice::Forecast { .. } => {
                    VoiceReport::Default
                }
            },
            correlation_next_day: rounded(climate.correlation),
            sessions: session_reports(&folder, &season),
            evenings: evening_reports(&season.ahead),
            // A played season cannot tell one further evening from another.
            helps_most: season
                .room
                .as_ref()
                .map(|_| season.helpful.iter().take(HELPFUL_TOLD).map(date_chance).collect()),
            room: season.room.as_ref().map(|room| RoomReport {
                risk_max_percent: studio.policy.season.risk_max_percent,
                more: room.more(),
                evenings: room.evenings.iter().map(room_chance).collect(),
            }),
            left_out: season.ahead.left_out.clone(),
            remarks,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    if studio.invented {
        say(fairspell_words::INVENTED);
    }
    say(&words::season_line(&season.risk, until));
    say(&words::method(&season.risk.method));
    say(&words::rests_on(&climate.voice));
    say("");
    for report in session_reports(&folder, &season) {
        let index = season.ahead.problem.sessions.iter().position(|it| it.id == report.id);
        let Some(risk) = index.and_then(|index| season.risk.sessions.get(index)) else { continue };
        let when = fairspell_words::clock::date(report.date);
        say(&format!("  {when} {}: {}", report.sitter, words::session_risk(risk)));
    }
    say("");
    if let Some(best) = season.helpful.first() {
        say(&words::helps_most(best, season.risk.p_all_delivered));
    }
    if let Some(room) = &season.room {
        say(&words::room(room, studio.policy.season.risk_max_percent));
    }
    let sitter = |id: &String| folder.session(id).map(|session| session.sitter.as_str());
    if !season.ahead.left_out.is_empty() {
        let names: Vec<&str> = season.ahead.left_out.iter().flat_map(sitter).collect();
        say(&words::left_out(&names));
    }
    for remark in &remarks {
        say(&format!("note: {remark}"));
    }
    Ok(ExitCode::SUCCESS)
}

fn session_reports(folder: &Folder, season: &SeasonStanding) -> Vec<SessionReport> {
    let sessions = season.ahead.problem.sessions.iter().zip(&season.risk.sessions);
    sessions
        .filter_map(|(placed, risk)| {
            let session = folder.session(&placed.id).ok()?;
            Some(SessionReport {
                id: session.id.clone(),
                sitter: session.sitter.clone(),
                date: session.start.date(),
                latest: latest_evening(&folder.studio, session),
                p_delivered: rounded(risk.p_delivered),
                moves_expected: rounded(risk.moves_expected),
            })
        })
        .collect()
}

fn evening_reports(ahead: &SeasonAhead) -> Vec<EveningReport> {
    let report = |evening: &SeasonEvening| {
        let (kind, session) = match evening.use_ {
            EveningUse::Sold(index) => ("sold", ahead.problem.sessions.get(index)),
            EveningUse::Reserve => ("reserve", None),
            EveningUse::Unsold => ("free", None),
        };
        EveningReport {
            date: evening.date,
            evening: kind,
            session: session.map(|session| session.id.clone()),
            p_lost: rounded(evening.p_lost),
        }
    };
    ahead.problem.evenings.iter().map(report).collect()
}

fn date_chance(helpful: &HelpfulEvening) -> DateChance {
    DateChance { date: helpful.date, p_all_delivered: rounded(helpful.p_all_delivered) }
}

fn room_chance(evening: &RoomEvening) -> DateChance {
    DateChance { date: evening.date, p_all_delivered: rounded(evening.p_all_delivered) }
}

/// What is printed of an enquiry; its keys are stable.
#[derive(Serialize)]
struct OffersReport {
    invented: bool,
    as_of: Timestamp,
    from: Date,
    to: Date,
    deadline: Option<Date>,
    first_free: Option<FirstFree>,
    p_all_delivered: Option<f64>,
    offers: Vec<OfferReport>,
    reserves_in_time: Vec<Date>,
    remarks: Vec<String>,
}

#[derive(Serialize)]
struct FirstFree {
    date: Date,
    time_left: TimeLeftReport,
}

#[derive(Serialize)]
struct OfferReport {
    #[serde(flatten)]
    start: StartReport,
    reserve_near: Option<Date>,
    reserve_far: Option<Date>,
    time_left: Option<TimeLeftReport>,
    p_rain: f64,
    p_lost: f64,
    p_all_delivered: Option<f64>,
}

#[derive(Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
enum TimeLeftReport {
    Enough { slack_days: i32 },
    WithoutAllowance { days_for_weather: i32 },
    RushOnly { days_for_weather: i32 },
    TooLate,
}

fn time_left_report(left: TimeLeft) -> TimeLeftReport {
    match left {
        TimeLeft::Yes { slack_days } => TimeLeftReport::Enough { slack_days },
        TimeLeft::WithoutAllowance { days_for_weather } => {
            TimeLeftReport::WithoutAllowance { days_for_weather }
        }
        TimeLeft::RushOnly { days_for_weather } => TimeLeftReport::RushOnly { days_for_weather },
        TimeLeft::No => TimeLeftReport::TooLate,
    }
}

fn half(offer: &SeasonOffer) -> DayHalf {
    if offer.start.at_dawn { DayHalf::Morning } else { DayHalf::Evening }
}

fn offers(arguments: &OffersArguments) -> Result<ExitCode> {
    let folder = Folder::open(&arguments.data)?;
    let studio = &folder.studio;
    let as_of = arguments.as_of.unwrap_or_else(now);
    let today = folder.zone.to_datetime(as_of).date();
    let (from, to) = (arguments.from.max(today), arguments.to);
    ensure!(arguments.from <= to, "--from {} is later than --to {to}", arguments.from);
    ensure!(to >= today, "the dates until {to} lie behind: it is {today}");
    if let Some(deadline) = arguments.deadline.filter(|deadline| *deadline <= today) {
        bail!(deadline_behind(deadline));
    }
    let (spots, mut remarks) = spots(&folder, &arguments.place)?;
    let usual = |(name, wants, minutes): (&str, LightWish, u32)| WantedLook {
        name: name.to_owned(),
        wants,
        minutes,
        spot: None,
    };
    let looks = if arguments.looks.is_empty() {
        USUAL_LOOKS.map(usual).to_vec()
    } else {
        arguments.looks.iter().map(|look| look.0.clone()).collect()
    };
    let question = StartQuestion {
        spots,
        looks,
        in_order: false,
        dates: (from, to),
        taken: Vec::new(),
        with_reserve: arguments.reserve,
        drive_min: arguments.drive,
        change_min: 8,
        any_dawn: false,
        count: 1,
    };
    let (record, more) = records(&folder)?;
    remarks.extend(more);
    let climate = SeasonClimate::of(studio, &folder.zone, record.as_ref());
    let tide = studio.tide()?;
    let found = season_offers(
        studio,
        &folder.zone,
        &folder.sessions,
        &OfferQuestion {
            evenings: question.clone(),
            deadline: arguments.deadline,
            as_of,
            p_lost: &|date, half| climate.p_lost(date, half),
        },
        &|at| tide.as_ref()?.height_m(at),
    )?;
    let everybody = |enquiry| p_everybody(studio, &folder.sessions, today, &climate, enquiry);
    let p_before = everybody(None)?;
    let mut p_after = Vec::with_capacity(found.offers.len());
    for offer in &found.offers {
        let enquiry = Enquiry { date: offer.start.date, deadline: arguments.deadline };
        p_after.push(everybody(Some(enquiry))?);
    }
    if arguments.json {
        let date = |reserve: Result<ReserveEvening, NoReserve>| Some(reserve.ok()?.date);
        let offer = |(offer, p_after): (&SeasonOffer, &Option<f64>)| OfferReport {
            start: report(&folder, &question, &offer.start),
            reserve_near: date(offer.reserves.near),
            reserve_far: date(offer.reserves.far),
            time_left: offer.time_left.map(time_left_report),
            p_rain: rounded(climate.rain(offer.start.date, half(offer)).p_rain.get()),
            p_lost: rounded(climate.p_lost(offer.start.date, half(offer)).get()),
            p_all_delivered: p_after.map(rounded),
        };
        json::print(&OffersReport {
            invented: studio.invented,
            as_of,
            from,
            to,
            deadline: arguments.deadline,
            first_free: found
                .first_free
                .map(|(date, left)| FirstFree { date, time_left: time_left_report(left) }),
            p_all_delivered: p_before.map(rounded),
            offers: found.offers.iter().zip(&p_after).map(offer).collect(),
            reserves_in_time: found.reserves_in_time.clone(),
            remarks,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    if studio.invented {
        say(fairspell_words::INVENTED);
    }
    if let (Some(deadline), true) = (arguments.deadline, found.offers.is_empty()) {
        say(&nothing_before(deadline, (from, to), &found.reserves_in_time));
    } else {
        say(offer_words::OFFERS_MEAN);
    }
    for (offer, p_after) in found.offers.iter().zip(&p_after) {
        for line in lines(&folder, &question, &offer.start) {
            say(&line);
        }
        say(&reserve_pair(&offer.reserves));
        if let Some(left) = &offer.time_left {
            say(&time_left(left));
        }
        say(&format!("{}.", rain_in_short(climate.rain(offer.start.date, half(offer)))));
        if let (Some(before), Some(after)) = (p_before, p_after) {
            say(&words::before_and_after(before, *after));
        }
    }
    say("");
    say(&words::rests_on(&climate.voice));
    for remark in &remarks {
        say(&format!("note: {remark}"));
    }
    Ok(ExitCode::SUCCESS)
}
