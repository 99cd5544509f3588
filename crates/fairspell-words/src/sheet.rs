//! What to make next, whatever the sky does, as the terminal says it.

use jiff::{SignedDuration, Timestamp, tz::TimeZone};

use crate::{
    clock::clock,
    numbers::of_hundred,
    text::{and_list, capital, one_line},
};

/// A solved evening, ready to be said. Sets and orders go by their names, classes of rain by their
/// places: dry, drizzle, rain, heavy.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetTold<'a> {
    /// Minute 0 and the clock it is read from; `None`: minutes are told as they are.
    pub arrival: Option<(Timestamp, &'a TimeZone)>,
    /// What the strategy is worth on average.
    pub value: f64,
    /// What no strategy is worth more than, where it was not solved whole, with the sets left out.
    pub upper: Option<(f64, usize)>,
    /// What to do on arrival, by the class of rain then.
    pub first: Vec<(usize, StepTold<'a>)>,
    /// What it would do if the rain stayed in a class: the steps with their minutes from arrival.
    pub if_it_stays: Vec<(usize, Vec<(u32, StepTold<'a>)>)>,
    /// What becomes of each set.
    pub sets: Vec<SheetSetTold<'a>>,
    /// The chance that every must-have is made, where there are any.
    pub p_must_haves: Option<f64>,
    /// The chance that the bank is made, where there is one.
    pub p_bank: Option<f64>,
    /// Each look with a promise, and the chance that it is kept.
    pub promises: Vec<(&'a str, f64)>,
    /// What fixed orders would get.
    pub orders: Vec<SheetOrderTold<'a>>,
    /// Which rule of thumb rules; `None`: it was not worked out.
    pub rules: Option<SheetRulesTold<'a>>,
}

/// One thing to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepTold<'a> {
    /// Make this set in full.
    Full(&'a str),
    /// Make it in its short form.
    Short(&'a str),
    /// Wait under cover.
    Wait,
    /// End the session.
    Finish,
}

/// What becomes of a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetSetTold<'a> {
    /// Its name.
    pub name: &'a str,
    /// The chance that it is made.
    pub p_made: f64,
    /// The chance that it is made in its short form.
    pub p_short: f64,
    /// Its first picture, in minutes from arrival, on average where it is made.
    pub start_min: Option<f64>,
}

/// What a fixed order would get.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetOrderTold<'a> {
    /// Its name; `None`: as the sets are listed.
    pub name: Option<&'a str>,
    /// Made as it stands.
    pub as_listed: f64,
    /// With the best waits, forms and omissions, where that was worked out.
    pub at_best: Option<f64>,
}

/// What keeping to each rule of thumb would lose, and which rules.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetRulesTold<'a> {
    /// The loss of "delicate first"; `None` where no set is more delicate than another.
    pub delicate_first: Option<f64>,
    /// The favourite, and the loss of "favourite in the best light"; `None` where its light never
    /// changes.
    pub favourite: Option<(&'a str, f64)>,
    /// Which rules.
    pub rules: SheetRuleTold,
}

/// Which rule of thumb rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetRuleTold {
    /// Delicate first.
    DelicateFirst,
    /// The favourite in the best light.
    FavouriteInBestLight,
    /// Both can be kept.
    Both,
    /// Neither can.
    Neither,
}

/// Played evenings, ready to be said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlayedTold<'a> {
    /// The order's name; `None` for the strategy.
    pub order: Option<&'a str>,
    /// How many evenings.
    pub runs: u64,
    /// What was worked out.
    pub value: f64,
    /// The mean of those played.
    pub mean: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// The share with every must-have.
    pub p_must_haves: f64,
}

/// What a fixed order is called that has no name of its own.
const AS_LISTED: &str = "the order of the list";

/// A solved evening, line by line.
///
/// ```
/// use fairspell_words::sheet::{SheetTold, StepTold, sheet_lines};
///
/// let told = SheetTold {
///     arrival: None,
///     value: 11.42,
///     upper: None,
///     first: vec![(0, StepTold::Full("satin on the steps"))],
///     if_it_stays: vec![(2, vec![(0, StepTold::Wait), (60, StepTold::Finish)])],
///     sets: vec![],
///     p_must_haves: Some(0.93),
///     p_bank: None,
///     promises: vec![],
///     orders: vec![],
///     rules: None,
/// };
/// assert_eq!(
///     sheet_lines(&told),
///     [
///         "First: satin on the steps.",
///         "If the rain goes on: wait under cover from 0 min; finish at 60 min.",
///         "Every must-have is made on 93 of 100 such evenings.",
///         "Worth 11.4 on average, and no plan is worth more.",
///     ]
/// );
/// ```
pub fn sheet_lines(told: &SheetTold<'_>) -> Vec<String> {
    let mut lines = first_lines(&told.first);
    lines.extend(told.if_it_stays.iter().map(|(class, steps)| {
        let steps: Vec<String> = steps.iter().map(|(min, step)| timed(told, *min, *step)).collect();
        format!("{}: {}.", if_it_stays(*class), steps.join("; "))
    }));
    lines.extend(told.sets.iter().map(|set| set_line(told, set)));
    let made = |what: &str, p: f64| format!("{what} on {} of 100 such evenings.", of_hundred(p));
    lines.extend(told.p_bank.map(|p| made("The safe ones are made", p)));
    lines.extend(told.p_must_haves.map(|p| made("Every must-have is made", p)));
    lines.extend(
        told.promises
            .iter()
            .map(|(look, p)| made(&format!("What is promised of {} is made", one_line(look)), *p)),
    );
    let value = plain(told.value);
    lines.push(match told.upper {
        None => format!("Worth {value} on average, and no plan is worth more."),
        Some((upper, left_out)) => format!(
            "Worth {value} on average. There are too many sets to weigh every way through them: {} \
             left out, and another plan may be worth up to {}, which is {} more.",
            match left_out {
                1 => "one is".to_owned(),
                more => format!("{more} are"),
            },
            plain(upper),
            plain(upper - told.value)
        ),
    });
    lines.extend(told.orders.iter().map(order_line));
    lines.extend(told.rules.as_ref().map(rules_line));
    lines
}

/// Played evenings, line by line.
///
/// ```
/// use fairspell_words::sheet::{PlayedTold, played_lines};
///
/// let told = PlayedTold {
///     order: None,
///     runs: 10_000,
///     value: 11.42,
///     mean: 11.4,
///     standard_error: 0.03,
///     p_must_haves: 0.93,
/// };
/// assert_eq!(
///     played_lines(&[told]),
///     ["This plan, played 10000 times: 11.40 on average, give or take 0.03; worked out: 11.42. \
///       Every must-have on 93 of 100."]
/// );
/// ```
pub fn played_lines(told: &[PlayedTold<'_>]) -> Vec<String> {
    let line = |told: &PlayedTold<'_>| {
        format!(
            "{}, played {} times: {:.2} on average, give or take {:.2}; worked out: {:.2}. Every \
             must-have on {} of 100.",
            told.order.map_or("This plan".to_owned(), |name| capital(&one_line(name))),
            told.runs,
            told.mean,
            told.standard_error,
            told.value,
            of_hundred(told.p_must_haves)
        )
    };
    told.iter().map(line).collect()
}

/// What a fixed order is called.
pub fn sheet_order_name(name: Option<&str>) -> &str {
    name.unwrap_or(AS_LISTED)
}

fn first_lines(first: &[(usize, StepTold<'_>)]) -> Vec<String> {
    let same = first.windows(2).all(|pair| pair[0].1 == pair[1].1);
    match first {
        [(_, step), ..] if same => vec![format!("First: {}.", step_words(*step))],
        first => (first.iter())
            .map(|(class, step)| format!("First, {}: {}.", if_it_is(*class), step_words(*step)))
            .collect(),
    }
}

fn step_words(step: StepTold<'_>) -> String {
    match step {
        StepTold::Full(set) => one_line(set),
        StepTold::Short(set) => format!("{}, short", one_line(set)),
        StepTold::Wait => "wait under cover".to_owned(),
        StepTold::Finish => "finish".to_owned(),
    }
}

fn timed(told: &SheetTold<'_>, min: u32, step: StepTold<'_>) -> String {
    let at = told.at(f64::from(min));
    match step {
        StepTold::Wait => format!("wait under cover from {at}"),
        StepTold::Finish => format!("finish at {at}"),
        set => format!("{} from {at}", step_words(set)),
    }
}

impl SheetTold<'_> {
    /// A moment of the evening.
    fn at(&self, min: f64) -> String {
        match self.arrival {
            None => format!("{min:.0} min"),
            Some((arrival, zone)) => {
                clock(arrival + SignedDuration::from_secs_f64(60.0 * min.round()), zone)
            }
        }
    }
}

fn if_it_is(class: usize) -> &'static str {
    ["if it is dry", "in drizzle", "in rain", "in heavy rain"].get(class).unwrap_or(&"otherwise")
}

fn if_it_stays(class: usize) -> &'static str {
    ["If it stays dry", "If it drizzles on", "If the rain goes on", "If heavy rain goes on"]
        .get(class)
        .unwrap_or(&"Otherwise")
}

