use fairspell_almanac::{Crossing, evening_end, morning_start};
use fairspell_ground::LatLon;
use fairspell_light::{
    Dome, Ev100, ExposureFloor, Facing, Ground, Roof, SkyRange, Surroundings, UsableLight,
    first_usable_light, illuminance_clear_lx, last_usable_light,
};
use jiff::{
    ToSpan,
    civil::{Date, date},
    tz::TimeZone,
};
use proptest::prelude::*;

use crate::scene::{black_ground, hills};

fn coast() -> LatLon {
    LatLon::new(-31.7, 152.8).unwrap()
}

fn zone() -> TimeZone {
    TimeZone::get("Australia/Sydney").unwrap()
}

fn standing() -> Ev100 {
    ExposureFloor::STANDING.ev100().unwrap()
}

fn evening(
    around: Surroundings,
    on: Date,
    facing: Facing,
    floor: Ev100,
    cover: Option<f64>,
) -> UsableLight {
    let sky = SkyRange::for_cloud(cover);
    last_usable_light(on, &zone(), coast(), &Dome::new(around), facing, floor, &sky)
}

/// Later is more; a light that never ends is later than any.
fn seconds(crossing: Crossing) -> i64 {
    match crossing {
        Crossing::At(moment) => moment.as_second(),
        Crossing::AlwaysAbove => i64::MAX / 2,
        Crossing::AlwaysBelow => i64::MIN / 2,
    }
}

/// The elevation at which a clear sky has so many lux, by halving.
fn elevation_of_deg(lx: f64) -> f64 {
    let (mut low, mut high) = (-18.0, 90.0);
    while high - low > 1e-9 {
        let middle = f64::midpoint(low, high);
        if illuminance_clear_lx(middle) < lx { low = middle } else { high = middle }
    }
    high
}

/// Planted: in the open under a closed sky a face has 0.37918 of level light (the standard overcast
/// sky, from outside) and half of what the ground throws back, whichever way it looks. So the end is
/// where the clear sky's light, a tenth or a quarter of it, is the floor over that. The seconds are
/// those of the search's step and the walls' thousandth.
#[test]
fn in_the_open_light_ends_where_the_sums_root_is() {
    for (ground, reflectance) in [(Ground::Grass, 0.06), (Ground::Sand, 0.35)] {
        for ev100 in [2.0, 5.0, 8.0] {
            let floor = Ev100::new(ev100).unwrap();
            let facing = Facing::Toward { azimuth_deg: 123.0 };
            let (open, on) = (Surroundings::open(ground, false), date(2026, 9, 3));
            let end = evening(open.clone(), on, facing, floor, Some(1.0));
            let sky = SkyRange::for_cloud(Some(1.0));
            let start =
                first_usable_light(on, &zone(), coast(), &Dome::new(open), facing, floor, &sky);
            for (evening, morning, through) in
                [(end.dark, start.dark, 0.1), (end.likely.unwrap(), start.likely.unwrap(), 0.25)]
            {
                let level_lx = 2.5 * 2_f64.powf(ev100) / (0.37918 + reflectance / 2.0);
                let elevation_deg = elevation_of_deg(level_lx / through);
                let expected = seconds(evening_end(on, &zone(), coast(), elevation_deg));
                let late_s = seconds(evening) - expected;
                assert!(late_s.abs() <= 2, "{ground:?}, {ev100}, {through}: {late_s} s");
                let expected = seconds(morning_start(on, &zone(), coast(), elevation_deg));
                let late_s = seconds(morning) - expected;
                assert!(late_s.abs() <= 2, "morning of {ground:?}, {ev100}: {late_s} s");
            }
        }
    }
}

/// The trade: thick rain cloud ends an evening 15 to 25 minutes before a clear one. That is for a
/// face turned away from the glow; turned to it, a clear evening lasts a few minutes longer still.
#[test]
fn rain_cloud_ends_an_evening_as_much_sooner_as_the_trade_says() {
    for on in [date(2026, 3, 20), date(2026, 6, 21), date(2026, 9, 3), date(2026, 12, 21)] {
        let field = Surroundings::open(Ground::Grass, false);
        let end = evening(field, on, Facing::AwayFromSun, standing(), None);
        let minutes = (seconds(end.bright) - seconds(end.dark)) / 60;
        assert!((15..=25).contains(&minutes), "{on}: {minutes} min");
    }
}

#[test]
fn a_porch_ends_before_the_open() {
    let on = date(2026, 9, 3);
    let facing = Facing::Toward { azimuth_deg: 200.0 };
    for cover in [None, Some(0.0), Some(0.5), Some(1.0)] {
        let roof = Roof { opens_toward_azimuth_deg: 200.0, ..Roof::porch(2.5, 1.2) };
        let open = Surroundings::open(Ground::Concrete, true);
        let porch = Surroundings { roof: Some(roof), ..open.clone() };
        let [open, porch] =
            [open, porch].map(|around| evening(around, on, facing, standing(), cover));
        assert!(seconds(porch.dark) < seconds(open.dark), "{cover:?}");
        assert!(seconds(porch.bright) < seconds(open.bright), "{cover:?}");
    }
}

