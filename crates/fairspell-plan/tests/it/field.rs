//! What can be made in the field, and the rain to reckon with there.

use fairspell_ground::LatLon;
use fairspell_plan::{
    FieldAsk, FieldError, FieldPlan, Seen,
    field::{
        Closed, Setting,
        rain::{FieldRain, RainBasis, field_rain},
    },
    field_plan, outlook,
};
use fairspell_sheet::{Action, SheetBudget, SheetError};
use fairspell_studio::{
    Hair, Outlook, Session, Spot, Studio, permit::PermitTerms, session::Look, site::OpenHours,
    spot::Cover,
};
use jiff::{ToSpan, civil::time};
use proptest::prelude::*;

use crate::world::{
    LEAVE_BY, at, no_warnings, outlook_at, place, radar, seen, session, spot, studio, zone,
};

/// The studio with an arcade between its two spots.
fn with_roof() -> Studio {
    let mut studio = studio();
    let position = LatLon::new(-31.7196, 152.7858).unwrap();
    studio.spots.push(Spot { cover: Cover::Roof, ..spot("arcade", position, 2.0) });
    studio
}

fn satin() -> Look {
    Look {
        name: "sage satin".to_owned(),
        spot: "arcade".to_owned(),
        fabric: Some("satin".to_owned()),
        hair: Some(Hair::Up),
        ..Look::default()
    }
}

/// The session with the satin last, as it was booked.
fn satin_last() -> Session {
    let mut session = session();
    session.looks.push(satin());
    session
}

struct Evening {
    studio: Studio,
    session: Session,
    seen: Seen,
}

impl Evening {
    fn outlook(&self) -> Outlook {
        outlook(&self.studio, &zone(), &self.session, at(LEAVE_BY), &self.seen).unwrap()
    }

    fn with_plan<T>(&self, look: impl FnOnce(Result<FieldPlan<'_>, FieldError>) -> T) -> T {
        let (zone, outlook) = (zone(), self.outlook());
        look(field_plan(FieldAsk {
            studio: &self.studio,
            zone: &zone,
            session: &self.session,
            outlook: &outlook,
            seen: &self.seen,
            tide: None,
        }))
    }

    fn value(&self) -> f64 {
        self.with_plan(|plan| {
            plan.unwrap().solve(SheetBudget::default()).unwrap().solved.course.value
        })
    }
}

fn showery(percent: f64) -> Evening {
    let seen = Seen { radar: None, ..seen(at(LEAVE_BY), percent) };
    Evening { studio: with_roof(), session: satin_last(), seen }
}

#[test]
fn the_satin_that_was_booked_last_goes_first_under_the_roof() {
    for percent in [30.0, 60.0] {
        showery(percent).with_plan(|plan| {
            let field = plan.unwrap().solve(SheetBudget::default()).unwrap();
            let Action::Make { set, .. } = field.solved.strategy.first(0) else {
                panic!("{percent} %: nothing is made first");
            };
            let first = &field.plan.sets[set];
            assert_eq!((first.look, first.setting), (2, Setting::Cover), "{percent} %");
            assert_eq!(field.plan.problem.start.spot, "arcade");
        });
    }
}

#[test]
fn every_look_has_a_roof_within_reach_and_what_marks_goes_out_only_where_it_was_planned() {
    showery(30.0).with_plan(|plan| {
        let plan = plan.unwrap();
        for look in 0..3 {
            let covered = |set: &&fairspell_plan::FieldSet<'_>| {
                set.look == look && set.setting == Setting::Cover
            };
            assert!(plan.sets.iter().any(|set| covered(&set)), "look {look}");
        }
        let satin: Vec<_> = plan.sets.iter().filter(|set| set.look == 2).collect();
        assert!(satin.iter().all(|set| set.setting == Setting::Cover), "{satin:?}");
    });
}

#[test]
fn a_roof_that_asks_for_leave_is_none_unless_it_was_booked() {
    let mut evening = showery(30.0);
    let roof = |evening: &Evening| {
        evening.with_plan(|plan| {
            let plan = plan.unwrap();
            plan.sets.iter().filter(|set| set.setting == Setting::Cover && !set.is_again).count()
        })
    };
    assert_eq!(roof(&evening), 3);
    evening.studio.spots[2].site.permit =
        Some(PermitTerms { ask_days: 3, fee: 0.0, moves_free: false });
    assert_eq!(roof(&evening), 3, "the satin is booked there");
    evening.session.looks.pop();
    assert_eq!(roof(&evening), 0);
}

