//! What each kind of warning means for an outdoor portrait session.

use std::collections::HashMap;

use crate::{
    WeatherError,
    warning::{Certainty, Severity, Urgency, Warning},
};

/// What a warning means for a session, from nothing to everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tier {
    /// Not even shown: a test.
    Ignore,
    /// Shown, without weight.
    Info,
    /// Shown beside the ruling.
    Caution,
    /// Advise moving; decide on fresh data.
    Hold,
    /// Must move, or leave.
    Stop,
}

/// What is known of a session beside the warning's own words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Circumstances {
    /// The spot or the way to it lies at a shore, over water, in a marsh or behind a causeway.
    pub shore: bool,
    /// A point of the spot or the way lies inside the warning's own drawing.
    pub inside_drawing: bool,
    /// The whole window lies inside the event's time.
    pub whole_window: bool,
}

/// A table of events and what they mean, with a rule for the events that are not in it.
///
/// Its default is the table in this crate's `data/event_policy.csv`. The owner can hand in her own with
/// [`EventPolicy::parse`].
///
/// # Source
///
/// Our choice, event by event. Severity alone cannot rank them: the US service fills it with "Severe"
/// for a fire weather watch and "Unknown" for an air quality alert.
#[derive(Debug, Clone, PartialEq)]
pub struct EventPolicy {
    /// By the event's name in small letters.
    rules: HashMap<String, Rule>,
}

/// The tiers of one event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Rule {
    tier: Tier,
    at_shore: Option<Tier>,
    inside_drawing: Option<Tier>,
    whole_window: Option<Tier>,
}

const TABLE: &str = include_str!("../data/event_policy.csv");

impl Default for EventPolicy {
    fn default() -> Self {
        EventPolicy::parse(TABLE).expect("the crate's own table is read in every test")
    }
}

impl EventPolicy {
    /// Reads a table of events.
    ///
    /// CSV with a header line. Needed columns: `event` and `tier`, one of `stop`, `hold`, `caution`,
    /// `info`, `ignore`. Further columns, each empty or a tier, make an event graver: `at_shore` for a
    /// session at the water, `inside_drawing` where the place lies in the warning's own drawing,
    /// `whole_window` where the event covers the whole session. Any other column, such as `note`, is
    /// the owner's own.
    ///
    /// # Errors
    ///
    /// [`WeatherError::EventTable`] with the line for a missing column, an unknown tier, an event
    /// without a name or one that is there twice, and for a table without any event.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_weather::event_policy::EventPolicy;
    ///
    /// assert!(EventPolicy::parse("event,tier\nWind Advisory,hold\n").is_ok());
    /// let error = EventPolicy::parse("event,tier\nWind Advisory,stopp\n").expect_err("a slip");
    /// assert!(error.to_string().contains("`stopp`"));
    /// ```
    pub fn parse(table: &str) -> Result<EventPolicy, WeatherError> {
        let wrong = |line: u64, problem: String| WeatherError::EventTable { line, problem };
        let mut reader = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .flexible(true)
            .from_reader(table.as_bytes());
        let header = reader.headers().map_err(|error| wrong(1, error.to_string()))?.clone();
        let column = |name: &str| header.iter().position(|found| found.eq_ignore_ascii_case(name));
        let needed = |name: &str| {
            column(name).ok_or_else(|| wrong(1, format!("there is no column `{name}`")))
        };
        let (event_at, tier_at) = (needed("event")?, needed("tier")?);
        let optional = [column("at_shore"), column("inside_drawing"), column("whole_window")];
        let mut rules = HashMap::new();
        for record in reader.records() {
            let record = record.map_err(|error| {
                let line = error.position().map_or(0, csv::Position::line);
                wrong(line, error.to_string())
            })?;
            let line = record.position().map_or(0, csv::Position::line);
            let event = record.get(event_at).unwrap_or_default();
            if event.is_empty() {
                return Err(wrong(line, "the event has no name".to_owned()));
            }
            let tier = |text: &str| {
                parse_tier(text).ok_or_else(|| {
                    let text: String = text.chars().take(60).collect();
                    wrong(
                        line,
                        format!("expected stop, hold, caution, info or ignore, found `{text}`"),
                    )
                })
            };
            let extra = |at: Option<usize>| match at.and_then(|at| record.get(at)) {
                None | Some("") => Ok(None),
                Some(text) => tier(text).map(Some),
            };
            let rule = Rule {
                tier: tier(record.get(tier_at).unwrap_or_default())?,
                at_shore: extra(optional[0])?,
                inside_drawing: extra(optional[1])?,
                whole_window: extra(optional[2])?,
            };
            if rules.insert(event.to_lowercase(), rule).is_some() {
                return Err(wrong(line, format!("`{event}` is there twice")));
            }
        }
        if rules.is_empty() {
            return Err(wrong(1, "there is no event".to_owned()));
        }
        Ok(EventPolicy { rules })
    }

    /// Whether the table has an event of this name, in any case of letters.
    pub fn knows(&self, event: &str) -> bool {
        self.rules.contains_key(&event.to_lowercase())
    }

    /// What a warning means for a session.
    ///
    /// An event that is not in the table is judged by its words: extreme severity stops; so does
    /// severe when it is at hand and probable; other severe events hold; the rest is a caution. It is
    /// never ignored.
    pub fn tier(&self, warning: &Warning, circumstances: Circumstances) -> Tier {
        let Some(rule) = self.rules.get(&warning.event.to_lowercase()) else {
            return tier_by_words(warning);
        };
        let graver = [
            rule.at_shore.filter(|_| circumstances.shore),
            rule.inside_drawing.filter(|_| circumstances.inside_drawing),
            rule.whole_window.filter(|_| circumstances.whole_window),
        ];
        graver.into_iter().flatten().fold(rule.tier, Tier::max)
    }
}

fn tier_by_words(warning: &Warning) -> Tier {
    let at_hand = matches!(warning.urgency, Urgency::Immediate | Urgency::Expected);
    let probable = matches!(warning.certainty, Certainty::Observed | Certainty::Likely);
    match warning.severity {
        Severity::Extreme => Tier::Stop,
        Severity::Severe if at_hand && probable => Tier::Stop,
        Severity::Severe => Tier::Hold,
        Severity::Moderate | Severity::Minor | Severity::Unknown => Tier::Caution,
    }
}

fn parse_tier(text: &str) -> Option<Tier> {
    let tiers = [
        ("stop", Tier::Stop),
        ("hold", Tier::Hold),
        ("caution", Tier::Caution),
        ("info", Tier::Info),
        ("ignore", Tier::Ignore),
    ];
    tiers.into_iter().find(|(name, _)| text.eq_ignore_ascii_case(name)).map(|(_, tier)| tier)
}
