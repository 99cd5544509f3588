use fairspell_figures::{
    ChanceField, FrameSky, LoopFrame, MapWidth, RainLoop, RainMap, Theme, rain_loop_svg,
};
use proptest::prelude::*;
use roxmltree::{Document, Node};

use crate::svg::{number, parsed, paths, texts, textures, view_box};
use crate::{anything, samples};

const WIDTHS: [MapWidth; 2] = [MapWidth::Wide, MapWidth::Narrow];

/// Two frames that were seen and one that is coming, of two and of four cells.
fn small() -> RainLoop {
    let frame =
        |label: &str, words: &str, sky| LoopFrame { label: label.into(), words: words.into(), sky };
    let chances = ChanceField {
        rows: 2,
        columns: 4,
        p_rain: vec![f32::NAN, 0.1, 0.3, 0.6, f32::NAN, 0.2, 0.5, 0.9],
        p_heavy: vec![0.9, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.4],
    };
    RainLoop {
        map: RainMap {
            title: "Rain around Saltern Bight".into(),
            rows: 1,
            columns: 2,
            cell_km: 10.0,
            west_km: -10.0,
            north_km: 5.0,
            not_measured_label: "not measured".into(),
            ..RainMap::default()
        },
        frames: vec![
            frame("14:16", "seen, 16 minutes old", FrameSky::Seen(vec![3.0, 0.0])),
            frame("14:26", "seen, 6 minutes old", FrameSky::Seen(vec![0.0, 3.0])),
            frame("14:36", "expected, in 4 minutes", FrameSky::Coming(chances)),
        ],
        seen_label: "Seen".into(),
        coming_label: "Expected".into(),
        coming_note: "told from the picture of 14:26".into(),
        chance_heading: "Chance of rain then".into(),
        chance_labels: ["unlikely", "possible", "likely", "heavy"].map(str::to_owned),
    }
}

/// The groups of frames in their order.
fn frames<'a>(document: &'a Document<'a>) -> Vec<Node<'a, 'a>> {
    document.descendants().filter(|node| node.has_attribute("data-frame")).collect()
}

proptest! {
    // A figure is a page of text; 48 of each kind find what 256 do and keep the tests quick.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_loop_gives_a_sound_figure(rain_loop in anything::rain_loop()) {
        for width in WIDTHS {
            parsed(&rain_loop_svg(&rain_loop, width, Theme::Auto));
        }
    }
}

#[test]
fn without_script_the_newest_seen_frame_shows_and_a_strip_says_where_it_lies() {
    for width in WIDTHS {
        let svg = rain_loop_svg(&small(), width, Theme::Light);
        let document = parsed(&svg);
        let shown: Vec<_> = frames(&document)
            .into_iter()
            .filter(|frame| !frame.has_attribute("data-off"))
            .map(|frame| frame.attribute("data-label").unwrap())
            .collect();
        assert_eq!(shown, ["14:26"]);
        // `hidden` is no attribute of SVG elements; the figure has its own, and the rule for it.
        assert!(svg.contains(" [data-off]{display:none}"));
        let always: Vec<_> = document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .filter(|node| node.ancestors().all(|node| !node.has_attribute("data-frame")))
            .filter_map(|node| node.text())
            .collect();
        for words in ["Seen", "14:16", "Expected", "14:36"] {
            assert!(always.contains(&words), "{words} in {always:?}");
        }
        // A box for each frame, and over it a full one while it shows.
        assert_eq!(paths(&document, "line").matches('z').count(), 3);
        let full = |frame: &Node<'_, '_>| {
            let boxes = frame.descendants().filter(|node| node.attribute("class") == Some("ink"));
            boxes.map(|node| number(node, "x")).collect::<Vec<_>>()
        };
        let full: Vec<f64> = frames(&document).iter().flat_map(full).collect();
        assert!(full.len() == 3 && full.is_sorted_by(|a, b| a < b), "{full:?}");
    }
}

#[test]
fn what_is_coming_differs_from_what_was_seen_in_words_and_outline() {
    let svg = rain_loop_svg(&small(), MapWidth::Wide, Theme::Light);
    let document = parsed(&svg);
    let expected = [
        ("seen", "seen, 16 minutes old"),
        ("seen", "seen, 6 minutes old"),
        ("coming", "expected, in 4 minutes"),
    ];
    for (frame, (kind, words)) in frames(&document).into_iter().zip(expected) {
        assert_eq!(frame.attribute("class"), Some(kind));
        let says = |words: &str| frame.descendants().any(|node| node.text() == Some(words));
        assert!(says(words));
        assert_eq!(says("told from the picture of 14:26"), kind == "coming");
        let edges = frame.descendants().filter(|node| node.attribute("class") == Some("line edge"));
        assert_eq!(edges.count(), 1);
    }
    assert!(svg.contains(" .coming .edge{stroke-width:3;stroke-dasharray:9 6}"));
    for words in ["Chance of rain then", "unlikely", "possible", "likely", "heavy"] {
        assert!(texts(&document).contains(&words), "{words} in {:?}", texts(&document));
    }
}

#[test]
fn each_seen_frame_draws_its_own_rates() {
    let svg = rain_loop_svg(&small(), MapWidth::Narrow, Theme::Light);
    let document = parsed(&svg);
    let drawn: Vec<(String, String)> = frames(&document)
        .into_iter()
        .take(2)
        .map(|frame| {
            let of = |class: &str| {
                frame
                    .descendants()
                    .filter(|node| node.attribute("class") == Some(class))
                    .filter_map(|node| node.attribute("d"))
                    .collect()
            };
            (of("paper"), of("r3"))
        })
        .collect();
    let expected = [("M0 0h2", "M0 0h1"), ("M0 0h2", "M1 0h1")]
        .map(|(paper, rain)| (paper.to_owned(), rain.to_owned()));
    assert_eq!(drawn, expected);
}

