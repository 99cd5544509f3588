use fairspell_figures::{LoopFrame, LoopWidth, RainLoop, RainMap, Theme, rain_loop_svg};
use proptest::prelude::*;
use roxmltree::{Document, Node};

use crate::svg::{number, parsed, paths, texts, view_box};
use crate::{anything, samples};

const WIDTHS: [LoopWidth; 2] = [LoopWidth::Wide, LoopWidth::Narrow];

/// Two measured frames and one that is coming, of two cells each.
fn small() -> RainLoop {
    let frame = |label: &str, is_coming, rates: [f32; 2]| LoopFrame {
        label: label.into(),
        is_coming,
        rain_rate_mm_h: rates.to_vec(),
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
            frame("14:16", false, [3.0, 0.0]),
            frame("14:26", false, [0.0, 3.0]),
            frame("14:36", true, [f32::NAN, 0.0]),
        ],
        measured_label: "measured".into(),
        coming_label: "coming".into(),
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
fn without_script_the_newest_measured_frame_shows_and_all_are_listed() {
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
        let listed: Vec<_> = document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .filter(|node| node.ancestors().all(|node| !node.has_attribute("data-frame")))
            .filter_map(|node| node.text())
            .collect();
        for words in ["measured", "14:16", "14:26", "coming", "14:36"] {
            assert!(listed.contains(&words), "{words} in {listed:?}");
        }
    }
}

#[test]
fn what_is_coming_differs_from_what_was_measured_in_word_and_outline() {
    let svg = rain_loop_svg(&small(), LoopWidth::Wide, Theme::Light);
    let document = parsed(&svg);
    // Here the words are those that the classes are named after.
    for (frame, kind) in frames(&document).into_iter().zip(["measured", "measured", "coming"]) {
        assert_eq!(frame.attribute("class"), Some(kind));
        assert!(frame.descendants().any(|node| node.text() == Some(kind)));
        let edges = frame.descendants().filter(|node| node.attribute("class") == Some("line edge"));
        assert_eq!(edges.count(), 1);
    }
    assert!(svg.contains(" .coming .edge{stroke-width:3;stroke-dasharray:9 6}"));
}

#[test]
fn each_frame_draws_its_own_rates_and_none_where_nothing_was_measured() {
    let svg = rain_loop_svg(&small(), LoopWidth::Narrow, Theme::Light);
    let document = parsed(&svg);
    let drawn: Vec<(String, String)> = frames(&document)
        .into_iter()
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
    let expected = [("M0 0h2", "M0 0h1"), ("M0 0h2", "M1 0h1"), ("M1 0h1", "")]
        .map(|(paper, rain)| (paper.to_owned(), rain.to_owned()));
    assert_eq!(drawn, expected);
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

/// Thirteen frames of 120 by 120 cells with showers; a page should hold them without a second
/// thought.
#[test]
fn a_loop_stays_small() {
    for width in WIDTHS {
        assert!(rain_loop_svg(&samples::rain_loop(), width, Theme::Auto).len() < 70_000);
    }
}

#[test]
fn on_a_phone_everything_is_within_its_width() {
    let svg = rain_loop_svg(&samples::rain_loop(), LoopWidth::Narrow, Theme::Light);
    let document = parsed(&svg);
    let (width, height) = view_box(&document);
    assert!(svg.contains("viewBox=\"0 0 360 "));
    for node in document.descendants().filter(|node| node.has_tag_name("text")) {
        assert!((0.0..=width).contains(&number(node, "x")) && number(node, "y") <= height);
    }
    for node in document.descendants().filter(|node| node.attribute("class") == Some("line cell")) {
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
    later.frames[2].rain_rate_mm_h[1] = 3.0;
    let mut all = ids(&small(), LoopWidth::Wide);
    all.extend(ids(&small(), LoopWidth::Narrow));
    all.extend(ids(&later, LoopWidth::Wide));
    let count = all.len();
    all.sort();
    all.dedup();
    assert_eq!(all.len(), count);
}

#[test]
fn a_small_loop_changes_only_on_purpose() {
    insta::assert_snapshot!(rain_loop_svg(&small(), LoopWidth::Narrow, Theme::Light));
}
