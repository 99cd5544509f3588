//! `fairspell letter`: the letter that would go to the family now.

use std::process::ExitCode;

use anyhow::Result;
use clap::Args;
use fairspell_plan::letter_facts;
use fairspell_studio::{Band, LetterFacts, Offer};
use fairspell_words::{Letter, letter};
use jiff::Timestamp;
use serde::Serialize;

use crate::{
    folder::Folder,
    json,
    standing::{SessionArguments, Standing},
    terminal::say,
};

/// Writes the letter that would go to the family now.
#[derive(Args)]
pub(crate) struct LetterArguments {
    #[command(flatten)]
    which: SessionArguments,
    /// Print JSON (see `fairspell schema letter`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct LetterReport<'a> {
    invented: bool,
    session: &'a str,
    as_of: Timestamp,
    band: Band,
    subject: Option<&'a str>,
    body: Option<&'a str>,
    words: Option<usize>,
    offers: Option<&'a [Offer]>,
    facts: Option<&'a LetterFacts>,
    remarks: &'a [String],
}

/// Runs the command.
pub(crate) fn run(arguments: &LetterArguments) -> Result<ExitCode> {
    let folder = arguments.which.folder()?;
    let standing = arguments.which.standing(&folder)?;
    let written = write(&folder, &standing)?;
    if arguments.json {
        let letter = written.as_ref().map(|(_, letter)| letter);
        json::print(&LetterReport {
            invented: folder.studio.invented,
            session: &standing.session.id,
            as_of: standing.outlook().as_of,
            band: standing.ruling().band,
            subject: letter.map(|letter| letter.subject.as_str()),
            body: letter.map(|letter| letter.body.as_str()),
            words: letter.map(|letter| letter.body.split_whitespace().count()),
            offers: letter.map(|letter| letter.offers.as_slice()),
            facts: written.as_ref().map(|(facts, _)| facts),
            remarks: &standing.remarks,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    if folder.studio.invented {
        say(fairspell_words::INVENTED);
    }
    match &written {
        Some((_, letter)) => print_letter(letter),
        None if standing.ruling().band == Band::Unknown => say(fairspell_words::NO_LETTER),
        None => say(fairspell_words::NOTHING_TO_TELL),
    }
    for remark in &standing.remarks {
        say(&format!("note: {remark}"));
    }
    Ok(ExitCode::SUCCESS)
}

/// The letter that a standing asks for, with its facts; `None` when there is none to write.
pub(crate) fn write(
    folder: &Folder,
    standing: &Standing<'_>,
) -> Result<Option<(LetterFacts, Letter)>> {
    let facts = letter_facts(
        &folder.studio,
        &folder.sessions,
        standing.session,
        standing.gates(),
        standing.outlook(),
        standing.ruling(),
        &standing.seen,
    )?;
    Ok(facts.map(|facts| {
        let letter = letter(&facts);
        (facts, letter)
    }))
}

/// Subject and body.
pub(crate) fn print_letter(letter: &Letter) {
    say(&letter.subject);
    say("");
    say(&letter.body);
}
