//! How long it takes from spot to spot.

use crate::check::Names;
use crate::error::SheetError;
use crate::problem::SheetProblem;

/// Minutes from every spot to every other.
pub(crate) fn walks_min(
    problem: &SheetProblem,
    spots: &Names<'_>,
) -> Result<Vec<Vec<u32>>, SheetError> {
    let count = problem.spots.len();
    let mut given: Vec<Vec<Option<u32>>> = vec![vec![None; count]; count];
    for walk in &problem.walks {
        let from = spots.find(&walk.from, "walks")?;
        let to = spots.find(&walk.to, "walks")?;
        if from == to || given[from][to].is_some() {
            let name = format!("{} to {}", walk.from, walk.to);
            return Err(SheetError::Twice { what: "walk", name });
        }
        given[from][to] = Some(walk.minutes);
        given[to][from] = Some(walk.minutes);
    }
    let name = |spot: usize| problem.spots[spot].name.clone();
    let mut minutes = vec![vec![0; count]; count];
    for from in 0..count {
        for to in (0..count).filter(|to| *to != from) {
            minutes[from][to] = given[from][to]
                .ok_or_else(|| SheetError::NoWalk { from: name(from), to: name(to) })?;
        }
    }
    for from in 0..count {
        for to in 0..count {
            for over in 0..count {
                let detour_min = minutes[from][over].saturating_add(minutes[over][to]);
                if minutes[from][to] > detour_min {
                    return Err(SheetError::Triangle {
                        from: name(from),
                        to: name(to),
                        over: name(over),
                        direct_min: minutes[from][to],
                        detour_min,
                    });
                }
            }
        }
    }
    Ok(minutes)
}
