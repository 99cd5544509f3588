//! The few lines that the command line says of itself.

use fairspell_studio::{
    Session,
    journal::{HeadPlace, Verdict},
};

use crate::{clock::date_and_clock, text::one_line};

/// Stands over everything from an invented studio.
pub const INVENTED: &str = "Studio, people, places and weather here are invented.";

/// Stands where a letter would, while nothing is known.
pub const NO_LETTER: &str = "No letter: something that the ruling needs is not known, and nobody is \
                             told a guess.";

/// Stands where a letter would, while there is nothing to tell.
pub const NOTHING_TO_TELL: &str =
    "No letter: there is nothing yet, or no longer, that the family has to know.";

/// What the walk through the demo is about.
pub fn demo_opening(studio: &str, place: &str, session: &Session) -> String {
    format!(
        "{}, {}: {} with {}, {}. The forecast stays nearly dry, the sky does not.",
        one_line(studio),
        one_line(place),
        one_line(&session.sitter),
        one_line(&session.guardian),
        date_and_clock(session.start)
    )
}

/// Where a picture was drawn.
pub fn drawn(file: &str) -> String {
    format!("Drawn: {file}")
}

/// Where the studio can be opened.
pub fn serving(url: &str, public_url: Option<&str>) -> String {
    let families = match public_url {
        Some(public) => format!("Families reach it at {public}, while that address answers."),
        None => "Families answer by a number in reply; their page needs --public-url.".to_owned(),
    };
    format!("Your studio is open at {url}\n{families}\nEnd it with Ctrl-C; nothing is lost.")
}

/// Where the invented studio can be opened.
pub fn serving_demo(url: &str) -> String {
    format!("{INVENTED}\nIt is open at {url}\nEnd it with Ctrl-C.")
}

/// No browser could be opened.
pub const NO_BROWSER: &str = "No browser could be opened here; please open the address yourself.";

/// Asks for a new passphrase.
pub const TYPE_PASSPHRASE: &str = "Type the new passphrase and press Enter.";

/// It is kept.
pub const PASSPHRASE_CHOSEN: &str = "The new passphrase is kept, and every sign-in has ended.";

/// What checking the record found, line by line.
pub fn journal_verdict(verdict: &Verdict) -> Vec<String> {
    let mut lines = vec![match (verdict.broken_at, verdict.altered.as_slice()) {
        (None, []) => format!("The record holds: {}, none changed.", counted(verdict.entries)),
        (Some(seq), _) => format!("The record does not hold: entry {seq} does not follow."),
        (None, [first, ..]) => {
            format!("The record does not hold: what entry {first} says is not what was kept.")
        }
    }];
    if verdict.erased > 0 {
        let erased = counted(verdict.erased);
        lines.push(format!("Of {erased} the content was erased on request."));
    }
    lines.extend(verdict.expected.map(|place| match place {
        HeadPlace::Newest => "The seal you gave is its newest.".to_owned(),
        HeadPlace::Earlier { seq } => {
            format!(
                "The seal you gave is that of entry {seq}: up to there nothing has changed since."
            )
        }
        HeadPlace::NotPart => "The seal you gave is not part of this record.".to_owned(),
    }));
    lines.extend(verdict.head.map(|head| format!("Its seal: {head}")));
    lines
}

fn counted(entries: u64) -> String {
    if entries == 1 { "1 entry".to_owned() } else { format!("{entries} entries") }
}

/// A backup was written, or a studio made out of one.
pub fn backed_up(written: &str, files: usize, seal: Option<&str>) -> String {
    let seal = seal.map_or_else(String::new, |seal| format!(" Seal of the record: {seal}"));
    format!("Written and checked: {written}, {files} files.{seal}")
}

/// Bookings were taken in.
pub fn imported(sessions: usize) -> String {
    match sessions {
        0 => "No new session.".to_owned(),
        1 => "One new session:".to_owned(),
        more => format!("{more} new sessions:"),
    }
}
