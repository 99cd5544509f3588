//! What is said beside a field that cannot be kept as it is.

/// A name that is missing or too long.
pub const NAME: &str = "Please give a name of up to 200 letters.";
/// None of the choices.
pub const CHOOSE: &str = "Please choose one.";
/// Not a date.
pub const DATE: &str = "Please write the date as year-month-day, such as 2026-09-03.";
/// Not a time.
pub const TIME: &str = "Please write the time as hours and minutes, such as 15:15.";
/// Not minutes.
pub const MINUTES: &str = "Please write whole minutes, from 0 to 1440.";

/// A number outside of what can be: "Please write a number from 0.5 to 5."
pub fn number(from: f64, to: f64) -> String {
    format!("Please write a number from {from} to {to}.")
}
