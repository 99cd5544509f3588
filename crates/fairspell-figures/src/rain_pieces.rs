//! Rain slots, however they overlap, as pieces that tile the evening: known or not known.

use crate::evening::RainSlot;

/// What is known of the rain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct KnownRain {
    /// 0 to 1.
    pub(crate) p: f64,
    pub(crate) rate_mm_h: Option<f64>,
}

/// A stretch of the evening with one answer; `None` is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    pub(crate) from_min: f64,
    pub(crate) to_min: f64,
    pub(crate) rain: Option<KnownRain>,
}

/// Tiles `0..span_min`, neighbours with the same answer joined. Empty for a span that is not
/// positive.
///
/// Where slots overlap, not known wins over known, since missing is never dry; of two that are
/// known the likelier wins.
pub(crate) fn pieces(slots: &[RainSlot], span_min: f64) -> Vec<Piece> {
    if !(span_min.is_finite() && span_min > 0.0) {
        return Vec::new();
    }
    let mut edges = vec![0.0, span_min];
    for slot in slots {
        edges.extend([slot.from_min, slot.to_min].into_iter().filter(|&e| e > 0.0 && e < span_min));
    }
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let mut tiles: Vec<Piece> = Vec::new();
    for bounds in edges.windows(2) {
        let (from_min, to_min) = (bounds[0], bounds[1]);
        let rain = answer(slots, from_min, to_min);
        match tiles.last_mut() {
            Some(last) if last.rain == rain => last.to_min = to_min,
            _ => tiles.push(Piece { from_min, to_min, rain }),
        }
    }
    tiles
}

/// The stretches of the evening in which the rain is known, joined, and those in which it is not.
pub(crate) fn stretches(pieces: &[Piece]) -> Vec<(f64, f64, bool)> {
    let mut joined: Vec<(f64, f64, bool)> = Vec::new();
    for piece in pieces {
        match joined.last_mut() {
            Some(last) if last.2 == piece.rain.is_some() => last.1 = piece.to_min,
            _ => joined.push((piece.from_min, piece.to_min, piece.rain.is_some())),
        }
    }
    joined
}

fn answer(slots: &[RainSlot], from_min: f64, to_min: f64) -> Option<KnownRain> {
    let mut likeliest: Option<KnownRain> = None;
    for slot in slots.iter().filter(|slot| slot.from_min <= from_min && slot.to_min >= to_min) {
        let p = slot.p_rain.filter(|p| p.is_finite() && *p >= 0.0)?.min(1.0);
        if likeliest.is_none_or(|rain| p > rain.p) {
            let rate_mm_h = slot.rain_rate_mm_h.filter(|rate| rate.is_finite() && *rate >= 0.0);
            likeliest = Some(KnownRain { p, rate_mm_h });
        }
    }
    likeliest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slot(from_min: f64, to_min: f64, p_rain: Option<f64>) -> RainSlot {
        RainSlot { from_min, to_min, p_rain, rain_rate_mm_h: None }
    }

    #[test]
    fn what_no_slot_covers_is_not_known() {
        let tiles = pieces(&[slot(10.0, 20.0, Some(0.0))], 30.0);
        let known: Vec<bool> = tiles.iter().map(|tile| tile.rain.is_some()).collect();
        assert_eq!(known, [false, true, false]);
    }

    #[test]
    fn not_known_wins_over_dry_where_slots_overlap() {
        let tiles = pieces(&[slot(0.0, 30.0, Some(0.0)), slot(10.0, 20.0, None)], 30.0);
        assert_eq!(stretches(&tiles), [(0.0, 10.0, true), (10.0, 20.0, false), (20.0, 30.0, true)]);
    }

    #[test]
    fn the_likelier_of_two_answers_wins() {
        let tiles = pieces(&[slot(0.0, 30.0, Some(0.2)), slot(0.0, 30.0, Some(0.7))], 30.0);
        assert_eq!(tiles.len(), 1);
        assert_eq!(tiles[0].rain.map(|rain| rain.p), Some(0.7));
    }

    #[test]
    fn a_code_for_missing_is_not_known() {
        for code in [-9999.0, f64::NAN, f64::INFINITY] {
            assert_eq!(pieces(&[slot(0.0, 30.0, Some(code))], 30.0)[0].rain, None);
        }
    }
}
