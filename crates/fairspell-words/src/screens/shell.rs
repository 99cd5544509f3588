//! What stands around every page.

/// The page of what needs her today.
pub const NOW: &str = "Now";
/// The page of all sessions.
pub const SEASON: &str = "Season";
/// The page of spots.
pub const PLACES: &str = "Places";
/// The page of families.
pub const PEOPLE: &str = "People";
/// The page of pattern, policy, sources and backups.
pub const STUDIO: &str = "Studio";

/// What the navigation is called by those who hear the page.
pub const NAVIGATION: &str = "Pages";
/// The link past the navigation.
pub const SKIP: &str = "To the page";

/// A change was kept.
pub const SAVED: &str = "Done.";
/// A change was taken back.
pub const UNDONE: &str = "Taken back: it is as it was before.";
/// Takes a change back.
pub const UNDO: &str = "Undo";
/// Sends a form.
pub const SAVE: &str = "Save";
/// Leaves a form as it was.
pub const BACK: &str = "Back";
/// Opens a form.
pub const EDIT: &str = "Change";
/// Takes something away.
pub const DELETE: &str = "Delete";
/// Stands over a form in which something is wrong.
pub const LOOK_AGAIN: &str = "Nothing is saved yet. Please look again at what is marked.";

/// What just happened, by its word in the address.
pub fn done(word: &str) -> Option<&'static str> {
    match word {
        "sent" => Some("The letter is kept as you send it."),
        "answer" => Some("The answer is kept."),
        "draft" => Some("Your draft is kept."),
        "moved" => Some("The session has its new date."),
        "signed-out" => Some("That sign-in has ended."),
        "erased" => Some("Erased. What was agreed can still be proved, but no longer read."),
        "imported" => Some("The bookings are in."),
        "planned" => {
            Some("The sessions stand on their new evenings. The families do not know yet.")
        }
        "field-log" => Some("The log is in. What was there already stayed."),
        "backup" => Some("The backup is written."),
        "packed" => Some("What is in the car is kept."),
        "looked" => Some("Looked again just now."),
        "tested" => Some("A test message is on its way."),
        _ => None,
    }
}
