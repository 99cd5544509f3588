use fairspell_words::{BeamTold, ClutterTold, beam_line, clutter_line};
use jiff::Timestamp;

fn at(minute: u8) -> Timestamp {
    format!("2026-09-03T04:{minute:02}:00Z").parse().unwrap()
}

fn clutter(pictures: Vec<(Timestamp, usize, usize)>) -> Option<String> {
    clutter_line(&ClutterTold { pictures, largest_mm_h: 1205.22 })
}

#[test]
fn clutter_is_told_by_picture_and_number_and_what_is_lost_is_never_called_dry() {
    assert_eq!(
        clutter(vec![(at(30), 1, 0)]).unwrap(),
        "1 pixel was no rain (up to 1205 mm/h): 1 at 2026-09-03T04:30:00Z. All took the rain rate of \
         the pixels around."
    );
    assert_eq!(
        clutter(vec![(at(20), 2, 0), (at(25), 9, 3), (at(30), 2, 0), (at(35), 0, 0)]).unwrap(),
        "13 pixels were no rain (up to 1205 mm/h): 9 at 2026-09-03T04:25:00Z, 2 at \
         2026-09-03T04:30:00Z, 2 at 2026-09-03T04:20:00Z. 10 took the rain rate of the pixels around, \
         3 count as not measured, not as dry."
    );
    let lost = clutter(vec![(at(20), 2, 2)]).unwrap();
    assert!(lost.ends_with("All count as not measured, not as dry."), "{lost}");
}

#[test]
fn of_many_pictures_those_with_the_most_clutter_are_named() {
    let many = (0..12_u8).map(|step| (at(5 * step), usize::from(step) + 1, 0)).collect();
    let said = clutter(many).unwrap();
    assert!(said.starts_with("78 pixels"), "{said}");
    assert!(said.contains("12 at 2026-09-03T04:55:00Z"), "{said}");
    assert!(said.contains("and 9 more pictures"), "{said}");
}

#[test]
fn of_no_clutter_nothing_is_said() {
    assert_eq!(clutter(Vec::new()), None);
    assert_eq!(clutter(vec![(at(20), 0, 0)]), None);
}

fn beam() -> BeamTold {
    BeamTold {
        radar: Some("Hilltop".to_owned()),
        distance_km: 132.7,
        height_m: 2279.0,
        lower_edge_m: 1121.0,
        above_sea: true,
    }
}

#[test]
fn low_rain_that_a_high_beam_misses_is_said_plainly() {
    assert_eq!(
        beam_line(&beam()),
        "The radar Hilltop, 133 km away, looks over the place 2300 m above sea level and sees nothing \
         below 1100 m: drizzle and shallow showers can fall there though the pictures are dry."
    );
    let near = BeamTold { distance_km: 60.0, height_m: 800.0, lower_edge_m: 300.0, ..beam() };
    let near = beam_line(&near);
    assert!(near.ends_with("below 300 m: drizzle from very low cloud can be missed."), "{near}");
    let beside = BeamTold { distance_km: 5.0, height_m: 130.0, lower_edge_m: 40.0, ..beam() };
    assert!(beam_line(&beside).contains("low rain is seen as well"));
}

#[test]
fn a_radar_that_is_not_known_is_as_far_as_it_can_be() {
    let told = BeamTold { radar: None, distance_km: 200.0, above_sea: false, ..beam() };
    let said = beam_line(&told);
    assert!(said.starts_with("The nearest radar may be 200 km away;"), "{said}");
    assert!(said.contains("above the radar"), "{said}");
}
