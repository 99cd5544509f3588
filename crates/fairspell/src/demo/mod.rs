//! An invented studio in mid-season, with weather worth looking at.
//!
//! Writes the folder that a real studio would have: `studio.json`, `sessions.json`, and under
//! `readings/` forecasts, warnings and radar pictures as the services publish them, with the list of
//! when each was fetched. Nothing in it happened: people, places, forecasts and rain are made up, and
//! every file says so. The same bytes come out every time.

mod climate;
mod clock;
mod coast;
mod evenings;
mod forecasts;
mod grid;
mod past;
mod people;
mod pictures;
mod received;
pub(crate) mod record;
mod sky;
mod studio;
mod town;
mod wardrobe;
mod warnings;

#[cfg(test)]
mod tests;

use std::{fs, path::Path};

use anyhow::{Context as _, bail};
use rayon::prelude::*;

use received::File;

/// Marks a folder as one that this module made and may make anew.
const MARKER: &str = "fairspell-demo.txt";
/// Everything that this module writes beside the marker.
const README: &str = "README.txt";
const STUDIO: &str = "studio.json";
const SESSIONS: &str = "sessions.json";
const PEOPLE: &str = "people.json";
const COAST: &str = "coast.json";
const READINGS: &str = "readings";
/// What serving it adds.
const DATABASE: [&str; 3] = ["studio.db", "studio.db-wal", "studio.db-shm"];
const BACKUPS: &str = "backups";
/// Past evenings.
const CLIMATE: &str = "climate";

/// Writes the demo's folder, anew if it is an earlier demo's.
///
/// `studio.json` comes last: a folder without it was not finished. `progress` hears one line for
/// each part.
///
/// # Errors
///
/// A folder that holds anything else than an earlier demo is left alone; otherwise what the file
/// system says.
pub(crate) fn write(dir: &Path, progress: &mut dyn FnMut(&str)) -> anyhow::Result<()> {
    make_room(dir)?;
    let zone = clock::zone()?;
    let studio = studio::studio()?;
    let sessions = people::sessions()?;
    studio.check(&sessions).context("check the invented studio")?;
    let readings = dir.join(READINGS);
    for folder in ["forecasts", "warnings", "radar"] {
        fs::create_dir_all(readings.join(folder)).with_context(|| format!("create {folder}"))?;
    }

    progress("forecasts (invented)");
    let (forecasts, mut received) = forecasts::all(&studio, &zone, &sessions)?;
    forecasts.par_iter().try_for_each(|file| keep(&readings, file))?;

    progress("official warnings (invented)");
    let (warnings, looks) = warnings::all(&studio, &zone, &sessions)?;
    warnings.iter().try_for_each(|file| keep(&readings, file))?;
    received.extend(looks);

    progress("radar pictures (invented)");
    received.extend(pictures::each(&studio, &zone, &sessions, |file| keep(&readings, &file))?);

    progress("past evenings (invented)");
    past::write(dir)?;

    progress("studio, sessions, coast (invented)");
    let list = File { name: "received.csv".to_owned(), bytes: received::csv_of(received)? };
    keep(&readings, &list)?;
    for (name, text) in [
        (README, README_TEXT.to_owned()),
        (COAST, serde_json::to_string(&coast::coast()?)?),
        (PEOPLE, serde_json::to_string_pretty(&people::people())?),
        (SESSIONS, serde_json::to_string_pretty(&sessions)?),
        (STUDIO, serde_json::to_string_pretty(&studio)?),
    ] {
        fs::write(dir.join(name), text).with_context(|| format!("write {name}"))?;
    }
    Ok(())
}

/// Makes the folder, or empties it of an earlier demo.
fn make_room(dir: &Path) -> anyhow::Result<()> {
    fs::create_dir_all(dir).with_context(|| format!("create {}", dir.display()))?;
    let is_empty =
        fs::read_dir(dir).with_context(|| format!("look into {}", dir.display()))?.next().is_none();
    if !is_empty && !dir.join(MARKER).is_file() {
        bail!(
            "{} holds something else than an earlier demo; choose an empty folder",
            dir.display()
        );
    }
    for name in [STUDIO, SESSIONS, PEOPLE, COAST, README].into_iter().chain(DATABASE) {
        let path = dir.join(name);
        if path.exists() {
            fs::remove_file(&path).with_context(|| format!("remove {}", path.display()))?;
        }
    }
    for name in [READINGS, BACKUPS, CLIMATE] {
        let path = dir.join(name);
        if path.exists() {
            fs::remove_dir_all(&path).with_context(|| format!("remove {}", path.display()))?;
        }
    }
    fs::write(dir.join(MARKER), MARKER_TEXT).context("mark the folder as a demo's")
}

fn keep(readings: &Path, file: &File) -> anyhow::Result<()> {
    let path = readings.join(&file.name);
    fs::write(&path, &file.bytes).with_context(|| format!("write {}", path.display()))
}

const MARKER_TEXT: &str = "\
This folder was made by `fairspell demo`, which may empty it and write it anew.
Keep nothing of your own in here.
";

const README_TEXT: &str = "\
Everything in this folder is invented: the studio, the people, the towns, the forecasts, the
warnings and the rain. The coordinates serve only for sun and maps.

studio.json            the studio: week, spots, artist, policy
people.json            the families, with addresses and numbers that reach nobody
sessions.json          the season's sessions; one that was moved stands here once for each date
coast.json             the outline of the invented coast, for maps
climate/               thirty months of invented hourly rain at the jetty
readings/received.csv  what was received when: file, fetched_at, source
readings/forecasts/    forecasts in the form of the Norwegian Locationforecast 2.0
readings/warnings/     warnings in the form of CAP 1.2, and empty lists in that of the US service
readings/radar/        rain rate, one CF NetCDF file for each picture
";
