//! Which session moves to which evening, as the terminal says it.

use jiff::civil::Date;

use crate::{
    clock::date,
    text::{and_list, capital, one_line},
};

/// More evenings than these are counted, not listed.
const EVENINGS_LISTED: usize = 6;

/// A plan, ready to be said. Sessions, evenings and limits go by their names; an evening whose name
/// is an ISO date is said as a date.
#[derive(Debug, Clone, PartialEq)]
pub struct MovesTold<'a> {
    /// What the plan costs.
    pub cost: f64,
    /// No plan costs less than this.
    pub lower_bound: f64,
    /// Whether that is the plan's own cost.
    pub proven: bool,
    /// Each session's evening.
    pub moves: Vec<MoveTold<'a>>,
    /// The second plan.
    pub second: SecondTold<'a>,
}

/// A session's evening, ready to be said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoveTold<'a> {
    /// The session.
    pub session: &'a str,
    /// Its evening; `None`: it stays without a date.
    pub evening: Option<&'a str>,
    /// What that costs.
    pub cost: f64,
    /// Why it got that.
    pub why: WhyTold<'a>,
    /// What the plan would cost more without it.
    pub next: NextTold,
}

/// Why a session got its evening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhyTold<'a> {
    /// No evening is cheaper for it.
    OwnCheapest,
    /// Its cheapest evening went to another session.
    TakenByOther {
        /// The evening.
        evening: &'a str,
        /// The other session.
        session: &'a str,
        /// What that saves, where it is known.
        saved: Option<f64>,
    },
    /// Its cheapest evening is free, but a limit is full.
    LimitFull {
        /// The evening.
        evening: &'a str,
        /// The limit.
        limit: &'a str,
    },
    /// It stays without a date.
    LeftUnplaced,
}

/// How much a plan rises when a session does without what it got.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NextTold {
    /// By this much.
    Rises(f64),
    /// There is no such plan.
    Impossible,
    /// Not known; by at least this much.
    NotProven(f64),
}

/// The second plan.
#[derive(Debug, Clone, PartialEq)]
pub enum SecondTold<'a> {
    /// What it costs, and where it differs: session and evening.
    Found(f64, Vec<(&'a str, Option<&'a str>)>),
    /// There is no other plan.
    None,
    /// The search ended before it was known.
    NotProven,
}

/// Sessions that cannot all be placed, ready to be said.
#[derive(Debug, Clone, PartialEq)]
pub struct ClashTold<'a> {
    /// The sessions.
    pub sessions: Vec<&'a str>,
    /// The evenings left to them.
    pub evenings: Vec<&'a str>,
    /// The limits that it takes for the clash, with how many each lets through.
    pub limits: Vec<(&'a str, usize)>,
    /// Whether no fewer sessions clash.
    pub is_smallest: bool,
}

/// A plan, line by line.
///
/// ```
/// use fairspell_words::moves::{MoveTold, MovesTold, NextTold, SecondTold, WhyTold, moves_lines};
///
/// let linh = MoveTold {
///     session: "linh",
///     evening: Some("2026-09-16"),
///     cost: 3.0,
///     why: WhyTold::OwnCheapest,
///     next: NextTold::Rises(2.5),
/// };
/// let told = MovesTold {
///     cost: 3.0,
///     lower_bound: 3.0,
///     proven: true,
///     moves: vec![linh],
///     second: SecondTold::None,
/// };
/// assert_eq!(
///     moves_lines(&told)[1],
///     "linh: Wed 16 Sep, costs 3. The cheapest evening of its own. Without it: 2.5 more in all."
/// );
/// ```
pub fn moves_lines(told: &MovesTold<'_>) -> Vec<String> {
    let cost = plain(told.cost);
    let mut lines = vec![if told.proven {
        format!("The plan costs {cost} in all, and no other costs less.")
    } else {
        let least = plain(told.lower_bound);
        format!(
            "The plan costs {cost} in all. The search ended early: another may cost less, but none \
             less than {least}."
        )
    }];
    lines.extend(told.moves.iter().map(move_line));
    lines.extend(match &told.second {
        SecondTold::Found(cost, others) => {
            let other = |(session, evening): &(&str, Option<&str>)| match evening {
                Some(evening) => format!("{} on {}", one_line(session), day(evening)),
                None => format!("{} without a date", one_line(session)),
            };
            let others: Vec<String> = others.iter().map(other).collect();
            Some(format!("Second best, {} in all: {}.", plain(*cost), and_list(&others)))
        }
        SecondTold::None => Some("There is no other plan.".to_owned()),
        SecondTold::NotProven => None,
    });
    lines
}

