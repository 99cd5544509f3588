//! Which layout a record of rain has, by its first line.

use crate::WeatherError;

/// How a record of rain is written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// GHCN-Daily, fixed columns.
    Dly,
    /// GHCN-Daily by station: `STATION,DATE,...,PRCP,PRCP_ATTRIBUTES`.
    Station,
    /// GHCN-Daily by element: station, day, element, value, three flags, time.
    Elements,
    /// Hourly weather of New York airports: `origin,...,precip,...,time_hour`.
    Airports,
    /// Our own: `time,rain_amount_mm` or `time,rain_amount_in`.
    Hours,
}

/// The longest piece of a first line that an error repeats.
const TEXT_CHARS: usize = 60;

impl Layout {
    /// The layout of a text.
    ///
    /// # Errors
    ///
    /// [`WeatherError::WrongDocument`] with the header or the line that none of them begins with.
    pub fn of(text: &str) -> Result<Layout, WeatherError> {
        let line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
        let shown: String = line.chars().take(TEXT_CHARS).collect();
        let wrong =
            |found: String| WeatherError::WrongDocument { expected: "a record of rain", found };
        if line.is_empty() {
            return Err(wrong("an empty file".to_owned()));
        }
        if line.contains('|') {
            let found = format!("values between bars (GHCN-hourly is not read): `{shown}`");
            return Err(wrong(found));
        }
        let fields: Vec<String> = line
            .split(',')
            .map(|field| field.trim().trim_matches('"').trim().to_ascii_lowercase())
            .collect();
        let has = |name: &str| fields.iter().any(|field| field == name);
        if has("origin") && has("time_hour") && has("precip") {
            return Ok(Layout::Airports);
        }
        if has("station") && has("date") {
            if has("prcp") {
                return Ok(Layout::Station);
            }
            return Err(wrong(format!("no column `PRCP` in `{shown}`")));
        }
        if has("time") {
            return Ok(Layout::Hours);
        }
        if is_element_row(&fields) || (has("id") && has("date") && has("element")) {
            return Ok(Layout::Elements);
        }
        if is_dly(line.as_bytes()) {
            return Ok(Layout::Dly);
        }
        Err(wrong(format!("`{shown}`")))
    }

    /// How the name of a file in it ends, without the first dot.
    pub fn extension(self) -> &'static str {
        match self {
            Layout::Dly => "dly",
            Layout::Station => "station.csv",
            Layout::Elements => "elements.csv",
            Layout::Airports => "airports.csv",
            Layout::Hours => "hours.csv",
        }
    }
}

fn is_element_row(fields: &[String]) -> bool {
    fields.len() >= 4
        && fields[1].len() == 8
        && fields[1].bytes().all(|byte| byte.is_ascii_digit())
        && fields[2].len() == 4
}

/// Station in columns 1 to 11, year and month in 12 to 17, element in 18 to 21.
fn is_dly(line: &[u8]) -> bool {
    let when = line.get(11..17);
    let element = line.get(17..21);
    line.len() > 21
        && when.is_some_and(|when| when.iter().all(u8::is_ascii_digit))
        && element.is_some_and(|element| element.iter().all(u8::is_ascii_alphanumeric))
}
