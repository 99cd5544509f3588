//! What `fairspell sheet` found, by name: as JSON, and ready to be said.

use fairspell_sheet::problem::Need;
use fairspell_sheet::{
    Action, Considerations, FormKind, OrderCourse, Played, Ruling, SheetModel, Solved, outline,
};
use fairspell_words::{
    PlayedTold, SheetOrderTold, SheetRuleTold, SheetRulesTold, SheetSetTold, SheetTold, StepTold,
    sheet_order_name,
};
use serde::Serialize;

use crate::json::rounded;

/// Everything that was found.
pub(crate) struct Sheet<'a> {
    pub(crate) model: &'a SheetModel,
    pub(crate) solved: &'a Solved,
    pub(crate) orders: Vec<OrderCourse>,
    pub(crate) considerations: Option<Considerations>,
    /// Minute 0 and the clock on the studio's wall, where it is a session's.
    pub(crate) arrival: Option<(jiff::Timestamp, &'a jiff::tz::TimeZone)>,
}

/// Classes of rain as the JSON has them.
const CLASSES: [&str; 4] = ["dry", "drizzle", "rain", "heavy"];

/// What is printed; its keys are stable.
#[derive(Serialize)]
pub(crate) struct SheetReport<'a> {
    value: f64,
    proof: ProofReport,
    first: Vec<FirstReport<'a>>,
    digest: Vec<OutlineReport<'a>>,
    sets: Vec<SetReport<'a>>,
    p_must_haves: Option<f64>,
    p_bank: Option<f64>,
    promises: Vec<PromiseReport<'a>>,
    p_hair_damp: f64,
    end_min: f64,
    orders: Vec<OrderReport<'a>>,
    rules: Option<RulesReport<'a>>,
}

#[derive(Serialize)]
struct ProofReport {
    exact: bool,
    upper_bound: f64,
    gap: f64,
    states: usize,
}

#[derive(Serialize)]
struct FirstReport<'a> {
    rain: &'static str,
    p: f64,
    #[serde(flatten)]
    step: StepReport<'a>,
}

#[derive(Serialize)]
struct OutlineReport<'a> {
    rain_stays: &'static str,
    steps: Vec<TimedReport<'a>>,
}

#[derive(Serialize)]
struct TimedReport<'a> {
    from_min: u32,
    #[serde(flatten)]
    step: StepReport<'a>,
}

#[derive(Serialize)]
#[serde(tag = "action", rename_all = "snake_case")]
enum StepReport<'a> {
    Make { set: &'a str, form: &'static str },
    Wait,
    Finish,
}

#[derive(Serialize)]
struct SetReport<'a> {
    set: &'a str,
    p_made: f64,
    p_short: f64,
    start_min: Option<f64>,
    worth: f64,
}

#[derive(Serialize)]
struct PromiseReport<'a> {
    look: &'a str,
    p_kept: f64,
}

#[derive(Serialize)]
struct OrderReport<'a> {
    name: Option<&'a str>,
    sets: Vec<&'a str>,
    as_listed: f64,
    p_must_haves: Option<f64>,
    at_best: Option<f64>,
}

#[derive(Serialize)]
struct RulesReport<'a> {
    ruling: &'static str,
    delicate_first: Option<RuleReport<'a>>,
    favourite_in_best_light: Option<RuleReport<'a>>,
}

#[derive(Serialize)]
struct RuleReport<'a> {
    sets: Vec<&'a str>,
    value: f64,
    loss: f64,
}

/// What is printed of played evenings; its keys are stable.
#[derive(Serialize)]
pub(crate) struct PlayedReport<'a> {
    runs: u64,
    seed: u64,
    strategy: OnePlayedReport,
    orders: Vec<OrderPlayedReport<'a>>,
}

#[derive(Serialize)]
struct OnePlayedReport {
    value: f64,
    mean: f64,
    standard_error: f64,
    p_must_haves: f64,
    p_must_haves_error: f64,
}

#[derive(Serialize)]
struct OrderPlayedReport<'a> {
    name: Option<&'a str>,
    #[serde(flatten)]
    played: OnePlayedReport,
}

