use fairspell_words::compass::compass;
use proptest::prelude::*;

/// The sixteen-point compass, each point 22.5 degrees from the next.
#[test]
fn points_change_half_way_between_them() {
    for (degrees, expected) in [
        (0.0, "north"),
        (11.2, "north"),
        (11.3, "north-north-east"),
        (90.0, "east"),
        (135.0, "south-east"),
        (247.5, "west-south-west"),
        (315.0, "north-west"),
        (348.7, "north-north-west"),
        (348.8, "north"),
        (-45.0, "north-west"),
        (720.0, "north"),
        (-1e-300, "north"),
    ] {
        assert_eq!(compass(degrees), Some(expected), "{degrees}");
    }
    assert_eq!(compass(f64::INFINITY), None);
}

proptest! {
    #[test]
    fn a_turn_of_half_a_circle_is_the_opposite_point(degrees in 0.0..360.0f64) {
        let opposite = |name: &str| {
            name.split('-').map(|part| match part {
                "north" => "south", "south" => "north", "east" => "west", _ => "east",
            }).collect::<Vec<_>>().join("-")
        };
        // At the very edge between two points rounding may go either way.
        prop_assume!(((degrees / 22.5).fract() - 0.5).abs() > 1e-9);
        prop_assert_eq!(opposite(compass(degrees).unwrap()), compass(degrees + 180.0).unwrap());
    }
}
