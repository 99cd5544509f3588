//! Fields of a CSV that no spreadsheet takes for a formula.

/// What a spreadsheet takes for the beginning of a formula, in both widths.
const BEGINNINGS: [char; 11] =
    ['=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];

/// One field of a CSV, in quotation marks, so that every spreadsheet shows it as text.
///
/// A field that begins like a formula gets an apostrophe before it; quotation marks are doubled.
/// Without the marks around it a comma or semicolon inside would begin a field of its own, and that
/// one could be a formula. [`read_bookings`](crate::read_bookings) takes the apostrophe off again.
///
/// ```
/// use fairspell_calendar::defused;
///
/// assert_eq!(defused("Maya"), r#""Maya""#);
/// assert_eq!(defused(r#"=HYPERLINK("x")"#), r#""'=HYPERLINK(""x"")""#);
/// ```
///
/// # Source
///
/// OWASP, "CSV Injection"; the Application Security Verification Standard 5.0, requirement 1.2.10,
/// which adds the null character; RFC 4180, section 2, rules 6 and 7.
pub fn defused(field: &str) -> String {
    let field = field.replace('\0', "");
    let apostrophe = if begins_a_formula(&field) { "'" } else { "" };
    format!("\"{apostrophe}{}\"", field.replace('"', "\"\""))
}

/// The field without the apostrophe that [`defused`] puts before a formula.
pub(crate) fn undefused(field: &str) -> &str {
    field.strip_prefix('\'').filter(|rest| begins_a_formula(rest)).unwrap_or(field)
}

fn begins_a_formula(field: &str) -> bool {
    // Some spreadsheets look past leading blanks.
    field.starts_with(BEGINNINGS) || field.trim_start().starts_with(BEGINNINGS)
}