impl<'a> Sheet<'a> {
    fn set(&self, set: usize) -> &'a str {
        &self.model.problem().sets[set].name
    }

    fn names(&self, sets: &[usize]) -> Vec<&'a str> {
        sets.iter().map(|set| self.set(*set)).collect()
    }

    /// Whether there is anything to be needed for this.
    fn has_need(&self, need: Need) -> bool {
        let problem = self.model.problem();
        let set = problem.sets.iter().any(|set| set.needed.is_some_and(|it| it.need == need));
        set || (need == Need::MustHave && problem.looks.iter().any(|it| it.missed_penalty > 0.0))
    }

    fn p_must_haves(&self, p: f64) -> Option<f64> {
        self.has_need(Need::MustHave).then_some(p)
    }

    fn p_bank(&self) -> Option<f64> {
        self.has_need(Need::Bank).then_some(self.solved.course.p_bank)
    }

    /// What to do on arrival, by each class of rain that it may have then.
    fn first(&self) -> impl Iterator<Item = (usize, f64, Action)> {
        let start = self.model.problem().rain.start;
        let may_be = start.into_iter().enumerate().filter(|(_, p)| *p > 0.0);
        may_be.map(|(class, p)| (class, p, self.solved.strategy.first(class)))
    }

    fn promises(&self) -> impl Iterator<Item = (&'a str, f64)> {
        let looks = self.model.problem().looks.iter().zip(&self.solved.course.p_promise);
        looks.filter(|(look, _)| look.promise.is_some()).map(|(look, p)| (look.name.as_str(), *p))
    }

    fn step_report(&self, action: Action) -> StepReport<'a> {
        match action {
            Action::Wait => StepReport::Wait,
            Action::Finish => StepReport::Finish,
            Action::Make { set, form } => StepReport::Make {
                set: self.set(set),
                form: match form {
                    FormKind::Full => "full",
                    FormKind::Short => "short",
                },
            },
        }
    }

    fn step_told(&self, action: Action) -> StepTold<'a> {
        match action {
            Action::Wait => StepTold::Wait,
            Action::Finish => StepTold::Finish,
            Action::Make { set, form: FormKind::Full } => StepTold::Full(self.set(set)),
            Action::Make { set, form: FormKind::Short } => StepTold::Short(self.set(set)),
        }
    }
}

/// A solved evening as JSON.
pub(crate) fn sheet_report<'a>(sheet: &Sheet<'a>) -> SheetReport<'a> {
    let course = &sheet.solved.course;
    let upper = sheet.solved.bound.map_or(course.value, |bound| bound.upper);
    let digest = |class: usize| OutlineReport {
        rain_stays: CLASSES[class],
        steps: (outline(&sheet.solved.strategy, class).into_iter())
            .map(|step| TimedReport {
                from_min: step.from_min,
                step: sheet.step_report(step.action),
            })
            .collect(),
    };
    let sets = course.sets.iter().enumerate().map(|(set, told)| SetReport {
        set: sheet.set(set),
        p_made: rounded(told.p_made),
        p_short: rounded(told.p_short),
        start_min: told.start_min.map(rounded),
        worth: rounded(told.worth),
    });
    let first = sheet.first().map(|(class, p, action)| FirstReport {
        rain: CLASSES[class],
        p: rounded(p),
        step: sheet.step_report(action),
    });
    let orders = sheet.orders.iter().map(|order| OrderReport {
        name: sheet.order_name(order),
        sets: sheet.names(&order.sets),
        as_listed: rounded(order.as_listed.value),
        p_must_haves: sheet.p_must_haves(rounded(order.as_listed.p_must_haves)),
        at_best: order.at_best.as_ref().map(|course| rounded(course.value)),
    });
    SheetReport {
        value: rounded(course.value),
        proof: ProofReport {
            exact: sheet.solved.bound.is_none(),
            upper_bound: rounded(upper),
            gap: rounded(upper - course.value),
            states: sheet.solved.strategy.states(),
        },
        first: first.collect(),
        digest: (0..CLASSES.len()).map(digest).collect(),
        sets: sets.collect(),
        p_must_haves: sheet.p_must_haves(rounded(course.p_must_haves)),
        p_bank: sheet.p_bank().map(rounded),
        promises: sheet
            .promises()
            .map(|(look, p)| PromiseReport { look, p_kept: rounded(p) })
            .collect(),
        p_hair_damp: rounded(course.p_hair_damp),
        end_min: rounded(course.end_min),
        orders: orders.collect(),
        rules: sheet.considerations.as_ref().map(|it| rules_report(sheet, it)),
    }
}

