use fairspell_figures::{
    Danger, Evening, LightSample, LookCard, Mark, RainSlot, Size, TableWords, Theme, evening_svg,
    evening_table, with_nonce,
};
use proptest::prelude::*;

use crate::svg::{number, parsed, paths, strokes, texts, view_box};
use crate::{anything, samples};

/// An hour with one answer about its rain, in full light.
fn hour(p_rain: Option<f64>) -> Evening {
    let light = |at_min| LightSample { at_min, illuminance_lx: 2e4, sun_elevation_deg: 15.0 };
    Evening {
        span_min: 60.0,
        light: vec![light(0.0), light(60.0)],
        rain: vec![RainSlot { from_min: 0.0, to_min: 60.0, p_rain, rain_rate_mm_h: Some(2.0) }],
        not_known_label: "not known".into(),
        ..Evening::default()
    }
}

fn count(p: f64, size: Size) -> usize {
    strokes(&parsed(&evening_svg(&hour(Some(p)), size, Theme::Light)))
}

proptest! {
    // A figure is a page of text; 48 of each kind find what 256 do and keep the tests quick.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_evening_gives_a_sound_figure(evening in anything::evening()) {
        for size in [Size::Large, Size::Narrow, Size::Small] {
            for theme in [Theme::Auto, Theme::Light, Theme::Dark] {
                parsed(&evening_svg(&evening, size, theme));
            }
        }
    }

    #[test]
    fn likelier_rain_never_has_fewer_strokes(p in 0.0..=1.0, more in 0.0..=1.0) {
        for size in [Size::Large, Size::Small] {
            prop_assert!(count(f64::max(p, more), size) >= count(f64::min(p, more), size));
        }
    }

    #[test]
    fn marks_never_cover_each_other_or_the_clock(
        moments in prop::collection::vec(0.0..183.0, 0..8),
        size in prop_oneof![Just(Size::Large), Just(Size::Narrow)],
    ) {
        let marks = moments.iter().map(|&at_min| Mark { at_min, label: "sunset 17:33".into() });
        let evening = Evening { marks: marks.collect(), looks: Vec::new(), ..samples::showers() };
        let svg = evening_svg(&evening, size, Theme::Light);
        let document = parsed(&svg);
        // Widths measured with the face itself: 13 px, regular, tabular figures.
        let mut boxes: Vec<(f64, f64, f64)> = Vec::new();
        for node in document.descendants().filter(|node| node.has_tag_name("text")) {
            let wide = match node.text() {
                Some("sunset 17:33") => 77.9,
                // In a crowd the words are broken.
                Some("sunset") => 41.0,
                Some(clock) if clock.len() == 5 && clock.contains(':') => 36.4,
                _ => continue,
            };
            let x = number(node, "x");
            let left = match node.attribute("text-anchor") {
                Some("end") => x - wide,
                Some(_) => x - wide / 2.0,
                None => x,
            };
            boxes.push((left, left + wide, number(node, "y")));
        }
        prop_assert!(boxes.len() >= moments.len() + 5);
        for (index, a) in boxes.iter().enumerate() {
            for b in &boxes[..index] {
                prop_assert!(
                    (a.2 - b.2).abs() >= 13.0 || a.1 <= b.0 || b.1 <= a.0,
                    "{a:?} and {b:?}"
                );
            }
        }
    }
}

#[test]
fn a_dry_hour_has_no_strokes_and_a_wet_one_many() {
    assert_eq!(count(0.0, Size::Large), 0);
    let (half, certain) = (count(0.5, Size::Large), count(1.0, Size::Large));
    // Half as many, give or take those cut at the frame's ends.
    assert!((half as f64 / certain as f64 - 0.5).abs() < 0.03, "{half} of {certain}");
}

/// Missing is never dry: nothing tells dry from not known but the light behind it, the line under
/// it and the words.
#[test]
fn what_is_not_known_is_not_drawn_as_dry() {
    for size in [Size::Large, Size::Small] {
        let dry = evening_svg(&hour(Some(0.0)), size, Theme::Light);
        for p in [None, Some(f64::NAN), Some(-1.0)] {
            let unknown = evening_svg(&hour(p), size, Theme::Light);
            let (dry, unknown) = (parsed(&dry), parsed(&unknown));
            assert!(!paths(&dry, "hair").is_empty() && paths(&unknown, "hair").is_empty());
            assert!(paths(&dry, "broken").is_empty() && !paths(&unknown, "broken").is_empty());
            assert_eq!(strokes(&unknown), 0);
            assert_eq!(texts(&unknown).contains(&"not known"), size == Size::Large);
        }
    }
}

#[test]
fn hours_without_a_slot_are_not_known() {
    let evening = Evening { rain: Vec::new(), ..hour(None) };
    let svg = evening_svg(&evening, Size::Large, Theme::Light);
    assert_eq!(texts(&parsed(&svg)), ["not known"]);
}