fn move_line(told: &MoveTold<'_>) -> String {
    let cost = plain(told.cost);
    let place = match told.evening {
        Some(evening) => format!("{}, costs {cost}", day(evening)),
        None => format!("stays without a date, costs {cost}"),
    };
    let why = match told.why {
        WhyTold::OwnCheapest => "The cheapest evening of its own.".to_owned(),
        WhyTold::TakenByOther { evening, session, saved } => {
            let went =
                format!("Its cheapest evening, {}, went to {}", day(evening), one_line(session));
            match saved {
                Some(saved) if plain(saved) == "0" => format!("{went}, at the same cost in all."),
                Some(saved) => format!("{went}, which saves {}.", plain(saved)),
                None => format!("{went}."),
            }
        }
        WhyTold::LimitFull { evening, limit } => format!(
            "Its cheapest evening, {}, is free, but {} is full.",
            day(evening),
            one_line(limit)
        ),
        WhyTold::LeftUnplaced => "Any evening would cost more in all.".to_owned(),
    };
    let next = match (told.next, told.evening) {
        (NextTold::Rises(by), _) if plain(by) == "0" => " Another plan costs no more.".to_owned(),
        (NextTold::Rises(by), Some(_)) => format!(" Without it: {} more in all.", plain(by)),
        (NextTold::Rises(by), None) => format!(" With a date: {} more in all.", plain(by)),
        (NextTold::Impossible, Some(_)) => " Without it there is no plan.".to_owned(),
        (NextTold::Impossible, None) => " There is no plan in which it has one.".to_owned(),
        (NextTold::NotProven(_), _) => String::new(),
    };
    format!("{}: {place}. {why}{next}", one_line(told.session))
}

/// Why there is no plan, line by line.
///
/// ```
/// use fairspell_words::moves::{ClashTold, clash_lines};
///
/// let told = ClashTold {
///     sessions: vec!["Linh", "Okafor"],
///     evenings: vec!["2026-09-16"],
///     limits: vec![],
///     is_smallest: true,
/// };
/// assert_eq!(clash_lines(&told)[0], "Linh and Okafor can both only have Wed 16 Sep.");
/// ```
pub fn clash_lines(told: &ClashTold<'_>) -> Vec<String> {
    let sessions: Vec<String> = told.sessions.iter().map(|session| one_line(session)).collect();
    let who = and_list(&sessions);
    let only = match sessions.len() {
        1 => "can only have",
        2 => "can both only have",
        _ => "can all only have",
    };
    let (has, them) = if sessions.len() == 1 { ("has", "left") } else { ("have", "among them") };
    let mut lines = vec![match told.evenings.as_slice() {
        [] => format!("No evening is left to {who}."),
        evenings if evenings.len() <= EVENINGS_LISTED => {
            let evenings: Vec<String> = evenings.iter().map(|evening| day(evening)).collect();
            format!("{who} {only} {}.", and_list(&evenings))
        }
        evenings => format!("{who} {has} only {} evenings {them}.", evenings.len()),
    }];
    let limit = |(name, at_most): &(&str, usize)| match at_most {
        0 => format!("{} takes none", one_line(name)),
        1 => format!("{} takes one at most", one_line(name)),
        more => format!("{} takes {more} at most", one_line(name)),
    };
    let limits: Vec<String> = told.limits.iter().map(limit).collect();
    if !limits.is_empty() {
        lines.push(format!("{}.", capital(&and_list(&limits))));
    }
    if !told.is_smallest {
        lines.push("Perhaps fewer sessions clash as well; the search ended early.".to_owned());
    }
    lines.push(match (sessions.len(), limits.is_empty()) {
        (1, true) => "Free an evening, or leave it without a date.".to_owned(),
        (1, false) => "Free an evening, let more through, or leave it without a date.".to_owned(),
        (_, true) => "Free an evening, or leave one of them without a date.".to_owned(),
        (_, false) => {
            "Free an evening, let more through, or leave one of them without a date.".to_owned()
        }
    });
    lines
}

/// An evening by its date, where its name is one.
fn day(evening: &str) -> String {
    evening.parse::<Date>().map_or_else(|_| one_line(evening), date)
}

/// A cost in plain numbers: two decimals at most, none that say nothing.
fn plain(cost: f64) -> String {
    let text = format!("{cost:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
