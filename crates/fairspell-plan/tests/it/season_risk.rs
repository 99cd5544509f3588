use fairspell_plan::season_risk::{
    EveningUse, SeasonBudget, SeasonError, SeasonEvening, SeasonMethod, SeasonProblem, SeasonRisk,
    SeasonRules, SeasonSession, helpful_evenings, room_for_more, season_risk, simulate_season,
};
use jiff::{
    ToSpan,
    civil::{Date, Weekday, date},
};
use proptest::{prelude::*, test_runner::RngSeed};

/// Rounding in a few hundred sums of chances, and what the solver leaves out (1e-13 a state).
const ROUNDING: f64 = 1e-9;

/// A Tuesday.
const FIRST: Date = date(2026, 9, 1);

fn evening(day: i64, p_lost: f64, use_: EveningUse) -> SeasonEvening {
    SeasonEvening { date: FIRST + day.days(), p_lost, use_ }
}

fn session(id: usize, latest_day: Option<i64>) -> SeasonSession {
    SeasonSession {
        id: format!("S{id}"),
        latest: latest_day.map(|day| FIRST + day.days()),
        waiting_since: None,
    }
}

fn rules(correlation: f64, notice_days: i32, sessions_a_week_max: usize) -> SeasonRules {
    SeasonRules { correlation, notice_days, sessions_a_week_max }
}

/// One session on the first evening, and reserves after so many days.
fn one_session(p_lost: f64, correlation: f64, reserves: &[i64]) -> SeasonProblem {
    let mut evenings = vec![evening(0, p_lost, EveningUse::Sold(0))];
    evenings.extend(reserves.iter().map(|&day| evening(day, p_lost, EveningUse::Reserve)));
    SeasonProblem {
        evenings,
        sessions: vec![session(0, None)],
        rules: rules(correlation, 1, 7),
        made_this_week: 0,
    }
}

fn exact(problem: &SeasonProblem) -> SeasonRisk {
    let risk = season_risk(problem, &SeasonBudget::default()).unwrap();
    assert!(matches!(risk.method, SeasonMethod::Exact { .. }), "{:?}", risk.method);
    risk
}

fn p_all(problem: &SeasonProblem) -> f64 {
    exact(problem).p_all_delivered
}

/// Which of those who wait has an open evening.
#[derive(Clone, Copy, PartialEq)]
enum First {
    /// Whose `latest` comes first, then who is listed first: deadlines as written.
    Latest,
    /// Whose last open evening comes first, then who has waited longest: the documented rule.
    LastChance,
}

/// Plays one weather; who was made in time, and the evenings each lost.
fn play(problem: &SeasonProblem, lost: &[bool], first: First) -> (Vec<bool>, Vec<f64>) {
    let SeasonProblem { evenings, sessions, rules, made_this_week } = problem;
    let week =
        |date: Date| (date - i64::from(date.weekday().since(Weekday::Monday)).days()).to_string();
    let latest = |s: usize| sessions[s].latest.unwrap_or(Date::MAX);
    let is_sold = |e: &SeasonEvening| matches!(e.use_, EveningUse::Sold(_));
    let last_chance = |s: usize| {
        evenings.iter().filter(|e| !is_sold(e) && e.date <= latest(s)).map(|e| e.date).max()
    };
    let mut in_time = vec![false; sessions.len()];
    let mut moves = vec![0.0; sessions.len()];
    let mut since: Vec<Option<Date>> = sessions.iter().map(|s| s.waiting_since).collect();
    let mut made_on: Vec<Date> = Vec::new();
    for (at, evening) in evenings.iter().enumerate() {
        let today = evening.date;
        let this_week = |date: &&Date| week(**date) == week(today);
        let before = if week(today) == week(evenings[0].date) { *made_this_week } else { 0 };
        let made = before + made_on.iter().filter(this_week).count();
        let ahead = evenings[at + 1..].iter().filter(|e| is_sold(e)).map(|e| e.date);
        let ahead = ahead.filter(|date| this_week(&date)).count();
        let told = |s: &usize| {
            since[*s].is_some_and(|since| since + i64::from(rules.notice_days).days() <= today)
                && latest(*s) >= today
        };
        let has_it = match evening.use_ {
            EveningUse::Sold(s) => Some(s),
            _ if made + ahead >= rules.sessions_a_week_max => None,
            _ if first == First::Latest => {
                (0..sessions.len()).filter(told).min_by_key(|&s| latest(s))
            }
            _ => (0..sessions.len()).filter(told).min_by_key(|&s| (last_chance(s), since[s])),
        };
        let Some(s) = has_it else { continue };
        if lost[at] {
            moves[s] += 1.0;
            since[s] = Some(today);
        } else {
            since[s] = None;
            made_on.push(today);
            in_time[s] = latest(s) >= today;
        }
    }
    (in_time, moves)
}

