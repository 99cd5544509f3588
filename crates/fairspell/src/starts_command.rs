//! `fairspell starts`: the evenings and starts that put each look in its light.

use std::{path::PathBuf, process::ExitCode, str::FromStr};

use anyhow::{Result, anyhow, bail};
use clap::Args;
use fairspell_plan::{
    Start, StartQuestion, WantedLook,
    starts::{Bound, DayKind, starts, wanted_looks},
};
use fairspell_studio::{LightWish, Spot};
use fairspell_web::start_told::{bound_line, hours_line, look_line, look_reason};
use fairspell_words::{
    cautions::ADVICE_ONLY,
    screens::{offers as words, studio::tide::CAUTION},
};
use jiff::{civil::Date, tz::TimeZone};
use serde::Serialize;

use crate::{
    folder::Folder,
    json::{self, rounded},
    local_time::local,
    terminal::say,
    typed::date,
};

/// No drive and no change of outfit is longer than a day, minutes.
const DAY_MIN: u32 = 1440;

/// The drive where nobody said how long it is, minutes.
const DRIVE_MIN: u32 = 30;

/// Finds the evenings and starts that put each look in its light.
#[derive(Args)]
pub(crate) struct StartsArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// A spot that may be used, by its id; several with commas, or `all` that one session reaches
    /// from the one nearest to home
    #[arg(long, value_name = "ID", value_delimiter = ',', required = true)]
    place: Vec<String>,
    /// The first date
    #[arg(long, value_name = "D", value_parser = date)]
    from: Date,
    /// The last date
    #[arg(long, value_name = "D", value_parser = date)]
    to: Date,
    /// The looks, each NAME:LIGHT:MINUTES, with @SPOT after it where it must be there. LIGHT is any,
    /// `open_shade`, backlight, `low_sun`, afterglow or blue
    #[arg(long, value_name = "LOOK", num_args = 1.., required_unless_present = "session")]
    looks: Vec<Wanted>,
    /// The looks of a session, in equal parts of its hours less greeting and changes
    #[arg(long, value_name = "ID", conflicts_with = "looks")]
    session: Option<String>,
    /// Keep the looks in this order
    #[arg(long)]
    in_order: bool,
    /// Offer reserve evenings too
    #[arg(long)]
    reserve: bool,
    /// The drive from home, minutes; that of the session where one is given, or else 30
    #[arg(long, value_name = "MIN")]
    drive: Option<u32>,
    /// From one outfit into the next, minutes
    #[arg(long, value_name = "MIN", default_value_t = 8)]
    change: u32,
    /// How many answers at most
    #[arg(long, value_name = "N", default_value_t = 5)]
    count: usize,
    /// Print JSON (see `fairspell schema starts`)
    #[arg(long)]
    json: bool,
}

/// A look as it is typed.
#[derive(Debug, Clone)]
pub(crate) struct Wanted(pub(crate) WantedLook);

impl FromStr for Wanted {
    type Err = anyhow::Error;

    fn from_str(text: &str) -> Result<Self> {
        let (look, spot) = match text.rsplit_once('@') {
            Some((look, spot)) => (look, Some(spot.to_owned())),
            None => (text, None),
        };
        let parts: Vec<&str> = look.rsplitn(3, ':').collect();
        let [minutes, wants, name] = parts[..] else {
            bail!("a look is written NAME:LIGHT:MINUTES, such as satin:backlight:25");
        };
        let minutes = minutes.parse().map_err(|_| anyhow!("`{minutes}` is no whole minutes"))?;
        let wish = |wish: &LightWish| name_of(*wish) == wants;
        let Some(wants) = LightWish::ALL.into_iter().find(wish) else {
            let known = LightWish::ALL.map(name_of).join(", ");
            bail!("`{wants}` is no light that a look can want; there are {known}");
        };
        if name.trim().is_empty() {
            bail!("a look needs a name before its light");
        }
        Ok(Wanted(WantedLook { name: name.to_owned(), wants, minutes, spot }))
    }
}

