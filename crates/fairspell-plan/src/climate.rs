//! What an archived record says of such evenings: how many had rain, as counts.
//!
//! For choosing a month, a weekday, a spare date: the record says what evenings were like, and only the
//! forecast what one evening will be. One station is asked, never several together: neighbours see the
//! same rain, and counting it twice would make a short record look long.

use std::collections::BTreeSet;

use fairspell_chance::{
    Chance, Probability,
    climate::{Counts, DEFAULT_WEIGHT, LAGS_DAYS, Persistence},
};
use fairspell_ground::LatLon;
use fairspell_weather::observed::{DayRain, HourRain, ObservedRain, Record};
use jiff::{
    SignedDuration, Timestamp, ToSpan,
    civil::{Date, Time},
    tz::TimeZone,
};

mod hours;

use hours::{HOUR, Hours};

/// The least amount in an hour, or on a day, that counts as rain, mm.
///
/// As services count it. A gauge that measures in hundredths of an inch shows 0.254 mm first.
pub const WET_MM: f64 = 0.2;

/// Chance of rain in a window of an evening while no record has been counted.
///
/// # Source
///
/// Our estimate, from what the trade reckons with; 1,087 evenings at three New York airports in 2013 had
/// rain between 18:00 and 20:00 in 0.087. State it as an assumption wherever it is shown.
pub const P_RAIN_DEFAULT: f64 = 0.20;

/// Chance of rain on a whole day while no record has been counted.
///
/// # Source
///
/// Our choice: the mean of three open records, New York 0.32, Seattle 0.43, Tampere 0.25.
pub const P_RAIN_DAY_DEFAULT: f64 = 0.33;

/// For so many hours after the window it is counted whether rain went on, or came.
const AFTER_HOURS: [i64; 3] = [1, 2, 3];

/// Which evenings are asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClimateQuestion {
    /// The month, 1 to 12. No evening is in any other.
    pub month: i8,
    /// When the window begins, by the place's clock.
    pub from: Time,
    /// When it ends. Not after `from`: on the next day (the same time is a whole day later).
    pub to: Time,
    /// How many days before and after the month count as well; from 183 on it is the whole year.
    pub days_around: u16,
}

impl ClimateQuestion {
    /// How long the window is by the clock.
    pub fn length(&self) -> SignedDuration {
        let length = self.to.duration_since(self.from);
        if length > SignedDuration::ZERO { length } else { length + SignedDuration::from_hours(24) }
    }

    /// Whether a day is one of those asked about.
    pub fn asks_about(&self, date: Date) -> bool {
        let around = i64::from(self.days_around);
        let reaches = |year: i16| {
            let Ok(first) = Date::new(year, self.month, 1) else { return false };
            let last = first.last_of_month();
            day_number(date) >= day_number(first) - around
                && day_number(date) <= day_number(last) + around
        };
        let year = date.year();
        [year.checked_sub(1), Some(year), year.checked_add(1)].into_iter().flatten().any(reaches)
    }
}

/// What a record says of such evenings.
#[derive(Debug, Clone, PartialEq)]
pub struct EveningClimate {
    /// Which evenings, and which hours.
    pub question: ClimateQuestion,
    /// Which station; `None` without a record.
    pub station: Option<ClimateStation>,
    /// The chance of rain, at least [`WET_MM`] in an hour, within the window: what was counted, drawn
    /// toward [`P_RAIN_DEFAULT`], with a 90 % range; the default where no hours were counted.
    pub p_rain: Chance,
    /// What was counted.
    pub seen: ClimateSeen,
}

/// The station that was asked.
#[derive(Debug, Clone, PartialEq)]
pub struct ClimateStation {
    /// Its name in its network.
    pub station: String,
    /// Its name for people.
    pub name: Option<String>,
    /// Where it stands.
    pub position: Option<LatLon>,
    /// The first and the last day that was counted; `None` where none was.
    pub span: Option<(Date, Date)>,
    /// In how many calendar years days were counted.
    pub years: usize,
}

/// What a record could be asked.
#[derive(Debug, Clone, PartialEq)]
pub enum ClimateSeen {
    /// Hour by hour: the window itself.
    Window(WindowSeen),
    /// Day by day: whole days only. Of the window, and of gaps in it, it can say nothing.
    WholeDays(DaySeries),
    /// There was no record.
    Nothing,
}

/// What hours say of a window.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowSeen {
    /// The window, day by day.
    pub days: DaySeries,
    /// Dry hours in it; `None` for a window shorter than an hour, of which hours can't say.
    pub gaps: Option<GapsSeen>,
    /// The hours after it.
    pub after: Vec<AfterWindow>,
}

