//! Plans against outside solvers; see `tests/reference/README.md`.

use fairspell_plan::moves::{MoveLimit, MoveNext, MoveProblem, MoveSession, NoMoves, best_moves};
use serde_json::Value;

fn indices(value: &Value) -> Vec<usize> {
    let index = |value: &Value| usize::try_from(value.as_u64().unwrap()).unwrap();
    value.as_array().unwrap().iter().map(index).collect()
}

fn problem(value: &Value) -> MoveProblem {
    let costs: Vec<Vec<Option<f64>>> = serde_json::from_value(value["costs"].clone()).unwrap();
    let stay = value["stay"].as_array().unwrap().iter().enumerate();
    let limit = |limit: &Value| MoveLimit {
        name: limit["name"].as_str().unwrap().to_owned(),
        evenings: indices(&limit["evenings"]),
        sessions: (!limit["sessions"].is_null()).then(|| indices(&limit["sessions"])),
        at_most: usize::try_from(limit["at_most"].as_u64().unwrap()).unwrap(),
    };
    MoveProblem {
        sessions: stay
            .map(|(s, cost)| MoveSession { id: s.to_string(), unplaced_cost: cost.as_f64() })
            .collect(),
        evenings: (0..costs[0].len()).map(|e| e.to_string()).collect(),
        limits: value["limits"].as_array().unwrap().iter().map(limit).collect(),
        costs,
    }
}

/// `HiGHS` 1.16.0; costs are quarters, so sums are exact in both.
#[test]
fn twelve_problems_cost_what_an_integer_programme_says() {
    let problems: Vec<Value> =
        serde_json::from_str(include_str!("../reference/moves/problems.json")).unwrap();
    assert_eq!(problems.len(), 12);
    let (mut solved, mut nexts) = (0, 0);
    for (index, outside) in problems.iter().enumerate() {
        let what = format!("problem {}", index + 1);
        let Some(least) = outside["least"].as_f64() else {
            let clash = best_moves(&problem(outside)).unwrap_err();
            assert!(matches!(clash, NoMoves::Clash(_)), "{what}: {clash:?}");
            continue;
        };
        solved += 1;
        let moves = best_moves(&problem(outside)).unwrap();
        assert!(moves.proof.proven && moves.proof.second_proven, "{what}");
        assert!((moves.best.cost - least).abs() < 1e-9, "{what}: {}", moves.best.cost);
        let second = moves.second.map(|second| second.cost);
        assert_eq!(second, outside["second"].as_f64(), "{what}: second");
        // Without what a session got: comparable wherever both plans give it the same.
        for row in outside["without"].as_array().unwrap() {
            let s = usize::try_from(row[0].as_u64().unwrap()).unwrap();
            let choice = &moves.choices[s];
            if choice.evening.map(|e| e as u64) != row[1].as_u64() {
                continue;
            }
            nexts += 1;
            let next =
                row[2].as_f64().map_or(MoveNext::Impossible, |it| MoveNext::Rises(it - least));
            assert_eq!(choice.next, next, "{what}: session {s}");
        }
    }
    assert!(solved >= 9 && nexts > 100, "{solved} solved, {nexts} compared");
}
