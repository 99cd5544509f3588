//! The event code that US warnings carry: which event, what happened to it, from when to when.

use std::str::FromStr;

use jiff::{Timestamp, civil, tz::TimeZone};

/// What a message does to its event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum VtecAction {
    /// A new event.
    New,
    /// Goes on as it was.
    Continued,
    /// Holds for a larger area.
    ExtendedInArea,
    /// Holds longer, or shorter.
    ExtendedInTime,
    /// Both.
    ExtendedInBoth,
    /// Was replaced by a stronger event.
    Upgraded,
    /// Was called off.
    Cancelled,
    /// Has come to its end.
    Expired,
    /// A correction of an earlier message.
    Corrected,
    /// A routine message.
    Routine,
}

/// One event of a US warning, out of its Valid Time Event Code.
///
/// # Examples
///
/// ```
/// use fairspell_weather::vtec::Vtec;
///
/// let storm: Vtec = "/O.CAN.KTST.SV.W.0042.000000T0000Z-300614T2200Z/".parse().expect("a code");
/// assert!(storm.is_over());
/// ```
///
/// # Source
///
/// US National Weather Service Instruction 10-1703: `/k.aaa.cccc.pp.s.####.begin-end/`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vtec {
    /// O operational, T test, E experimental, X experimental within an operational message.
    pub product_class: char,
    /// What the message does to the event.
    pub action: VtecAction,
    /// The office, four letters.
    pub office: String,
    /// Two letters, such as `SV` severe thunderstorm.
    pub phenomenon: String,
    /// W warning, A watch, Y advisory, S statement and so on.
    pub significance: char,
    /// The event's number in its year and office.
    pub event_number: u16,
    /// When it begins; `None` when it has begun already.
    pub begin: Option<Timestamp>,
    /// When it ends; `None` until further notice.
    pub end: Option<Timestamp>,
}

/// The text is no valid time event code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("expected a valid time event code, found `{0}`")]
pub struct VtecError(pub String);

impl Vtec {
    /// Whether the message says that this event no longer threatens under this name.
    pub fn is_over(&self) -> bool {
        matches!(self.action, VtecAction::Cancelled | VtecAction::Expired | VtecAction::Upgraded)
    }
}

impl FromStr for Vtec {
    type Err = VtecError;

    fn from_str(text: &str) -> Result<Self, VtecError> {
        parse(text.trim()).ok_or_else(|| VtecError(text.chars().take(60).collect()))
    }
}

fn parse(text: &str) -> Option<Vtec> {
    let inner = text.strip_prefix('/')?.strip_suffix('/')?;
    let mut fields = inner.split('.');
    let product_class = single_char(fields.next()?)?;
    let action = match fields.next()? {
        "NEW" => VtecAction::New,
        "CON" => VtecAction::Continued,
        "EXA" => VtecAction::ExtendedInArea,
        "EXT" => VtecAction::ExtendedInTime,
        "EXB" => VtecAction::ExtendedInBoth,
        "UPG" => VtecAction::Upgraded,
        "CAN" => VtecAction::Cancelled,
        "EXP" => VtecAction::Expired,
        "COR" => VtecAction::Corrected,
        "ROU" => VtecAction::Routine,
        _ => return None,
    };
    let office = fields.next()?.to_owned();
    let phenomenon = fields.next()?.to_owned();
    let significance = single_char(fields.next()?)?;
    let event_number = fields.next()?.parse().ok()?;
    let (begin, end) = fields.next()?.split_once('-')?;
    if fields.next().is_some() {
        return None;
    }
    Some(Vtec {
        product_class,
        action,
        office,
        phenomenon,
        significance,
        event_number,
        begin: time(begin)?,
        end: time(end)?,
    })
}

fn single_char(text: &str) -> Option<char> {
    let mut chars = text.chars();
    let only = chars.next()?;
    chars.next().is_none().then_some(only)
}

/// `yymmddThhmmZ`; all zeros mean that there is none. The outer `None` is for anything else.
#[expect(clippy::option_option, reason = "an unreadable time and an open one are different")]
fn time(text: &str) -> Option<Option<Timestamp>> {
    if text == "000000T0000Z" {
        return Some(None);
    }
    let digits = text.strip_suffix('Z')?;
    let (date, clock) = digits.split_once('T')?;
    let all_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if date.len() != 6 || clock.len() != 4 || !all_digits(date) || !all_digits(clock) {
        return None;
    }
    let two = |part: &str, at: usize| part[at..at + 2].parse::<i8>().ok();
    let date =
        civil::Date::new(2000 + i16::from(two(date, 0)?), two(date, 2)?, two(date, 4)?).ok()?;
    let clock = civil::Time::new(two(clock, 0)?, two(clock, 2)?, 0, 0).ok()?;
    Some(Some(TimeZone::UTC.to_timestamp(date.to_datetime(clock)).ok()?))
}
