use std::sync::LazyLock;

use fairspell_almanac::SunPosition;
use fairspell_light::{
    Canopy, Direction, Dome, Facing, Ground, PlaneLight, Roof, SkyCondition, SkyRange, SpotLight,
    Surroundings,
};
use proptest::prelude::*;

use crate::scene::{hills, sun};

const CLEAR: SkyCondition = SkyCondition::CLEAR;

fn summed(
    around: Surroundings,
    sky: SkyCondition,
    facing: Facing,
) -> (SpotLight, SkyCondition, Facing) {
    (SpotLight::new(Dome::new(around), sky, facing), sky, facing)
}

type Spot = (SpotLight, SkyCondition, Facing);

static BEACH: LazyLock<Spot> =
    LazyLock::new(|| summed(Surroundings::open(Ground::Sand, false), CLEAR, Facing::AwayFromSun));

static PORCH: LazyLock<Spot> = LazyLock::new(|| {
    let roof = Roof { opens_toward_azimuth_deg: 285.0, ..Roof::porch(1.5, 1.2) };
    let skyline = hills([(240.0, 275.0, 7.0)]);
    let around =
        Surroundings { roof: Some(roof), skyline, ..Surroundings::open(Ground::Concrete, true) };
    summed(around, CLEAR, Facing::Toward { azimuth_deg: 285.0 })
});

static WOOD: LazyLock<Spot> = LazyLock::new(|| {
    let leaves = Canopy { from_elevation_deg: 30.0, transmittance: 0.2 };
    let skyline = hills([(20.0, 250.0, 25.0)]);
    let around =
        Surroundings { canopy: Some(leaves), skyline, ..Surroundings::open(Ground::Grass, false) };
    summed(around, SkyRange::for_cloud(Some(0.6)).high, Facing::ToSun)
});

/// What the tables may be off by: two per cent of the whole, as the documentation has it.
fn is_near(found: &PlaneLight, expected: &PlaneLight) -> bool {
    let whole_lx = expected.total_lx();
    (found.total_lx() - whole_lx).abs() <= 0.02 * whole_lx
        && (found.direct_lx - expected.direct_lx).abs() <= 1e-9 * whole_lx
        && (found.sky_lx - expected.sky_lx).abs() <= 0.02 * whole_lx
}

fn check(spot: &Spot, sun: &SunPosition) -> Result<(), TestCaseError> {
    let (spot, sky, facing) = spot;
    let moment = spot.at(sun);
    let lit = spot.dome().lit(sun, &sky.daylight(sun.elevation_deg));
    let face = lit.on(Direction::new(0.0, facing.azimuth_deg(sun.azimuth_deg)));
    let level = lit.on(Direction::UP);
    prop_assert!(is_near(&moment.face, &face), "{sun:?}: {:?}, not {face:?}", moment.face);
    let horizontal = moment.horizontal;
    prop_assert!(is_near(&horizontal, &level), "{sun:?}: {horizontal:?}, not {level:?}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn the_table_of_an_open_beach_is_its_sum(
        elevation_deg in -18.0..=90.0_f64,
        azimuth_deg in 0.0..360.0_f64,
    ) {
        check(&BEACH, &sun(elevation_deg, azimuth_deg))?;
    }

    #[test]
    fn the_table_of_a_porch_is_its_sum(
        elevation_deg in -18.0..=90.0_f64,
        azimuth_deg in 0.0..360.0_f64,
    ) {
        check(&PORCH, &sun(elevation_deg, azimuth_deg))?;
    }

    #[test]
    fn the_table_of_a_wood_is_its_sum(
        elevation_deg in -18.0..=90.0_f64,
        azimuth_deg in 0.0..360.0_f64,
    ) {
        check(&WOOD, &sun(elevation_deg, azimuth_deg))?;
    }
}

/// The ends of the table.
#[test]
fn the_table_holds_at_the_zenith_and_across_north() {
    for spot in [&*BEACH, &PORCH, &WOOD] {
        for (elevation_deg, azimuth_deg) in [
            (90.0, 10.0),
            (89.999, 359.999),
            (0.0, 0.0),
            (0.0, 360.0),
            (-90.0, 180.0),
            (30.0, -1e-20),
        ] {
            check(spot, &sun(elevation_deg, azimuth_deg)).unwrap();
        }
    }
}

#[test]
fn a_sun_that_is_nowhere_gives_no_light() {
    let nowhere = BEACH.0.at(&sun(f64::NAN, 20.0));
    assert!(nowhere.face.total_lx().is_nan());
    assert!(BEACH.0.at(&sun(20.0, f64::NAN)).face.sky_lx.is_nan());
}

#[test]
fn the_sun_shines_where_the_disc_is_seen() {
    let share = |spot: &Spot, elevation_deg, azimuth_deg| {
        spot.0.at(&sun(elevation_deg, azimuth_deg)).sun_share
    };
    assert!((share(&BEACH, 3.0, 270.0) - 1.0).abs() < 1e-12);
    assert!((share(&BEACH, 0.0, 270.0) - 0.5).abs() < 1e-12, "half the disc has set");
    assert!(share(&BEACH, -0.5, 270.0) == 0.0);
    assert!(share(&PORCH, 5.0, 270.0) == 0.0, "the hill has it");
    assert!((share(&PORCH, 8.0, 270.0) - 1.0).abs() < 1e-12);
    assert!(share(&PORCH, 50.0, 285.0) == 0.0, "the roof has it");
    assert!((share(&WOOD, 50.0, 285.0) - 0.2).abs() < 1e-12, "leaves let a fifth through");
}