/// One outcome a day, counted.
#[derive(Debug, Clone, PartialEq)]
pub struct DaySeries {
    /// The number of each day (days since 1970-01-01) and whether it was wet; `None`: not known. Of all
    /// days asked about between the record's first and last.
    pub outcomes: Vec<(i64, Option<bool>)>,
    /// How many are known, how many of these wet.
    pub counts: Counts,
    /// How many are not known.
    pub unknown: usize,
    /// The chance of rain on such a day, drawn toward the default, with a 90 % range.
    pub p_rain: Chance,
    /// What followed wet and dry ones one, two, three and seven days later.
    pub persistence: Vec<Persistence>,
}

/// Dry hours in windows of which every hour is known.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct GapsSeen {
    /// All of them.
    pub all: DryRuns,
    /// Those with rain in some hour.
    pub wet: DryRuns,
}

/// How long windows stayed dry at a stretch.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DryRuns {
    /// How many windows.
    pub windows: usize,
    /// In how many a whole dry hour was seen.
    pub with_dry_hour: usize,
    /// How many had their longest dry stretch of 0, 1, 2 ... whole hours.
    pub longest_dry_hours: Vec<usize>,
}

/// Rain in the hours after the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AfterWindow {
    /// How many hours after it are meant.
    pub hours: i64,
    /// After windows with rain.
    pub after_wet: Counts,
    /// After dry windows.
    pub after_dry: Counts,
}

/// What one station's record says of such evenings.
///
/// A window is wet with at least [`WET_MM`] in any hour that overlaps it, not known with a missing hour,
/// and else dry. It belongs to the day on which it begins.
///
/// - `record`: of one station. How far away that stands is the caller's to say.
/// - `zone`: of the place, for the clock that the window is by.
///
/// # Examples
///
/// ```
/// use fairspell_plan::climate::{ClimateQuestion, ClimateSeen, evening_climate};
/// use fairspell_weather::observed::read_observed_rain;
/// use jiff::{civil::time, tz::TimeZone};
///
/// // Two evenings: rain in one hour of the first, an hour missing in the second.
/// let text = "time,rain_amount_mm\n\
///             2026-06-01T18:00:00Z,0.4\n2026-06-01T19:00:00Z,0.0\n2026-06-02T18:00:00Z,0.0\n";
/// let record = &read_observed_rain(text.as_bytes(), "jetty")?.value[0];
/// let question = ClimateQuestion {
///     month: 6,
///     from: time(18, 0, 0, 0),
///     to: time(20, 0, 0, 0),
///     days_around: 0,
/// };
/// let climate = evening_climate(record, &TimeZone::UTC, &question);
/// let ClimateSeen::Window(seen) = &climate.seen else { panic!("the record is hourly") };
/// assert_eq!((seen.days.counts.known, seen.days.counts.wet, seen.days.unknown), (1, 1, 1));
/// // One evening moves the default of 20 % only a little.
/// assert_eq!((climate.p_rain.centre.get() * 100.0).round(), 27.0);
/// # Ok::<(), fairspell_weather::WeatherError>(())
/// ```
pub fn evening_climate(
    record: &ObservedRain,
    zone: &TimeZone,
    question: &ClimateQuestion,
) -> EveningClimate {
    let seen = match &record.record {
        Record::Hourly(hours) => ClimateSeen::Window(window_seen(hours, zone, question)),
        Record::Daily(days) => ClimateSeen::WholeDays(whole_days(days, question)),
    };
    let series = match &seen {
        ClimateSeen::Window(window) => Some(&window.days),
        ClimateSeen::WholeDays(days) => Some(days),
        ClimateSeen::Nothing => None,
    };
    let known: Vec<Date> = series
        .into_iter()
        .flat_map(|series| &series.outcomes)
        .filter(|(_, wet)| wet.is_some())
        .filter_map(|(day, _)| date_of(*day))
        .collect();
    let years: BTreeSet<i16> = known.iter().map(|date| date.year()).collect();
    let station = ClimateStation {
        station: record.station.clone(),
        name: record.name.clone(),
        position: record.position,
        span: known.first().copied().zip(known.last().copied()),
        years: years.len(),
    };
    let p_rain = match &seen {
        ClimateSeen::Window(window) => window.days.p_rain,
        ClimateSeen::WholeDays(_) | ClimateSeen::Nothing => unseen(),
    };
    EveningClimate { question: *question, station: Some(station), p_rain, seen }
}

