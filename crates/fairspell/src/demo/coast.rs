//! An invented outline of land: an east-facing coast with an estuary.

use fairspell_ground::LatLon;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// The mainland's shore from north to south, degrees north and east.
const MAINLAND: [(f64, f64); 40] = [
    (-30.60, 153.12),
    (-30.78, 153.06),
    (-30.93, 153.08),
    (-31.08, 153.02),
    (-31.25, 152.98),
    (-31.38, 152.93),
    (-31.47, 152.95),
    (-31.56, 152.88),
    (-31.63, 152.85),
    (-31.68, 152.818),
    (-31.705, 152.800),
    (-31.7155, 152.7965),
    // Into the estuary: harbour, boathouse, marsh, and out again on the other side.
    (-31.7195, 152.7890),
    (-31.7210, 152.7845),
    (-31.7228, 152.7760),
    (-31.7185, 152.7590),
    (-31.7250, 152.7420),
    (-31.7175, 152.7230),
    (-31.7290, 152.7205),
    (-31.7300, 152.7440),
    (-31.7270, 152.7600),
    (-31.7290, 152.7735),
    (-31.7262, 152.7860),
    (-31.7245, 152.7960),
    // The headland and southward.
    (-31.7268, 152.8030),
    (-31.7315, 152.8040),
    (-31.7450, 152.7930),
    (-31.79, 152.775),
    (-31.88, 152.700),
    (-31.98, 152.610),
    (-32.12, 152.560),
    (-32.25, 152.575),
    (-32.40, 152.535),
    (-32.60, 152.400),
    (-32.78, 152.260),
    (-32.92, 152.130),
    (-33.045, 152.026),
    (-33.070, 151.990),
    (-33.35, 151.720),
    (-33.80, 151.420),
];

/// An island off the estuary.
const ISLAND: [(f64, f64); 6] = [
    (-31.655, 152.905),
    (-31.662, 152.918),
    (-31.676, 152.921),
    (-31.684, 152.909),
    (-31.671, 152.899),
    (-31.655, 152.905),
];

/// How often each stretch is halved and bent.
const HALVINGS: u32 = 3;
/// How far a halved stretch may be bent, as a share of its length.
const BEND: f64 = 0.11;

/// The shore lines, for maps: the mainland from north to south, and an island.
pub(crate) fn coast() -> anyhow::Result<Vec<Vec<LatLon>>> {
    let mut random = ChaCha8Rng::seed_from_u64(31);
    [&MAINLAND[..], &ISLAND[..]].into_iter().map(|line| shore(line, &mut random)).collect()
}

fn shore(corners: &[(f64, f64)], random: &mut ChaCha8Rng) -> anyhow::Result<Vec<LatLon>> {
    let mut line = corners.to_vec();
    for _ in 0..HALVINGS {
        let mut bent = Vec::with_capacity(2 * line.len());
        for pair in line.windows(2) {
            let [(lat0, lon0), (lat1, lon1)] = [pair[0], pair[1]];
            let bend = random.random_range(-BEND..BEND);
            bent.push((lat0, lon0));
            bent.push((
                f64::midpoint(lat0, lat1) + bend * (lon1 - lon0),
                f64::midpoint(lon0, lon1) - bend * (lat1 - lat0),
            ));
        }
        bent.extend(line.last());
        line = bent;
    }
    line.into_iter().map(|(lat, lon)| Ok(LatLon::new(rounded(lat), rounded(lon))?)).collect()
}

/// To a metre or two.
fn rounded(degrees: f64) -> f64 {
    (degrees * 1e5).round() / 1e5
}