/// The chance of one weather, written out from the joint chance of neighbours.
fn p_weather(problem: &SeasonProblem, lost: &[bool]) -> f64 {
    let evenings = &problem.evenings;
    let alone = |at: usize, lost: bool| {
        if lost { evenings[at].p_lost } else { 1.0 - evenings[at].p_lost }
    };
    let mut p = alone(0, lost[0]);
    for at in 1..evenings.len() {
        let (a, b) = (evenings[at - 1].p_lost, evenings[at].p_lost);
        let days = (evenings[at - 1].date.until(evenings[at].date).unwrap()).get_days();
        let r = problem.rules.correlation.powi(days);
        let both = (a * b + r * (a * (1.0 - a) * b * (1.0 - b)).sqrt()).min(a).min(b);
        let joint = match (lost[at - 1], lost[at]) {
            (true, true) => both,
            (true, false) => a - both,
            (false, true) => b - both,
            (false, false) => 1.0 - a - b + both,
        };
        let before = alone(at - 1, lost[at - 1]);
        if before == 0.0 {
            return 0.0;
        }
        p *= joint / before;
    }
    p
}

/// All 2^n weathers.
fn by_hand(problem: &SeasonProblem, first: First) -> SeasonRisk {
    let n = problem.evenings.len();
    let mut risk = exact(problem);
    risk.p_all_delivered = 0.0;
    risk.moves_expected = 0.0;
    for session in &mut risk.sessions {
        (session.p_delivered, session.moves_expected) = (0.0, 0.0);
    }
    let mut total = 0.0;
    for weather in 0..1_u32 << n {
        let lost: Vec<bool> = (0..n).map(|at| weather >> at & 1 == 1).collect();
        let p = p_weather(problem, &lost);
        total += p;
        let (in_time, moves) = play(problem, &lost, first);
        if in_time.iter().all(|&made| made) {
            risk.p_all_delivered += p;
        }
        for (session, (made, moves)) in risk.sessions.iter_mut().zip(in_time.iter().zip(&moves)) {
            session.p_delivered += if *made { p } else { 0.0 };
            session.moves_expected += p * moves;
            risk.moves_expected += p * moves;
        }
    }
    assert!((total - 1.0).abs() < ROUNDING, "the weathers' chances sum to {total}");
    risk
}

