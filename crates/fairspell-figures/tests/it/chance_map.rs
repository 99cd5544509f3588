use fairspell_figures::{ChanceField, ChanceMap, MapWidth, RainMap, Theme, chance_map_svg};
use proptest::prelude::*;

use crate::svg::{number, parsed, texts, textures, view_box};
use crate::{anything, samples};

const WIDTHS: [MapWidth; 2] = [MapWidth::Wide, MapWidth::Narrow];

/// Six cells: not known by its code, unlikely, possible / likely, very likely, not known.
fn small() -> ChanceMap {
    ChanceMap {
        map: RainMap {
            title: "Chance of rain around Saltern Bight, 14:32 to 15:32".into(),
            description: "62 % at Saltern Bight.".into(),
            caption: vec!["Coast Radar, as of 14:26, 6 minutes old".into()],
            rows: 2,
            columns: 3,
            cell_km: 10.0,
            west_km: -15.0,
            north_km: 10.0,
            not_measured_label: "not measured".into(),
            north_label: "north".into(),
            ..RainMap::default()
        },
        chances: ChanceField {
            rows: 2,
            columns: 3,
            p_rain: vec![-9999.0, 0.05, 0.3, 0.6, 0.95, f32::NAN],
            p_heavy: Vec::new(),
        },
        heading: "Rain at some moment".into(),
        labels: ["unlikely", "possible", "likely", "very likely"].map(str::to_owned),
    }
}

proptest! {
    // A figure is a page of text; 48 of each kind find what 256 do and keep the tests quick.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_map_of_chances_gives_a_sound_figure(map in anything::chance_map()) {
        for width in WIDTHS {
            parsed(&chance_map_svg(&map, width, Theme::Auto));
        }
    }
}

#[test]
fn likelier_rain_has_more_strokes_and_what_is_not_known_is_never_paper() {
    for width in WIDTHS {
        let svg = chance_map_svg(&small(), width, Theme::Light);
        let document = parsed(&svg);
        let cells = document.descendants().find(|node| node.attribute("class") == Some("cells"));
        let paper = cells.unwrap().children().find(|n| n.attribute("class") == Some("paper"));
        // Where all of a row's known cells have strokes, they hide the paper.
        assert_eq!(paper.unwrap().attribute("d"), Some("M1 0h2"));
        let expected = [("few", "M2 0h1M0 1h2"), ("more", "M0 1h2"), ("many", "M1 1h1")];
        assert_eq!(textures(document.root()), expected);
        let strokes = |texture: &str| {
            let pattern = document.descendants().find(|node| {
                node.attribute("id").is_some_and(|id| id.ends_with(&format!("-{texture}")))
            });
            let path = pattern.unwrap().first_element_child().unwrap();
            path.attribute("d").unwrap().matches('M').count()
        };
        assert!(strokes("few") < strokes("more") && strokes("more") < strokes("many"));
    }
}

#[test]
fn the_legend_says_every_class_in_words() {
    for width in WIDTHS {
        let svg = chance_map_svg(&small(), width, Theme::Light);
        let document = parsed(&svg);
        let words = ["Rain at some moment", "unlikely", "possible", "likely", "very likely"];
        for words in words.into_iter().chain(["not measured", "north"]) {
            assert!(texts(&document).contains(&words), "{words} in {:?}", texts(&document));
        }
        // There are no rates on it to have a scale.
        assert!(!texts(&document).contains(&"mm/h"));
        assert!(svg.contains(">62 % at Saltern Bight.</title>"));
    }
}

#[test]
fn on_a_phone_a_map_of_chances_is_within_its_width() {
    let svg = chance_map_svg(&samples::chance_map(), MapWidth::Narrow, Theme::Light);
    let document = parsed(&svg);
    let (width, height) = view_box(&document);
    assert!(svg.contains("viewBox=\"0 0 360 "));
    for node in document.descendants().filter(|node| node.has_tag_name("text")) {
        assert!((0.0..=width).contains(&number(node, "x")) && number(node, "y") <= height);
    }
    assert!(svg.len() < 20_000, "{} bytes", svg.len());
}

#[test]
fn a_small_map_of_chances_changes_only_on_purpose() {
    insta::assert_snapshot!(chance_map_svg(&small(), MapWidth::Narrow, Theme::Light));
}
