//! A strategy told in a few lines: what it would do if the rain stayed in one class all evening.

use crate::action::Action;
use crate::problem::RAIN_CLASSES;
use crate::strategy::{FieldState, Strategy};

/// One thing to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OutlineStep {
    /// When it begins, in minutes from arrival.
    pub from_min: u32,
    /// What it is; a wait goes on until the next step.
    pub action: Action,
}

/// What a strategy would do in rain that stays in one class from arrival on, until it finishes.
///
/// It goes from state to state by the doses that really fall, and looks each up as a phone would.
///
/// - `rain_class`: 0 dry, 1 drizzle, 2 rain, 3 heavy.
///
/// # Panics
///
/// For a class that does not exist.
pub fn outline(strategy: &Strategy, rain_class: usize) -> Vec<OutlineStep> {
    assert!(rain_class < RAIN_CLASSES, "there are four classes of rain");
    let model = strategy.model();
    let problem = model.problem();
    let mut steps: Vec<OutlineStep> = Vec::new();
    let mut state = FieldState {
        slot: 0,
        made: Vec::new(),
        rain_class,
        hair_dose_g_m2: problem.start.hair_dose_g_m2,
        look_doses_g_m2: vec![0.0; problem.looks.len()],
    };
    while state.slot < problem.slots {
        let action = strategy.action(&state).expect("a strategy leads to states that it knows");
        let from_min = u32::try_from(state.slot).expect("slots are few") * problem.slot_min;
        if steps.last().map(|step| step.action) != Some(action) {
            steps.push(OutlineStep { from_min, action });
        }
        match action {
            Action::Finish => break,
            Action::Wait => state.slot += 1,
            Action::Make { set, form } => {
                let last = state.made.last().map_or(model.nothing_yet(), |(set, _)| *set);
                let run = model.run(last, set, form.index());
                for wetting in run.steps.iter().filter_map(|step| step.wets[rain_class].as_ref()) {
                    state.hair_dose_g_m2 += wetting.dose_g_m2;
                    state.look_doses_g_m2[model.sets[set].look] += wetting.dose_g_m2;
                }
                state.made.push((set, form));
                state.slot += run.steps.len();
            }
        }
    }
    steps
}