prop_compose! {
    /// Up to ten evenings, up to three of them with no session, deadlines on either side of them.
    fn small_season()(
        gaps in prop::collection::vec(1..4_i64, 2..=10),
    )(
        uses in prop::collection::vec(0..10_u8, gaps.len()),
        p_lost in prop::collection::vec(
            prop_oneof![8 => 0.02..0.9, 1 => Just(0.0), 1 => Just(1.0)], gaps.len()),
        latest in prop::collection::vec(prop::option::weighted(0.8, -1..14_i64), gaps.len()),
        waiting in prop::collection::vec(prop::option::of((1..6_i64, -1..20_i64)), 2),
        correlation in prop_oneof![Just(0.0), 0.0..0.99],
        notice_days in 0..5,
        a_week_max in 1..6_usize,
        made_this_week in 0..3_usize,
        gaps in Just(gaps),
    ) -> SeasonProblem {
        let (mut day, mut evenings, mut sessions) = (0, Vec::new(), Vec::new());
        for (at, gap) in gaps.iter().enumerate() {
            let use_ = match uses[at] {
                0..5 => EveningUse::Sold(sessions.len()),
                5..8 => EveningUse::Reserve,
                _ => EveningUse::Unsold,
            };
            if let EveningUse::Sold(_) = use_ {
                sessions.push(session(sessions.len(), latest[at].map(|latest| day + latest)));
            }
            evenings.push(evening(day, p_lost[at], use_));
            day += gap;
        }
        for (since, latest) in waiting.into_iter().flatten() {
            let waiting_since = Some(FIRST - since.days());
            sessions.push(SeasonSession {
                waiting_since, ..session(sessions.len(), Some(latest))
            });
        }
        SeasonProblem {
            evenings, sessions, rules: rules(correlation, notice_days, a_week_max), made_this_week,
        }
    }
}

