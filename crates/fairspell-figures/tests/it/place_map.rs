use fairspell_figures::{PlaceMap, ScaleBar, Theme, place_map_svg};
use proptest::prelude::*;

use crate::svg::{number, parsed, paths, texts, view_box};
use crate::{anything, samples};

/// The world, seen from where Greenwich's meridian meets the equator, with one wild coast.
fn world(points: u32) -> PlaceMap {
    let line = (0..points)
        .map(|index| {
            let share = f64::from(index) / f64::from(points);
            (share, 0.5 + 0.2 * (40.0 * share).sin() + 0.001 * (9000.0 * share).sin())
        })
        .collect();
    PlaceMap {
        title: "Map of the world".into(),
        width: 960.0,
        height: 480.0,
        coast: vec![line],
        ..PlaceMap::default()
    }
}

proptest! {
    // A figure is a page of text; 48 of each kind find what 256 do and keep the tests quick.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_map_gives_a_sound_figure(map in anything::place_map()) {
        for theme in [Theme::Auto, Theme::Light, Theme::Dark] {
            parsed(&place_map_svg(&map, theme));
        }
    }

    /// What a click is turned back by: a share of the picture is the same share of the map.
    #[test]
    fn a_place_is_drawn_at_its_share_of_the_picture(
        x in 0.0..=1.0, y in 0.0..=1.0, width in 64.0..2000.0, height in 64.0..2000.0,
    ) {
        let mut map = PlaceMap { width, height, ..samples::place_map() };
        map.places.truncate(1);
        (map.places[0].x, map.places[0].y) = (x, y);
        let svg = place_map_svg(&map, Theme::Light);
        let document = parsed(&svg);
        let (width, height) = view_box(&document);
        let dot = document.descendants().find(|node| node.attribute("class") == Some("place"));
        let dot = dot.unwrap();
        // A tenth of a pixel is how positions are written.
        prop_assert!((number(dot, "cx") - x * width).abs() <= 0.051);
        prop_assert!((number(dot, "cy") - y * height).abs() <= 0.051);
    }
}

#[test]
fn the_picture_has_its_own_size_so_that_clicks_arrive_in_its_pixels() {
    let svg = place_map_svg(&samples::place_map(), Theme::Auto);
    let document = parsed(&svg);
    let root = document.root_element();
    assert_eq!((number(root, "width"), number(root, "height")), (360.0, 360.0));
    assert_eq!(view_box(&document), (360.0, 360.0));
}

#[test]
fn the_cross_is_in_the_middle_and_no_name_covers_it() {
    let mut map = samples::place_map();
    (map.places[0].x, map.places[0].y) = (0.4, 0.5);
    let svg = place_map_svg(&map, Theme::Light);
    let document = parsed(&svg);
    assert_eq!(paths(&document, "cross"), "M163 180h12M185 180h12M180 163v12M180 185v12");
    let name = document.descendants().find(|node| node.text() == Some("Heron Walk")).unwrap();
    // Bold, 13 px: the name is 75 px wide and would reach over the middle right of its dot.
    assert!(number(name, "x") + 75.0 < 163.0 || (number(name, "y") - 180.0).abs() > 10.0);
}

#[test]
fn the_scale_bar_is_as_long_as_it_says() {
    let svg = place_map_svg(&samples::place_map(), Theme::Light);
    let document = parsed(&svg);
    assert!(paths(&document, "bar").contains("h90v-5"), "{}", paths(&document, "bar"));
    assert!(texts(&document).contains(&"5\u{a0}km"));
    let too_long = PlaceMap {
        scale_bar: Some(ScaleBar { share: 1.2, label: "24 km".into() }),
        ..samples::place_map()
    };
    assert!(!place_map_svg(&too_long, Theme::Light).contains("24 km"));
}

/// Read back step by step: no point of what is drawn strays from the line, and none is missed by
/// more than a bend that is left out and the rounding to a tenth.
#[test]
fn a_coast_is_drawn_where_it_lies_however_long_it_is() {
    let map = world(20_000);
    let svg = place_map_svg(&map, Theme::Light);
    let document = parsed(&svg);
    let d = paths(&document, "coast");
    let (start, steps) = d.strip_prefix('M').unwrap().split_once('l').unwrap();
    let pair = |text: &str| -> (f64, f64) {
        let (x, y) = text.split_once(' ').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    let (mut x, mut y) = pair(start);
    let truth: Vec<(f64, f64)> = map.coast[0].iter().map(|(x, y)| (960.0 * x, 480.0 * y)).collect();
    let numbers: Vec<&str> = steps.split(' ').collect();
    for step in numbers.chunks(2) {
        (x, y) = (x + step[0].parse::<f64>().unwrap(), y + step[1].parse::<f64>().unwrap());
        let near = truth.iter().map(|at| (at.0 - x).hypot(at.1 - y)).fold(f64::MAX, f64::min);
        assert!(near <= 0.08, "{near} at {x} {y}");
    }
    let end = truth.last().unwrap();
    assert!((end.0 - x).hypot(end.1 - y) <= 0.1, "the line ends where it ends");
    assert!(svg.len() < 20_000, "{}", svg.len());
}

#[test]
fn islands_too_small_to_see_are_left_out() {
    let dot = vec![(0.5, 0.25), (0.5003, 0.25), (0.5003, 0.2503), (0.5, 0.25)];
    let map = PlaceMap { coast: vec![dot], ..world(2) };
    assert_eq!(paths(&parsed(&place_map_svg(&map, Theme::Light)), "coast"), "");
}

#[test]
fn a_small_map_to_choose_on_changes_only_on_purpose() {
    let mut map = samples::place_map();
    map.coast[0].truncate(90);
    insta::assert_snapshot!(place_map_svg(&map, Theme::Light));
}
