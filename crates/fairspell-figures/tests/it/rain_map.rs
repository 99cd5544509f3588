use fairspell_figures::{MapPlace, RainMap, Theme, rain_map_svg};
use proptest::prelude::*;
use roxmltree::{Document, Node};

use crate::svg::{number, parsed, paths, texts, textures};
use crate::{anything, samples};

/// Six cells of 10 km: dry, drizzle, rain / downpour, not measured, not measured by its code.
fn small() -> RainMap {
    RainMap {
        title: "Rain around Saltern Bight".into(),
        description: "A downpour in the south-west; the east was not measured.".into(),
        caption: vec!["shows 14:26".into()],
        rows: 2,
        columns: 3,
        cell_km: 10.0,
        west_km: -15.0,
        north_km: 10.0,
        rain_rate_mm_h: vec![0.0, 0.3, 3.0, 60.0, f32::NAN, -9999.0],
        not_measured_label: "not measured".into(),
        north_label: "north".into(),
        ..RainMap::default()
    }
}

proptest! {
    // A figure is a page of text; 48 of each kind find what 256 do and keep the tests quick.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_map_gives_a_sound_figure(map in anything::rain_map()) {
        for theme in [Theme::Auto, Theme::Light, Theme::Dark] {
            parsed(&rain_map_svg(&map, theme));
        }
    }
}

/// Each class of rain with its path, in the order of drawing.
fn drawn_cells<'a>(document: &'a Document<'_>) -> Vec<(&'a str, &'a str)> {
    let of_class = |node: Node<'a, '_>| {
        let d = node.attribute("d")?;
        let class = node.attribute("class").or_else(|| node.parent()?.attribute("class"))?;
        Some((class, d))
    };
    let cells = document.descendants().find(|node| node.attribute("class") == Some("cells"));
    cells.expect("a group of cells").descendants().filter_map(of_class).collect()
}

#[test]
fn cells_are_drawn_where_they_lie_and_unmeasured_ones_not_at_all() {
    let svg = rain_map_svg(&small(), Theme::Light);
    let document = parsed(&svg);
    // Six cells in rows of three: a line through each run of cells, heavier ones over lighter.
    let expected = [
        ("paper", "M0 0h3"),
        ("r0", "M1 0h2M0 1h1"),
        ("r3", "M2 0h1"),
        ("r5", "M0 1h1"),
        ("r7", "M0 1h1"),
    ];
    assert_eq!(drawn_cells(&document), expected);
}

#[test]
fn light_rain_is_dotted_and_heavy_rain_hatched() {
    let svg = rain_map_svg(&small(), Theme::Light);
    let document = parsed(&svg);
    // Dots lie under what is heavier than them, which is drawn later.
    assert_eq!(textures(document.root()), [("dots", "M1 0h2M0 1h1"), ("hatch", "M0 1h1")]);
    let (dots, heavier) = (svg.find("<use").unwrap(), svg.find("class=\"r3\" d=").unwrap());
    assert!(dots < heavier);
}

#[test]
fn a_short_list_of_rates_leaves_the_rest_not_measured() {
    let map = RainMap { rain_rate_mm_h: vec![3.0], ..small() };
    let svg = rain_map_svg(&map, Theme::Light);
    let document = parsed(&svg);
    assert_eq!(paths(&document, "r3"), "M0 0h1");
    assert_eq!(paths(&document, "paper"), "");
}

#[test]
fn the_scale_is_labelled_and_says_what_was_not_measured() {
    let svg = rain_map_svg(&small(), Theme::Light);
    let document = parsed(&svg);
    for words in ["mm/h", "0.1", "1", "10", "50", "not measured", "north", "5 km"] {
        assert!(texts(&document).contains(&words), "{words} in {:?}", texts(&document));
    }
}

#[test]
fn north_is_up_and_east_is_right() {
    let place =
        |east_km, north_km, label: &str| MapPlace { east_km, north_km, label: label.into() };
    let map = RainMap {
        places: vec![place(10.0, 5.0, "north-east"), place(-10.0, -5.0, "south-west")],
        ..small()
    };
    let svg = rain_map_svg(&map, Theme::Light);
    let document = parsed(&svg);
    let dots: Vec<_> =
        document.descendants().filter(|node| node.attribute("class") == Some("place")).collect();
    assert!(number(dots[0], "cx") > number(dots[1], "cx"));
    assert!(number(dots[0], "cy") < number(dots[1], "cy"));
}

#[test]
fn names_of_near_places_do_not_cover_each_other() {
    let svg = rain_map_svg(&samples::rain_map(), Theme::Light);
    let document = parsed(&svg);
    let y = |words: &str| {
        number(document.descendants().find(|node| node.text() == Some(words)).unwrap(), "y")
    };
    assert!((y("Saltern Bight") - y("Heron Walk")).abs() >= 13.0);
}

/// 120 by 120 cells with showers; a letter should not be heavier than a page of text.
#[test]
fn a_field_with_showers_stays_small() {
    assert!(rain_map_svg(&samples::rain_map(), Theme::Light).len() < 24_000);
}

#[test]
fn a_small_map_changes_only_on_purpose() {
    insta::assert_snapshot!(rain_map_svg(&small(), Theme::Auto));
}