#[test]
fn light_that_is_not_known_leaves_an_empty_outline() {
    let mut evening = hour(Some(0.4));
    evening.light[1].illuminance_lx = f64::NAN;
    let svg = evening_svg(&evening, Size::Large, Theme::Light);
    let document = parsed(&svg);
    assert!(!paths(&document, "hair").is_empty() && strokes(&document) > 0);
    assert!(!svg.contains("linearGradient"));
}

#[test]
fn heavier_rain_has_longer_strokes() {
    let longest = |rate| {
        let mut evening = hour(Some(1.0));
        evening.rain[0].rain_rate_mm_h = rate;
        let svg = evening_svg(&evening, Size::Large, Theme::Light);
        let document = parsed(&svg);
        let lengths = paths(&document, "rain");
        let down =
            lengths.split('M').skip(1).map(|d| d.rsplit(' ').next().unwrap().parse().unwrap());
        down.fold(0.0, f64::max)
    };
    assert!(longest(Some(0.2)) < longest(Some(3.0)));
    assert!(longest(Some(3.0)) < longest(Some(20.0)));
}

#[test]
fn the_figure_says_in_words_what_it_shows() {
    let evening = samples::showers();
    for size in [Size::Large, Size::Small] {
        let svg = evening_svg(&evening, size, Theme::Auto);
        let document = parsed(&svg);
        let title = document.descendants().find(|node| node.has_tag_name("title")).unwrap();
        assert_eq!(title.text(), Some(evening.description.as_str()));
    }
}

#[test]
fn the_small_figure_has_no_words_and_fits_a_list() {
    let svg = evening_svg(&samples::storm(), Size::Small, Theme::Auto);
    let document = parsed(&svg);
    assert_eq!(texts(&document), [""; 0]);
    assert_eq!(document.root_element().attribute("viewBox"), Some("0 0 160 28"));
}

#[test]
fn markup_in_a_name_stays_a_name() {
    let name = "<script>alert(\"a\" & 'b')</script>\u{7}";
    let look = LookCard { from_min: 0.0, to_min: 60.0, name: name.into(), ..LookCard::default() };
    let evening = Evening { heading: name.into(), looks: vec![look], ..hour(Some(0.2)) };
    let svg = evening_svg(&evening, Size::Large, Theme::Light);
    let document = parsed(&svg);
    assert!(!document.descendants().any(|node| node.has_tag_name("script")));
    assert!(texts(&document)[0].starts_with("<script>alert(\"a\" & 'b')"));
}

#[test]
fn looks_show_their_setting_on_the_edge_and_in_words() {
    let svg = evening_svg(&samples::showers(), Size::Large, Theme::Light);
    let document = parsed(&svg);
    assert_eq!(paths(&document, "sign").matches('M').count(), 2); // a roof and an umbrella
    assert_eq!(paths(&document, "dash").matches('M').count(), 1);
    for words in ["under the roof", "umbrella", "in dashes"] {
        assert!(texts(&document).contains(&words));
    }
}

#[test]
fn danger_says_its_words_on_ink_or_beside_it() {
    let svg = evening_svg(&samples::storm(), Size::Large, Theme::Light);
    let document = parsed(&svg);
    let class = |words: &str| {
        let text = document.descendants().find(|node| node.text() == Some(words)).unwrap();
        text.attribute("class").unwrap().to_owned()
    };
    assert_eq!(class("thunder and hail 16:30-18:15"), "strong onink");
    assert_eq!(class("gusts to 96 km/h"), "strong clear");
}

#[test]
fn figures_side_by_side_share_no_names() {
    let id = |evening: &Evening, size, theme| {
        parsed(&evening_svg(evening, size, theme)).root_element().attribute("id").map(str::to_owned)
    };
    let (one, other) = (samples::showers(), samples::storm());
    let day = id(&one, Size::Large, Theme::Light);
    assert_ne!(day, id(&other, Size::Large, Theme::Light));
    assert_ne!(day, id(&one, Size::Small, Theme::Light));
    assert_ne!(day, id(&one, Size::Narrow, Theme::Light));
    assert_ne!(day, id(&one, Size::Large, Theme::Dark));
    assert_eq!(day, id(&one, Size::Large, Theme::Light));
}

/// Six marks within the hour before the light ends, eight looks of a quarter of an hour with the
/// longest names, a summary of four lines: everything shortened or moved, nothing outside.
#[test]
fn the_longest_names_stay_on_the_page() {
    for size in [Size::Large, Size::Narrow] {
        let svg = evening_svg(&samples::crowded(), size, Theme::Light);
        let document = parsed(&svg);
        assert!(texts(&document).iter().any(|words| words.ends_with('…')));
        let (width, height) = view_box(&document);
        for node in document.descendants().filter(|node| node.has_tag_name("text")) {
            assert!((0.0..=width).contains(&number(node, "x")) && number(node, "y") <= height);
        }
    }
}

