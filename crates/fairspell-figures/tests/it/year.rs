use fairspell_figures::{LightRun, MapWidth, Theme, Year, YearDay, YearLight, year_svg};
use proptest::prelude::*;

use crate::samples::year;
use crate::svg::{parsed, paths, texts, view_box};

/// The boxes of a path: day, first minute, days, minutes.
fn boxes(d: &str) -> Vec<(usize, usize, usize, usize)> {
    let piece = |piece: &str| {
        let (at, size) = piece.trim_end_matches('z').split_once('h').expect("a width");
        let (day, from) = at.split_once(' ').expect("a place");
        let (days, rest) = size.split_once('v').expect("a height");
        let (high, _) = rest.split_once('h').expect("a way back");
        let count = |text: &str| text.parse::<usize>().expect("a count");
        (count(day), count(from), count(days), count(high))
    };
    d.split('M').skip(1).map(piece).collect()
}

fn has(boxes: &[(usize, usize, usize, usize)], day: usize, minute: usize) -> bool {
    boxes.iter().any(|(first, from, days, high)| {
        (*first..first + days).contains(&day) && (*from..from + high).contains(&minute)
    })
}

const CLASSES: [(YearLight, &str); 5] = [
    (YearLight::Dark, "dark"),
    (YearLight::Glow, "glow"),
    (YearLight::Shade, "shade"),
    (YearLight::LowSun, "low-sun"),
    (YearLight::HighSun, "high-sun"),
];

#[test]
fn every_minute_of_the_year_has_its_light() {
    let year = year();
    let svg = year_svg(&year, MapWidth::Wide, Theme::Light);
    let document = parsed(&svg);
    let mut painted = vec![[None; 1440]; 365];
    for (light, class) in CLASSES {
        for (day, from, days, high) in boxes(&paths(&document, class)) {
            for day in &mut painted[day..day + days] {
                for minute in &mut day[from..from + high] {
                    assert_eq!(*minute, None, "{class} over another light");
                    *minute = Some(light);
                }
            }
        }
    }
    for (index, day) in year.days.iter().enumerate() {
        for (minute, painted) in painted[index].iter().enumerate().take(1320).skip(240) {
            let holds = |run: &&LightRun| {
                (run.from_min.round()..run.to_min.round()).contains(&(minute as f64))
            };
            let asked = day.light.iter().find(holds).map(|run| run.light);
            assert_eq!(*painted, asked, "day {index}, minute {minute}");
        }
        assert_eq!(painted[index][239], None);
    }
}

#[test]
fn a_year_is_light_enough_for_a_phone() {
    // It packs to a fifth of that: a quarter of a second on a slow line.
    for width in [MapWidth::Wide, MapWidth::Narrow] {
        let bytes = year_svg(&year(), width, Theme::Auto).len();
        assert!(bytes < 80_000, "{bytes}");
    }
}

#[test]
fn what_nobody_knows_stays_bare_and_breaks_the_lines() {
    let mut year = year();
    for day in &mut year.days[100..110] {
        *day = YearDay::default();
    }
    let svg = year_svg(&year, MapWidth::Wide, Theme::Light);
    let document = parsed(&svg);
    for (_, class) in CLASSES {
        assert!(!has(&boxes(&paths(&document, class)), 105, 720), "{class}");
    }
    for class in ["direct", "usable"] {
        // The key has a sample of each line.
        assert_eq!(paths(&document, class).matches('M').count(), 2 + 1, "{class}");
    }
}

#[test]
fn the_key_names_what_is_drawn_and_water_only_where_there_is_any() {
    let mut year = year();
    let svg = year_svg(&year, MapWidth::Narrow, Theme::Light);
    let said = texts(&parsed(&svg)).join("|");
    for words in ["sun, low and golden", "shade", "under water", "last sun", "Thu 3 Sep", "18:00"] {
        assert!(said.contains(words), "{words} in {said}");
    }
    for day in &mut year.days {
        day.flooded.clear();
    }
    let svg = year_svg(&year, MapWidth::Narrow, Theme::Light);
    assert!(!texts(&parsed(&svg)).contains(&"under water"));
}

#[test]
fn names_stay_inside_the_picture() {
    for (index, width) in [0, 364].into_iter().zip([MapWidth::Wide, MapWidth::Narrow]) {
        let year = Year { chosen: Some((index, "Wednesday 31 December".into())), ..year() };
        let svg = year_svg(&year, width, Theme::Light);
        let document = parsed(&svg);
        let name = document.descendants().find(|node| node.text() == Some("Wednesday 31 December"));
        let x: f64 = name.and_then(|node| node.attribute("x")).unwrap().parse().unwrap();
        let wide = view_box(&document).0;
        // Its 21 letters are about 140 pixels wide.
        assert!(x > 60.0 && x < wide - 60.0, "{x} of {wide}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_year_gives_a_sound_figure(
        days in prop::collection::vec(
            (prop::collection::vec((prop::num::f64::ANY, prop::num::f64::ANY), 0..4),
             prop::option::of(prop::num::f64::ANY)),
            0..6),
        from_min in prop_oneof![Just(0.0), prop::num::f64::ANY],
        to_min in prop_oneof![Just(1440.0), prop::num::f64::ANY],
        chosen in 0usize..9,
        words in ".{0,30}",
    ) {
        let day = |(runs, at): &(Vec<(f64, f64)>, Option<f64>)| YearDay {
            light: runs
                .iter()
                .map(|(from, to)| LightRun {
                    from_min: *from, to_min: *to, light: YearLight::Shade,
                })
                .collect(),
            flooded: runs.clone(),
            last_direct_min: *at,
            last_usable_min: *at,
        };
        let year = Year {
            heading: words.clone(),
            days: days.iter().map(day).collect(),
            from_min,
            to_min,
            chosen: Some((chosen, words.clone())),
            months: vec![(chosen, words)],
            ..Year::default()
        };
        for width in [MapWidth::Wide, MapWidth::Narrow] {
            parsed(&year_svg(&year, width, Theme::Auto));
        }
    }
}
