use fairspell_light::{Canopy, Direction, Dome, Roof, Seen, Surroundings};
use proptest::prelude::*;

use crate::{
    scene::{black_ground, hills, sky, sun},
    table::rows,
};

const SHELTER: &str = include_str!("../reference/shelter.csv");

/// A porch whose straight edge is seen at an elevation.
fn porch(edge_deg: f64, opens_toward_azimuth_deg: f64) -> Dome {
    let edge_height_m = edge_deg.to_radians().tan();
    let roof =
        Roof { reflectance: 0.0, opens_toward_azimuth_deg, ..Roof::porch(1.0, edge_height_m) };
    Dome::new(Surroundings { roof: Some(roof), ..black_ground() })
}

/// Five decimals. With the porch turned, the plane of the open wall that it is compared with passes
/// between looks: a thousandth.
#[test]
fn a_porch_leaves_what_the_tables_of_shelter_say() {
    let (uniform, overcast) = (sky(5, 1.0), sky(16, 1.0));
    let columns = [
        "edge_elevation_deg",
        "uniform_horizontal_fraction",
        "uniform_vertical_outward_fraction_of_open",
        "overcast_horizontal_fraction",
        "overcast_vertical_outward_fraction_of_open",
    ];
    let rows = rows(SHELTER, columns);
    assert_eq!(rows.len(), 9);
    let open = Dome::new(black_ground());
    for [edge_deg, even_level, even_out, grey_level, grey_out] in rows {
        // However the porch is turned.
        for azimuth_deg in [0.0, 200.0] {
            let dome = porch(edge_deg, azimuth_deg);
            let out = Direction::new(0.0, azimuth_deg);
            for (daylight, level, outward) in
                [(&uniform, even_level, even_out), (&overcast, grey_level, grey_out)]
            {
                let lit = dome.lit(&sun(30.0, 0.0), daylight);
                let of_open = open.lit(&sun(30.0, 0.0), daylight).on(out).sky_lx;
                let (level_lx, out_lx) = (lit.on(Direction::UP).sky_lx, lit.on(out).sky_lx);
                assert!((level_lx - level).abs() <= 1e-5, "{edge_deg}°: {level_lx}");
                let share = out_lx / of_open;
                let tolerance = if azimuth_deg == 0.0 { 1e-5 } else { 1e-3 * outward };
                assert!((share - outward).abs() <= tolerance, "{edge_deg}°: {share}");
            }
        }
    }
}

/// View factors in four to five decimals: a basin, a wall on one side, a canyon. Walls at infinity
/// are stood in for by hills of the same outline, in steps of two degrees.
#[test]
fn hills_leave_the_view_factors_of_the_textbooks() {
    let columns = ["edge_elevation_deg", "svf_circular_basin", "svf_one_wall", "svf_canyon"];
    for [edge_deg, basin, one_wall, canyon] in rows(SHELTER, columns) {
        let view =
            |skyline| Dome::new(Surroundings { skyline, ..black_ground() }).sky_view_factor();
        let found = view(hills([(0.0, 360.0, edge_deg)]));
        assert!((found - basin).abs() <= 2e-5, "basin of {edge_deg}°: {found}");
        let slope = edge_deg.to_radians().tan();
        let step = |index: u32, half_turns: f64| {
            let middle_deg = 2.0 * f64::from(index) + 1.0;
            let height = (slope * middle_deg.to_radians().sin()).atan().to_degrees();
            (middle_deg - 1.0 + half_turns, middle_deg + 1.0 + half_turns, height)
        };
        let one: [_; 90] = std::array::from_fn(|i| step(u32::try_from(i).unwrap(), 0.0));
        let two: [_; 180] = std::array::from_fn(|i| {
            let index = u32::try_from(i).unwrap();
            step(index % 90, if i < 90 { 0.0 } else { 180.0 })
        });
        // Three of them will do, with hundreds of edges each. The steps are good to 0.03 % of the sky.
        if (30.0..=60.0).contains(&edge_deg) {
            let (found_one, found_two) = (view(hills(one)), view(hills(two)));
            assert!((found_one - one_wall).abs() <= 3e-4, "wall of {edge_deg}°: {found_one}");
            assert!((found_two - canyon).abs() <= 6e-4, "canyon of {edge_deg}°: {found_two}");
        }
    }
}

