//! Where the strokes of rain fall: as many as rain is likely, evenly scattered, always the same.

use crate::rain_pieces::Piece;

/// A stroke by its middle, in fractions of the band's width and height, and its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stroke {
    pub(crate) across: f64,
    pub(crate) down: f64,
    /// Relative to a stroke of light rain, about 0.7 to 2.4.
    pub(crate) length: f64,
    /// How much it leans, relative to the usual; a hand does not rule lines.
    pub(crate) lean: f64,
}

/// Thins an even scatter of places over the band to the likelihood at each moment.
///
/// - `squares`: the band's width in multiples of its height; the scatter is made for one square and
///   laid side by side.
/// - `most`: places in a square, all of which are taken where rain is certain.
///
/// Each place has a threshold of its own and is taken where rain is likelier than that. So a
/// likelier hour keeps every stroke of a less likely one and adds to them, an hour at 0 has none,
/// and the number is proportional to the likelihood.
pub(crate) fn scattered(pieces: &[Piece], span_min: f64, squares: f64, most: usize) -> Vec<Stroke> {
    let places = even_places(most);
    let mut strokes = Vec::new();
    let mut square = 0.0;
    while square < squares {
        // Shifted up and down from square to square, and in its thresholds, so that the eye finds
        // no repetition and faint rain shows somewhere.
        let shift = (square * GOLDEN).fract();
        for (rank, place) in places.iter().enumerate() {
            let across = (square + place.0) / squares;
            let at_min = across * span_min;
            let piece =
                pieces.iter().find(|piece| at_min >= piece.from_min && at_min < piece.to_min);
            let Some(rain) = piece.and_then(|piece| piece.rain) else { continue };
            let threshold = (rank as f64 + (square * GOLDEN * GOLDEN).fract()) / most as f64;
            if across < 1.0 && threshold < rain.p {
                let jitter = (rank as f64 * GOLDEN + shift).fract() - 0.5;
                strokes.push(Stroke {
                    across,
                    down: (place.1 + shift).fract(),
                    length: relative_length(rain.rate_mm_h) * (1.0 + 0.3 * jitter),
                    lean: 1.0 + 0.25 * jitter,
                });
            }
        }
        square += 1.0;
    }
    strokes
}

/// The golden ratio less one: its multiples never come near each other.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// Places in a unit square of which the first few are as evenly spread as all of them: each is the
/// one of sixteen candidates that lies furthest from those before it, across the edges too.
///
/// # Source
///
/// Best-candidate sampling: D. Mitchell, "Spectrally optimal sampling for distribution ray tracing",
/// SIGGRAPH (1991). Candidates come from an additive recurrence on the root of x³ = x + 1 instead
/// of chance: M. Roberts, "The unreasonable effectiveness of quasirandom sequences" (2018). The
/// recurrence alone lines strokes up in slanted rows.
fn even_places(count: usize) -> Vec<(f64, f64)> {
    const ROOT: f64 = 1.324_717_957_244_746;
    const CANDIDATES: usize = 16;
    let mut places: Vec<(f64, f64)> = Vec::with_capacity(count);
    for rank in 0..count {
        let candidate = |index: usize| {
            let step = (rank * CANDIDATES + index) as f64;
            ((0.5 + step / ROOT).fract(), (0.5 + step / (ROOT * ROOT)).fract())
        };
        let room = |place: &(f64, f64)| {
            let squared =
                places.iter().map(|other| around(place.0, other.0) + around(place.1, other.1));
            squared.fold(f64::INFINITY, f64::min)
        };
        let rooms = (0..CANDIDATES).map(candidate).map(|place| (room(&place), place));
        let best = rooms.max_by(|a, b| a.0.total_cmp(&b.0));
        places.extend(best.map(|(_, place)| place));
    }
    places
}

/// Squared distance along one axis of a square whose edges touch.
fn around(a: f64, b: f64) -> f64 {
    let apart = (a - b).abs();
    apart.min(1.0 - apart).powi(2)
}

/// From 0.7 for drizzle over 1 at 1 mm/h to 2.4 in a downpour; without a rate as for 1.5 mm/h.
fn relative_length(rate_mm_h: Option<f64>) -> f64 {
    (0.7 + 0.43 * rate_mm_h.unwrap_or(1.5).ln_1p()).min(2.4)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::rain_pieces::KnownRain;

    fn count(p: f64, most: usize) -> usize {
        let rain = Some(KnownRain { p, rate_mm_h: Some(1.0) });
        scattered(&[Piece { from_min: 0.0, to_min: 60.0, rain }], 60.0, 10.0, most).len()
    }

    proptest! {
        #[test]
        fn likelier_rain_never_has_fewer_strokes(p in 0.0..=1.0, more in 0.0..=1.0) {
            prop_assert!(count(f64::max(p, more), 100) >= count(f64::min(p, more), 100));
        }

        /// Thresholds are a hundredth of a square's strokes apart, hence one per cent.
        #[test]
        fn strokes_are_in_proportion_to_the_likelihood(p in 0.0..=1.0) {
            prop_assert!((count(p, 100) as f64 / 1000.0 - p).abs() <= 0.01);
        }
    }

    /// A regular grid of as many has neighbours 1 / √count apart.
    #[test]
    fn strokes_keep_apart_however_few_are_drawn() {
        for count in [10, 50, 100] {
            let places = even_places(count);
            for (index, a) in places.iter().enumerate() {
                for b in &places[..index] {
                    let apart = (around(a.0, b.0) + around(a.1, b.1)).sqrt();
                    assert!(apart > 0.45 / (count as f64).sqrt(), "{count}: {apart}");
                }
            }
        }
    }

    #[test]
    fn heavier_rain_has_longer_strokes() {
        assert!(relative_length(Some(0.2)) < relative_length(Some(3.0)));
        assert!(relative_length(Some(3.0)) < relative_length(Some(20.0)));
    }

    #[test]
    fn what_is_not_known_has_no_strokes() {
        let piece = Piece { from_min: 0.0, to_min: 60.0, rain: None };
        assert_eq!(scattered(&[piece], 60.0, 10.0, 100), []);
    }
}