prop_compose! {
    /// Tuesday, Thursday and Saturday sold, Wednesday and Sunday in reserve, for up to six weeks.
    fn pattern_season()(
        weeks in 1..=6_i64,
        p_lost in 0.05..0.6,
        correlation in 0.0..0.8,
        allowances in prop::collection::vec(prop::option::of(0..30_i64), 18),
        notice_days in 0..5,
        a_week_max in 3..6_usize,
    ) -> SeasonProblem {
        let (mut evenings, mut sessions) = (Vec::new(), Vec::new());
        for week in 0..weeks {
            for day in [0, 1, 2, 4, 5] {
                let at = 7 * week + day;
                if day == 1 || day == 5 {
                    evenings.push(evening(at, p_lost, EveningUse::Reserve));
                } else {
                    let index = sessions.len();
                    evenings.push(evening(at, p_lost, EveningUse::Sold(index)));
                    sessions.push(session(index, allowances[index].map(|allowed| at + allowed)));
                }
            }
        }
        let rules = rules(correlation, notice_days, a_week_max);
        SeasonProblem { evenings, sessions, rules, made_this_week: 0 }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn the_solver_agrees_with_all_weathers_played_one_by_one(problem in small_season()) {
        let (solved, by_hand) = (exact(&problem), by_hand(&problem, First::LastChance));
        prop_assert!((solved.p_all_delivered - by_hand.p_all_delivered).abs() < ROUNDING,
            "{} and {}", solved.p_all_delivered, by_hand.p_all_delivered);
        prop_assert!((solved.moves_expected - by_hand.moves_expected).abs() < ROUNDING);
        for (at, (a, b)) in solved.sessions.iter().zip(&by_hand.sessions).enumerate() {
            prop_assert!((a.p_delivered - b.p_delivered).abs() < ROUNDING, "{at}: {a:?}, {b:?}");
            prop_assert!((a.moves_expected - b.moves_expected).abs() < ROUNDING, "{at}: {a:?}, {b:?}");
        }
    }

    #[test]
    fn who_of_two_with_the_same_last_chance_goes_first_changes_nothing_for_all_together(
        problem in small_season(),
    ) {
        let (solved, by_hand) = (exact(&problem), by_hand(&problem, First::Latest));
        prop_assert!((solved.p_all_delivered - by_hand.p_all_delivered).abs() < ROUNDING);
        prop_assert!((solved.moves_expected - by_hand.moves_expected).abs() < ROUNDING);
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 40, rng_seed: RngSeed::Fixed(20260901), ..ProptestConfig::default()
    })]

    #[test]
    fn played_seasons_agree_with_the_solver(problem in pattern_season(), seed in 0..1000_u64) {
        // Four for the season's own two figures, five for the several hundred of single sessions;
        // the seed is fixed, for one test in a few hundred would go beyond that by chance.
        const RUNS: u32 = 4000;
        let (solved, played) = (exact(&problem), simulate_season(&problem, RUNS, seed).unwrap());
        let SeasonMethod::Simulated { moves_standard_error, .. } = played.method else {
            return Err(TestCaseError::fail("not played"));
        };
        // Of the solved chance, which is what is tested: a play that came out low thinks too well of
        // itself. The season that showed it has 0.0208 solved, and 0.0210 in 1,200,000 plays.
        let expected = |p: f64| {
            let p = p.clamp(1.0 / f64::from(RUNS), 1.0 - 1.0 / f64::from(RUNS));
            (p * (1.0 - p) / f64::from(RUNS)).sqrt()
        };
        let standard_error = expected(solved.p_all_delivered);
        let off = played.p_all_delivered - solved.p_all_delivered;
        prop_assert!(off.abs() <= 4.0 * standard_error, "{off}, {standard_error}");
        let off = played.moves_expected - solved.moves_expected;
        prop_assert!(off.abs() <= 4.0 * moves_standard_error.unwrap(), "moves {off}");
        for (a, b) in solved.sessions.iter().zip(&played.sessions) {
            let standard_error = expected(a.p_delivered);
            prop_assert!((a.p_delivered - b.p_delivered).abs() <= 5.0 * standard_error, "{a:?}, {b:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn nobody_is_safer_than_the_single_session_and_all_together_no_safer_than_anybody(
        problem in pattern_season(),
    ) {
        let risk = exact(&problem);
        let missed: f64 = risk.sessions.iter().map(|s| 1.0 - s.p_delivered).sum();
        prop_assert!(1.0 - risk.p_all_delivered <= missed + ROUNDING);
        for session in &risk.sessions {
            prop_assert!(risk.p_all_delivered <= session.p_delivered + ROUNDING);
        }
        let sum: f64 = risk.sessions.iter().map(|s| s.moves_expected).sum();
        prop_assert!((sum - risk.moves_expected).abs() < ROUNDING);
    }

    #[test]
    fn worse_evenings_never_make_a_season_safer(problem in pattern_season(), worse in 0.0..0.3) {
        let mut problem = problem;
        // A limit a week can turn a lost evening into room for somebody else; and who loses an evening
        // shortly before the next can't be told in time.
        (problem.rules.notice_days, problem.rules.sessions_a_week_max) = (1, 7);
        let before = p_all(&problem);
        for evening in &mut problem.evenings {
            evening.p_lost += worse;
        }
        prop_assert!(p_all(&problem) <= before + ROUNDING);
    }

    #[test]
    fn a_reserve_evening_more_never_hurts_when_all_have_one_deadline(
        problem in pattern_season(), week in 0..6_i64,
    ) {
        let mut problem = problem;
        problem.rules.notice_days = 1;
        for session in &mut problem.sessions {
            session.latest = None;
        }
        let last = problem.evenings.last().unwrap().date;
        let friday = (FIRST + (7 * week + 3).days()).min(last + 3.days());
        if problem.evenings.iter().all(|evening| evening.date != friday) {
            let p_lost = problem.evenings[0].p_lost;
            let more = helpful_evenings(&problem, &[(friday, p_lost)], &SeasonBudget::default());
            prop_assert!(more.unwrap()[0].p_all_delivered >= p_all(&problem) - ROUNDING);
        }
    }

    #[test]
    fn evenings_are_tried_as_if_they_were_in_the_season(problem in pattern_season()) {
        let first = problem.evenings[0].date;
        let candidates: Vec<(Date, f64)> =
            [-1, 3, 6, 10, 200].map(|day: i64| (first + day.days(), 0.1 + day as f64 / 1000.0)).into();
        let helpful = helpful_evenings(&problem, &candidates, &SeasonBudget::default()).unwrap();
        prop_assert!(helpful.is_sorted_by(|a, b| a.p_all_delivered >= b.p_all_delivered));
        prop_assert_eq!(helpful.len(), candidates.len());
        for helpful in helpful {
            let p_lost = candidates.iter().find(|(date, _)| *date == helpful.date).unwrap().1;
            let mut with = problem.clone();
            with.evenings.push(SeasonEvening {
                date: helpful.date, p_lost, use_: EveningUse::Reserve,
            });
            with.evenings.sort_by_key(|evening| evening.date);
            prop_assert!((p_all(&with) - helpful.p_all_delivered).abs() < ROUNDING);
        }
    }
}

#[test]
fn a_reserve_on_the_next_day_fails_twice_as_often_as_one_days_later() {
    // The trade's own figures: a fifth of the evenings bad, two in five after a bad one. Both the
    // working evening and the next day fail in 8 % of all cases; four to seven days off, about 4 to 5 %.
    let missed = |day| 1.0 - p_all(&one_session(0.2, 0.25, &[day]));
    assert!((missed(1) - 0.08).abs() < 1e-12);
    for day in 4..=7 {
        assert!((0.04..=0.05).contains(&missed(day)), "{day} days: {}", missed(day));
    }
    assert!((exact(&one_session(0.2, 0.25, &[1])).moves_expected - 0.28).abs() < 1e-12);
}

#[test]
fn three_evenings_agree_with_products_of_matrices() {
    // `tests/reference/season/three_evenings.csv`, fifteen decimals.
    let table = include_str!("../reference/season/three_evenings.csv");
    let mut checked = 0;
    for line in table.lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |at: usize| cells[at].parse::<f64>().unwrap();
        let day = |at: usize| cells[at].parse::<i64>().unwrap();
        let [p, r, p_made, moves] = [0, 1, 4, 5].map(number);
        let risk = exact(&one_session(p, r, &[day(2), day(3)]));
        assert!((risk.p_all_delivered - p_made).abs() < 1e-12, "{line}: {risk:?}");
        assert!((risk.moves_expected - moves).abs() < 1e-12, "{line}: {risk:?}");
        checked += 1;
    }
    assert_eq!(checked, 6);
}

