//! Evenings and maps made of anything at all.

use fairspell_figures::{
    ChanceField, ChanceMap, Danger, DryGap, Evening, FrameSky, LightSample, LookCard, LoopFrame,
    MapPlace, Mark, NamedPoint, PlaceMap, RainLoop, RainMap, RainMotion, RainSlot, ScaleBar,
    Setting, Tick,
};
use proptest::{collection::vec, num, option, prelude::*};

/// Any number, mostly of a size that occurs.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![8 => -50.0..250.0, 1 => num::f64::ANY, 1 => Just(f64::NAN)]
}

/// Any text, mostly with what XML minds.
fn text() -> impl Strategy<Value = String> {
    prop_oneof!["[a-z<>&\"' ]{0,30}", any::<String>(), "[\u{0}-\u{1f}\u{7f}\u{fffe}\u{ffff}]{0,4}"]
}

fn setting() -> impl Strategy<Value = Setting> {
    prop_oneof![
        Just(Setting::Open),
        Just(Setting::Umbrella),
        Just(Setting::Roof),
        Just(Setting::Dash)
    ]
}

pub(crate) fn evening() -> impl Strategy<Value = Evening> {
    let tick = (number(), option::of(text()), any::<u8>()).prop_map(|(at_min, label, rank)| Tick {
        at_min,
        label,
        rank,
    });
    let light = (number(), number(), number()).prop_map(|(at_min, lx, elevation)| LightSample {
        at_min,
        illuminance_lx: lx.exp(),
        sun_elevation_deg: elevation,
    });
    let rain =
        (number(), number(), option::of(prop_oneof![0.0..1.0, number()]), option::of(number()))
            .prop_map(|(from_min, to_min, p_rain, rain_rate_mm_h)| RainSlot {
                from_min,
                to_min,
                p_rain,
                rain_rate_mm_h,
            });
    let gap = (number(), number(), number(), number(), text()).prop_map(
        |(from_min, to_min, from_doubt_min, to_doubt_min, label)| DryGap {
            from_min,
            to_min,
            from_doubt_min,
            to_doubt_min,
            label,
        },
    );
    let danger = (number(), number(), text()).prop_map(|(from_min, to_min, label)| Danger {
        from_min,
        to_min,
        label,
    });
    let mark = (number(), text()).prop_map(|(at_min, label)| Mark { at_min, label });
    let look = (number(), number(), text(), text(), setting(), text(), any::<bool>()).prop_map(
        |(from_min, to_min, name, spot, setting, setting_label, decided)| LookCard {
            from_min,
            to_min,
            name,
            spot,
            setting,
            setting_label,
            decided,
        },
    );
    let words = (text(), text(), text(), text());
    let times = (number(), vec(tick, 0..6), vec(light, 0..9), vec(rain, 0..9));
    let rest = (vec(gap, 0..4), vec(danger, 0..4), vec(mark, 0..5), vec(look, 0..5));
    (words, times, rest).prop_map(|(words, times, rest)| {
        let (heading, summary, description, not_known_label) = words;
        let (span_min, ticks, light, rain) = times;
        let (gaps, dangers, marks, looks) = rest;
        Evening {
            heading,
            summary,
            description,
            span_min,
            ticks,
            light,
            rain,
            gaps,
            dangers,
            marks,
            looks,
            not_known_label,
            without_rain: false,
        }
    })
}

pub(crate) fn rain_map() -> impl Strategy<Value = RainMap> {
    let size = || prop_oneof![8 => 0usize..6, 1 => any::<usize>()];
    let rate = prop_oneof![4 => 0.0f32..80.0, 1 => num::f32::ANY, 1 => Just(f32::NAN)];
    let field = (size(), size(), number(), number(), number(), vec(rate, 0..30));
    let place = (number(), number(), text()).prop_map(|(east_km, north_km, label)| MapPlace {
        east_km,
        north_km,
        label,
    });
    let motion = (number(), number(), text())
        .prop_map(|(east_km_h, north_km_h, label)| RainMotion { east_km_h, north_km_h, label });
    let lines = vec(vec((number(), number()), 0..6), 0..3);
    let drawn = (lines, vec(place, 0..4), vec(number(), 0..3), option::of(motion));
    let words = (text(), text(), vec(text(), 0..3), text(), text());
    (field, drawn, words).prop_map(|(field, drawn, words)| {
        let (rows, columns, cell_km, west_km, north_km, rain_rate_mm_h) = field;
        let (coast, places, rings_km, motion) = drawn;
        let (title, description, caption, not_measured_label, north_label) = words;
        RainMap {
            title,
            description,
            caption,
            rows,
            columns,
            cell_km,
            west_km,
            north_km,
            rain_rate_mm_h,
            coast,
            places,
            rings_km,
            motion,
            not_measured_label,
            north_label,
        }
    })
}

fn chance_field() -> impl Strategy<Value = ChanceField> {
    let side = || prop_oneof![8 => 0usize..6, 1 => any::<usize>()];
    let chance = || prop_oneof![4 => 0.0f32..=1.0, 1 => num::f32::ANY, 1 => Just(f32::NAN)];
    (side(), side(), vec(chance(), 0..30), vec(chance(), 0..30))
        .prop_map(|(rows, columns, p_rain, p_heavy)| ChanceField { rows, columns, p_rain, p_heavy })
}

pub(crate) fn rain_loop() -> impl Strategy<Value = RainLoop> {
    let rate = prop_oneof![4 => 0.0f32..80.0, 1 => num::f32::ANY, 1 => Just(f32::NAN)];
    let sky = prop_oneof![
        vec(rate, 0..30).prop_map(FrameSky::Seen),
        chance_field().prop_map(FrameSky::Coming)
    ];
    let frame =
        (text(), text(), sky).prop_map(|(label, words, sky)| LoopFrame { label, words, sky });
    let words = (text(), text(), text(), text(), [text(), text(), text(), text()]);
    (rain_map(), vec(frame, 0..5), words).prop_map(|(map, frames, words)| {
        let (seen_label, coming_label, coming_note, chance_heading, chance_labels) = words;
        RainLoop {
            map,
            frames,
            seen_label,
            coming_label,
            coming_note,
            chance_heading,
            chance_labels,
        }
    })
}

pub(crate) fn chance_map() -> impl Strategy<Value = ChanceMap> {
    (rain_map(), chance_field(), text(), [text(), text(), text(), text()])
        .prop_map(|(map, chances, heading, labels)| ChanceMap { map, chances, heading, labels })
}

pub(crate) fn place_map() -> impl Strategy<Value = PlaceMap> {
    let share = || prop_oneof![8 => -0.5..1.5, 1 => number()];
    let place = (share(), share(), text()).prop_map(|(x, y, label)| NamedPoint { x, y, label });
    let bar = (share(), text()).prop_map(|(share, label)| ScaleBar { share, label });
    let lines = vec(vec((share(), share()), 0..6), 0..3);
    let words = (text(), text());
    (words, number(), number(), lines, vec(place, 0..4), option::of(bar)).prop_map(
        |((title, description), width, height, coast, places, scale_bar)| PlaceMap {
            title,
            description,
            width,
            height,
            coast,
            places,
            scale_bar,
        },
    )
}
