//! The eleven-day five-minute record: learned on its first half, tested on its second.

use std::ops::Range;

use fairspell_chance::{
    BrierParts, Chance, Character, Outcome, brier_score, p_dry_gap, reliability_by_bin,
    reliability_by_value,
};

use crate::gap::longest_dry;
use crate::{certain, p};

/// 10 May 00:00 to 15 May 12:00; the showery rates were learned here.
pub(crate) const FIRST_HALF: Range<usize> = 0..1584;
/// The rest, wetter by half: nothing was learned here.
pub(crate) const SECOND_HALF: Range<usize> = 1584..3168;

/// Rain sums per five minutes at four cells, unit 0.01 mm.
pub(crate) fn points() -> Vec<Vec<u32>> {
    let text = include_str!("../reference/real_rain_5min_points.csv");
    let mut points = vec![Vec::new(); 4];
    for row in csv::Reader::from_reader(text.as_bytes()).records() {
        for (point, sum) in points.iter_mut().zip(row.unwrap().iter().skip(1)) {
            point.push(sum.parse().unwrap());
        }
    }
    points
}

/// One window at one point.
struct Window {
    /// Of the four cells, those that had rain within the hour that ended two hours before.
    wet_cells: usize,
    wet: Vec<bool>,
}

/// Windows of so many steps, one begun every quarter of an hour.
fn windows(half: &Range<usize>, steps: usize) -> Vec<Window> {
    const LEAD_STEPS: usize = 24;
    const MEMORY_STEPS: usize = 12;
    let points = points();
    let starts = (half.start + LEAD_STEPS + MEMORY_STEPS..=half.end - steps).step_by(3);
    starts
        .flat_map(|start| {
            let known = start - LEAD_STEPS - MEMORY_STEPS..start - LEAD_STEPS;
            let wet_cells =
                points.iter().filter(|point| point[known.clone()].iter().any(|&s| s > 0)).count();
            points.iter().map(move |point| (wet_cells, start, point.clone())).collect::<Vec<_>>()
        })
        .map(|(wet_cells, start, point)| Window {
            wet_cells,
            wet: point[start..start + steps].iter().map(|&sum| sum > 0).collect(),
        })
        .collect()
}

/// Windows and gaps, minutes.
const QUESTIONS: [(f64, f64); 7] = [
    (45.0, 25.0),
    (60.0, 25.0),
    (90.0, 25.0),
    (120.0, 25.0),
    (120.0, 45.0),
    (180.0, 60.0),
    (180.0, 90.0),
];

fn steps(minutes: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from QUESTIONS")]
    let steps = (minutes / 5.0) as usize;
    steps
}

fn share<'a>(
    windows: impl IntoIterator<Item = &'a Window>,
    event: impl Fn(&Window) -> bool,
) -> f64 {
    let (mut count, mut happened) = (0.0, 0.0);
    for window in windows {
        count += 1.0;
        happened += f64::from(u8::from(event(window)));
    }
    happened / count
}

fn any_wet(window: &Window) -> bool {
    window.wet.contains(&true)
}

fn p_gap(p_wet: f64, (window_min, gap_min): (f64, f64)) -> Chance {
    p_dry_gap(&certain(p_wet), window_min, gap_min, Character::Showery).unwrap()
}

/// What would be said if every step were wet or dry for itself.
fn p_gap_of_independent_steps(p_wet: f64, steps: usize, gap: usize) -> f64 {
    let dry = (1.0 - p_wet).powf(1.0 / steps as f64);
    // By length of the present dry run, as long as there was no gap.
    let mut runs = vec![0.0; gap];
    runs[0] = 1.0;
    for _ in 0..steps {
        let no_gap: f64 = runs.iter().sum();
        for length in (1..gap).rev() {
            runs[length] = runs[length - 1] * dry;
        }
        runs[0] = no_gap * (1.0 - dry);
    }
    1.0 - runs.iter().sum::<f64>()
}

#[test]
fn wet_windows_of_the_second_half_have_as_many_gaps_as_the_first_taught() {
    for question in QUESTIONS {
        let (window, gap) = (steps(question.0), steps(question.1));
        let windows = windows(&SECOND_HALF, window);
        let p_wet = share(&windows, any_wet);
        let gap_given_wet = |p_gap: f64| 1.0 - (1.0 - p_gap) / p_wet;

        let seen = gap_given_wet(share(&windows, |w| longest_dry(&w.wet) >= gap));
        let said = p_gap(p_wet, question);
        let [low, centre, high] =
            [said.low, said.centre, said.high].map(|p| gap_given_wet(p.get()));
        // The two halves themselves differ by up to 0.045.
        assert!((centre - seen).abs() < 0.045, "{question:?}: said {centre}, seen {seen}");
        assert!(low < seen && seen < high, "{question:?}: said {low} to {high}, seen {seen}");

        let independent = gap_given_wet(p_gap_of_independent_steps(p_wet, window, gap));
        assert!((independent - seen).abs() > 0.1, "{question:?}: {independent}, seen {seen}");
    }
}

/// What is said of every window of the second half, and what came.
struct Said {
    gap: Vec<Outcome>,
    /// The frequency of each question in the second half itself, which nobody could know before.
    base_rate: Vec<Outcome>,
}

/// For each window, the chance of wet minutes as frequent as it was in `taught` for the number of
/// cells that had rain two hours before; from it the chance of a gap.
fn said_of_the_second_half(taught: &Range<usize>) -> Said {
    let mut said = Said { gap: Vec::new(), base_rate: Vec::new() };
    for question in QUESTIONS {
        let has_gap = |w: &Window| longest_dry(&w.wet) >= steps(question.1);
        let known = windows(taught, steps(question.0));
        let asked = windows(&SECOND_HALF, steps(question.0));
        let base_rate = p(share(&asked, has_gap));
        for wet_cells in 0..=4 {
            let same_sky = |w: &&Window| w.wet_cells == wet_cells;
            let p_wet = share(known.iter().filter(same_sky), any_wet);
            let p_gap = p_gap(p_wet, question).centre;
            for window in asked.iter().filter(same_sky) {
                let happened = has_gap(window);
                said.gap.push(Outcome { p: p_gap, happened });
                said.base_rate.push(Outcome { p: base_rate, happened });
            }
        }
    }
    said
}

/// Brier skill against always stating the base rate of the question at hand.
fn skill(said: &Said) -> f64 {
    1.0 - brier_score(&said.gap).unwrap() / brier_score(&said.base_rate).unwrap()
}

#[test]
fn given_right_chances_of_rain_the_chance_of_a_gap_is_reliable() {
    let said = said_of_the_second_half(&SECOND_HALF);
    for row in reliability_by_bin(&said.gap, 20) {
        // 200 windows overlap on a dozen showers: a standard deviation of about 0.03.
        let off = row.p.get() - row.frequency();
        assert!(off.abs() < 0.06, "{row:?}: seen {}", row.frequency());
    }
    let parts = BrierParts::from_rows(&reliability_by_value(&said.gap)).unwrap();
    assert!(parts.reliability < 0.001, "{parts:?}");
    assert!(skill(&said) > 0.06, "{}", skill(&said));
}

#[test]
fn with_all_learned_in_the_first_half_the_chance_of_a_gap_still_has_skill() {
    let said = said_of_the_second_half(&FIRST_HALF);
    let parts = BrierParts::from_rows(&reliability_by_value(&said.gap)).unwrap();
    // The second half was wetter by half than the first could teach.
    assert!(parts.reliability < 0.003, "{parts:?}");
    assert!(skill(&said) > 0.04, "{}", skill(&said));
}
