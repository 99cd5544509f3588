//! Every bad input, by name.

use fairspell_sheet::problem::{FixedOrder, SheetProblem, Walk};
use fairspell_sheet::{SheetModel, SheetProblem as Problem};

use crate::evening::evening;

fn refused(change: impl Fn(&mut SheetProblem), said: &str) {
    let mut problem: Problem = evening(4);
    change(&mut problem);
    let error = SheetModel::new(&problem).map(drop).unwrap_err().to_string();
    assert!(error.contains(said), "`{said}`: {error}");
}

#[test]
fn what_is_missing_or_too_much_is_said() {
    refused(|it| it.sets.clear(), "there are no sets");
    refused(|it| it.looks.clear(), "there are no looks");
    refused(|it| it.spots.clear(), "there are no spots");
    refused(|it| it.slots = 0, "there are no slots");
    refused(|it| it.slot_min = 0, "there are no minutes in a slot");
    refused(|it| it.hair.levels = 0, "there are no hair levels");
    refused(|it| it.slots = 1000, "there are 1000 slots, and 96 are the most");
    let many = |it: &mut SheetProblem| it.sets = vec![it.sets[0].clone(); 63];
    refused(many, "there are 63 sets, and 62 are the most");
}

#[test]
fn names_that_stand_twice_or_nowhere_are_said() {
    refused(|it| it.sets[1].name = "set 0".into(), "the set `set 0` stands twice");
    refused(|it| it.looks[1].name = "satin".into(), "the look `satin` stands twice");
    refused(|it| it.spots[1].name = "arcade".into(), "the spot `arcade` stands twice");
    refused(
        |it| it.sets[1].look = "moon".into(),
        "set `set 1` names the look `moon`, which is not there",
    );
    refused(|it| it.sets[1].spot = "moon".into(), "set `set 1` names the spot `moon`");
    refused(|it| it.start.spot = "moon".into(), "start names the spot `moon`");
    refused(|it| it.start.look = Some("moon".into()), "start names the look `moon`");
    let order = |sets: &[&str]| FixedOrder {
        name: "booked".into(),
        sets: sets.iter().map(|set| (*set).into()).collect(),
    };
    refused(|it| it.orders = vec![order(&["moon"])], "order `booked` names the set `moon`");
    refused(|it| it.orders = vec![order(&["set 1", "set 1"])], "the set `set 1` stands twice");
    refused(|it| it.orders = vec![order(&[]), order(&[])], "the order `booked` stands twice");
}

#[test]
fn walks_that_cannot_be_are_said() {
    let walk = |from: &str, to: &str, minutes| Walk { from: from.into(), to: to.into(), minutes };
    refused(|it| it.walks[1].minutes = 60, "a walk cannot be longer than a detour");
    refused(|it| it.walks.truncate(5), "no walk between");
    refused(
        |it| it.walks.push(walk("arcade", "steps", 3)),
        "the walk `arcade to steps` stands twice",
    );
    refused(|it| it.walks.push(walk("arcade", "arcade", 3)), "stands twice");
    refused(|it| it.walks.push(walk("arcade", "moon", 3)), "walks names the spot `moon`");
}

#[test]
fn numbers_that_cannot_be_are_said() {
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        refused(|it| it.sets[0].worth = bad, "set `set 0`: worth");
        refused(|it| it.sets[0].light[3] = bad, "set `set 0`: light");
        refused(|it| it.sets[0].rain[3] = bad, "set `set 0`: rain");
        refused(|it| it.sets[0].full.factor = bad, "set `set 0`: full: factor");
        refused(|it| it.sets[0].full.exposed_s = Some(bad), "set `set 0`: full: exposed_s");
        refused(|it| it.sets[0].needed.as_mut().unwrap().missed_penalty = bad, "missed_penalty");
        refused(|it| it.looks[0].damp_at_g_m2 = bad, "look `satin`: damp_at_g_m2");
        refused(|it| it.looks[0].wet_factor = bad, "look `satin`: wet_factor");
        refused(|it| it.looks[0].missed_penalty = bad, "look `satin`: missed_penalty");
        refused(|it| it.looks[0].promise.as_mut().unwrap().penalty_each = bad, "penalty_each");
        refused(|it| it.hair.level_g_m2 = bad, "hair: level_g_m2");
        refused(|it| it.hair.damp_factor = bad, "hair: damp_factor");
        refused(|it| it.exposure.umbrella = bad, "exposure: umbrella");
        refused(|it| it.start.hair_dose_g_m2 = bad, "start: hair_dose_g_m2");
        refused(|it| it.rain.rates_mm_h[1] = bad, "rain: rates_mm_h");
        refused(|it| it.rain.start[1] = bad, "rain: start");
        refused(|it| it.rain.steps[2][1][3] = bad, "rain: steps: slot 2, row 1");
    }
    refused(|it| it.sets[0].full.minutes = 0, "full: minutes: 0 is not at least one");
    refused(|it| it.sets[0].full.exposed_s = Some(1e4), "is not within its minutes");
    refused(|it| it.sets[0].needed.as_mut().unwrap().missed_penalty = 0.0, "0 is not above zero");
    refused(|it| it.looks[0].wet_at_g_m2 = 5.0, "5 is not above damp_at_g_m2");
    refused(|it| it.looks[1].wet_factor = 0.9, "0.9 is not at most damp_factor");
    refused(|it| it.looks[1].promise.as_mut().unwrap().pictures = 256, "256 is not at most 255");
    refused(|it| it.hair.levels = 4, "the highest level: 15 is not at least wet_at_g_m2");
}

#[test]
fn lists_of_another_length_are_said() {
    refused(|it| it.sets[2].light.truncate(23), "set `set 2`: light has 23 entries, expected 24");
    refused(|it| it.rain.steps.truncate(22), "rain: steps has 22 entries, expected 23");
}

#[test]
fn chances_that_do_not_sum_to_one_are_said() {
    refused(|it| it.rain.start = [0.5, 0.25, 0.0, 0.0], "rain: start sums to 0.75, not to one");
    refused(|it| it.rain.steps[4][2][0] += 0.01, "rain: steps: slot 4, row 2 sums to 1.01");
}

#[test]
fn a_set_that_can_never_be_made_says_why() {
    let never = |why: &str| format!("the set `set 0` can never be made: {why}");
    refused(|it| it.spots[0].open = Some(vec![]), &never("its spot is never open long enough"));
    refused(|it| it.spots[0].open = Some(vec![[0, 3]]), &never("its spot is never open"));
    refused(|it| it.sets[0].light.fill(0.0), &never("there is never light enough for it"));
    refused(|it| it.last_light_min = Some(2), &never("there is never light enough for it"));
    let long = |it: &mut SheetProblem| {
        it.sets[0].full.minutes = 121;
        it.sets[0].short = None;
    };
    refused(long, &never("the evening is too short for it"));
    refused(|it| it.sets[0].rain = [0.0; 4], &never("it is worth nothing in any rain"));
}
