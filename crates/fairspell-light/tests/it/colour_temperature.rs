use fairspell_light::{CieSky, PlaneLight, SkyRange, colour_temperature_k, daylight_clear};
use proptest::prelude::*;

use crate::table::rows;

const SPECTRAL: &str = include_str!("../reference/cct_clear_model.csv");

const AEROSOL: &str = "aerosol_tau500";

fn light(direct_lx: f64, sky_lx: f64) -> PlaneLight {
    PlaneLight { direct_lx, sky_lx, reflected_lx: 0.0 }
}

/// A spectral model, whole kelvins: the figures are its own, so this guards against slips. Clean air
/// is the cool end, hazy air the warm one.
#[test]
fn sun_and_sky_alone_have_the_models_colours() {
    let rows = rows(SPECTRAL, [AEROSOL, "sun_alt_deg", "CCT_direct_K", "CCT_sky_K"]);
    assert_eq!(rows.len(), 18);
    for [aerosol, elevation_deg, sun_k, sky_k] in rows {
        for (light, expected_k) in [(light(1.0, 0.0), sun_k), (light(0.0, 1.0), sky_k)] {
            let range = colour_temperature_k(elevation_deg, &light, CieSky::CLEAR).unwrap();
            let found_k = if aerosol < 0.2 { range.high_k } else { range.low_k };
            assert!((found_k - expected_k).abs() <= 0.5, "{elevation_deg}°: {found_k} K");
        }
    }
}

/// What the model has for both together is no input of ours. Averaging in mireds comes to at most a
/// tenth below it, and where haze moves light from sun to sky to a fiftieth above.
#[test]
fn sun_and_sky_together_have_nearly_the_models_colour() {
    let columns = ["sun_alt_deg", "direct_horiz_lux", "diffuse_horiz_lux", "CCT_global_K"];
    let rows = rows(SPECTRAL, columns);
    let (clean, hazy) = rows.split_at(rows.len() / 2);
    for ([elevation_deg, direct_lx, sky_lx, clean_k], [.., hazy_k]) in clean.iter().zip(hazy) {
        let light = light(*direct_lx, *sky_lx);
        let range = colour_temperature_k(*elevation_deg, &light, CieSky::CLEAR).unwrap();
        for (found_k, expected_k) in
            [(range.low_k, clean_k.min(*hazy_k)), (range.high_k, clean_k.max(*hazy_k))]
        {
            assert!(
                (0.9..=1.02).contains(&(found_k / expected_k)),
                "{elevation_deg}°: {found_k} K"
            );
        }
    }
}

/// Photographers' guides and measurements: lowest and highest kelvin for a light. Ours must touch
/// each of them.
#[test]
fn lights_have_the_colours_that_guides_give_them() {
    let level = |elevation_deg| {
        let light = daylight_clear(elevation_deg);
        PlaneLight {
            direct_lx: light.direct_horizontal_lx,
            sky_lx: light.sky_horizontal_lx,
            reflected_lx: 0.0,
        }
    };
    let grey = SkyRange::for_cloud(Some(1.0)).likely.unwrap().sky();
    for (what, elevation_deg, light, sky, guides_k) in [
        ("high sun", 55.0, light(1.0, 0.0), CieSky::CLEAR, (5000.0, 5600.0)),
        ("sun at 20 degrees", 20.0, light(1.0, 0.0), CieSky::CLEAR, (4200.0, 4600.0)),
        ("sun at 10 degrees", 10.0, light(1.0, 0.0), CieSky::CLEAR, (3300.0, 3900.0)),
        ("sun at sunset", 0.0, light(1.0, 0.0), CieSky::CLEAR, (2000.0, 3000.0)),
        ("level ground, high sun", 40.0, level(40.0), CieSky::CLEAR, (5450.0, 5850.0)),
        ("level ground, low sun", 12.0, level(12.0), CieSky::CLEAR, (5450.0, 5850.0)),
        ("overcast", 30.0, light(0.0, 1.0), grey, (6500.0, 7500.0)),
        ("open shade, hazy sky", 30.0, light(0.0, 1.0), CieSky::CLEAR, (7500.0, 8400.0)),
        ("twilight", -4.0, light(0.0, 1.0), CieSky::CLEAR, (8000.0, 20_000.0)),
    ] {
        let range = colour_temperature_k(elevation_deg, &light, sky).unwrap();
        assert!(range.low_k < guides_k.1 && range.high_k > guides_k.0, "{what}: {range:?}");
        // Nor may it be anything at all; haze is warmer than any guide's sun.
        assert!(range.low_k > 0.9 * guides_k.0, "{what}: {range:?}");
    }
}

#[test]
fn no_light_has_no_colour() {
    assert_eq!(colour_temperature_k(10.0, &PlaneLight::default(), CieSky::CLEAR), None);
    assert_eq!(colour_temperature_k(f64::NAN, &light(1.0, 1.0), CieSky::CLEAR), None);
    assert_eq!(colour_temperature_k(10.0, &light(f64::NAN, 1.0), CieSky::CLEAR), None);
}

proptest! {
    #[test]
    fn more_sky_is_cooler(
        elevation_deg in -10.0..=90.0_f64,
        share in 0.0..=1.0_f64,
        more in 0.0..=1.0_f64,
        number in 1_u8..=16,
    ) {
        let sky = CieSky::of_type(number).unwrap();
        let at = |share: f64| colour_temperature_k(elevation_deg, &light(1.0 - share, share), sky);
        let (warm, cool) = (at(share).unwrap(), at(share + more * (1.0 - share)).unwrap());
        prop_assert!(warm.low_k <= cool.low_k + 1e-9 && warm.high_k <= cool.high_k + 1e-9);
        prop_assert!(warm.low_k <= warm.high_k);
    }
}
