//! A season played again and again, evening by evening: the check on the exact solver, and the
//! answer where there are too many states for it.

use jiff::civil::Date;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::season_chain::{Course, days_between, monday_of, p_lost_after};
use crate::season_risk::{
    EveningUse, SeasonError, SeasonEvening, SeasonMethod, SeasonProblem, SeasonRisk, SessionRisk,
};

/// Plays the season `runs` times and counts.
///
/// Shares nothing with the exact solver but the weather's chances: it goes by dates, one family after
/// the other, as a studio would.
///
/// - `runs`: how often, at least once.
/// - `seed`: the same seed, the same answer.
///
/// # Errors
///
/// As [`season_risk`](crate::season_risk::season_risk).
///
/// # Examples
///
/// ```
/// use fairspell_plan::season_risk::{
///     EveningUse, SeasonEvening, SeasonProblem, SeasonRules, SeasonSession, simulate_season,
/// };
/// use jiff::civil::date;
///
/// let season = SeasonProblem {
///     evenings: vec![SeasonEvening {
///         date: date(2026, 9, 1),
///         p_lost: 0.2,
///         use_: EveningUse::Sold(0),
///     }],
///     sessions: vec![SeasonSession { id: "A".to_owned(), latest: None, waiting_since: None }],
///     rules: SeasonRules { correlation: 0.25, notice_days: 1, sessions_a_week_max: 3 },
///     made_this_week: 0,
/// };
/// // A single evening and no reserve: four times in five, give or take what 10 000 runs allow.
/// let risk = simulate_season(&season, 10_000, 7)?;
/// assert!((risk.p_all_delivered - 0.8).abs() < 0.02);
/// # Ok::<(), fairspell_plan::season_risk::SeasonError>(())
/// ```
pub fn simulate_season(
    problem: &SeasonProblem,
    runs: u32,
    seed: u64,
) -> Result<SeasonRisk, SeasonError> {
    Course::new(problem)?;
    let runs = runs.max(1);
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let play = Play::new(problem);
    let mut delivered = vec![0_u32; problem.sessions.len()];
    let mut moves = vec![0_u64; problem.sessions.len()];
    let (mut all, mut moves_sum, mut moves_squares) = (0_u32, 0.0, 0.0);
    for _ in 0..runs {
        let (made, lost) = play.once(&mut rng);
        all += u32::from(made.iter().all(|&made| made));
        for (count, made) in delivered.iter_mut().zip(&made) {
            *count += u32::from(*made);
        }
        for (count, lost) in moves.iter_mut().zip(&lost) {
            *count += u64::from(*lost);
        }
        let lost: u32 = lost.iter().sum();
        moves_sum += f64::from(lost);
        moves_squares += f64::from(lost) * f64::from(lost);
    }
    let n = f64::from(runs);
    let shrunk = (f64::from(all) + 1.0) / (n + 2.0);
    let mean = moves_sum / n;
    let variance = (moves_squares - n * mean * mean).max(0.0) / (n - 1.0);
    Ok(SeasonRisk {
        p_all_delivered: f64::from(all) / n,
        sessions: (delivered.iter().zip(&moves))
            .map(|(&delivered, &moves)| SessionRisk {
                p_delivered: f64::from(delivered) / n,
                moves_expected: moves as f64 / n,
            })
            .collect(),
        moves_expected: mean,
        method: SeasonMethod::Simulated {
            runs,
            standard_error: (shrunk * (1.0 - shrunk) / n).sqrt(),
            moves_standard_error: (runs > 1).then(|| (variance / n).sqrt()),
        },
    })
}

/// A season to be played.
struct Play<'a> {
    problem: &'a SeasonProblem,
    /// The chance of losing each evening after a fine one and after a lost one.
    p_lost: Vec<[f64; 2]>,
    /// The last open evening that serves each session.
    last_chance: Vec<Option<Date>>,
    /// For each evening, what is sold on later evenings of its week.
    sold_ahead: Vec<usize>,
}

impl<'a> Play<'a> {
    fn new(problem: &'a SeasonProblem) -> Self {
        let evenings = &problem.evenings;
        let mut p_lost = vec![[evenings[0].p_lost; 2]];
        p_lost.extend(evenings.windows(2).map(|pair| {
            let days = days_between(pair[0].date, pair[1].date);
            p_lost_after(pair[0].p_lost, pair[1].p_lost, problem.rules.correlation, days)
        }));
        let sold = |use_| matches!(use_, EveningUse::Sold(_));
        let last_chance = problem.sessions.iter().map(|session| {
            let serves = |date: &Date| session.latest.is_none_or(|latest| *date <= latest);
            evenings.iter().filter(|e| !sold(e.use_)).map(|e| e.date).rfind(serves)
        });
        let sold_ahead = (0..evenings.len()).map(|at| {
            let week = monday_of(evenings[at].date);
            let same_week =
                |other: &&SeasonEvening| monday_of(other.date) == week && sold(other.use_);
            evenings[at + 1..].iter().take(6).filter(same_week).count()
        });
        Self {
            problem,
            p_lost,
            last_chance: last_chance.collect(),
            sold_ahead: sold_ahead.collect(),
        }
    }

    /// One season: who was made in time, and how many evenings each lost.
    fn once(&self, rng: &mut impl Rng) -> (Vec<bool>, Vec<u32>) {
        let SeasonProblem { evenings, sessions, rules, made_this_week } = self.problem;
        let mut in_time = vec![false; sessions.len()];
        let mut moves = vec![0; sessions.len()];
        let mut queue: Vec<(Date, usize)> = sessions
            .iter()
            .enumerate()
            .filter_map(|(session, s)| Some((s.waiting_since?, session)))
            .collect();
        let (mut week, mut made) = (monday_of(evenings[0].date), *made_this_week);
        let mut lost_before = false;
        for (at, evening) in evenings.iter().enumerate() {
            let today = evening.date;
            if monday_of(today) != week {
                (week, made) = (monday_of(today), 0);
            }
            let has_it = match evening.use_ {
                EveningUse::Sold(session) => Some(session),
                _ if made + self.sold_ahead[at] >= rules.sessions_a_week_max => None,
                _ => queue
                    .iter()
                    .filter(|(since, _)| days_between(*since, today) >= rules.notice_days)
                    .filter(|(_, session)| self.last_chance[*session].is_some_and(|d| d >= today))
                    .min_by_key(|(since, session)| (self.last_chance[*session], *since, *session))
                    .map(|&(_, session)| session),
            };
            let lost = rng.random::<f64>() < self.p_lost[at][usize::from(lost_before)];
            lost_before = lost;
            let Some(session) = has_it else { continue };
            queue.retain(|&(_, other)| other != session);
            if lost {
                moves[session] += 1;
                queue.push((today, session));
            } else {
                made += 1;
                in_time[session] = sessions[session].latest.is_none_or(|latest| latest >= today);
            }
        }
        (in_time, moves)
    }
}
