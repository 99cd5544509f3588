//! A list of bookings: CSV with a heading.

use csv::{ReaderBuilder, StringRecord};
use fairspell_ground::Reading;
use fairspell_studio::session::Deadline;
use fairspell_words::calendar::PICTURES_DUE;
use jiff::{civil, tz::TimeZone};

use crate::{
    About, Booking, CalendarError, Origin, Remark,
    dates::{read_date, read_hour},
    hours::moment,
    plain::{Plain, quoted},
    read::MOST,
};

/// The longest session, minutes: a day.
pub(crate) const LONGEST_MIN: u32 = 24 * 60;

/// The most looks of one booking.
const MOST_LOOKS: usize = 20;

/// The columns that are read, by their names in the heading.
const COLUMNS: [&str; 11] = [
    "name",
    "date",
    "start",
    "guardian",
    "minutes",
    "place",
    "email",
    "phone",
    "looks",
    "deadline",
    "deadline_for",
];

/// Where each column stands.
struct Heading([Option<usize>; COLUMNS.len()]);

impl Heading {
    fn of(cells: &StringRecord) -> Self {
        let names: Vec<String> = cells
            .iter()
            .map(|cell| cell.trim().to_lowercase().replace([' ', '-'], "_"))
            .map(|name| if name == "sitter" { "name".to_owned() } else { name })
            .collect();
        Heading(COLUMNS.map(|column| names.iter().position(|name| name == column)))
    }

    fn count(&self) -> usize {
        self.0.iter().flatten().count()
    }

    fn is_enough(&self) -> bool {
        self.0[..3].iter().all(Option::is_some)
    }

    /// A cell by the name of its column; empty where it is not there.
    fn cell<'a>(&self, row: &'a StringRecord, column: &str) -> &'a str {
        let known = COLUMNS.iter().position(|name| *name == column);
        known.and_then(|known| self.0[known]).and_then(|at| row.get(at)).unwrap_or_default().trim()
    }
}

/// Reads a list; see [`read_bookings`](crate::read_bookings).
pub(crate) fn bookings_of_list(
    text: &str,
    zone: &TimeZone,
) -> Result<Reading<Vec<Booking>, Remark>, CalendarError> {
    let reader = |delimiter: u8| {
        ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .from_reader(text.as_bytes())
    };
    let heading_with = |delimiter: &u8| {
        let first = reader(*delimiter).records().next().and_then(Result::ok).unwrap_or_default();
        Heading::of(&first).count()
    };
    let delimiter = [b'\t', b';', b','].into_iter().max_by_key(heading_with).unwrap_or(b',');
    let mut rows = reader(delimiter);
    let mut row = StringRecord::new();
    // The text is UTF-8 by its type and rows may differ in length, so reading cannot fail.
    rows.read_record(&mut row).unwrap_or(false);
    let heading = Heading::of(&row);
    if !heading.is_enough() {
        let found = row.iter().collect::<Vec<_>>().join(", ");
        return Err(CalendarError::Columns { found: quoted(&found) });
    }
    let (mut value, mut remarks) = (Vec::new(), Vec::new());
    let mut number = 1 + blank_rows_before(text, &row);
    while rows.read_record(&mut row).unwrap_or(false) {
        number += 1 + blank_rows_before(text, &row);
        if number > MOST + 1 {
            return Err(CalendarError::TooMany { most: MOST });
        }
        if row.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        let origin = Origin::Row(number);
        let mut plain = Plain { origin: &origin, remarks: &mut remarks };
        let is_last = usize::try_from(rows.position().byte()).is_ok_and(|at| at >= text.len());
        let booking = if is_last && is_left_open(text, &row) {
            Err(About::QuoteLeftOpen)
        } else {
            booking(&heading, &row, &mut plain, zone)
        };
        match booking {
            Ok(booking) => value.push(booking),
            Err(about) => plain.remark(about),
        }
    }
    Ok(Reading { value, remarks })
}

/// Where a row begins in the text.
fn begin(text: &str, row: &StringRecord) -> usize {
    let at = row.position().and_then(|position| usize::try_from(position.byte()).ok());
    at.unwrap_or(0).min(text.len())
}

/// Whether the last row has a quotation mark without its partner, and so swallowed what follows.
///
/// A single mark inside a cell is a character like another; only a cell over several lines can be
/// one that was never closed.
fn is_left_open(text: &str, last: &StringRecord) -> bool {
    let marks = text.get(begin(text, last)..).unwrap_or_default().matches('"').count();
    marks % 2 == 1 && last.iter().any(|cell| cell.contains(['\r', '\n']))
}

/// Rows that the reader passed over before this one, because they were empty.
fn blank_rows_before(text: &str, row: &StringRecord) -> usize {
    let (before, rest) = text.as_bytes().split_at(begin(text, row));
    // The second half of the line end before.
    let rest = match (before.last(), rest) {
        (Some(b'\r'), [b'\n', rest @ ..]) => rest,
        _ => rest,
    };
    let ends = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    let (returns, feeds) = ends.fold((0_usize, 0_usize), |(returns, feeds), byte| {
        if *byte == b'\r' { (returns + 1, feeds) } else { (returns, feeds + 1) }
    });
    returns.max(feeds)
}

fn booking(
    heading: &Heading,
    row: &StringRecord,
    plain: &mut Plain<'_>,
    zone: &TimeZone,
) -> Result<Booking, About> {
    let cell = |column: &str| heading.cell(row, column);
    let sitter = plain.text(cell("name")).ok_or(About::NoName)?;
    let start = start(cell("date"), cell("start"))?;
    moment(start, zone)?;
    let deadline = match cell("deadline") {
        "" => None,
        text => {
            let date = read_date(text);
            if date.is_err() {
                plain.remark(About::DeadlineUnusable(quoted(text)));
            }
            let name = plain.text(cell("deadline_for")).unwrap_or_else(|| PICTURES_DUE.to_owned());
            date.ok().map(|date| Deadline { name, date })
        }
    };
    let mut looks: Vec<String> =
        cell("looks").split(';').filter_map(|look| plain.text(look)).collect();
    if looks.len() > MOST_LOOKS {
        looks.truncate(MOST_LOOKS);
        plain.remark(About::LooksLeftOut(MOST_LOOKS));
    }
    Ok(Booking {
        origin: plain.origin.clone(),
        sitter,
        guardian: plain.text(cell("guardian")),
        start,
        duration_min: minutes(cell("minutes"), plain),
        place: plain.text(cell("place")),
        position: None,
        email: plain.email(cell("email")),
        phone: plain.phone(cell("phone")),
        deadline,
        looks,
    })
}

fn start(date: &str, hour: &str) -> Result<civil::DateTime, About> {
    if date.is_empty() {
        return Err(About::NoDate);
    }
    let date = read_date(date)?;
    if hour.is_empty() {
        return Err(About::NoHour(date));
    }
    Ok(date.to_datetime(read_hour(hour)?))
}

fn minutes(text: &str, plain: &mut Plain<'_>) -> Option<u32> {
    if text.is_empty() {
        return None;
    }
    let minutes = text.parse().ok().filter(|minutes| (1..=LONGEST_MIN).contains(minutes));
    if minutes.is_none() {
        plain.remark(About::DurationUnusable(quoted(text)));
    }
    minutes
}
