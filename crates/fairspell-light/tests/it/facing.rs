use fairspell_almanac::SunPosition;
use fairspell_light::{
    Daylight, Dome, FacingReason, Facings, Ground, Roof, SkyRange, Surroundings, best_facing,
    daylight_clear,
};
use proptest::prelude::*;

use crate::scene::{hills, sun};

fn grey(elevation_deg: f64) -> Daylight {
    SkyRange::for_cloud(Some(1.0)).likely.unwrap().daylight(elevation_deg)
}

fn facings(around: Surroundings, sun: &SunPosition, daylight: &Daylight) -> Facings {
    best_facing(&Dome::new(around).lit(sun, daylight))
}

/// Degrees between two directions, 0 to 180.
fn apart_deg(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(360.0);
    turn.min(360.0 - turn)
}

fn has(facings: &Facings, wanted: fn(&FacingReason) -> bool) -> bool {
    facings.flattering.reasons.iter().any(wanted)
}

/// The trade: under a closed sky face the open side, away from trees that take the rest of it.
#[test]
fn under_cloud_a_face_looks_to_the_open_side() {
    for open_deg in [0.0, 110.0, 275.0] {
        let wood = hills([(open_deg + 75.0, (open_deg + 285.0) % 360.0, 35.0)]);
        let glade = Surroundings { skyline: wood, ..Surroundings::open(Ground::Grass, false) };
        let found = facings(glade, &sun(30.0, 20.0), &grey(30.0));
        let looks_deg = found.flattering.light.facing_azimuth_deg;
        assert!(apart_deg(looks_deg, open_deg) <= 50.0, "open to {open_deg}°: {looks_deg}°");
        assert!(!found.any && found.backlit.is_none());
    }
}

/// The trade: even, but from above, and dark under the brow; pale ground opens the eyes.
#[test]
fn in_the_open_under_cloud_every_way_is_as_good_and_comes_from_above() {
    let on = |ground| facings(Surroundings::open(ground, false), &sun(40.0, 0.0), &grey(40.0));
    let grass = on(Ground::Grass);
    assert!(grass.any && grass.backlit.is_none());
    assert!(has(&grass, |reason| matches!(reason, FacingReason::Even { .. })));
    assert!(has(&grass, |reason| matches!(reason, FacingReason::FromAbove { .. })));
    assert!(has(&grass, |reason| matches!(reason, FacingReason::EyesDark { .. })));
    let sand = on(Ground::Sand);
    assert!(has(&sand, |reason| matches!(reason, FacingReason::EyesLit { .. })));
    assert!(!has(&sand, |reason| matches!(reason, FacingReason::EyesDark { .. })));
}

/// The trade: a step or two under a ledge, looking out, cuts the light from above.
#[test]
fn on_a_porch_a_face_looks_out_and_its_eyes_open() {
    for out_deg in [20.0, 180.0, 303.0] {
        let roof = Roof { opens_toward_azimuth_deg: out_deg, ..Roof::porch(1.2, 1.2) };
        let porch = Surroundings { roof: Some(roof), ..Surroundings::open(Ground::Grass, false) };
        let found = facings(porch, &sun(40.0, 0.0), &grey(40.0));
        let light = found.flattering.light;
        assert!(apart_deg(light.facing_azimuth_deg, out_deg) <= 50.0, "{light:?}");
        assert!(!has(&found, |reason| matches!(reason, FacingReason::FromAbove { .. })));
        assert!(light.eyes_lit(), "{light:?}");
    }
}

/// Backlit is with the sun behind: opposite it, without a squint, with a rim.
#[test]
fn with_a_low_sun_backlit_is_opposite_to_it() {
    for (elevation_deg, azimuth_deg) in [(4.0, 282.0), (8.0, 300.0), (14.0, 245.0)] {
        let field = Surroundings::open(Ground::Sand, false);
        let found =
            facings(field, &sun(elevation_deg, azimuth_deg), &daylight_clear(elevation_deg));
        let backlit = found.backlit.unwrap();
        assert!(apart_deg(backlit.light.facing_azimuth_deg, azimuth_deg) >= 179.9);
        assert!(!backlit.light.squint && backlit.light.front.direct_lx == 0.0);
        let FacingReason::SunBehind { rim_stops, .. } = backlit.reasons[0] else {
            panic!("the sun is behind: {:?}", backlit.reasons)
        };
        assert!((-1.0..6.0).contains(&rim_stops), "{rim_stops}");
    }
}

