//! What following a strategy leads to, and the same played.

use fairspell_sheet::problem::{FixedOrder, Need, Needed};
use fairspell_sheet::{
    Action, FieldState, FormKind, Ruling, SheetBudget, SheetModel, considerations, fixed_orders,
    outline, play, play_orders, solve,
};

use crate::{drawn, evening::evening};

fn model(problem: &fairspell_sheet::SheetProblem) -> SheetModel {
    SheetModel::new(problem).unwrap()
}

/// Four standard errors: one such test in fifteen thousand fails by chance, and the seed is fixed.
#[test]
fn played_evenings_come_to_what_was_worked_out() {
    let mut problem = evening(6);
    let names: Vec<String> = problem.sets.iter().rev().map(|set| set.name.clone()).collect();
    problem.orders = vec![FixedOrder { name: "backwards".into(), sets: names }];
    let model = model(&problem);
    let solved = solve(&model, SheetBudget::default()).unwrap();
    let played = play(&solved.strategy, 20_000, 3, &mut |_| ());
    let by_order = play_orders(&model, 20_000, 3, &mut |_| ());
    let orders = fixed_orders(&model, SheetBudget::default());
    for (course, played) in [(&solved.course, &played), (&orders[0].as_listed, &by_order[0])] {
        let off = (course.value - played.mean).abs();
        assert!(off < 4.0 * played.standard_error, "{} and {played:?}", course.value);
        let off = (course.p_must_haves - played.p_must_haves).abs();
        // An order that never makes them all has no error, and must be right.
        assert!(off <= 4.0 * played.p_must_haves_error, "{} and {played:?}", course.p_must_haves);
    }
    assert_eq!(
        play(&solved.strategy, 50, 3, &mut |_| ()),
        play(&solved.strategy, 50, 3, &mut |_| ())
    );
}

#[test]
fn no_fixed_order_is_worth_more_and_none_is_worth_less_at_its_best() {
    for seed in 0..60 {
        let problem = drawn::problem(seed, 4);
        let Ok(model) = SheetModel::new(&problem) else { continue };
        let budget = SheetBudget::default();
        let solved = solve(&model, budget).unwrap();
        let order = &fixed_orders(&model, budget)[0];
        let (listed, best) = (order.as_listed.value, order.at_best.as_ref().unwrap().value);
        assert!(listed <= best + 1e-4 && best <= solved.course.value + 1e-4, "seed {seed}");
        let rules = considerations(&model, &solved, budget).unwrap();
        for rule in [rules.delicate_first, rules.favourite_in_best_light].into_iter().flatten() {
            assert!(rule.value <= solved.course.value + 1e-4, "seed {seed}");
        }
    }
}

#[test]
fn the_chance_of_every_must_have_is_that_of_the_sky_when_only_the_sky_stands_against_it() {
    // One slot of light, one set that rain closes: made exactly when it is dry then.
    let mut problem = drawn::plain(1, 3);
    problem.sets[0].light = vec![0.0, 0.0, 1.0];
    problem.sets[0].rain = [1.0, 0.0, 0.0, 0.0];
    problem.sets[0].needed = Some(Needed { need: Need::MustHave, missed_penalty: 2.0 });
    let table =
        [[0.7, 0.3, 0.0, 0.0], [0.4, 0.6, 0.0, 0.0], [1.0, 0.0, 0.0, 0.0], [1.0, 0.0, 0.0, 0.0]];
    problem.rain.steps = vec![table];
    let course = solve(&model(&problem), SheetBudget::default()).unwrap().course;
    let p_dry = 0.7 * 0.7 + 0.3 * 0.4;
    assert!((course.p_must_haves - p_dry).abs() < 1e-12);
    assert!((course.value - (p_dry - (1.0 - p_dry) * 2.0)).abs() < 1e-12);
    assert!((course.p_bank - 1.0).abs() < 1e-12, "there is no bank to miss");
    assert_eq!(course.sets[0].start_min, Some(10.0));
}

#[test]
fn a_must_have_look_is_missed_when_none_of_its_sets_is_made() {
    let mut problem = drawn::plain(2, 1);
    problem.looks.push(problem.looks[0].clone());
    problem.looks[1].name = "gown".into();
    problem.looks[1].missed_penalty = 5.0;
    problem.sets[1].look = "gown".into();
    let course = solve(&model(&problem), SheetBudget::default()).unwrap().course;
    assert_eq!((course.value, course.p_must_haves), (1.0, 1.0));
    problem.sets[1].worth = 0.0;
    problem.looks[1].missed_penalty = 0.5;
    let course = solve(&model(&problem), SheetBudget::default()).unwrap().course;
    assert_eq!((course.value, course.p_must_haves), (0.5, 0.0));
}