fn rules_report<'a>(sheet: &Sheet<'a>, considerations: &Considerations) -> RulesReport<'a> {
    let kept = |rule: &fairspell_sheet::RuleKept| RuleReport {
        sets: sheet.names(&rule.sets),
        value: rounded(rule.value),
        loss: rounded(rule.loss),
    };
    RulesReport {
        ruling: match considerations.ruling {
            Ruling::DelicateFirst => "delicate_first",
            Ruling::FavouriteInBestLight => "favourite_in_best_light",
            Ruling::Both => "both",
            Ruling::Neither => "neither",
        },
        delicate_first: considerations.delicate_first.as_ref().map(kept),
        favourite_in_best_light: considerations.favourite_in_best_light.as_ref().map(kept),
    }
}

/// A solved evening, ready to be said.
pub(crate) fn sheet_told<'a>(sheet: &'a Sheet<'a>) -> SheetTold<'a> {
    let course = &sheet.solved.course;
    let left_out = course.sets.iter().filter(|set| set.start_min.is_none()).count();
    let stays = |class: usize| {
        let steps = outline(&sheet.solved.strategy, class).into_iter();
        (class, steps.map(|step| (step.from_min, sheet.step_told(step.action))).collect())
    };
    let sets = course.sets.iter().enumerate().map(|(set, told)| SheetSetTold {
        name: sheet.set(set),
        p_made: told.p_made,
        p_short: told.p_short,
        start_min: told.start_min,
    });
    let orders = sheet.orders.iter().map(|order| SheetOrderTold {
        name: order.name.as_deref(),
        as_listed: order.as_listed.value,
        at_best: order.at_best.as_ref().map(|course| course.value),
    });
    let rules = sheet.considerations.as_ref().map(|it| SheetRulesTold {
        delicate_first: it.delicate_first.as_ref().map(|rule| rule.loss),
        favourite: (it.favourite_in_best_light.as_ref())
            .map(|rule| (sheet.set(rule.sets[0]), rule.loss)),
        rules: match it.ruling {
            Ruling::DelicateFirst => SheetRuleTold::DelicateFirst,
            Ruling::FavouriteInBestLight => SheetRuleTold::FavouriteInBestLight,
            Ruling::Both => SheetRuleTold::Both,
            Ruling::Neither => SheetRuleTold::Neither,
        },
    });
    SheetTold {
        arrival: sheet.arrival,
        value: course.value,
        upper: sheet.solved.bound.map(|bound| (bound.upper, left_out)),
        first: sheet.first().map(|(class, _, action)| (class, sheet.step_told(action))).collect(),
        if_it_stays: (0..CLASSES.len()).map(stays).collect(),
        sets: sets.collect(),
        p_must_haves: sheet.p_must_haves(course.p_must_haves),
        p_bank: sheet.p_bank(),
        promises: sheet.promises().collect(),
        orders: orders.collect(),
        rules,
    }
}

impl<'a> Sheet<'a> {
    /// An order's name, as the problem has it.
    fn order_name(&self, order: &OrderCourse) -> Option<&'a str> {
        let orders = self.model.problem().orders.iter();
        let names = orders.map(|it| it.name.as_str());
        names.into_iter().find(|name| Some(*name) == order.name.as_deref())
    }
}

/// Played evenings as JSON.
pub(crate) fn played_report<'a>(
    seed: u64,
    solved: &Solved,
    played: &Played,
    orders: &'a [OrderCourse],
    by_order: &[Played],
) -> PlayedReport<'a> {
    let one = |value: f64, played: &Played| OnePlayedReport {
        value: rounded(value),
        mean: rounded(played.mean),
        standard_error: rounded(played.standard_error),
        p_must_haves: rounded(played.p_must_haves),
        p_must_haves_error: rounded(played.p_must_haves_error),
    };
    let orders = orders.iter().zip(by_order).map(|(order, played)| OrderPlayedReport {
        name: order.name.as_deref(),
        played: one(order.as_listed.value, played),
    });
    PlayedReport {
        runs: played.runs,
        seed,
        strategy: one(solved.course.value, played),
        orders: orders.collect(),
    }
}

/// Played evenings, ready to be said.
pub(crate) fn played_told<'a>(
    solved: &Solved,
    played: &Played,
    orders: &'a [OrderCourse],
    by_order: &[Played],
) -> Vec<PlayedTold<'a>> {
    let told = |order, value, played: &Played| PlayedTold {
        order,
        runs: played.runs,
        value,
        mean: played.mean,
        standard_error: played.standard_error,
        p_must_haves: played.p_must_haves,
    };
    let orders = orders.iter().zip(by_order).map(|(order, played)| {
        let name = Some(sheet_order_name(order.name.as_deref()));
        told(name, order.as_listed.value, played)
    });
    std::iter::once(told(None, solved.course.value, played)).chain(orders).collect()
}