#[test]
fn a_coming_frame_says_its_chances_by_strokes_and_draws_nothing_where_it_is_not_known() {
    let svg = rain_loop_svg(&small(), MapWidth::Narrow, Theme::Light);
    let document = parsed(&svg);
    let coming = frames(&document).pop().unwrap();
    let paper = coming.descendants().find(|node| node.attribute("class") == Some("paper")).unwrap();
    // In the lower row strokes hide all the paper there is.
    assert_eq!(paper.attribute("d"), Some("M1 0h3"));
    // Few strokes where it is possible and upon it many where it is likely; hatched where it may be
    // heavy. What is not known has no chance of heavy rain either.
    let expected = [("few", "M2 0h2M1 1h3"), ("many", "M3 0h1M2 1h2"), ("heavy", "M3 1h1")];
    assert_eq!(textures(coming), expected);
    for texture in ["few", "many", "heavy"] {
        let id = format!("-{texture}-c");
        let is_there = |node: Node<'_, '_>| node.attribute("id").is_some_and(|i| i.ends_with(&id));
        assert!(document.descendants().any(is_there), "{texture}");
    }
}

#[test]
fn the_ground_is_drawn_once() {
    for width in WIDTHS {
        let svg = rain_loop_svg(&samples::rain_loop(), width, Theme::Light);
        let document = parsed(&svg);
        assert_eq!(frames(&document).len(), 13);
        let coasts = |node: &Node<'_, '_>| node.attribute("class") == Some("line coast");
        assert_eq!(document.descendants().filter(coasts).count(), 1);
        assert_eq!(texts(&document).iter().filter(|words| **words == "airfield").count(), 1);
        assert!(!paths(&document, "rim").is_empty());
    }
}

/// A phone that loses its signal between two gusts should have all of it: as it stands, before
/// anything packs it.
#[test]
fn a_full_loop_of_the_busiest_sky_stays_below_150_kilobytes() {
    for width in WIDTHS {
        let svg = rain_loop_svg(&samples::busy_loop(1.0), width, Theme::Auto);
        assert_eq!(svg.matches(" data-frame=").count(), 30);
        assert!(svg.len() <= 150_000, "{} bytes", svg.len());
        // As busy as the busiest sky of the open events, which takes 7.6 kB for a seen frame.
        assert!(svg.len() >= 120_000, "{} bytes are no busy sky", svg.len());
        assert!(
            seen_cells_px(&svg).iter().all(|px| (px / (width_px(width) / 75.0) - 1.0).abs() < 0.01)
        );
    }
}

/// Rain torn as no rain is.
#[test]
fn a_sky_too_torn_for_its_size_is_drawn_in_larger_cells() {
    for width in WIDTHS {
        let svg = rain_loop_svg(&samples::busy_loop(3.0), width, Theme::Auto);
        assert!(svg.len() <= 150_000, "{} bytes", svg.len());
        assert_eq!(seen_cells_px(&svg).len(), 12);
        assert!(seen_cells_px(&svg).iter().all(|px| *px > 1.4 * width_px(width) / 75.0));
    }
}

fn width_px(width: MapWidth) -> f64 {
    if width == MapWidth::Wide { 640.0 } else { 336.0 }
}

/// How large the cells of the seen frames are.
fn seen_cells_px(svg: &str) -> Vec<f64> {
    let document = parsed(svg);
    let scale = |frame: Node<'_, '_>| {
        let cells = frame.descendants().find(|node| node.attribute("class") == Some("cells"))?;
        let scale = cells.attribute("transform")?.split_once("scale(")?.1.strip_suffix(')')?;
        scale.parse().ok()
    };
    let seen = |frame: &Node<'_, '_>| frame.attribute("class") == Some("seen");
    frames(&document).into_iter().filter(seen).filter_map(scale).collect()
}

#[test]
fn on_a_phone_everything_is_within_its_width() {
    let svg = rain_loop_svg(&samples::rain_loop(), MapWidth::Narrow, Theme::Light);
    let document = parsed(&svg);
    let (width, height) = view_box(&document);
    assert!(svg.contains("viewBox=\"0 0 360 "));
    for node in document.descendants().filter(|node| node.has_tag_name("text")) {
        assert!((0.0..=width).contains(&number(node, "x")) && number(node, "y") <= height);
    }
    for node in document.descendants().filter(|node| node.attribute("class") == Some("ink")) {
        assert!(number(node, "x") + number(node, "width") <= width - 12.0);
    }
}

#[test]
fn loops_side_by_side_share_no_names() {
    let ids = |rain_loop: &RainLoop, width| -> Vec<String> {
        let svg = rain_loop_svg(rain_loop, width, Theme::Auto);
        let document = parsed(&svg);
        document.descendants().filter_map(|node| node.attribute("id").map(str::to_owned)).collect()
    };
    let mut later = small();
    if let FrameSky::Coming(chances) = &mut later.frames[2].sky {
        chances.p_rain[1] = 0.7;
    }
    let mut all = ids(&small(), MapWidth::Wide);
    all.extend(ids(&small(), MapWidth::Narrow));
    all.extend(ids(&later, MapWidth::Wide));
    let count = all.len();
    all.sort();
    all.dedup();
    assert_eq!(all.len(), count);
}

#[test]
fn a_small_loop_changes_only_on_purpose() {
    insta::assert_snapshot!(rain_loop_svg(&small(), MapWidth::Narrow, Theme::Light));
}
