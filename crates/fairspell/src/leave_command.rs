//! `fairspell leave`: whether to drive off to a session, and what to pack.

use std::process::ExitCode;

use anyhow::Result;
use clap::Args;
use fairspell_plan::{kit, leave_advice};
use fairspell_words::{kit::kit_lines, leave_lines};

use crate::{json, leave_report::LeaveReport, standing::SessionArguments, terminal::say};

/// Says whether to drive off: go, hold until when, or don't go, with the road, the way home and the kit.
#[derive(Args)]
pub(crate) struct LeaveArguments {
    #[command(flatten)]
    which: SessionArguments,
    /// Print JSON (see `fairspell schema leave`)
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &LeaveArguments) -> Result<ExitCode> {
    let folder = arguments.which.folder()?;
    let standing = arguments.which.standing(&folder)?;
    let (studio, zone) = (&folder.studio, &folder.zone);
    let advice = leave_advice(studio, zone, standing.session, &standing.at, &standing.seen)?;
    let kit = kit(studio, zone, standing.session, standing.outlook(), &advice);
    if arguments.json {
        json::print(&LeaveReport::of(studio.invented, &advice, &kit, &standing.remarks))?;
        return Ok(ExitCode::SUCCESS);
    }
    if studio.invented {
        say(fairspell_words::INVENTED);
    }
    let outlook = standing.outlook();
    for line in leave_lines(&advice, outlook, &studio.policy, &studio.spots, zone) {
        say(&line);
    }
    say("");
    for line in kit_lines(&kit, |_| false) {
        say(&line);
    }
    for remark in &standing.remarks {
        say(&format!("note: {remark}"));
    }
    Ok(ExitCode::SUCCESS)
}