/// What can be said without any record: the stated default, counted on no evening at all.
pub fn evening_climate_unseen(question: &ClimateQuestion) -> EveningClimate {
    let (question, p_rain) = (*question, unseen());
    EveningClimate { question, station: None, p_rain, seen: ClimateSeen::Nothing }
}

fn unseen() -> Chance {
    Counts::default().shrunk(Probability::clamped(P_RAIN_DEFAULT), DEFAULT_WEIGHT)
}

impl DaySeries {
    fn new(outcomes: Vec<(i64, Option<bool>)>, default: f64) -> Self {
        let counts = Counts::of(&outcomes);
        DaySeries {
            counts,
            unknown: outcomes.len() - counts.known,
            p_rain: counts.shrunk(Probability::clamped(default), DEFAULT_WEIGHT),
            persistence: LAGS_DAYS.map(|lag| Persistence::of(&outcomes, lag)).to_vec(),
            outcomes,
        }
    }
}

fn whole_days(days: &[DayRain], question: &ClimateQuestion) -> DaySeries {
    let mut rows = days.iter().peekable();
    let dates = days.first().zip(days.last()).map(|(first, last)| (first.date, last.date));
    let outcomes = dates_between(dates).filter_map(|date| {
        let amount_mm = rows.next_if(|row| row.date == date).and_then(|row| row.amount_mm);
        let wet = amount_mm.map(|mm| mm >= WET_MM);
        question.asks_about(date).then(|| (day_number(date), wet))
    });
    DaySeries::new(outcomes.collect(), P_RAIN_DAY_DEFAULT)
}

fn window_seen(hours: &[HourRain], zone: &TimeZone, question: &ClimateQuestion) -> WindowSeen {
    let date = |hour: &HourRain| zone.to_datetime(hour.from).date();
    let dates = hours.first().zip(hours.last()).map(|(first, last)| (date(first), date(last)));
    let mut outcomes = Vec::new();
    let mut gaps = GapsSeen::default();
    let none = Counts::default();
    let mut after =
        AFTER_HOURS.map(|hours| AfterWindow { hours, after_wet: none, after_dry: none });
    for date in dates_between(dates).filter(|date| question.asks_about(*date)) {
        let span = window(date, zone, question);
        let wet = span.and_then(|(from, to)| Hours::during(hours, from, to).wet());
        outcomes.push((day_number(date), wet));
        let (Some((from, to)), Some(wet)) = (span, wet) else { continue };
        if let Some(dry) = Hours::during(hours, from, to).longest_dry() {
            gaps.all.add(dry);
            if wet {
                gaps.wet.add(dry);
            }
        }
        for after in &mut after {
            let until = to.checked_add(SignedDuration::from_hours(after.hours));
            let then = until.ok().and_then(|until| Hours::during(hours, to, until).wet());
            let counts = if wet { &mut after.after_wet } else { &mut after.after_dry };
            if let Some(then) = then {
                counts.add(then);
            }
        }
    }
    WindowSeen {
        days: DaySeries::new(outcomes, P_RAIN_DEFAULT),
        gaps: (question.length() >= HOUR).then_some(gaps),
        after: after.to_vec(),
    }
}

/// The window that begins on a day; `None` where the clocks skip all of it.
fn window(
    date: Date,
    zone: &TimeZone,
    question: &ClimateQuestion,
) -> Option<(Timestamp, Timestamp)> {
    let end = if question.to > question.from { date } else { date.tomorrow().ok()? };
    let from = zone.to_timestamp(date.to_datetime(question.from)).ok()?;
    let to = zone.to_timestamp(end.to_datetime(question.to)).ok()?;
    (from < to).then_some((from, to))
}

impl DryRuns {
    fn add(&mut self, longest_dry: SignedDuration) {
        let hours = usize::try_from(longest_dry.as_hours()).unwrap_or(0);
        self.windows += 1;
        self.with_dry_hour += usize::from(hours > 0);
        if self.longest_dry_hours.len() <= hours {
            self.longest_dry_hours.resize(hours + 1, 0);
        }
        self.longest_dry_hours[hours] += 1;
    }
}

/// All days from one to another.
fn dates_between(ends: Option<(Date, Date)>) -> impl Iterator<Item = Date> {
    ends.into_iter()
        .flat_map(|(first, last)| first.series(1.day()).take_while(move |date| *date <= last))
}

/// Days since 1970-01-01.
fn day_number(date: Date) -> i64 {
    date.duration_since(Date::constant(1970, 1, 1)).as_hours() / 24
}

fn date_of(day_number: i64) -> Option<Date> {
    Date::constant(1970, 1, 1).checked_add(SignedDuration::from_hours(24 * day_number)).ok()
}
