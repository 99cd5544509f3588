//! Keep, another hour, in two parts, another evening: what each would cost and give.

use fairspell_plan::{CostAdvice, GateCost, shift::Shift};
use jiff::{civil::Date, tz::TimeZone};

use crate::{
    clock::{date, moment},
    names::gate_name,
    numbers::percent,
    text::one_line,
};

/// What the table is.
pub const COSTS_MEAN: &str = "What moving would cost at each gate, in your currency, and the chance of rain \
                              above which it is worth that. It stands beside your policy as advice: the \
                              policy rules. Storms, heat and official warnings are no matter of money.";

/// The columns of the table of gates.
pub const GATE_COLUMNS: [&str; 4] =
    ["Decide by", "Moving costs", "Worth it above", "To let it pass"];

/// What is at stake: "Rain in its hours: 40 %. If it rains, about 250 is lost on average ..."
pub fn at_stake(advice: &CostAdvice) -> String {
    format!(
        "Rain in its hours: {}. If it rains, about {:.0} is lost on average: a washed-out evening or a \
         thinner gallery, by the chance of a dry gap and your amounts under Studio. Another evening of \
         the month has {} of its own.",
        percent(advice.risk.p_rain),
        advice.loss,
        percent(advice.risk.p_other)
    )
}

/// One row of the table.
pub fn gate_row(cost: &GateCost, zone: &TimeZone) -> [String; 4] {
    let threshold = if cost.threshold > 1.0 {
        "never".to_owned()
    } else {
        let reached = if cost.is_worth_moving { ", and it is above" } else { "" };
        format!("{:.0} %{reached}", 100.0 * cost.threshold)
    };
    let passing = match cost.passing_costs {
        None => "the last one".to_owned(),
        Some(costs) if costs >= 0.5 => format!("costs {costs:.0}"),
        Some(costs) if costs <= -0.5 => format!("saves {:.0}", -costs),
        Some(_) => "costs nothing".to_owned(),
    };
    let gate = format!("{}, {}", gate_name(cost.gate.kind), moment(cost.gate.at, zone));
    [gate, format!("{:.0}", cost.cost), threshold, passing]
}

/// What the starts are.
pub const SHIFTS_MEAN: &str = "The same day at another hour: the chance of one dry gap long enough against \
                               the golden light that is left.";

/// The columns of the table of starts.
pub const SHIFT_COLUMNS: [&str; 4] = ["Start", "A dry gap", "Any rain", "Golden light"];

/// One row of that table.
pub fn shift_row(shift: &Shift) -> [String; 4] {
    let start = shift.start.strftime("%H:%M");
    let start = match shift.by_min {
        0 => format!("{start} as booked"),
        by if by < 0 => format!("{start}, {} min earlier", -by),
        by => format!("{start}, {by} min later"),
    };
    let chance = |p: Option<_>| p.map_or_else(|| "not known".to_owned(), percent);
    [start, chance(shift.p_gap), chance(shift.p_rain), format!("{:.0} min", shift.golden_min)]
}

/// What the best other start gives: "15:00, 75 min earlier: a dry gap is 18 points likelier, 20 min of
/// gold are lost."
pub fn best_shift(booked: &Shift, best: &Shift) -> Option<String> {
    let points = 100.0 * (best.p_gap?.get() - booked.p_gap?.get());
    if points < 5.0 {
        return None;
    }
    let lost = booked.golden_min - best.golden_min;
    let gold = if lost >= 1.0 {
        format!("{lost:.0} min of golden light are lost")
    } else if lost <= -1.0 {
        format!("{:.0} min of golden light are won", -lost)
    } else {
        "no golden light is lost".to_owned()
    };
    let [start, ..] = shift_row(best);
    Some(format!("{start}: a dry gap is {points:.0} points likelier, {gold}."))
}

/// No other hour is better.
pub const NO_BETTER_HOUR: &str = "No other hour of the day has a clearly better chance.";

/// Nobody knows of gaps in these hours.
pub const HOURS_NOT_KNOWN: &str =
    "The chance of a dry gap in these hours is not known: no hour can be called better.";

/// In two parts: "A covered set at Ferrow House veranda on Thu 3 Sep, the rest on Sun 6 Sep."
pub fn split(roof: &str, booked: Date, rest: Option<Date>) -> String {
    let rest = rest.map_or_else(
        || "no reserve evening is free for the rest yet".to_owned(),
        |rest| format!("the rest on {}", date(rest)),
    );
    format!("A covered set at {} on {}, {rest}.", one_line(roof), date(booked))
}

/// No roof is near.
pub const NO_ROOF: &str = "No roof near its spots is open in these hours.";
/// A roof is no refuge.
pub const ROOF_CAUTION: &str =
    "A roof keeps rain off; only a closed building or car is safe in thunder.";