#[test]
fn notice_and_the_weeks_limit_close_an_evening() {
    let mut season = one_session(0.2, 0.0, &[3]);
    season.rules.notice_days = 3;
    assert!((p_all(&season) - 0.96).abs() < 1e-12, "three days' notice are given");
    season.rules.notice_days = 4;
    assert!((p_all(&season) - 0.8).abs() < 1e-12, "four are not");

    // Tuesday, reserve on Friday, Saturday sold: two a week would be full with both.
    let mut season = one_session(0.2, 0.0, &[3]);
    season.evenings.push(evening(4, 0.0, EveningUse::Sold(1)));
    season.sessions.push(session(1, None));
    season.rules.sessions_a_week_max = 2;
    assert!((p_all(&season) - 0.96).abs() < 1e-12);
    season.made_this_week = 1;
    assert!((p_all(&season) - 0.8).abs() < 1e-12, "what was made before the first evening counts");
    season.made_this_week = 0;
    season.rules.sessions_a_week_max = 1;
    assert!((p_all(&season) - 0.8).abs() < 1e-12, "what is sold later in the week counts");
    // On Monday a new week begins.
    season.evenings[1] = evening(6, 0.2, EveningUse::Reserve);
    season.evenings.swap(1, 2);
    assert!((p_all(&season) - 0.96).abs() < 1e-12);
}

#[test]
fn a_deadline_before_its_own_evening_is_missed_from_the_start() {
    let mut season = one_session(0.2, 0.25, &[5]);
    season.sessions[0].latest = Some(FIRST - 1.day());
    let risk = exact(&season);
    assert_eq!((risk.p_all_delivered, risk.sessions[0].p_delivered), (0.0, 0.0));
    let played = simulate_season(&season, 100, 1).unwrap();
    assert_eq!((played.p_all_delivered, played.sessions[0].p_delivered), (0.0, 0.0));
}

