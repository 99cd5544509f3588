//! How long the risk of a season takes: four evenings a week, three sold and one in reserve, with
//! deadlines three to six weeks after each date; ten such seasons in a row; and what is asked of it.

use divan::{Bencher, black_box};
use fairspell_plan::season_risk::{
    EveningUse, SeasonBudget, SeasonEvening, SeasonProblem, SeasonRules, SeasonSession,
    helpful_evenings, room_for_more, season_risk, simulate_season,
};
use jiff::{
    ToSpan,
    civil::{Date, date},
};

fn main() {
    divan::main();
}

/// Tuesday, Thursday and Saturday sold, Sunday in reserve; `unsold` of ten Tuesdays are left unsold.
fn season(weeks: i64, a_week_max: usize, unsold: i64) -> SeasonProblem {
    let monday = date(2026, 8, 3);
    let (mut evenings, mut sessions) = (Vec::new(), Vec::new());
    for week in 0..weeks {
        for day in [1, 3, 5, 6] {
            let date = monday + (7 * week + day).days();
            let use_ = match day {
                6 => EveningUse::Reserve,
                1 if week % 10 < unsold => EveningUse::Unsold,
                _ => {
                    // 21 to 42 days, spread by a step that shares no factor with 22.
                    let allowance = 21 + (i64::try_from(sessions.len()).expect("few") * 13) % 22;
                    sessions.push(SeasonSession {
                        id: format!("session {}", sessions.len()),
                        latest: Some(date + allowance.days()),
                        waiting_since: None,
                    });
                    EveningUse::Sold(sessions.len() - 1)
                }
            };
            evenings.push(SeasonEvening { date, p_lost: 0.15, use_ });
        }
    }
    let rules = SeasonRules { correlation: 0.25, notice_days: 1, sessions_a_week_max: a_week_max };
    SeasonProblem { evenings, sessions, rules, made_this_week: 0 }
}

/// 120 sessions in 40 weeks, then 1200 in 400.
#[divan::bench(args = [40, 400], sample_count = 10)]
fn risk_by_weeks(bencher: Bencher<'_, '_>, weeks: i64) {
    let season = season(weeks, 4, 0);
    bencher.bench(|| season_risk(black_box(&season), &SeasonBudget::default()));
}

/// The same with three sessions a week at most, and with more notice.
#[divan::bench(args = [(3, 1), (3, 4), (4, 4)], sample_count = 10)]
fn risk_by_limit_and_notice(bencher: Bencher<'_, '_>, (a_week_max, notice_days): (usize, i32)) {
    let mut season = season(40, a_week_max, 0);
    season.rules.notice_days = notice_days;
    bencher.bench(|| season_risk(black_box(&season), &SeasonBudget::default()));
}

/// Everybody wants the same date: by the season's last evening.
#[divan::bench(args = [40, 400], sample_count = 10)]
fn risk_with_one_deadline(bencher: Bencher<'_, '_>, weeks: i64) {
    let mut season = season(weeks, 4, 0);
    for session in &mut season.sessions {
        session.latest = None;
    }
    bencher.bench(|| season_risk(black_box(&season), &SeasonBudget::default()));
}

/// More is lost than the reserve can bear, with one deadline: the queue grows all season.
#[divan::bench(sample_count = 3)]
fn risk_of_an_overfull_season(bencher: Bencher<'_, '_>) {
    let mut season = season(40, 4, 0);
    for session in &mut season.sessions {
        session.latest = None;
    }
    for evening in &mut season.evenings {
        evening.p_lost = 0.4;
    }
    bencher.bench(|| season_risk(black_box(&season), &SeasonBudget::default()));
}

#[divan::bench(sample_count = 5)]
fn simulated_10_000_runs(bencher: Bencher<'_, '_>) {
    let season = season(40, 4, 0);
    bencher.bench(|| simulate_season(black_box(&season), 10_000, 1));
}

/// Every Friday tried as a reserve evening.
#[divan::bench(sample_count = 5)]
fn helpful_of_40_evenings(bencher: Bencher<'_, '_>) {
    let season = season(40, 4, 0);
    let monday = date(2026, 8, 3);
    let fridays: Vec<(Date, f64)> =
        (0..40).map(|week| (monday + (7 * week + 4).days(), 0.15)).collect();
    bencher.bench(|| helpful_evenings(black_box(&season), &fridays, &SeasonBudget::default()));
}

/// Half of the Tuesdays unsold.
#[divan::bench(sample_count = 3)]
fn room_on_20_unsold_evenings(bencher: Bencher<'_, '_>) {
    let season = season(40, 4, 5);
    let latest = |date: Date| Some(date + 28.days());
    bencher.bench(|| room_for_more(black_box(&season), 0.2, latest, &SeasonBudget::default()));
}