#[test]
fn a_spot_that_is_shut_all_evening_is_left_out_by_name() {
    let mut evening = showery(30.0);
    evening.studio.spots[0].site.hours =
        vec![OpenHours { days: Vec::new(), from: time(8, 0, 0, 0), to: time(12, 0, 0, 0) }];
    evening.with_plan(|plan| {
        let plan = plan.unwrap();
        assert!(plan.sets.iter().all(|set| set.spot.id != "heron-walk"));
        let closed = plan
            .closed
            .iter()
            .filter(|(set, why)| set.spot.id == "heron-walk" && *why == Closed::Spot);
        assert!(closed.count() >= 2);
        assert!(plan.problem.looks.iter().any(|look| look.name == "denim"), "under the roof");
    });
    for spot in &mut evening.studio.spots {
        spot.site.hours =
            vec![OpenHours { days: Vec::new(), from: time(8, 0, 0, 0), to: time(12, 0, 0, 0) }];
    }
    evening.with_plan(|plan| {
        let error = plan.unwrap_err();
        assert!(matches!(error, FieldError::NothingOpen { why: Closed::Spot, .. }), "{error}");
    });
}

#[test]
fn more_looks_than_can_be_told_apart_are_refused_by_number() {
    let mut evening = showery(30.0);
    for number in 0..30 {
        evening.session.looks.push(Look { name: format!("look {number}"), ..satin() });
    }
    evening.with_plan(|plan| {
        let error = plan.unwrap_err();
        let is_it = matches!(error, FieldError::Problem(SheetError::TooMany { .. }));
        assert!(is_it, "{error}");
    });
}

#[test]
fn a_session_at_night_has_no_light() {
    let mut evening = showery(30.0);
    evening.session.start = evening.session.start.date().at(22, 0, 0, 0);
    evening.with_plan(|plan| {
        let error = plan.unwrap_err();
        assert!(
            matches!(error, FieldError::NoLight(_) | FieldError::NothingOpen { .. }),
            "{error}"
        );
    });
}

#[test]
fn likelier_rain_is_never_worth_more() {
    let values: Vec<f64> =
        [5.0, 20.0, 40.0, 60.0, 80.0].into_iter().map(|percent| showery(percent).value()).collect();
    assert!(values.windows(2).all(|pair| pair[1] <= pair[0] + 1e-6), "{values:?}");
}

fn rain(seen: &Seen, slots: usize) -> (Outlook, FieldRain) {
    let outlook = outlook_at(LEAVE_BY, seen);
    let origin = outlook.window.from - 10.minutes();
    let rain = field_rain(&outlook, seen, place(), origin, slots, 5);
    (outlook, rain)
}

#[test]
fn rain_of_which_nobody_speaks_is_not_taken_for_dry() {
    let (_, rain) = rain(&Seen::default(), 20);
    assert_eq!(rain.basis, RainBasis::Nobody);
    for share in rain.shares() {
        assert!(share[0] < 0.97, "{share:?}");
    }
    let only_warnings = Seen { warnings: Some(no_warnings(at(LEAVE_BY))), ..Seen::default() };
    assert_eq!(self::rain(&only_warnings, 20).1, rain);
}

#[test]
fn without_radar_the_chain_has_the_outlooks_own_chances() {
    let seen = Seen { radar: None, ..seen(at(LEAVE_BY), 45.0) };
    let (outlook, rain) = rain(&seen, 24);
    assert_eq!(rain.basis, RainBasis::Forecast);
    let steps = outlook
        .steps
        .iter()
        .skip_while(|step| step.hours.from < outlook.window.from - 10.minutes());
    for (share, step) in rain.shares().iter().zip(steps) {
        let told = step.p_wet.unwrap().get();
        assert!((1.0 - share[0] - told).abs() < 1e-9, "{share:?} {told}");
    }
}

#[test]
fn rain_on_the_radar_is_rain_in_the_chain() {
    let as_of = at(LEAVE_BY);
    for (rate, class) in [(0.0, 0), (2.5, 2), (8.0, 3)] {
        let radar = radar(as_of - 4.minutes(), as_of, rate);
        let seen = Seen { radar: Some(radar), ..seen(as_of, 30.0) };
        let (_, rain) = rain(&seen, 24);
        assert_eq!(rain.basis, RainBasis::RadarAndForecast);
        let likeliest = (0..4).max_by(|a, b| rain.start[*a].total_cmp(&rain.start[*b]));
        assert_eq!(likeliest, Some(class), "{rate} mm/h: {:?}", rain.start);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn every_row_of_the_chain_sums_to_one(percent in 0.0..=100.0, rate in 0.0_f32..12.0) {
        let as_of = at(LEAVE_BY);
        let seen = Seen { radar: Some(radar(as_of - 4.minutes(), as_of, rate)), ..seen(as_of, percent) };
        let (_, rain) = rain(&seen, 33);
        prop_assert!((rain.start.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        for row in rain.steps.iter().flatten() {
            prop_assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{row:?}");
            prop_assert!(row.iter().all(|chance| (-1e-12..=1.0 + 1e-9).contains(chance)));
        }
    }
}