#[test]
fn certain_evenings_beside_others_are_no_trouble() {
    // 1 + 0.02 - 1 is more than 0.02 to a computer, so that bounds of the joint chance cross.
    let mut season = one_session(1.0, 0.3, &[1, 3]);
    season.evenings[1].p_lost = 0.02;
    season.evenings[2].p_lost = 0.0;
    let risk = exact(&season);
    assert!((risk.p_all_delivered - 1.0).abs() < 1e-12);
    assert!((risk.moves_expected - 1.02).abs() < 1e-12);
}

#[test]
fn who_waits_from_before_has_the_first_evening_it_can_be_told_of() {
    let since = |day: i64| SeasonProblem {
        evenings: vec![evening(0, 0.3, EveningUse::Unsold), evening(7, 0.1, EveningUse::Reserve)],
        sessions: vec![SeasonSession {
            waiting_since: Some(FIRST - day.days()),
            ..session(0, None)
        }],
        rules: rules(0.0, 2, 3),
        made_this_week: 0,
    };
    assert!((p_all(&since(2)) - 0.97).abs() < 1e-12);
    assert!((p_all(&since(1)) - 0.9).abs() < 1e-12);
}

#[test]
fn a_season_without_sessions_misses_nobody() {
    let mut season = one_session(0.5, 0.5, &[]);
    season.sessions.clear();
    season.evenings[0].use_ = EveningUse::Unsold;
    assert!((p_all(&season) - 1.0).abs() < 1e-12);
}

#[test]
fn too_many_states_are_played_and_say_so() {
    let season = one_session(0.2, 0.25, &[1, 5]);
    let budget = SeasonBudget { states_max: 2, runs: 20_000, seed: 3 };
    let risk = season_risk(&season, &budget).unwrap();
    let SeasonMethod::Simulated { runs: 20_000, standard_error, .. } = risk.method else {
        panic!("{:?}", risk.method);
    };
    assert!((risk.p_all_delivered - p_all(&season)).abs() <= 4.0 * standard_error);
    assert_eq!(risk, season_risk(&season, &budget).unwrap(), "the same seed, the same answer");
    let tried = helpful_evenings(&season, &[(FIRST + 9.days(), 0.1)], &budget);
    assert_eq!(tried, Err(SeasonError::TooManyStates(2)));
}

/// Six weeks with two sessions, an unsold evening and a reserve evening each.
fn half_sold() -> SeasonProblem {
    let (mut evenings, mut sessions) = (Vec::new(), Vec::new());
    for week in 0..6 {
        for day in [0, 2] {
            evenings.push(evening(7 * week + day, 0.2, EveningUse::Sold(sessions.len())));
            sessions.push(session(sessions.len(), Some(7 * week + day + 21)));
        }
        evenings.push(evening(7 * week + 4, 0.2, EveningUse::Unsold));
        evenings.push(evening(7 * week + 5, 0.2, EveningUse::Reserve));
    }
    SeasonProblem { evenings, sessions, rules: rules(0.25, 1, 4), made_this_week: 0 }
}

