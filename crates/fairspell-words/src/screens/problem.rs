//! What a page says when something went wrong.

use crate::text::one_line;

/// What went wrong, for whoever looks at the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Problem {
    /// Nothing is at the address.
    NotThere,
    /// A form did not come from our own page.
    NotOurForm,
    /// Too many wrong tries.
    Wait {
        /// How long to wait, seconds.
        wait_s: i64,
    },
    /// The request cannot be understood.
    BadRequest,
    /// An evening that another session has.
    Taken {
        /// Whose, as letters call the sitter.
        by: String,
    },
    /// No room on the disk.
    DiskFull,
    /// The folder cannot be written.
    ReadOnly,
    /// What was to be undone has changed since.
    Conflict,
    /// A mistake of the program.
    Ours,
}

/// A heading and a few lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// What happened.
    pub heading: String,
    /// Whether anything was lost, and what to do.
    pub lines: Vec<String>,
}

/// From an error page to Now.
pub const TO_NOW: &str = "To Now";

/// What happened, whether anything was lost, where to go from here.
pub fn told(problem: &Problem) -> Told {
    let (heading, lines): (&str, &[&str]) = match problem {
        Problem::NotThere => (
            "Nothing is here",
            &["There is no such page, or it has been deleted. Nothing was changed."],
        ),
        Problem::NotOurForm => (
            "This form has grown old",
            &[
                "It was not sent from a page of this studio, or the page was open for too long. \
                 Nothing was changed.",
                "Go back, load the page again and send it once more.",
            ],
        ),
        Problem::Wait { wait_s } => {
            let how_long = match (*wait_s, (wait_s + 59) / 60) {
                (..=1, _) => "1 second".to_owned(),
                (..60, _) => format!("{wait_s} seconds"),
                (_, 1) => "1 minute".to_owned(),
                (_, minutes) => format!("{minutes} minutes"),
            };
            let wait = format!("Please wait {how_long}, then try again.");
            return Told { heading: "Too many tries".to_owned(), lines: vec![wait] };
        }
        Problem::Taken { by } => {
            return Told {
                heading: "That evening is taken".to_owned(),
                lines: vec![format!(
                    "{} has it since. Nothing was changed; please write a new letter with other \
                     evenings.",
                    one_line(by)
                )],
            };
        }
        Problem::BadRequest => (
            "That could not be read",
            &["What was sent could not be understood, or it was too long. Nothing was changed."],
        ),
        Problem::DiskFull => (
            "There is no room left",
            &[
                "The disk with the studio's folder is full, so this was not saved. Everything saved \
                 earlier is safe.",
                "Make room, then send it once more.",
            ],
        ),
        Problem::ReadOnly => (
            "The studio's folder cannot be written",
            &[
                "This was not saved. Everything saved earlier is safe.",
                "Look at who may write to the folder, then send it once more.",
            ],
        ),
        Problem::Conflict => (
            "This has changed since",
            &[
                "It cannot be taken back any more without undoing a later change. Nothing was changed.",
            ],
        ),
        Problem::Ours => (
            "Something went wrong here",
            &["That is a mistake of the program, not yours. What was just sent may not be saved; \
                 everything saved earlier is safe."],
        ),
    };
    Told {
        heading: heading.to_owned(),
        lines: lines.iter().map(|line| (*line).to_owned()).collect(),
    }
}

/// Under which reference the cause stands in the log.
pub fn reference(reference: &str) -> String {
    format!("In the log it stands under {reference}.")
}
