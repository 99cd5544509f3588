use fairspell_ground::sightline::{
    EYE_HEIGHT_M, dip_deg, horizon_distance_km, terrain_elevation_deg, trees_height_deg,
};
use proptest::prelude::*;

const DIP: &str = include_str!("../reference/dip.csv");
const TERRAIN: &str = include_str!("../reference/terrain.csv");

fn numbers(table: &'static str) -> impl Iterator<Item = Vec<f64>> {
    table.lines().skip(1).map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
}

/// Half of the table's last digit.
#[test]
fn dip_and_horizon_agree_with_the_table() {
    assert_eq!(numbers(DIP).count(), 8);
    for row in numbers(DIP) {
        assert!((dip_deg(row[0]).unwrap() * 60.0 - row[2]).abs() <= 5.1e-4, "{row:?}");
        assert!((horizon_distance_km(row[0]).unwrap() - row[3]).abs() <= 5.1e-3, "{row:?}");
    }
}

/// Half of the table's last digit.
#[test]
fn hills_trees_and_islands_agree_with_the_table() {
    assert_eq!(numbers(TERRAIN).count(), 3);
    for row in numbers(TERRAIN) {
        let found_deg = terrain_elevation_deg(row[0], row[1]).unwrap();
        assert!((found_deg - row[2]).abs() <= 5.1e-4, "{row:?}: {found_deg}");
        let trees_deg = trees_height_deg(row[0] + EYE_HEIGHT_M, EYE_HEIGHT_M, row[1]).unwrap();
        assert!((trees_deg - row[2]).abs() <= 5.1e-4, "{row:?}: {trees_deg}");
    }
}

#[test]
fn what_cannot_be_seen_is_no_height() {
    assert_eq!(trees_height_deg(1.0, 1.6, 10.0), Some(0.0));
    for (height_m, distance_m) in
        [(10.0, 0.0), (10.0, -5.0), (f64::NAN, 5.0), (10.0, f64::INFINITY), (10.0, f64::NAN)]
    {
        assert_eq!(terrain_elevation_deg(height_m, distance_m), None);
        assert_eq!(trees_height_deg(height_m, EYE_HEIGHT_M, distance_m), None);
    }
    assert_eq!((dip_deg(-1.0), horizon_distance_km(f64::NAN)), (None, None));
}

proptest! {
    /// An eye at the water sees an island's shore vanish at the sea's horizon: from a height, level
    /// with the horizon's distance, the ground lies below by about the dip. The almanac's rule
    /// stands for a refraction between 0.13 and 0.17, hence five per cent.
    #[test]
    fn the_sea_at_the_horizon_lies_below_by_the_dip(eye_height_m in 1.0..500.0_f64) {
        let distance_m = horizon_distance_km(eye_height_m).unwrap() * 1000.0;
        let sea_deg = terrain_elevation_deg(-eye_height_m, distance_m).unwrap();
        let dip_deg = dip_deg(eye_height_m).unwrap();
        prop_assert!((sea_deg + dip_deg).abs() < 0.05 * dip_deg, "{sea_deg} and {dip_deg}");
    }
}