/// A wish as files spell it.
fn name_of(wish: LightWish) -> String {
    let spelled = serde_json::to_value(wish).ok();
    spelled.and_then(|name| name.as_str().map(str::to_owned)).unwrap_or_default()
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct StartsReport {
    invented: bool,
    from: Date,
    to: Date,
    starts: Vec<StartReport>,
    remarks: Vec<String>,
}

#[derive(Serialize)]
pub(crate) struct StartReport {
    date: Date,
    evening: &'static str,
    at_dawn: bool,
    start: String,
    end: String,
    leave_home: String,
    home_again: String,
    score: f64,
    value: f64,
    looks: Vec<LookReport>,
    bounds: Vec<BoundReport>,
}

#[derive(Serialize)]
struct LookReport {
    name: String,
    wants: LightWish,
    spot: String,
    from: String,
    to: String,
    score: f64,
    sun_elevation_from_deg: f64,
    sun_elevation_to_deg: f64,
    sun_azimuth_deg: f64,
    direct_share: f64,
    reason: String,
}

#[derive(Serialize)]
struct BoundReport {
    what: &'static str,
    spot: Option<String>,
    time: String,
}

/// Runs the command.
pub(crate) fn run(arguments: &StartsArguments) -> Result<ExitCode> {
    let folder = Folder::open(&arguments.data)?;
    let studio = &folder.studio;
    let (spots, remarks) = spots(&folder, &arguments.place)?;
    let session = arguments.session.as_ref().map(|id| folder.session(id)).transpose()?;
    let drive_min = arguments
        .drive
        .unwrap_or_else(|| session.map_or(DRIVE_MIN, |session| session.drive.minutes));
    for (name, minutes) in [("--drive", drive_min), ("--change", arguments.change)] {
        if minutes > DAY_MIN {
            bail!("{name} {minutes}: more than the {DAY_MIN} minutes of a day");
        }
    }
    let looks = match session {
        Some(session) => wanted_looks(session, arguments.change, false),
        None => arguments.looks.iter().map(|look| look.0.clone()).collect(),
    };
    if !(1..=50).contains(&arguments.count) {
        bail!("--count {}: a number from 1 to 50 is needed", arguments.count);
    }
    let moved =
        |id: &str| folder.sessions.iter().any(|other| other.moved_from.as_deref() == Some(id));
    let standing = folder.sessions.iter().filter(|session| !moved(&session.id));
    let question = StartQuestion {
        spots,
        looks,
        in_order: arguments.in_order,
        dates: (arguments.from, arguments.to),
        taken: standing.map(|session| session.start.date()).collect(),
        with_reserve: arguments.reserve,
        drive_min,
        change_min: arguments.change,
        any_dawn: false,
        count: arguments.count,
    };
    let tide = studio.tide()?;
    let found = starts(studio, &folder.zone, &question, &|at| tide.as_ref()?.height_m(at))?;
    if arguments.json {
        json::print(&StartsReport {
            invented: studio.invented,
            from: arguments.from,
            to: arguments.to,
            starts: found.iter().map(|start| report(&folder, &question, start)).collect(),
            remarks,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    if studio.invented {
        say(fairspell_words::INVENTED);
    }
    say(words::ANSWERS_MEAN);
    for start in &found {
        for line in lines(&folder, &question, start) {
            say(&line);
        }
    }
    say("");
    if found.iter().flat_map(|start| &start.bounds).any(is_tide) {
        say(CAUTION);
    }
    say(ADVICE_ONLY);
    for remark in &remarks {
        say(&format!("note: {remark}"));
    }
    Ok(ExitCode::SUCCESS)
}

fn is_tide(bound: &Bound) -> bool {
    matches!(bound, Bound::TideShuts(..) | Bound::TideOpens(..))
}

/// The spots to choose from, and what is to be said about them.
pub(crate) fn spots<'a>(
    folder: &'a Folder,
    wanted: &[String],
) -> Result<(Vec<&'a Spot>, Vec<String>)> {
    let studio = &folder.studio;
    if wanted.iter().any(|id| id == "all") {
        let home_km = |spot: &&Spot| spot.position.distance_km(studio.home);
        let nearest = studio.spots.iter().min_by(|a, b| home_km(a).total_cmp(&home_km(b)));
        let reached = |spot: &&Spot| nearest.is_some_and(|nearest| spot.is_near(nearest.position));
        let (near, far): (Vec<_>, Vec<_>) = studio.spots.iter().partition(reached);
        let left_out = |spot: &Spot| {
            let id = &spot.id;
            format!("`{id}` lies too far away for the same session: ask for it with its own drive")
        };
        return Ok((near, far.into_iter().map(left_out).collect()));
    }
    let find = |id: &String| {
        studio.spot(id).ok_or_else(|| {
            let known: Vec<&str> = studio.spots.iter().map(|spot| spot.id.as_str()).collect();
            anyhow!("--place {id}: the studio has no such spot; it has {}", known.join(", "))
        })
    };
    let mut spots: Vec<&Spot> = Vec::new();
    for id in wanted {
        let spot = find(id)?;
        if let Some(other) = spots.iter().find(|other| !other.is_near(spot.position)) {
            let (other, km) = (&other.id, other.position.distance_km(spot.position));
            bail!("--place {id}: {km:.0} km from {other}, farther than one session reaches");
        }
        if !spots.iter().any(|known| known.id == spot.id) {
            spots.push(spot);
        }
    }
    Ok((spots, Vec::new()))
}

pub(crate) fn lines(folder: &Folder, question: &StartQuestion<'_>, start: &Start) -> Vec<String> {
    let (studio, zone) = (&folder.studio, &folder.zone);
    let mut lines = vec![
        String::new(),
        words::heading(start.date),
        hours_line(zone, start),
        words::road(start.leave_home, start.home_again, zone),
    ];
    for placed in &start.looks {
        let wanted = &question.looks[placed.look];
        let reason = look_reason(studio, zone, start, placed, wanted.wants);
        lines.push(format!("  {}: {reason}", look_line(studio, zone, placed, &wanted.name)));
    }
    lines.extend(start.bounds.iter().map(|bound| bound_line(studio, zone, bound)));
    lines
}

pub(crate) fn report(folder: &Folder, question: &StartQuestion<'_>, start: &Start) -> StartReport {
    let (studio, zone) = (&folder.studio, &folder.zone);
    let looks = start.looks.iter().map(|placed| {
        let wanted = &question.looks[placed.look];
        LookReport {
            name: wanted.name.clone(),
            wants: wanted.wants,
            spot: placed.spot.clone(),
            from: local(placed.from, zone),
            to: local(placed.to, zone),
            score: rounded(placed.score),
            sun_elevation_from_deg: rounded(placed.sun_elevation_deg.0),
            sun_elevation_to_deg: rounded(placed.sun_elevation_deg.1),
            sun_azimuth_deg: rounded(placed.sun_azimuth_deg),
            direct_share: rounded(placed.direct_share),
            reason: look_reason(studio, zone, start, placed, wanted.wants),
        }
    });
    StartReport {
        date: start.date,
        evening: match start.kind {
            DayKind::Working => "working",
            DayKind::Reserve => "reserve",
        },
        at_dawn: start.at_dawn,
        start: local(start.from, zone),
        end: local(start.to, zone),
        leave_home: local(start.leave_home, zone),
        home_again: local(start.home_again, zone),
        score: rounded(start.score),
        value: rounded(start.value),
        looks: looks.collect(),
        bounds: start.bounds.iter().map(|bound| bound_report(bound, zone)).collect(),
    }
}

fn bound_report(bound: &Bound, zone: &TimeZone) -> BoundReport {
    let (what, spot) = match bound {
        Bound::SchoolOut(_) => ("school_out", None),
        Bound::SunLeaves(spot, _) => ("sun_leaves", Some(spot.clone())),
        Bound::TideShuts(spot, _) => ("tide_shuts", Some(spot.clone())),
        Bound::TideOpens(spot, _) => ("tide_opens", Some(spot.clone())),
        Bound::Shuts(spot, _) => ("shuts", Some(spot.clone())),
        Bound::LastLight(_) => ("last_light", None),
    };
    BoundReport { what, spot, time: local(bound.time(), zone) }
}
