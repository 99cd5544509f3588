//! `fairspell moves --data`: one plan for the sessions of a studio that must or should move.

use std::{collections::BTreeMap, path::Path, process::ExitCode};

use anyhow::{Context, Result, bail};
use fairspell_feeds::{Radar, seen_by_with};
use fairspell_plan::{
    Seen,
    evening::spots,
    evening_rain::{EveningRain, RainVoice, evening_rain},
    moves::{MoveNext, MoveReason, NoMoves},
    redate::{Candidate, OutOfReach, RedateQuestion, Redating, Way, redate},
    season::{can_move, standing_sessions},
};
use fairspell_studio::{Band, Session};
use fairspell_words::redate as words;
use jiff::{Timestamp, civil::Date};
use serde::Serialize;

use crate::{
    folder::Folder,
    json::{self, rounded},
    local_time::local,
    season_sky::records,
    standing::Standing,
    terminal::{progress, say},
};

/// Evenings are looked at so many days ahead.
const HORIZON_DAYS: i64 = 42;

/// Sessions are asked whether they have to move so many days ahead: forecasts reach no further.
const ASKED_DAYS: i32 = 10;

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct RedateReport {
    invented: bool,
    as_of: Timestamp,
    cost: Option<f64>,
    proven: bool,
    lower_bound: Option<f64>,
    second_cost: Option<f64>,
    sessions: Vec<MovedReport>,
    second: Vec<SecondReport>,
    second_proven: bool,
    clash: Option<ClashReport>,
    remarks: Vec<String>,
}

#[derive(Serialize)]
struct MovedReport {
    id: String,
    sitter: String,
    booked: Date,
    date: Option<Date>,
    start: Option<String>,
    way: Option<&'static str>,
    roof: Option<String>,
    spare: Option<Date>,
    cost: Option<f64>,
    costs: Option<CostsReport>,
    p_rain: Option<f64>,
    p_gap: Option<f64>,
    rain_from: Option<&'static str>,
    why: Option<&'static str>,
    reason: Option<String>,
    rises_by: Option<f64>,
    candidates: Vec<CandidateReport>,
}

#[derive(Serialize)]
struct CostsReport {
    rain: f64,
    moving: f64,
    permit: f64,
    light: f64,
    waiting: f64,
    working_evening: f64,
    second_evening: f64,
    deadline: f64,
}

#[derive(Serialize)]
struct CandidateReport {
    date: Date,
    cost: Option<f64>,
    out_of_reach: Option<&'static str>,
    said: Option<String>,
}

#[derive(Serialize)]
struct SecondReport {
    id: String,
    date: Option<Date>,
}

#[derive(Serialize)]
struct ClashReport {
    sessions: Vec<String>,
    evenings: Vec<Date>,
    limits: Vec<String>,
    is_smallest: bool,
}

