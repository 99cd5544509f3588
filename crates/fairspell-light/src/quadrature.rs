//! Where to look and how to weigh it, so that a sum over looks is the integral.

/// Gauss-Legendre nodes and weights on -1 to 1: four looks are exact for polynomials of degree 7.
const GAUSS: [(f64, f64); 4] = [
    (-0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
    (-0.339_981_043_584_856_26, 0.652_145_154_862_546_2),
    (0.339_981_043_584_856_26, 0.652_145_154_862_546_2),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];

/// Nodes and weights from `from` to `to`, four in each of as many equal panels as it takes for none
/// to be wider than `widest`.
pub(crate) fn gauss_panels(from: f64, to: f64, widest: f64) -> impl Iterator<Item = (f64, f64)> {
    let width = to - from;
    let panels = panel_count(width / widest);
    let half = width / (2.0 * f64::from(panels));
    (0..panels).flat_map(move |panel| {
        let middle = from + half * (2.0 * f64::from(panel) + 1.0);
        GAUSS.iter().map(move |(x, w)| (middle + half * x, half * w))
    })
}

/// One panel at least, a thousand at most.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped before")]
fn panel_count(wanted: f64) -> u32 {
    wanted.ceil().clamp(1.0, 1000.0) as u32
}