/// A phone of 360 px shows it one to one, so that no text is smaller there than the smallest of the
/// four sizes, 13 px.
#[test]
fn on_a_phone_all_words_of_the_large_figure_are_there_at_full_size() {
    let evening = samples::showers();
    let svg = evening_svg(&evening, Size::Narrow, Theme::Light);
    let document = parsed(&svg);
    assert!(svg.contains("viewBox=\"0 0 360 "));
    assert_eq!(document.root_element().attribute("font-size"), Some("13"));
    for part in svg.split("font-size:").skip(1) {
        let size: f64 = part[..part.find("px").unwrap()].parse().unwrap();
        assert!(size >= 13.0);
    }
    let all = texts(&document).join(" ");
    for words in evening.summary.split(' ').chain([
        "22 min dry",
        "31 min dry",
        "15:00",
        "17:30",
        "sunset 17:33",
        "last light 17:48",
        "satin",
        "Lantern Steps",
        "under the roof",
        "in dashes",
    ]) {
        assert!(all.contains(words), "{words} in {all}");
    }
}

#[test]
fn a_danger_keeps_all_its_words_on_a_phone() {
    let label = "Severe Thunderstorm Warning for the northern coast, 16:40 to 18:10";
    for (from_min, to_min) in [(0.0, 30.0), (60.0, 90.0), (150.0, 180.0), (0.0, 180.0)] {
        let evening = Evening {
            span_min: 180.0,
            dangers: vec![Danger { from_min, to_min, label: label.into() }],
            ..Evening::default()
        };
        let svg = evening_svg(&evening, Size::Narrow, Theme::Light);
        assert_eq!(texts(&parsed(&svg)).join(" ").trim(), label, "{from_min} to {to_min}");
    }
}

/// What a page does whose Content-Security-Policy allows styles by a nonce only.
#[test]
fn a_nonce_stands_on_each_style_and_nowhere_else() {
    let named = Evening { heading: "<style>a</style>".into(), ..samples::showers() };
    let page = [Size::Large, Size::Narrow, Size::Small]
        .map(|size| evening_svg(&named, size, Theme::Auto))
        .concat();
    let page = format!("<div>{}</div>", with_nonce(&page, "r4nd0m+/=\"<"));
    let document = roxmltree::Document::parse(&page).unwrap();
    let nonces: Vec<_> =
        document.descendants().filter_map(|node| Some((node, node.attribute("nonce")?))).collect();
    assert_eq!(nonces.len(), 3);
    for (node, nonce) in nonces {
        assert!(node.has_tag_name(("http://www.w3.org/2000/svg", "style")));
        assert_eq!(nonce, "r4nd0m+/=\"<");
    }
    assert_eq!(page.matches("<style").count(), 3);
}

#[test]
fn an_evening_without_anything_is_a_heading() {
    let evening = Evening { heading: "Fri 4 Sep".into(), ..Evening::default() };
    let svg = evening_svg(&evening, Size::Large, Theme::Light);
    assert_eq!(texts(&parsed(&svg)), ["Fri 4 Sep"]);
}

#[test]
fn an_evening_in_a_list_changes_only_on_purpose() {
    insta::assert_snapshot!(evening_svg(&samples::showers(), Size::Small, Theme::Auto));
}

#[test]
fn an_evening_on_a_phone_changes_only_on_purpose() {
    insta::assert_snapshot!(evening_svg(&samples::half_known(), Size::Narrow, Theme::Light));
}

#[test]
fn an_evening_on_a_page_changes_only_on_purpose() {
    insta::assert_snapshot!(evening_svg(&samples::half_known(), Size::Large, Theme::Light));
}

#[test]
fn a_danger_too_narrow_for_its_words_keeps_them_beside_its_bar() {
    let label = "official warning of severe thunderstorms with hail and damaging gusts over the whole \
                 coast between the two headlands, far longer than any bar is wide";
    for from_min in [0.0, 45.0, 89.0] {
        let evening = Evening {
            description: "a storm".into(),
            span_min: 90.0,
            dangers: vec![Danger { from_min, to_min: from_min + 1.0, label: label.into() }],
            ..Evening::default()
        };
        let svg = evening_svg(&evening, Size::Large, Theme::Light);
        assert!(svg.contains("official warning of severe thunder"), "{from_min}: {svg}");
    }
}

#[test]
fn where_rain_is_no_part_of_the_picture_there_is_light_and_no_word_of_rain() {
    let told = samples::showers();
    let without = Evening { rain: Vec::new(), gaps: Vec::new(), ..told.clone() };
    let svg = evening_svg(&without, Size::Large, Theme::Light);
    assert!(texts(&parsed(&svg)).contains(&"not known"), "missing is never dry");
    let clear = Evening { without_rain: true, ..without };
    let svg = evening_svg(&clear, Size::Large, Theme::Light);
    let document = parsed(&svg);
    assert!(!texts(&document).contains(&"not known"));
    assert_eq!(strokes(&document), 0);
    assert!(svg.contains("<linearGradient"));
    let words = TableWords { rain: "rain".into(), light: "light".into(), ..TableWords::default() };
    let rows = evening_table(&clear, &words, |min| format!("{min}"));
    assert!(rows.iter().any(|row| row[2] == "light"));
    assert!(rows.iter().all(|row| row[2] != "rain"));
}
