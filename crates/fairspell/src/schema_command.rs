//! `fairspell schema`: the JSON Schema of what a command reads or writes.

use std::process::ExitCode;

use anyhow::{Result, bail};
use clap::Args;
use serde_json::json;

use crate::{json::print, terminal::say};

/// Every schema, by name.
pub(crate) const SCHEMAS: [(&str, &str); 33] = [
    ("backup", include_str!("../../../schemas/backup.schema.json")),
    ("climate", include_str!("../../../schemas/climate.schema.json")),
    ("climate-import", include_str!("../../../schemas/climate-import.schema.json")),
    ("coast", include_str!("../../../schemas/coast.schema.json")),
    ("demo", include_str!("../../../schemas/demo.schema.json")),
    ("field-sheet", include_str!("../../../schemas/field-sheet.schema.json")),
    ("field-events", include_str!("../../../schemas/field-events.schema.json")),
    ("field-log", include_str!("../../../schemas/field-log.schema.json")),
    ("import", include_str!("../../../schemas/import.schema.json")),
    ("journal", include_str!("../../../schemas/journal.schema.json")),
    ("leave", include_str!("../../../schemas/leave.schema.json")),
    ("letter", include_str!("../../../schemas/letter.schema.json")),
    ("light", include_str!("../../../schemas/light.schema.json")),
    ("moves", include_str!("../../../schemas/moves.schema.json")),
    ("moves-problem", include_str!("../../../schemas/moves-problem.schema.json")),
    ("outlook", include_str!("../../../schemas/outlook.schema.json")),
    ("people", include_str!("../../../schemas/people.schema.json")),
    ("rain", include_str!("../../../schemas/rain.schema.json")),
    ("rain-field", include_str!("../../../schemas/rain-field.schema.json")),
    ("rain-score", include_str!("../../../schemas/rain-score.schema.json")),
    ("season-moves", include_str!("../../../schemas/season-moves.schema.json")),
    ("season-offers", include_str!("../../../schemas/season-offers.schema.json")),
    ("season-risk", include_str!("../../../schemas/season-risk.schema.json")),
    ("sessions", include_str!("../../../schemas/sessions.schema.json")),
    ("settings", include_str!("../../../schemas/settings.schema.json")),
    ("sheet", include_str!("../../../schemas/sheet.schema.json")),
    ("sheet-problem", include_str!("../../../schemas/sheet-problem.schema.json")),
    ("sheet-simulate", include_str!("../../../schemas/sheet-simulate.schema.json")),
    ("starts", include_str!("../../../schemas/starts.schema.json")),
    ("studio", include_str!("../../../schemas/studio.schema.json")),
    ("sun", include_str!("../../../schemas/sun.schema.json")),
    ("tide", include_str!("../../../schemas/tide.schema.json")),
    ("tide-constants", include_str!("../../../schemas/tide-constants.schema.json")),
];

/// Prints the JSON Schema of what a command reads or writes.
#[derive(Args)]
pub(crate) struct SchemaArguments {
    /// Which one; all names when left out
    name: Option<String>,
    /// Print the names as a JSON list
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &SchemaArguments) -> Result<ExitCode> {
    let names = || SCHEMAS.map(|(name, _)| name);
    match &arguments.name {
        None if arguments.json => print(&json!({ "schemas": names().to_vec() }))?,
        None => say(&names().join("\n")),
        Some(wanted) => match SCHEMAS.iter().find(|(name, _)| name == wanted) {
            Some((_, text)) => say(text.trim_end()),
            None => bail!("there is no schema `{wanted}`; there are {}", names().join(", ")),
        },
    }
    Ok(ExitCode::SUCCESS)
}