#[test]
fn where_it_never_gets_dark_the_light_never_ends() {
    let far_north = LatLon::new(78.2, 15.6).unwrap();
    let oslo = TimeZone::get("Europe/Oslo").unwrap();
    let dome = Dome::new(Surroundings::open(Ground::Grass, false));
    let on = |day, ev100| {
        let (floor, sky) = (Ev100::new(ev100).unwrap(), SkyRange::for_cloud(None));
        let last = last_usable_light(day, &oslo, far_north, &dome, Facing::ToSun, floor, &sky);
        let first = first_usable_light(day, &oslo, far_north, &dome, Facing::ToSun, floor, &sky);
        [last.dark, last.bright, first.dark, first.bright]
    };
    assert_eq!(on(date(2026, 6, 21), 5.0), [Crossing::AlwaysAbove; 4]);
    assert_eq!(on(date(2026, 12, 21), 5.0), [Crossing::AlwaysBelow; 4]);
    // More light than there ever is.
    assert_eq!(on(date(2026, 6, 21), 18.0), [Crossing::AlwaysBelow; 4]);
}

#[test]
fn what_nobody_knows_is_not_likely() {
    let field = Surroundings::open(Ground::Grass, false);
    let end = evening(field.clone(), date(2026, 9, 3), Facing::ToSun, standing(), None);
    assert_eq!(end.likely, None);
    assert!(
        evening(field, date(2026, 9, 3), Facing::ToSun, standing(), Some(0.4)).likely.is_some()
    );
}

/// Across the clock change, and an evening after midnight: of the date asked for.
#[test]
fn the_evening_belongs_to_its_date() {
    let dome = Dome::new(Surroundings::open(Ground::Grass, false));
    let sky = SkyRange::for_cloud(Some(0.0));
    let reykjavik = TimeZone::get("Atlantic/Reykjavik").unwrap();
    let iceland = LatLon::new(64.1, -21.9).unwrap();
    let floor = Ev100::new(8.0).unwrap();
    let end = last_usable_light(
        date(2026, 6, 21),
        &reykjavik,
        iceland,
        &dome,
        Facing::ToSun,
        floor,
        &sky,
    );
    let end = end.bright.timestamp().unwrap().to_zoned_datetime(reykjavik);
    // Sunset there is four minutes past midnight.
    assert_eq!(end.date(), date(2026, 6, 22));
    assert!(end.hour() == 0, "{end}");
    let [before, after] = [date(2026, 10, 3), date(2026, 10, 4)].map(|on| {
        let field = Surroundings::open(Ground::Grass, false);
        seconds(evening(field, on, Facing::ToSun, standing(), Some(0.0)).bright)
    });
    // A spring day later, the sun sets less than two minutes later whatever the clock.
    assert!((after - before - 86_400).abs() < 120, "{}", after - before);
}

fn facings() -> impl Strategy<Value = Facing> {
    prop_oneof![
        Just(Facing::ToSun),
        Just(Facing::AwayFromSun),
        (0.0..360.0_f64).prop_map(|azimuth_deg| Facing::Toward { azimuth_deg }),
    ]
}

fn days() -> impl Strategy<Value = Date> {
    (0_i32..365).prop_map(|day| date(2026, 1, 1).checked_add(day.days()).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Floors down to which nobody works and up to a face at sunset; two seconds for the sums.
    #[test]
    fn more_cloud_never_makes_it_end_later(
        on in days(),
        facing in facings(),
        ev100 in 0.0..8.0_f64,
        cover in 0.0..=1.0_f64,
        more in 0.0..=1.0_f64,
        roof in any::<bool>(),
    ) {
        let toward = facing.azimuth_deg(270.0);
        let porch = Roof { opens_toward_azimuth_deg: toward, ..Roof::porch(1.5, 1.2) };
        let around = Surroundings {
            roof: roof.then_some(porch),
            ..Surroundings::open(Ground::Grass, false)
        };
        let floor = Ev100::new(ev100).unwrap();
        let end = |cover| evening(around.clone(), on, facing, floor, Some(cover));
        let (some, dense) = (end(cover), end(cover + more * (1.0 - cover)));
        prop_assert!(seconds(dense.dark) <= seconds(some.dark) + 2);
        prop_assert!(seconds(dense.bright) <= seconds(some.bright) + 2);
        let [some, dense] = [some, dense].map(|end| seconds(end.likely.unwrap()));
        prop_assert!(dense <= some + 2, "{}", dense - some);
    }

    /// With a hill the looks are others; where cloud has it end under a sun of 14 degrees, their
    /// thousandth is ten seconds.
    #[test]
    fn a_hill_never_makes_it_end_later(
        on in days(),
        facing in facings(),
        ev100 in 2.0..8.0_f64,
        height_deg in 0.5..40.0_f64,
        from_deg in 0.0..360.0_f64,
        width_deg in 5.0..300.0_f64,
    ) {
        let floor = Ev100::new(ev100).unwrap();
        let open = black_ground();
        let to_deg = (from_deg + width_deg).rem_euclid(360.0);
        let skyline = hills([(from_deg, to_deg, height_deg)]);
        let hill = Surroundings { skyline, ..open.clone() };
        let [open, hill] = [open, hill].map(|around| evening(around, on, facing, floor, Some(1.0)));
        prop_assert!(seconds(hill.dark) <= seconds(open.dark) + 10);
        prop_assert!(seconds(hill.bright) <= seconds(open.bright) + 10);
    }

    #[test]
    fn the_range_is_in_order(on in days(), facing in facings(), cover in 0.0..=1.0_f64) {
        let field = Surroundings::open(Ground::Grass, false);
        let end = evening(field, on, facing, standing(), Some(cover));
        let likely = seconds(end.likely.unwrap());
        prop_assert!(seconds(end.dark) <= likely && likely <= seconds(end.bright));
    }
}
