//! Laying labels out so that none covers another.

/// For each extent (from, to), given in any order, the first row in which it is free of those
/// placed before it; earlier beginnings are placed first.
pub(crate) fn packed(extents: &[(f64, f64)], clearance: f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..extents.len()).collect();
    order.sort_by(|&a, &b| extents[a].0.total_cmp(&extents[b].0));
    let mut rows = vec![0; extents.len()];
    let mut ends: Vec<f64> = Vec::new();
    for index in order {
        let (from, to) = extents[index];
        let row = ends.iter().position(|&end| end + clearance <= from).unwrap_or(ends.len());
        if row == ends.len() {
            ends.push(to);
        } else {
            ends[row] = to;
        }
        rows[index] = row;
    }
    rows
}

/// How many rows there are, from each label's.
pub(crate) fn rows_of(rows: impl Iterator<Item = usize>) -> usize {
    rows.max().map_or(0, |deepest| deepest + 1)
}

/// A label that hangs from a point of the line by a leader.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Hung {
    /// Left end of the text.
    pub(crate) text_left: f64,
    /// The text stands left of its leader and ends at it.
    pub(crate) ends_at_leader: bool,
    pub(crate) row: usize,
}

impl Hung {
    /// Whether the text stands on one side of its leader at `x`, and not across it.
    pub(crate) fn is_beside(&self, x: f64) -> bool {
        self.ends_at_leader || self.text_left >= x + LEADER_SPACE - 1e-6
    }
}

/// Space between a leader and its own text.
pub(crate) const LEADER_SPACE: f64 = 5.0;
const CLEARANCE: f64 = 12.0;

/// Hangs labels (point, text width) under a line between `left` and `right`: no text covers
/// another, and no leader runs through another's text.
///
/// Texts stand to the right of their leader, deeper the further left they begin; towards the right
/// end some stand to the left of theirs instead, as many as takes the fewest rows. `None` for points
/// so crowded, or texts so wide, that nothing works.
pub(crate) fn hung(labels: &[(f64, f64)], left: f64, right: f64) -> Option<Vec<Hung>> {
    in_order(labels, |sorted| {
        (0..=sorted.len())
            .rev()
            .filter_map(|split| with_split(sorted, split, left, right))
            .min_by_key(|placed| placed.iter().map(|label| label.row).max())
    })
}

/// Hangs each label in a row of its own, which always works: no text covers another, but a leader
/// may run through one.
pub(crate) fn hung_apart(labels: &[(f64, f64)], left: f64, right: f64) -> Vec<Hung> {
    in_order(labels, |sorted| Some(one_each(sorted, left, right))).unwrap_or_default()
}

/// Places labels from left to right and gives them back as they came.
fn in_order(
    labels: &[(f64, f64)],
    place: impl Fn(&[(f64, f64)]) -> Option<Vec<Hung>>,
) -> Option<Vec<Hung>> {
    let mut order: Vec<usize> = (0..labels.len()).collect();
    order.sort_by(|&a, &b| labels[a].0.total_cmp(&labels[b].0));
    let sorted: Vec<(f64, f64)> = order.iter().map(|&i| labels[i]).collect();
    let placed = place(&sorted)?;
    let mut out = placed.clone();
    for (position, index) in order.into_iter().enumerate() {
        out[index] = placed[position];
    }
    Some(out)
}

/// Labels before `split` stand right of their leaders, the others left of theirs.
fn with_split(labels: &[(f64, f64)], split: usize, left: f64, right: f64) -> Option<Vec<Hung>> {
    let mut out = vec![Hung { text_left: left, ends_at_leader: false, row: 0 }; labels.len()];
    for i in split..labels.len() {
        let (x, width) = labels[i];
        let text_left = x - LEADER_SPACE - width;
        if text_left < left {
            return None;
        }
        // Below every text to the left that it would touch; their leaders end above it.
        let row = (split..i)
            .filter(|&j| labels[j].0 + CLEARANCE > text_left)
            .map(|j| out[j].row + 1)
            .max()
            .unwrap_or(0);
        out[i] = Hung { text_left, ends_at_leader: true, row };
    }
    for i in (0..split).rev() {
        let (x, width) = labels[i];
        let text_left = x + LEADER_SPACE;
        let text_right = text_left + width;
        if text_right > right {
            return None;
        }
        let mut row = 0;
        for j in i + 1..labels.len() {
            let begins = if j < split { labels[j].0 } else { out[j].text_left };
            if begins < text_right + CLEARANCE {
                if j >= split && x + CLEARANCE > begins {
                    return None;
                }
                row = row.max(out[j].row + 1);
            }
        }
        out[i] = Hung { text_left, ends_at_leader: false, row };
    }
    Some(out)
}

fn one_each(labels: &[(f64, f64)], left: f64, right: f64) -> Vec<Hung> {
    let place = |(position, &(x, width)): (usize, &(f64, f64))| Hung {
        text_left: (x + LEADER_SPACE).min(right - width).max(left),
        ends_at_leader: false,
        row: labels.len() - 1 - position,
    };
    labels.iter().enumerate().map(place).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn labels() -> impl Strategy<Value = Vec<(f64, f64)>> {
        prop::collection::vec((0.0..900.0, 10.0..160.0), 0..7)
    }

    proptest! {
        #[test]
        fn hung_texts_never_cover_each_other(labels in labels()) {
            let placed = hung(&labels, 0.0, 900.0)
                .unwrap_or_else(|| hung_apart(&labels, 0.0, 900.0));
            for (i, a) in placed.iter().enumerate() {
                prop_assert!(a.text_left >= 0.0 && a.text_left + labels[i].1 <= 900.0 + 1e-9);
                for (j, b) in placed.iter().enumerate().skip(i + 1) {
                    let apart = a.text_left + labels[i].1 <= b.text_left
                        || b.text_left + labels[j].1 <= a.text_left;
                    prop_assert!(a.row != b.row || apart, "{labels:?} {placed:?}");
                }
            }
        }

        #[test]
        fn a_leader_never_runs_through_another_text(labels in labels()) {
            if let Some(placed) = hung(&labels, 0.0, 900.0) {
                for (i, a) in placed.iter().enumerate() {
                    for (j, b) in placed.iter().enumerate() {
                        let through = labels[i].0 > b.text_left
                            && labels[i].0 < b.text_left + labels[j].1;
                        prop_assert!(i == j || b.row >= a.row || !through, "{labels:?} {placed:?}");
                    }
                }
            }
        }

        #[test]
        fn packed_extents_are_apart_in_their_row(starts in prop::collection::vec((0.0..500.0, 0.0..90.0), 0..12)) {
            let extents: Vec<_> = starts.iter().map(|&(from, long)| (from, from + long)).collect();
            let rows = packed(&extents, 4.0);
            for i in 0..extents.len() {
                for j in 0..i {
                    let apart = extents[i].1 + 4.0 <= extents[j].0 || extents[j].1 + 4.0 <= extents[i].0;
                    prop_assert!(rows[i] != rows[j] || apart);
                }
            }
        }
    }

    #[test]
    fn far_apart_labels_share_the_first_row() {
        let placed = hung(&[(100.0, 80.0), (400.0, 80.0)], 0.0, 900.0).unwrap();
        assert!(placed.iter().all(|label| label.row == 0));
    }
}