#[test]
fn an_outfit_once_taken_off_is_not_put_on_again_unless_allowed() {
    // In the first and third slot only the worn look has light, in the second only the other.
    let mut problem = drawn::plain(3, 3);
    problem.looks.push(problem.looks[0].clone());
    problem.looks[1].name = "gown".into();
    problem.sets[1].look = "gown".into();
    for (slot, set) in problem.sets.iter_mut().enumerate() {
        set.light.fill(0.0);
        set.light[slot] = 1.0;
    }
    let value = |problem: &_| solve(&model(problem), SheetBudget::default()).unwrap().course.value;
    assert!((value(&problem) - 2.0).abs() < 1e-6);
    problem.looks[0].may_return = true;
    assert!((value(&problem) - 3.0).abs() < 1e-6);
}

#[test]
fn a_look_that_returns_is_as_wet_as_it_was() {
    // Wet through in the first slot, off in the second, back in the third.
    let mut problem = drawn::plain(3, 3);
    problem.looks.push(problem.looks[0].clone());
    problem.looks[0].may_return = true;
    problem.looks[0].damp_factor = 0.5;
    problem.looks[0].wet_factor = 0.25;
    problem.looks[1].name = "gown".into();
    problem.sets[1].look = "gown".into();
    problem.sets[0].setting = fairspell_sheet::problem::Setting::Open;
    problem.rain.start = [0.0, 0.0, 0.0, 1.0];
    problem.rain.steps = vec![[[0.0, 0.0, 0.0, 1.0]; 4]];
    for (slot, set) in problem.sets.iter_mut().enumerate() {
        set.light.fill(0.0);
        set.light[slot] = 1.0;
    }
    let course = solve(&model(&problem), SheetBudget::default()).unwrap().course;
    assert!((course.value - 2.25).abs() < 1e-6, "{}", course.value);
}

#[test]
fn an_outline_goes_from_arrival_to_the_end_and_repeats_nothing() {
    let solved = solve(&model(&evening(6)), SheetBudget::default()).unwrap();
    for class in 0..4 {
        let steps = outline(&solved.strategy, class);
        assert_eq!(steps[0].from_min, 0);
        assert!(steps.windows(2).all(|it| it[0].from_min < it[1].from_min && it[0] != it[1]));
    }
}

#[test]
fn a_state_that_the_plan_cannot_have_led_to_has_no_action() {
    let problem = evening(4);
    let solved = solve(&model(&problem), SheetBudget::default()).unwrap();
    let state = |slot, made: &[(usize, FormKind)]| FieldState {
        slot,
        made: made.to_vec(),
        rain_class: 0,
        hair_dose_g_m2: 0.0,
        look_doses_g_m2: vec![0.0; 3],
    };
    let ask = |state| solved.strategy.action(&state);
    assert_eq!(ask(state(0, &[])), Some(solved.strategy.first(0)));
    assert_eq!(ask(state(24, &[])), None, "the evening is over");
    assert_eq!(ask(state(0, &[(0, FormKind::Full)])), None, "sooner than it can be made");
    assert_eq!(ask(state(9, &[(0, FormKind::Full); 2])), None, "made twice");
    assert_eq!(ask(state(9, &[(7, FormKind::Full)])), None, "there is no such set");
    assert_eq!(ask(FieldState { rain_class: 4, ..state(0, &[]) }), None, "nor such rain");
    let all: Vec<_> = (0..4).map(|set| (set, FormKind::Short)).collect();
    assert!(matches!(ask(state(23, &all)), None | Some(Action::Finish)));
}

#[test]
fn the_delicate_goes_first_when_a_shower_comes_and_the_favourite_waits_for_its_light_when_none_does()
 {
    let mut problem: fairspell_sheet::SheetProblem =
        serde_json::from_str(include_str!("../fixtures/shower.json")).unwrap();
    let ruling = |problem: &_| {
        let model = model(problem);
        let solved = solve(&model, SheetBudget::default()).unwrap();
        considerations(&model, &solved, SheetBudget::default()).unwrap().ruling
    };
    assert_eq!(ruling(&problem), Ruling::DelicateFirst);
    problem.rain.steps = vec![[[1.0, 0.0, 0.0, 0.0]; 4]];
    assert_eq!(ruling(&problem), Ruling::FavouriteInBestLight);
}
