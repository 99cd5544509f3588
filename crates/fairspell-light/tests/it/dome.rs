use std::f64::consts::PI;

use fairspell_almanac::SunPosition;
use fairspell_light::{
    Canopy, CieSky, Daylight, Direction, Dome, Roof, SkyRange, Surroundings, daylight_clear,
};
use rand::RngExt;
use rand_chacha::{ChaCha8Rng, rand_core::SeedableRng};

use crate::scene::{black_ground, hills, sun};

/// Everything about a spot, said once more in coordinates: x to the east, y to the north, eyes at
/// the origin.
struct Spot {
    hills: &'static [(f64, f64, f64)],
    roof: Option<Roof>,
    canopy: Option<Canopy>,
    umbrella: bool,
}

const REFLECTANCE: f64 = 0.3;
const HILL_REFLECTANCE: f64 = 0.1;
const EYES_M: f64 = 1.5;

impl Spot {
    fn dome(&self) -> Dome {
        let [first, second] = [self.hills[0], self.hills[1]];
        Dome::new(Surroundings {
            skyline: hills([first, second]),
            skyline_reflectance: HILL_REFLECTANCE,
            roof: self.roof,
            canopy: self.canopy,
            umbrella: self.umbrella,
            ground_reflectance: REFLECTANCE,
        })
    }

    fn hill_deg(&self, azimuth_deg: f64) -> f64 {
        let stands = |(from, to, _): &&(f64, f64, f64)| {
            (*from < azimuth_deg && azimuth_deg < *to)
                || (from > to && (azimuth_deg > *from || azimuth_deg < *to))
        };
        self.hills.iter().filter(stands).map(|hill| hill.2).fold(0.0, f64::max)
    }

    /// Where a step of length one meets the roof's plane, in the roof's own forward and sideward
    /// metres: whether it is under it there.
    fn meets_roof(&self, [x, y, z]: [f64; 3]) -> bool {
        let Some(roof) = self.roof else { return false };
        let (east, north) = roof.opens_toward_azimuth_deg.to_radians().sin_cos();
        let (forward, sideward) = (x * east + y * north, x * north - y * east);
        if roof.behind_m.is_none() && forward < 0.0 {
            return true;
        }
        let steps = roof.edge_height_m / z;
        self.under_roof(forward * steps, sideward * steps)
    }

    fn under_roof(&self, forward_m: f64, sideward_m: f64) -> bool {
        self.roof.is_some_and(|roof| {
            forward_m < roof.edge_distance_m
                && roof.behind_m.is_none_or(|behind| forward_m > -behind)
                && roof.width_m.is_none_or(|width| sideward_m.abs() < width / 2.0)
        })
    }

    /// Whether a look downwards ends in the shade of the roof or of leaves.
    fn ends_in_shade(&self, [x, y, z]: [f64; 3]) -> bool {
        if self.canopy.is_some() {
            return true;
        }
        let Some(roof) = self.roof else { return false };
        let (east, north) = roof.opens_toward_azimuth_deg.to_radians().sin_cos();
        let steps = EYES_M / -z;
        self.under_roof((x * east + y * north) * steps, (x * north - y * east) * steps)
    }
}

/// Sums with their squares.
#[derive(Default, Clone, Copy)]
struct Mean {
    sum: f64,
    squares: f64,
    count: f64,
}

impl Mean {
    fn add(&mut self, value: f64) {
        self.sum += value;
        self.squares += value * value;
        self.count += 1.0;
    }

    fn mean(self) -> f64 {
        self.sum / self.count
    }

    fn standard_error(self) -> f64 {
        ((self.squares / self.count - self.mean().powi(2)).max(0.0) / self.count).sqrt()
    }
}