/// Runs it.
pub(crate) fn run(
    data: &Path,
    wanted: &[String],
    as_of: Timestamp,
    json: bool,
) -> Result<ExitCode> {
    let folder = Folder::open(data)?;
    let moving =
        if wanted.is_empty() { at_risk(&folder, as_of)? } else { known(&folder, wanted, as_of)? };
    if moving.is_empty() {
        bail!("no session within {ASKED_DAYS} days has to move; name some with --sessions");
    }
    progress("weighing evenings");
    let (record, mut remarks) = records(&folder)?;
    let mut seen: BTreeMap<&str, Seen> = BTreeMap::new();
    for id in &moving {
        // The forecast of its own place: a far session's sky is not that of home.
        let spots = spots(&folder.studio, folder.session(id)?);
        let place = spots.first().map_or(folder.studio.home, |spot| spot.position);
        let found = seen_by_with(&folder.readings(), as_of, place, Radar::LeftOut)
            .with_context(|| format!("read {}", folder.readings().display()))?;
        remarks.extend(found.remarks);
        seen.insert(id, found.seen);
    }
    remarks.sort_unstable();
    remarks.dedup();
    let nothing = Seen::default();
    let rain = |session: &Session| -> EveningRain {
        let seen = seen.get(session.id.as_str()).unwrap_or(&nothing);
        evening_rain(&folder.studio, &folder.zone, session, as_of, seen, record.as_ref())
    };
    let found = redate(&RedateQuestion {
        studio: &folder.studio,
        zone: &folder.zone,
        sessions: &folder.sessions,
        moving: moving.clone(),
        fixed: BTreeMap::new(),
        as_of,
        horizon_days: HORIZON_DAYS,
        rain: &rain,
    });
    if json {
        json::print(&report(&folder, &found, as_of, remarks))?;
    } else {
        print_lines(&folder, &found, as_of, &remarks);
    }
    Ok(if found.moves.is_ok() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// The sessions that must or should move, as the policy rules now.
fn at_risk(folder: &Folder, as_of: Timestamp) -> Result<Vec<String>> {
    let today = folder.zone.to_datetime(as_of).date();
    let mut moving = Vec::new();
    for session in standing_sessions(&folder.sessions) {
        let ahead = today.until(session.start.date()).map_or(i32::MAX, |span| span.get_days());
        let booked = session.booked(&folder.zone)?;
        if !(0..=ASKED_DAYS).contains(&ahead) || booked.from <= as_of {
            continue;
        }
        let standing = Standing::at(folder, &session.id, as_of)?;
        if matches!(standing.ruling().band, Band::AdviseMoving | Band::MustMove) {
            moving.push(session.id.clone());
        }
    }
    Ok(moving)
}

fn known(folder: &Folder, wanted: &[String], as_of: Timestamp) -> Result<Vec<String>> {
    for id in wanted {
        let session = folder.session(id)?;
        if let Err(why) = can_move(&folder.sessions, session, &folder.zone, as_of) {
            bail!(words::cannot_move(&session.sitter, why));
        }
    }
    Ok(wanted.to_vec())
}

fn print_lines(folder: &Folder, found: &Redating, as_of: Timestamp, remarks: &[String]) {
    if folder.studio.invented {
        say(fairspell_words::INVENTED);
    }
    say(&words::looked_at(as_of, &folder.zone));
    match &found.moves {
        Ok(moves) => {
            say(&words::whole(moves));
            for (index, session) in found.sessions.iter().enumerate() {
                let Some((date, candidate)) = found.chosen(index) else { continue };
                let is_own = date == session.start.date();
                say("");
                say(&words::chosen(&session.sitter, candidate, is_own));
                if let Some(line) = words::reason(found, index) {
                    say(&format!("  {line}"));
                }
                say(&format!("  {}", words::rain(&candidate.rain, &folder.zone)));
                say(&format!("  {}", words::costs(candidate)));
                if let Some(left) = &candidate.time_left {
                    say(&format!("  {}", fairspell_words::time_left::time_left(left)));
                }
                for line in words::permits(&folder.studio, candidate) {
                    say(&format!("  {line}"));
                }
                let spare = found.spares.get(index).copied().flatten();
                say(&format!("  {}", words::spare(spare, candidate.way)));
            }
            say("");
            if let Some(line) = words::second_best(found) {
                say(&line);
            }
        }
        Err(why) => {
            say(&words::no_plan(found, why));
            for (index, session) in found.sessions.iter().enumerate() {
                say(&words::looks_in_vain(&session.sitter));
                for line in words::refusals(found, index) {
                    say(&format!("  {line}"));
                }
            }
        }
    }
    say(words::COSTS_MEAN);
    for remark in remarks {
        say(&format!("note: {remark}"));
    }
}

fn report(
    folder: &Folder,
    found: &Redating,
    as_of: Timestamp,
    remarks: Vec<String>,
) -> RedateReport {
    let moves = found.moves.as_ref().ok();
    let date_of = |index: Option<usize>| index.and_then(|it| found.evenings.get(it).copied());
    let id_of = |index: usize| found.sessions.get(index).map(|it| it.id.clone());
    let second = moves.and_then(|moves| moves.second.as_ref());
    let clash = match &found.moves {
        Err(NoMoves::Clash(clash)) => Some(ClashReport {
            sessions: clash.sessions.iter().filter_map(|index| id_of(*index)).collect(),
            evenings: clash.evenings.iter().filter_map(|index| date_of(Some(*index))).collect(),
            limits: clash
                .limits
                .iter()
                .filter_map(|index| found.problem.limits.get(*index))
                .map(|limit| limit.name.clone())
                .collect(),
            is_smallest: clash.is_smallest,
        }),
        _ => None,
    };
    RedateReport {
        invented: folder.studio.invented,
        as_of,
        cost: moves.map(|moves| rounded(moves.best.cost)),
        proven: moves.is_some_and(|moves| moves.proof.proven),
        lower_bound: moves.map(|moves| rounded(moves.proof.lower_bound)),
        second_cost: second.map(|second| rounded(second.cost)),
        sessions: (0..found.sessions.len()).map(|index| moved(folder, found, index)).collect(),
        second: second
            .into_iter()
            .flat_map(|second| second.evening_of.iter().enumerate())
            .filter_map(|(index, evening)| {
                Some(SecondReport { id: id_of(index)?, date: date_of(*evening) })
            })
            .collect(),
        second_proven: moves.is_some_and(|moves| moves.proof.second_proven),
        clash,
        remarks,
    }
}

/// What a refusal is called where programs read it.
fn tag(why: &OutOfReach) -> &'static str {
    match why {
        OutOfReach::Past => "past",
        OutOfReach::Taken(_) => "taken",
        OutOfReach::Never => "never",
        OutOfReach::Blackout(_) => "blackout",
        OutOfReach::WeekFull => "week_full",
        OutOfReach::LongDrives => "long_drives",
        OutOfReach::Cannot => "cannot",
        OutOfReach::Permit(_) => "permit",
        OutOfReach::Deadline => "deadline",
        OutOfReach::NoStart(_) => "no_start",
        OutOfReach::NoSuchTime => "no_such_time",
        OutOfReach::Sky(_) => "sky",
        OutOfReach::TooSoon => "too_soon",
        OutOfReach::Drive => "drive",
    }
}

fn moved(folder: &Folder, found: &Redating, index: usize) -> MovedReport {
    let session = &found.sessions[index];
    let chosen = found.chosen(index);
    let candidate: Option<&Candidate> = chosen.map(|(_, candidate)| candidate);
    let choice = found.moves.as_ref().ok().and_then(|moves| moves.choices.get(index));
    let candidates = found.evenings.iter().zip(&found.candidates[index]);
    MovedReport {
        id: session.id.clone(),
        sitter: session.sitter.clone(),
        booked: session.start.date(),
        date: chosen.map(|(date, _)| date),
        start: candidate.and_then(|candidate| {
            Some(local(folder.zone.to_timestamp(candidate.start).ok()?, &folder.zone))
        }),
        way: candidate.map(|candidate| match candidate.way {
            Way::Whole => "whole",
            Way::CoveredThenRest => "covered_then_rest",
        }),
        roof: candidate.and_then(|candidate| candidate.roof.clone()),
        spare: found.spares.get(index).copied().flatten(),
        cost: candidate.map(|candidate| rounded(candidate.costs.total())),
        costs: candidate.map(|candidate| {
            let costs = &candidate.costs;
            CostsReport {
                rain: rounded(costs.rain),
                moving: rounded(costs.moving),
                permit: rounded(costs.permit),
                light: rounded(costs.light),
                waiting: rounded(costs.waiting),
                working_evening: rounded(costs.working_evening),
                second_evening: rounded(costs.second_evening),
                deadline: rounded(costs.deadline),
            }
        }),
        p_rain: candidate.map(|candidate| rounded(candidate.rain.p_rain.get())),
        p_gap: candidate.and_then(|candidate| candidate.rain.p_gap).map(|gap| rounded(gap.get())),
        rain_from: candidate.map(|candidate| match candidate.rain.voice {
            RainVoice::Forecast { .. } => "forecast",
            RainVoice::Climate { .. } => "climate",
            RainVoice::WholeDays { .. } | RainVoice::Default => "default",
        }),
        why: choice.map(|choice| match choice.why {
            MoveReason::OwnCheapest => "own_cheapest",
            MoveReason::TakenByOther { .. } => "taken_by_other",
            MoveReason::LimitFull { .. } => "limit_full",
            MoveReason::LeftUnplaced => "left_unplaced",
        }),
        reason: words::reason(found, index),
        rises_by: choice.and_then(|choice| match choice.next {
            MoveNext::Rises(by) => Some(rounded(by)),
            MoveNext::Impossible | MoveNext::NotProven { .. } => None,
        }),
        candidates: candidates
            .map(|(date, candidate)| CandidateReport {
                date: *date,
                cost: candidate.as_ref().ok().map(|it| rounded(it.costs.total())),
                out_of_reach: candidate.as_ref().err().map(tag),
                said: candidate.as_ref().err().map(words::out_of_reach),
            })
            .collect(),
    }
}