/// The trade: above 6 degrees a face turned to the sun squints, below it doesn't; and nobody is told
/// to squint where there is another way.
#[test]
fn a_face_squints_into_a_sun_above_six_degrees() {
    let dome = Dome::new(Surroundings::open(Ground::Grass, false));
    for (elevation_deg, squints) in [(3.0, false), (5.9, false), (6.1, true), (20.0, true)] {
        let lit = dome.lit(&sun(elevation_deg, 290.0), &daylight_clear(elevation_deg));
        assert_eq!(lit.face(290.0).squint, squints, "{elevation_deg}°");
        assert!(!lit.face(110.0).squint);
        assert!(!best_facing(&lit).flattering.light.squint, "{elevation_deg}°");
    }
}

/// Noon in the open is hard and from above whichever way; a hill or a cloud takes the rim.
#[test]
fn where_no_sun_shines_nothing_is_backlit() {
    let behind = hills([(200.0, 340.0, 15.0)]);
    let shade = Surroundings { skyline: behind, ..Surroundings::open(Ground::Grass, false) };
    assert!(facings(shade, &sun(8.0, 280.0), &daylight_clear(8.0)).backlit.is_none());
    let field = Surroundings::open(Ground::Grass, false);
    assert!(facings(field.clone(), &sun(-3.0, 280.0), &daylight_clear(-3.0)).backlit.is_none());
    assert!(facings(field, &sun(8.0, 280.0), &grey(8.0)).backlit.is_none());
}

/// The trade: side light has shape and is hard; the sky alone is soft.
#[test]
fn the_ratio_across_a_face_is_hard_beside_the_sun_and_soft_after_it() {
    let dome = Dome::new(Surroundings::open(Ground::Grass, false));
    let ratio = |elevation_deg| {
        dome.lit(&sun(elevation_deg, 270.0), &daylight_clear(elevation_deg)).face(180.0).ratio()
    };
    assert!(ratio(12.0) > 3.0, "{}", ratio(12.0));
    assert!((1.3..4.0).contains(&ratio(-2.0)), "{}", ratio(-2.0));
    // The cheeks are named as the face's own.
    let face = dome.lit(&sun(12.0, 270.0), &daylight_clear(12.0)).face(180.0);
    assert!(
        face.right_cheek.total_lx() > face.left_cheek.total_lx(),
        "west is right, facing south"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    /// Sun, hill and roof turned together turn the answer: to the last step where nothing is even.
    #[test]
    fn turning_the_world_turns_the_answer(
        turn_deg in 0.0..360.0_f64,
        elevation_deg in -4.0..25.0_f64,
        hill_deg in 5.0..20.0_f64,
    ) {
        let at = |turn_deg: f64| {
            let turned = |azimuth_deg: f64| (azimuth_deg + turn_deg).rem_euclid(360.0);
            let roof = Roof { opens_toward_azimuth_deg: turned(310.0), ..Roof::porch(1.5, 1.2) };
            let skyline = hills([(turned(200.0), turned(250.0), hill_deg)]);
            let spot = Surroundings {
                roof: Some(roof),
                skyline,
                ..Surroundings::open(Ground::Grass, false)
            };
            facings(spot, &sun(elevation_deg, turned(280.0)), &daylight_clear(elevation_deg))
        };
        let (here, there) = (at(0.0), at(turn_deg));
        let [a, b] = [&here, &there].map(|facings| facings.flattering.light);
        prop_assert!(
            apart_deg(a.facing_azimuth_deg + turn_deg, b.facing_azimuth_deg) < 1e-6,
            "{} and {}", a.facing_azimuth_deg, b.facing_azimuth_deg
        );
        prop_assert!((a.ratio() / b.ratio() - 1.0).abs() < 5e-3);
        prop_assert_eq!(here.backlit.is_some(), there.backlit.is_some());
        prop_assert_eq!(here.any, there.any);
    }
}