/// Looks at random, evenly over the sphere, in which whatever is met sends its light: sky and
/// reflected light on each of some surfaces.
fn at_random(
    spot: &Spot,
    sun: &SunPosition,
    daylight: &Daylight,
    on: &[Direction],
) -> [Vec<Mean>; 2] {
    const LOOKS: u32 = 40_000;
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let sky_sun = Direction::new(sun.elevation_deg, sun.azimuth_deg);
    let zenith = daylight.sky_horizontal_lx
        / daylight.sky.horizontal_over_zenith_sr(sun.elevation_deg.max(0.0));
    let looks: Vec<(Direction, f64, f64, [f64; 3])> = (0..LOOKS)
        .map(|_| {
            let up: f64 = random.random_range(-1.0..1.0);
            let azimuth_deg: f64 = random.random_range(0.0..360.0);
            let elevation_deg = up.asin().to_degrees();
            let level = (1.0 - up * up).sqrt();
            let (east, north) = azimuth_deg.to_radians().sin_cos();
            let step = [level * east, level * north, up];
            (Direction::new(elevation_deg, azimuth_deg), elevation_deg, azimuth_deg, step)
        })
        .collect();
    // What comes through leaves, and through leaves and umbrella.
    let leaves = |elevation_deg: f64| {
        let canopy = spot.canopy.filter(|canopy| elevation_deg >= canopy.from_elevation_deg);
        canopy.map_or(1.0, |canopy| canopy.transmittance)
    };
    let (mut here, mut beyond) = (Mean::default(), Mean::default());
    for (toward, elevation_deg, azimuth_deg, step) in &looks {
        let hidden = *elevation_deg < spot.hill_deg(*azimuth_deg);
        let lx = if hidden || step[2] <= 0.0 {
            0.0
        } else {
            let luminance = zenith * daylight.sky.luminance_over_zenith(*toward, sky_sun);
            4.0 * PI * luminance * step[2] * leaves(*elevation_deg)
        };
        beyond.add(lx);
        here.add(if step[2] > 0.0 && spot.meets_roof(*step) { 0.0 } else { lx });
    }
    let mut means = [vec![Mean::default(); on.len()], vec![Mean::default(); on.len()]];
    let (here_lx, beyond_lx) = (here.mean(), beyond.mean());
    let cover = spot.roof.map_or(0.0, |roof| roof.reflectance) * here_lx / 2.0 / PI;
    let hill = HILL_REFLECTANCE * beyond_lx / 2.0 / PI;
    for (toward, elevation_deg, azimuth_deg, step) in &looks {
        let (mut sky, mut reflected) = (0.0, 0.0);
        if step[2] < 0.0 {
            let lx = if spot.ends_in_shade(*step) { here_lx } else { beyond_lx };
            reflected = REFLECTANCE * lx / PI;
        } else if spot.meets_roof(*step) {
            reflected = cover;
        } else if *elevation_deg < spot.hill_deg(*azimuth_deg) {
            reflected = hill;
        } else {
            let umbrella =
                if spot.umbrella && *elevation_deg > 25.0 { 0.5_f64.powf(0.25) } else { 1.0 };
            sky = zenith
                * daylight.sky.luminance_over_zenith(*toward, sky_sun)
                * leaves(*elevation_deg)
                * umbrella;
        }
        for (index, looks) in on.iter().enumerate() {
            let meets = 4.0 * PI * toward.cosine(*looks).max(0.0);
            means[0][index].add(sky * meets);
            means[1][index].add(reflected * meets);
        }
    }
    means
}

const HILLS: &[(f64, f64, f64)] = &[(240.0, 295.0, 12.0), (320.0, 110.0, 25.0)];

fn spots() -> [Spot; 4] {
    let shed = Roof {
        opens_toward_azimuth_deg: 300.0,
        width_m: Some(5.0),
        behind_m: Some(2.0),
        ..Roof::porch(1.5, 1.2)
    };
    let porch = Roof { opens_toward_azimuth_deg: 170.0, ..Roof::porch(1.0, 1.4) };
    let leaves = Canopy { from_elevation_deg: 35.0, transmittance: 0.3 };
    let bare = Spot { hills: HILLS, roof: None, canopy: None, umbrella: false };
    [
        Spot { roof: Some(shed), ..bare },
        Spot { roof: Some(porch), umbrella: true, ..bare },
        Spot { canopy: Some(leaves), umbrella: true, ..bare },
        Spot { roof: Some(shed), canopy: Some(leaves), ..bare },
    ]
}