fn set_line(sheet: &SheetTold<'_>, told: &SheetSetTold<'_>) -> String {
    let name = one_line(told.name);
    let Some(start_min) = told.start_min else { return format!("{name}: not in this plan.") };
    let short = match of_hundred(told.p_short).as_str() {
        "0" => String::new(),
        share => format!(", short on {share}"),
    };
    format!(
        "{name}: on {} of 100{short}, first picture at about {}.",
        of_hundred(told.p_made),
        sheet.at(start_min)
    )
}

fn order_line(told: &SheetOrderTold<'_>) -> String {
    let name = capital(&one_line(sheet_order_name(told.name)));
    let best = told.at_best.map_or(String::new(), |best| {
        format!("; with the best waits and forms within it {}", plain(best))
    });
    format!("{name}, made as it stands: {}{best}.", plain(told.as_listed))
}

fn rules_line(told: &SheetRulesTold<'_>) -> String {
    let rules = match told.rules {
        SheetRuleTold::DelicateFirst => "Delicate first rules this evening",
        SheetRuleTold::FavouriteInBestLight => "The favourite in the best light rules this evening",
        SheetRuleTold::Both => {
            "Delicate first and the favourite in the best light can both be kept"
        }
        SheetRuleTold::Neither => "No single rule holds this evening; go by the sky",
    };
    let costs = |what: String, loss: f64| format!("{what} would cost {}", plain(loss));
    let delicate =
        told.delicate_first.map(|loss| costs("keeping to delicate first".to_owned(), loss));
    let favourite = told
        .favourite
        .map(|(set, loss)| costs(format!("keeping {} for its best light", one_line(set)), loss));
    let told: Vec<String> = delicate.into_iter().chain(favourite).collect();
    if told.is_empty() {
        return "No set is more delicate than another, and the favourite's light never changes: \
                neither rule applies."
            .to_owned();
    }
    format!("{rules}: {}.", and_list(&told))
}

/// A value in plain numbers, one decimal.
fn plain(value: f64) -> String {
    let text = format!("{value:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text }
}
