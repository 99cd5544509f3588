//! `fairspell outlook`: the sky of a session, where it stands and by which rule.

use std::{fs, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result};
use clap::Args;
use fairspell_figures::{Size, Theme, evening_svg};
use fairspell_studio::{Outlook, Ruling};
use fairspell_web::drawing::evening_figure;
use fairspell_words::{the_sky, where_we_stand};
use serde::Serialize;

use crate::{
    folder::Folder,
    json,
    standing::{SessionArguments, Standing},
    terminal::say,
};

/// Says what is known of a session's sky, and where it stands by the studio's policy.
#[derive(Args)]
pub(crate) struct OutlookArguments {
    #[command(flatten)]
    which: SessionArguments,
    /// Also draw the evening into this SVG file
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Print JSON (see `fairspell schema outlook`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct OutlookReport<'a> {
    invented: bool,
    outlook: &'a Outlook,
    ruling: &'a Ruling,
    remarks: &'a [String],
}

/// Runs the command.
pub(crate) fn run(arguments: &OutlookArguments) -> Result<ExitCode> {
    let folder = arguments.which.folder()?;
    let standing = arguments.which.standing(&folder)?;
    if let Some(file) = &arguments.svg {
        let figure = evening_figure(standing.drawn(&folder));
        fs::write(file, evening_svg(&figure, Size::Large, Theme::Auto))
            .with_context(|| format!("write {}", file.display()))?;
    }
    if arguments.json {
        json::print(&OutlookReport {
            invented: folder.studio.invented,
            outlook: standing.outlook(),
            ruling: standing.ruling(),
            remarks: &standing.remarks,
        })?;
    } else {
        if folder.studio.invented {
            say(fairspell_words::INVENTED);
        }
        print_lines(&folder, &standing);
    }
    Ok(ExitCode::SUCCESS)
}

/// Where we stand and the sky, line by line; what both say is said once.
pub(crate) fn print_lines(folder: &Folder, standing: &Standing<'_>) {
    let (outlook, spots, zone) = (standing.outlook(), &folder.studio.spots, &folder.zone);
    let stands = where_we_stand(standing.ruling(), outlook, spots, zone);
    for line in &stands {
        say(line);
    }
    say("");
    for line in the_sky(outlook, spots, zone).iter().filter(|line| !stands.contains(line)) {
        say(line);
    }
    for remark in &standing.remarks {
        say(&format!("note: {remark}"));
    }
}
