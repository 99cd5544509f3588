use fairspell_light::Ground;

const REFLECTANCE: &str = include_str!("../reference/ground_reflectance.csv");

/// Luminous, not solar: two decimals, as in the table.
#[test]
fn grounds_throw_back_what_the_table_says() {
    let mut reader = csv::Reader::from_reader(REFLECTANCE.as_bytes());
    let records: Vec<_> = reader.records().map(Result::unwrap).collect();
    for (ground, wet, name) in [
        (Ground::Grass, false, "grass (dark green)"),
        (Ground::Vegetation, false, "vegetation (mean)"),
        (Ground::Earth, true, "earth (moist)"),
        (Ground::Gravel, false, "gravel"),
        (Ground::Sand, false, "sand (dry)"),
        (Ground::Sand, true, "sand (wet)"),
        (Ground::Asphalt, false, "asphalt (clean)"),
        (Ground::Asphalt, true, "asphalt (wet)"),
        (Ground::Concrete, false, "concrete (dry)"),
        (Ground::Concrete, true, "concrete (wet)"),
        (Ground::Brick, false, "red brick"),
        (Ground::Water, false, "sea (diffuse sky or high sun)"),
        (Ground::NewSnow, false, "snow (new)"),
        (Ground::OldSnow, false, "snow (old)"),
    ] {
        let row = records.iter().find(|row| &row[0] == name && !row[1].is_empty()).expect(name);
        let expected: f64 = row[1].parse().unwrap();
        assert!((ground.reflectance(wet) - expected).abs() < 1e-12, "{name}");
    }
}

#[test]
fn wet_ground_is_never_paler() {
    for ground in Ground::ALL {
        assert!(ground.reflectance(true) <= ground.reflectance(false), "{ground:?}");
        assert!((0.0..1.0).contains(&ground.reflectance(false)), "{ground:?}");
    }
    let damp = Ground::Gravel.reflectance(true) / Ground::Gravel.reflectance(false);
    // The wet over the dry of sand, in the table's one digit.
    assert!((damp - 0.6).abs() < 0.05);
}