#[test]
fn room_is_sold_best_first_until_the_risk_is_reached() {
    let season = half_sold();
    let latest = |date: Date| Some(date + 21.days());
    let room = room_for_more(&season, 0.2, latest, &SeasonBudget::default()).unwrap();
    assert!((room.p_all_now - p_all(&season)).abs() < ROUNDING);
    assert!(room.more() > 0 && room.more() < 6, "{room:?}");

    // Each step is the best of all single ones, and what it says is what the solver says.
    let mut sold = season;
    let mut p_before = room.p_all_now;
    let try_one = |season: &SeasonProblem, at: usize| {
        let mut with = season.clone();
        let date = with.evenings[at].date;
        with.evenings[at].use_ = EveningUse::Sold(with.sessions.len());
        with.sessions.push(SeasonSession {
            id: "one more".to_owned(),
            latest: latest(date),
            waiting_since: None,
        });
        with
    };
    let unsold = |season: &SeasonProblem| -> Vec<usize> {
        (0..season.evenings.len())
            .filter(|&at| season.evenings[at].use_ == EveningUse::Unsold)
            .collect()
    };
    let best_of = |season: &SeasonProblem| {
        unsold(season).into_iter().map(|at| p_all(&try_one(season, at))).fold(0.0, f64::max)
    };
    for step in &room.evenings {
        let best = best_of(&sold);
        let at = sold.evenings.iter().position(|evening| evening.date == step.date).unwrap();
        assert_eq!(sold.evenings[at].use_, EveningUse::Unsold);
        sold = try_one(&sold, at);
        assert!((step.p_all_delivered - p_all(&sold)).abs() < ROUNDING);
        assert!((step.p_all_delivered - best).abs() < ROUNDING);
        assert!((0.8..=p_before).contains(&step.p_all_delivered));
        p_before = step.p_all_delivered;
    }
    assert!(best_of(&sold) < 0.8, "one more would have been within the risk");
}

#[test]
fn a_season_that_risks_too_much_already_has_no_room() {
    let room = room_for_more(&half_sold(), 0.0, |_| None, &SeasonBudget::default()).unwrap();
    assert_eq!(room.more(), 0);
}

/// What a season says after one thing in it was broken.
fn broken(by: impl FnOnce(&mut SeasonProblem)) -> String {
    let mut season = one_session(0.2, 0.25, &[5]);
    by(&mut season);
    let error = season_risk(&season, &SeasonBudget::default()).unwrap_err();
    assert_eq!(simulate_season(&season, 10, 1).unwrap_err().to_string(), error.to_string());
    error.to_string()
}

#[test]
fn what_is_no_season_is_refused_with_what_is_wrong() {
    let second = evening(5, 0.2, EveningUse::Sold(0));
    assert_eq!(broken(|s| s.evenings.clear()), "a season without evenings");
    assert_eq!(broken(|s| s.evenings.swap(0, 1)), "evening 2026-09-01 stands after 2026-09-06");
    assert_eq!(
        broken(|s| s.evenings[1].date = FIRST),
        "evening 2026-09-01 stands after 2026-09-01"
    );
    assert_eq!(
        broken(|s| s.evenings[1].p_lost = 1.5),
        "chance 1.5 of losing 2026-09-06 is not between 0 and 1"
    );
    assert!(broken(|s| s.evenings[1].p_lost = f64::NAN).starts_with("chance NaN"));
    assert_eq!(broken(|s| s.rules.correlation = 1.0), "correlation 1 is not from 0 up to 1");
    assert_eq!(broken(|s| s.rules.correlation = -0.1), "correlation -0.1 is not from 0 up to 1");
    assert_eq!(
        broken(|s| s.evenings[1].use_ = EveningUse::Sold(4)),
        "evening 2026-09-06 is sold to session number 4, which is not listed"
    );
    assert_eq!(
        broken(|s| s.evenings[1] = second),
        "session `S0` has evening 2026-09-06 and another, or waits for one"
    );
    assert_eq!(
        broken(|s| s.sessions[0].waiting_since = Some(FIRST - 1.day())),
        "session `S0` has evening 2026-09-01 and another, or waits for one"
    );
    assert_eq!(
        broken(|s| s.evenings[0].use_ = EveningUse::Unsold),
        "session `S0` is sold nowhere and does not wait"
    );
    assert_eq!(
        broken(|s| s.sessions[0].waiting_since = Some(FIRST)),
        "session `S0` waits since 2026-09-01, not before the first evening"
    );
    let season = one_session(0.2, 0.25, &[5]);
    let again = helpful_evenings(&season, &[(FIRST, 0.1)], &SeasonBudget::default());
    assert_eq!(again, Err(SeasonError::AlreadyThere(FIRST)));
}