/// A rectangular roof over a level surface under its middle, by the form factor of a rectangle
/// parallel to it: four by four metres, 1.6 m up, leaves 0.3409 of the sky.
#[test]
fn a_roof_on_posts_leaves_what_its_form_factor_says() {
    let form_factor = |x: f64, y: f64| {
        let one = |a: f64, b: f64| a / a.hypot(1.0) * (b / a.hypot(1.0)).atan();
        4.0 * (one(x, y) + one(y, x)) / std::f64::consts::TAU
    };
    for (width_m, depth_m, height_m, known) in
        [(4.0, 4.0, 1.6, Some(0.3409)), (2.0, 6.0, 1.0, None), (8.0, 3.0, 2.5, None)]
    {
        let roof = Roof {
            opens_toward_azimuth_deg: 40.0,
            width_m: Some(width_m),
            behind_m: Some(depth_m / 2.0),
            ..Roof::porch(depth_m / 2.0, height_m)
        };
        let dome = Dome::new(Surroundings { roof: Some(roof), ..black_ground() });
        let expected = 1.0 - form_factor(width_m / 2.0 / height_m, depth_m / 2.0 / height_m);
        let found = dome.sky_view_factor();
        assert!((found - expected).abs() <= 1e-4, "{width_m} by {depth_m} m: {found}");
        assert!(known.is_none_or(|known| (found - known).abs() <= 1e-4), "{found}");
    }
}

/// `e^(-0.5 LAI)` straight up: leaves of area index 3 let 0.223 through; all over the sky they leave
/// as much of it.
#[test]
fn leaves_all_over_leave_their_own_share() {
    let leaves = Canopy { from_elevation_deg: 0.0, transmittance: (-1.5_f64).exp() };
    let dome = Dome::new(Surroundings { canopy: Some(leaves), ..black_ground() });
    assert!((dome.sky_view_factor() - 0.223).abs() <= 0.5e-3);
}

/// The visible part of a disc over a straight edge, in four decimals: half of it with the centre on
/// the edge, 0.8045 with the centre half a radius above it.
#[test]
fn a_hill_takes_the_disc_bit_by_bit() {
    let behind = Surroundings { skyline: hills([(0.0, 360.0, 5.0)]), ..black_ground() };
    let radius_deg = 16.0 / 60.0;
    for (radii, expected) in [(-1.0, 0.0), (-0.5, 0.1955), (0.0, 0.5), (0.5, 0.8045), (1.0, 1.0)] {
        let share = behind.sun_share(&sun(5.0 + radii * radius_deg, 270.0));
        assert!((share - expected).abs() <= 0.6e-4, "{radii}: {share}");
    }
}

#[test]
fn a_roof_hides_the_high_sun_and_not_the_low_one() {
    let roof = Roof { opens_toward_azimuth_deg: 270.0, ..Roof::porch(1.5, 1.5) };
    let porch = Surroundings { roof: Some(roof), ..black_ground() };
    let share = |elevation_deg, azimuth_deg| porch.sun_share(&sun(elevation_deg, azimuth_deg));
    assert!(share(44.0, 270.0) >= 1.0 && share(46.0, 270.0) <= 0.0);
    // Towards the side the edge is farther off and so lower.
    assert!(share(34.0, 315.0) >= 1.0 && share(37.0, 315.0) <= 0.0);
    assert!(share(5.0, 90.0).abs() < f64::EPSILON, "a wall is behind");
    let open_behind = Roof { behind_m: Some(1.0), ..roof };
    let shed = Surroundings { roof: Some(open_behind), ..black_ground() };
    assert!((shed.sun_share(&sun(5.0, 90.0)) - 1.0).abs() < f64::EPSILON);
}

/// The trade's estimate: a clear umbrella takes a quarter of a stop from what comes through it.
#[test]
fn an_umbrella_takes_a_quarter_of_a_stop_from_above() {
    let under = Surroundings { umbrella: true, ..black_ground() };
    let Seen::Sky { transmittance } = under.toward(60.0, 0.0) else { panic!("sky is there") };
    assert!((transmittance.log2() + 0.25).abs() < 1e-12);
    assert_eq!(under.toward(10.0, 0.0), Seen::Sky { transmittance: 1.0 });
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// To the looks' own precision when the face's plane passes between them: two thousandths.
    #[test]
    fn whatever_stands_in_the_way_never_adds_sky(
        height_deg in 0.0..60.0_f64,
        from_deg in 0.0..360.0_f64,
        width_deg in 5.0..200.0_f64,
        edge_m in 0.2..5.0_f64,
        facing_deg in 0.0..360.0_f64,
    ) {
        let skyline = hills([(from_deg, (from_deg + width_deg).rem_euclid(360.0), height_deg)]);
        let hill = Surroundings { skyline, ..black_ground() };
        let roof = Roof { opens_toward_azimuth_deg: facing_deg, ..Roof::porch(edge_m, 1.2) };
        let porch = Surroundings { roof: Some(roof), ..hill.clone() };
        let lit = |around| {
            let dome = Dome::new(around);
            dome.lit(&sun(20.0, 100.0), &sky(12, 1.0)).on(Direction::new(0.0, facing_deg)).sky_lx
        };
        let [open, hill, porch] = [black_ground(), hill, porch].map(lit);
        prop_assert!(hill <= open * 1.002 && porch <= hill * 1.002, "{} {} {}", open, hill, porch);
    }
}