/// Four standard errors of forty thousand looks, and the dome's own fifth of a per cent. Reflected
/// light has the error of the ground's light besides, which is of the same looks: one per cent.
#[test]
fn the_dome_has_what_looking_at_random_finds() {
    let surfaces = [
        Direction::UP,
        Direction::new(0.0, 300.0),
        Direction::new(0.0, 170.0),
        Direction::new(0.0, 65.0),
    ];
    for (index, spot) in spots().iter().enumerate() {
        let dome = spot.dome();
        for (number, elevation_deg) in [(1, 30.0), (4, 8.0), (9, 20.0), (12, 35.0), (12, -3.0)] {
            let sky = CieSky::of_type(number).unwrap();
            let daylight = Daylight {
                direct_normal_lx: 0.0,
                direct_horizontal_lx: 0.0,
                sky_horizontal_lx: 1000.0,
                sky,
            };
            let sun = sun(elevation_deg, 285.0);
            let lit = dome.lit(&sun, &daylight);
            let [by_sky, by_reflection] = at_random(spot, &sun, &daylight, &surfaces);
            for (surface, (sky, reflected)) in
                surfaces.iter().zip(by_sky.into_iter().zip(by_reflection))
            {
                let found = lit.on(*surface);
                let what = format!("spot {index}, type {number}, {surface:?}: {found:?}");
                let off_lx = (found.sky_lx - sky.mean()).abs();
                let allowed_lx = 4.0 * sky.standard_error() + 0.002 * sky.mean();
                assert!(off_lx <= allowed_lx, "{what}: {} ± {}", sky.mean(), allowed_lx / 4.0);
                let off_lx = (found.reflected_lx - reflected.mean()).abs();
                let allowed_lx = 4.0 * reflected.standard_error() + 0.03 * reflected.mean();
                assert!(off_lx <= allowed_lx, "{what}: {} reflected", reflected.mean());
            }
        }
    }
}

/// By hand: the sun onto ground, hill and face.
#[test]
fn direct_light_gets_where_the_geometry_lets_it() {
    let spot = Spot { hills: HILLS, roof: None, canopy: None, umbrella: false };
    let dome = spot.dome();
    let west = Direction::new(0.0, 270.0);
    for (elevation_deg, shines) in [(10.0, false), (15.0, true)] {
        let daylight = daylight_clear(elevation_deg);
        let direct_lx = dome.lit(&sun(elevation_deg, 270.0), &daylight).on(west).direct_lx;
        // A face turned to it has its normal light by the cosine of the height; refraction lifts it
        // by less than 0.1 degrees.
        let whole_lx = daylight.direct_normal_lx * elevation_deg.to_radians().cos();
        let expected_lx = if shines { whole_lx } else { 0.0 };
        assert!(
            (direct_lx - expected_lx).abs() <= 1e-3 * whole_lx,
            "{elevation_deg}°: {direct_lx}"
        );
    }
}

/// Half the ground's light by its reflectance on any wall: `rho E / 2`; concrete under 80 klx is
/// 16 klx, dark grass 2.4, from the published formula.
#[test]
fn ground_lights_a_wall_by_half() {
    for (ground_reflectance, expected_klx) in [(0.4, 16.0), (0.06, 2.4)] {
        let dome = Dome::new(Surroundings { ground_reflectance, ..black_ground() });
        let daylight = daylight_clear(50.0);
        let to_80_klx = 80.0 / daylight.horizontal_lx();
        let light = dome.lit(&sun(50.0, 200.0), &daylight).on(Direction::new(0.0, 33.0));
        let klx = light.reflected_lx * to_80_klx;
        assert!((klx / expected_klx - 1.0).abs() <= 1e-3, "{ground_reflectance}: {klx} klx");
    }
}

/// A hill that rises and falls in steps too small to be edges is a hill all the same: the looks
/// find it. Nothing may hang on where the edges happen to be.
#[test]
fn an_outline_in_fine_steps_is_that_of_a_slope() {
    let slope = |step: u32| {
        let from = 100.0 + 0.5 * f64::from(step);
        (from, from + 0.5, 0.15 * f64::from(step.min(199 - step)))
    };
    let fine: [_; 200] = std::array::from_fn(|i| slope(u32::try_from(i).unwrap()));
    let around = Surroundings { skyline: hills(fine), ..black_ground() };
    let grey = SkyRange::for_cloud(Some(1.0)).low.daylight(30.0);
    let found = Dome::new(around.clone()).lit(&sun(30.0, 0.0), &grey).on(Direction::UP).sky_lx;
    // Summed here over thin wedges of an overcast sky's own gradation.
    let gradation = |up: f64| 1.0 + 4.0 * (-0.7 / up.max(1e-9)).exp();
    let (mut seen, mut whole) = (0.0, 0.0);
    for azimuth in 0..720_u32 {
        let hill_deg = around.skyline.height_deg(0.5 * f64::from(azimuth) + 0.25);
        for elevation in 0..900_u32 {
            let elevation_deg = 0.1 * f64::from(elevation) + 0.05;
            let (up, level) = elevation_deg.to_radians().sin_cos();
            let light = gradation(up) * up * level;
            whole += light;
            seen += if elevation_deg > hill_deg { light } else { 0.0 };
        }
    }
    let share = found / grey.sky_horizontal_lx;
    assert!((share / (seen / whole) - 1.0).abs() <= 1e-3, "{share} and {}", seen / whole);
}
