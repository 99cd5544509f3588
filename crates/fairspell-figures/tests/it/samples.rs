//! Evenings and a map as they come, invented: what the figures are looked at and tested with.

use fairspell_figures::{
    ChanceField, ChanceMap, Danger, DryGap, Evening, FrameSky, LightRun, LightSample, LookCard,
    LoopFrame, MapPlace, Mark, NamedPoint, PlaceMap, RainLoop, RainMap, RainMotion, RainSlot,
    ScaleBar, Setting, Tick, Year, YearDay, YearKey, YearLight,
};

/// Minutes of a time of day as the clock says it, `1445.0` for 14:45.
fn minutes(clock: f64) -> f64 {
    (clock / 100.0).floor() * 60.0 + clock % 100.0
}

/// Quarter hours between two times of day, labelled at full and half hours.
fn ticks(from: f64, to: f64) -> Vec<Tick> {
    let first = (from / 15.0).ceil();
    (0..200)
        .map(|quarter| (first + f64::from(quarter)) * 15.0)
        .take_while(|at| *at <= to)
        .map(|at| {
            let (hour, minute) = ((at / 60.0).floor(), at % 60.0);
            let rank = if minute == 0.0 { 0 } else { 1 + u8::from(minute % 30.0 != 0.0) };
            let label = (rank < 2).then(|| format!("{hour:02}:{minute:02}"));
            Tick { at_min: at - from, label, rank }
        })
        .collect()
}

/// Every five minutes the sun's elevation from the textbook formula, and a light that goes with it,
/// good enough to look at.
fn light(from: f64, to: f64, solar_noon: f64, declination_deg: f64) -> Vec<LightSample> {
    let latitude = (-31.72f64).to_radians();
    let declination = declination_deg.to_radians();
    let count = ((to - from) / 5.0).ceil();
    (0..1000)
        .map(f64::from)
        .take_while(|step| *step <= count)
        .map(|step| {
            let at_min = step * 5.0;
            let hour_angle = ((from + at_min - solar_noon) / 4.0).to_radians();
            let elevation = (latitude.sin() * declination.sin()
                + latitude.cos() * declination.cos() * hour_angle.cos())
            .asin()
            .to_degrees();
            let day = 100_000.0 * elevation.to_radians().sin().max(0.0).powf(1.2);
            let twilight =
                10f64.powf(2.7 + elevation.min(0.0) * 0.33 + elevation.clamp(0.0, 3.0) * 0.1);
            let illuminance_lx = day + twilight;
            LightSample { at_min, illuminance_lx, sun_elevation_deg: elevation }
        })
        .collect()
}

/// Rain between times of day: (from, to, likelihood in per cent, mm/h).
fn rain(from: f64, slots: &[(f64, f64, f64, f64)]) -> Vec<RainSlot> {
    let slot = |&(begin, end, percent, rate): &(f64, f64, f64, f64)| RainSlot {
        from_min: minutes(begin) - from,
        to_min: minutes(end) - from,
        p_rain: Some(percent / 100.0),
        rain_rate_mm_h: Some(rate),
    };
    slots.iter().map(slot).collect()
}

fn look(hours: (f64, f64), words: [&str; 3], setting: Setting, decided: bool) -> LookCard {
    let [name, spot, setting_label] = words.map(str::to_owned);
    let (from_min, to_min) = hours;
    LookCard { from_min, to_min, name, spot, setting, setting_label, decided }
}

/// Dry forecast, wet sky: three showers, two dry gaps, five looks, the first of them decided.
pub(crate) fn showers() -> Evening {
    let (from, to) = (minutes(1445.0), minutes(1748.0));
    let at = |clock: f64| minutes(clock) - from;
    Evening {
        heading: "Thu 3 Sep, Saltern Bight".into(),
        summary: "Go. Some rain 75 %, one 25-minute gap 91 %, 15:15-17:45, radar of 14:26.".into(),
        description: "Thu 3 Sep, Saltern Bight. Three showers likely; dry gaps of about 22 and 31 \
                      minutes, at 15:52 and 16:30. Sun leaves Heron Walk 17:04, sunset 17:33, last \
                      light 17:48."
            .into(),
        span_min: to - from,
        ticks: ticks(from, to),
        light: light(from, to, minutes(1148.0), 7.4),
        rain: rain(
            from,
            &[
                (1445.0, 1515.0, 6.0, 0.8),
                (1515.0, 1530.0, 10.0, 0.8),
                (1530.0, 1536.0, 20.0, 1.0),
                (1536.0, 1541.0, 50.0, 2.0),
                (1541.0, 1549.0, 88.0, 3.0),
                (1549.0, 1552.0, 70.0, 3.0),
                (1552.0, 1556.0, 25.0, 1.0),
                (1556.0, 1608.0, 6.0, 0.8),
                (1608.0, 1614.0, 25.0, 1.5),
                (1614.0, 1617.0, 60.0, 2.5),
                (1617.0, 1627.0, 85.0, 4.0),
                (1627.0, 1630.0, 65.0, 3.0),
                (1630.0, 1636.0, 30.0, 1.0),
                (1636.0, 1652.0, 8.0, 0.8),
                (1652.0, 1701.0, 20.0, 0.8),
                (1701.0, 1712.0, 60.0, 0.9),
                (1712.0, 1722.0, 25.0, 0.8),
                (1722.0, 1748.0, 10.0, 0.8),
            ],
        ),
        gaps: vec![
            DryGap {
                from_min: at(1552.0),
                to_min: at(1614.0),
                from_doubt_min: 3.0,
                to_doubt_min: 3.0,
                label: "22 min dry".into(),
            },
            DryGap {
                from_min: at(1630.0),
                to_min: at(1701.0),
                from_doubt_min: 5.5,
                to_doubt_min: 5.5,
                label: "31 min dry".into(),
            },
        ],
        dangers: Vec::new(),
        marks: vec![
            Mark { at_min: at(1704.0), label: "sun leaves Heron Walk 17:04".into() },
            Mark { at_min: at(1733.0), label: "sunset 17:33".into() },
            Mark { at_min: at(1748.0), label: "last light 17:48".into() },
        ],
        looks: vec![
            look(
                (at(1515.0), at(1541.0)),
                ["satin", "Arcade", "under the roof"],
                Setting::Roof,
                true,
            ),
            look((at(1552.0), at(1612.0)), ["denim", "Lantern Steps", ""], Setting::Open, false),
            look(
                (at(1614.0), at(1630.0)),
                ["denim", "Lantern Steps", "umbrella"],
                Setting::Umbrella,
                false,
            ),
            look((at(1633.0), at(1700.0)), ["white linen", "Heron Walk", ""], Setting::Open, false),
            look(
                (at(1701.0), at(1712.0)),
                ["white linen", "Heron Walk", "in dashes"],
                Setting::Dash,
                false,
            ),
        ],
        not_known_label: "not known".into(),
        without_rain: false,
    }
}

/// A severe storm over the middle of a summer evening.
pub(crate) fn storm() -> Evening {
    let (from, to) = (minutes(1530.0), minutes(1950.0));
    let at = |clock: f64| minutes(clock) - from;
    Evening {
        heading: "Tue 24 Nov, Saltern Bight".into(),
        summary: "Must move. An official severe-storm warning covers 15:00-20:00.".into(),
        description: "Tue 24 Nov, Saltern Bight. Severe storm 16:30 to 18:15, heavy rain; dry at \
                      the end. The evening moves."
            .into(),
        span_min: to - from,
        ticks: ticks(from, to),
        light: light(from, to, minutes(1236.0), -20.6),
        rain: rain(
            from,
            &[
                (1530.0, 1610.0, 12.0, 1.0),
                (1610.0, 1635.0, 40.0, 3.0),
                (1635.0, 1650.0, 80.0, 12.0),
                (1650.0, 1735.0, 97.0, 40.0),
                (1735.0, 1810.0, 75.0, 8.0),
                (1810.0, 1850.0, 35.0, 2.0),
                (1850.0, 1950.0, 6.0, 0.5),
            ],
        ),
        dangers: vec![
            Danger {
                from_min: at(1630.0),
                to_min: at(1815.0),
                label: "thunder and hail 16:30-18:15".into(),
            },
            Danger { from_min: at(1715.0), to_min: at(1735.0), label: "gusts to 96 km/h".into() },
        ],
        marks: vec![
            Mark { at_min: at(1900.0), label: "boards flood 19:00".into() },
            Mark { at_min: at(1928.0), label: "sunset 19:28".into() },
            Mark { at_min: at(1950.0), label: "last light 19:50".into() },
        ],
        not_known_label: "not known".into(),
        without_rain: false,
        ..Evening::default()
    }
}

/// A picture that reaches one hour, no forecast behind it for the next, one for the end.
pub(crate) fn half_known() -> Evening {
    let whole = showers();
    let from = minutes(1445.0);
    Evening {
        heading: "Thu 3 Sep, Saltern Bight".into(),
        summary: "We know the rain until 15:50 and again from 17:15.".into(),
        description: "Rain is known until 15:50 and from 17:15; between is not known.".into(),
        rain: rain(
            from,
            &[(1445.0, 1520.0, 5.0, 0.5), (1520.0, 1550.0, 60.0, 2.0), (1715.0, 1748.0, 15.0, 0.8)],
        ),
        gaps: Vec::new(),
        looks: whole.looks[..1].to_vec(),
        ..whole
    }
}

/// The longest names and the shortest looks.
pub(crate) fn crowded() -> Evening {
    let whole = showers();
    let settings = [Setting::Open, Setting::Umbrella, Setting::Roof, Setting::Dash];
    let looks = (0u8..8)
        .map(|i| {
            let at = 20.0 + 20.0 * f64::from(i);
            let words = [
                "cap and gown with the long scarf of her grandmother",
                "Old Customs House veranda",
                "umbrella",
            ];
            look((at, at + 15.0), words, settings[usize::from(i % 4)], i < 3)
        })
        .collect();
    let marks = [
        (120.0, "low water 16:45"),
        (124.0, "sun leaves Lantern Steps 16:49"),
        (150.0, "sun leaves Heron Walk 17:15"),
        (168.0, "sunset 17:33"),
        (180.0, "gate closes 17:45"),
        (183.0, "last light 17:48"),
    ]
    .map(|(at_min, label)| Mark { at_min, label: label.into() });
    Evening {
        summary: "Your choice. Three showers are likely between 15:15 and 17:45, each 10 to 20 \
                  minutes long, with two dry gaps of 22 and 31 minutes; a later start would lose \
                  the gold, an earlier one the second gap. Radar of 14:26, forecast of 13:00."
            .into(),
        looks,
        marks: marks.to_vec(),
        dangers: vec![Danger {
            from_min: 170.0,
            to_min: 176.0,
            label: "surf over the rocks from 17:35".into(),
        }],
        ..whole
    }
}

/// A side of the map's field, cells of 1 km.
const MAP_SIDE: usize = 120;

/// Rain rates around the bight some minutes after the radar's newest picture: a band of showers from
/// the south-east that goes north-west, nothing measured beyond the radar's reach in the north-east
/// and behind a mountain.
fn rain_rates(minutes: f32, is_coming: bool) -> Vec<f32> {
    let unseen =
        |x: f32, y: f32| (x + 70.0).hypot(y + 60.0) > 150.0 || (x > -3.0 && x < -1.0 && y < -30.0);
    let (gone_x, gone_y) = (-0.3 * minutes, 0.28 * minutes);
    let mut rates = Vec::new();
    for row in 0..MAP_SIDE {
        for column in 0..MAP_SIDE {
            let (here_x, here_y) = (column as f32 - 59.5, 59.5 - row as f32);
            let (x, y) = (here_x - gone_x, here_y - gone_y);
            let cell = |cx: f32, cy: f32, wide: f32, long: f32, peak: f32| {
                let (u, v) = ((x - cx) * 0.8 + (y - cy) * 0.6, (y - cy) * 0.8 - (x - cx) * 0.6);
                peak * (-(u / long).powi(2) - (v / wide).powi(2)).exp()
            };
            let rough = 1.0 + 0.35 * (x * 0.9).sin() * (y * 0.7 + x * 0.3).cos();
            let rate = rough
                * (cell(18.0, -14.0, 4.0, 7.0, 9.0)
                    + cell(30.0, -30.0, 6.0, 11.0, 62.0)
                    + cell(-12.0, 8.0, 3.0, 4.0, 3.5)
                    + cell(-30.0, -24.0, 9.0, 16.0, 1.1)
                    + cell(2.0, 38.0, 4.0, 9.0, 6.0)
                    + cell(44.0, 2.0, 3.0, 4.0, 14.0));
            // What is coming is known where the air it comes from was seen.
            let blind = if is_coming {
                unseen(x, y) || x > 60.0 || y < -60.0
            } else {
                unseen(here_x, here_y)
            };
            rates.push(if blind { f32::NAN } else { rate });
        }
    }
    rates
}

/// Cells of chances along a side of the map.
const CHANCE_SIDE: usize = MAP_SIDE / 2;

/// Chances of rain some minutes ahead in cells of 2 km: a share of those around, farther around the
/// farther ahead.
fn chances(rates: &[f32], minutes: f32, least: f32) -> Vec<f32> {
    // Whole cells, so that few of them have to be looked at.
    let reach = 1 + (1_u8..15).filter(|cells| f32::from(*cells) * 8.0 <= minutes).count();
    let mut chances = Vec::new();
    for row in (0..MAP_SIDE).step_by(2) {
        for column in (0..MAP_SIDE).step_by(2) {
            let (mut wet, mut known) = (0.0, 0.0);
            for i in row.saturating_sub(reach)..(row + 1 + reach).min(MAP_SIDE) {
                for j in column.saturating_sub(reach)..(column + 1 + reach).min(MAP_SIDE) {
                    let rate = rates[i * MAP_SIDE + j];
                    if !rate.is_nan() {
                        known += 1.0;
                        wet += f32::from(u8::from(rate >= least));
                    }
                }
            }
            let is_known = !rates[row * MAP_SIDE + column].is_nan();
            chances.push(if is_known { wet / known } else { f32::NAN });
        }
    }
    chances
}

fn chance_field(minutes: f32) -> ChanceField {
    let rates = rain_rates(minutes, true);
    ChanceField {
        rows: CHANCE_SIDE,
        columns: CHANCE_SIDE,
        p_rain: chances(&rates, minutes, 0.1),
        p_heavy: chances(&rates, minutes, 10.0),
    }
}

/// An hour that was seen and an hour that is coming, ten minutes apart.
pub(crate) fn rain_loop() -> RainLoop {
    let frame = |step: i16| {
        let minutes = 14 * 60 + 26 + 10 * step;
        let ahead = 10.0 * f32::from(step);
        LoopFrame {
            label: format!("{:02}:{:02}", minutes / 60, minutes % 60),
            words: if step > 0 {
                format!("expected, in {} minutes", 10 * step - 6)
            } else {
                format!("seen, {} minutes old", 6 - 10 * step)
            },
            sky: if step > 0 {
                FrameSky::Coming(chance_field(ahead))
            } else {
                FrameSky::Seen(rain_rates(ahead, false))
            },
        }
    };
    RainLoop {
        map: RainMap { rain_rate_mm_h: Vec::new(), ..rain_map() },
        frames: (-5..=7).map(frame).collect(),
        ..loop_words()
    }
}

fn loop_words() -> RainLoop {
    RainLoop {
        seen_label: "Seen".into(),
        coming_label: "Expected".into(),
        coming_note: "told from the picture of 14:26, 6 minutes old".into(),
        chance_heading: "Chance of rain then".into(),
        chance_labels: [
            "unlikely, under 20 %",
            "possible, 20 to 50 %",
            "likely, 50 % and more",
            "10 mm/h possible, 20 % and more",
        ]
        .map(str::to_owned),
        ..RainLoop::default()
    }
}

/// The fullest loop that a page asks for, of the busiest sky: 12 pictures seen and 18 coming of 150
/// km, wet nearly everywhere.
///
/// - `torn`: 1 for as rough as showers are, more for rougher.
pub(crate) fn busy_loop(torn: f32) -> RainLoop {
    const SIDE: i16 = 150;
    // Wandering waves of several lengths, down to that of single showers.
    let wave = move |x: f32, y: f32, minutes: f32, torn: f32| {
        let (x, y) = (x - 0.6 * minutes, y - 0.3 * minutes);
        (0.045 * x + 0.03 * y).sin()
            + 0.5 * (0.11 * x - 0.17 * y + 0.02 * minutes).sin()
            + 0.22 * torn * (0.37 * x + 0.29 * y - 0.05 * minutes).cos()
            + 0.13 * torn * (0.83 * y - 0.61 * x).sin()
    };
    let field = |side: i16, spacing: f32, value: &dyn Fn(f32, f32) -> f32| -> Vec<f32> {
        (0..side)
            .flat_map(|row| (0..side).map(move |column| (row, column)))
            .map(|(row, column)| value(spacing * f32::from(column), spacing * f32::from(row)))
            .collect()
    };
    let frame = |step: i16| {
        let minutes = 5.0 * f32::from(step);
        let sky = if step > 0 {
            // As strokes fade into each other, only long waves are left.
            let p = |shift: f32| {
                field(SIDE / 2, 2.0, &move |x: f32, y: f32| {
                    (0.5 + 0.3 * wave(x, y, minutes, 0.0) + shift).clamp(0.0, 1.0)
                })
            };
            FrameSky::Coming(ChanceField {
                rows: 75,
                columns: 75,
                p_rain: p(0.0),
                p_heavy: p(-0.9),
            })
        } else {
            FrameSky::Seen(field(SIDE, 1.0, &|x, y| {
                1.2 * (1.3 * wave(x, y, minutes, torn)).exp() - 0.1
            }))
        };
        let (label, words) = ("14:26".into(), "expected, in 35 minutes".into());
        LoopFrame { label, words, sky }
    };
    RainLoop {
        map: RainMap {
            rain_rate_mm_h: Vec::new(),
            rows: 150,
            columns: 150,
            west_km: -75.0,
            north_km: 75.0,
            ..rain_map()
        },
        frames: (-11..=18).map(frame).collect(),
        ..loop_words()
    }
}

/// The chances of an hour around the bight.
pub(crate) fn chance_map() -> ChanceMap {
    ChanceMap {
        map: RainMap {
            title: "Chance of rain around Saltern Bight, 14:32 to 15:32".into(),
            rain_rate_mm_h: Vec::new(),
            motion: None,
            ..rain_map()
        },
        chances: ChanceField { p_heavy: Vec::new(), ..chance_field(40.0) },
        heading: "Rain at some moment, 14:32 to 15:32".into(),
        labels: [
            "unlikely, under 20 %",
            "possible, 20 to 50 %",
            "likely, 50 to 80 %",
            "very likely, 80 % and more",
        ]
        .map(str::to_owned),
    }
}

/// The bight from 20 km wide.
pub(crate) fn place_map() -> PlaceMap {
    let whole = rain_map();
    let share = |&(east_km, north_km): &(f64, f64)| (0.5 + east_km / 20.0, 0.5 - north_km / 20.0);
    let names = [
        (0.9, -0.4, "Heron Walk"),
        (-1.2, 4.0, "Old Customs House veranda"),
        (6.5, -7.0, "Port Kestrel"),
    ];
    PlaceMap {
        title: "Map around Saltern Bight".into(),
        description: "20 km wide, Saltern Bight in the middle.".into(),
        width: 360.0,
        height: 360.0,
        coast: whole.coast.iter().map(|line| line.iter().map(share).collect()).collect(),
        places: names
            .map(|(east_km, north_km, label)| {
                let (x, y) = share(&(east_km, north_km));
                NamedPoint { x, y, label: label.into() }
            })
            .to_vec(),
        scale_bar: Some(ScaleBar { share: 0.25, label: "5\u{a0}km".into() }),
    }
}

/// What the radar saw around the bight.
pub(crate) fn rain_map() -> RainMap {
    let coast = (0..=160)
        .map(|i| {
            let north = 80.0 - f64::from(i);
            let bight = 9.0 * (-((north + 2.0) / 9.0).powi(2)).exp();
            let rough = 2.2 * (north * 0.31).sin() + 1.1 * (north * 0.83).cos();
            (6.0 + 0.22 * north - bight + rough, north)
        })
        .collect();
    let place =
        |east_km, north_km, label: &str| MapPlace { east_km, north_km, label: label.into() };
    RainMap {
        title: "Rain around Saltern Bight".into(),
        description: "Showers in the south-east, moving north-west; the nearest is 20 km away and \
                      would arrive at about 15:40."
            .into(),
        caption: vec![
            "Radar at Port Kestrel".into(),
            "shows 14:26, as of 14:32".into(),
            "6 minutes old".into(),
        ],
        rows: MAP_SIDE,
        columns: MAP_SIDE,
        cell_km: 1.0,
        west_km: -60.0,
        north_km: 60.0,
        rain_rate_mm_h: rain_rates(0.0, false),
        coast: vec![coast],
        places: vec![
            place(0.0, 0.0, "Saltern Bight"),
            place(-4.0, 4.0, "Heron Walk"),
            place(-33.0, 30.0, "airfield"),
        ],
        rings_km: vec![20.0, 40.0],
        motion: Some(RainMotion {
            east_km_h: -18.0,
            north_km_h: 17.0,
            label: "rain moves north-west, 25\u{a0}km/h".into(),
        }),
        not_measured_label: "not measured".into(),
        north_label: "north".into(),
    }
}

/// A year on a coast at 32 degrees south: gold for an hour, a hill that takes the sun half an hour
/// before it sets, a spring tide every fortnight, and a change of clocks.
pub(crate) fn year() -> Year {
    let day = |index: usize| {
        let season = (std::f64::consts::TAU * (index as f64 - 355.0) / 365.0).cos();
        let clocks = if (95..276).contains(&index) { 0.0 } else { 60.0 };
        let (rise, set) = (390.0 - 70.0 * season + clocks, 1080.0 + 65.0 * season + clocks);
        let edges = [0.0, rise - 20.0, rise, rise + 60.0, set - 90.0, set - 30.0, set, set + 15.0];
        let lights = [
            YearLight::Dark,
            YearLight::Glow,
            YearLight::LowSun,
            YearLight::HighSun,
            YearLight::LowSun,
            YearLight::Shade,
            YearLight::Glow,
            YearLight::Dark,
        ];
        let ends = edges.iter().skip(1).copied().chain([1440.0]);
        let light = edges.iter().zip(ends).zip(lights);
        let high_min = (540.0 + 50.5 * index as f64) % 745.0;
        YearDay {
            light: light
                .map(|((from, to), light)| LightRun { from_min: *from, to_min: to, light })
                .collect(),
            flooded: vec![(high_min, high_min + 120.0), (high_min + 745.0, high_min + 865.0)],
            last_direct_min: Some(set - 30.0),
            last_usable_min: Some(set + 15.0),
        }
    };
    let starts = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];
    let names =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    Year {
        heading: "Warm steps, 2026".into(),
        description: "The sun stays until half an hour before sunset.".into(),
        days: (0..365).map(day).collect(),
        from_min: 240.0,
        to_min: 1320.0,
        months: starts.into_iter().zip(names.map(str::to_owned)).collect(),
        hours: [360.0, 720.0, 1080.0].map(|at| (at, format!("{:02}:00", at / 60.0))).to_vec(),
        chosen: Some((245, "Thu 3 Sep".into())),
        key: YearKey {
            high_sun: "sun, high".into(),
            low_sun: "sun, low and golden".into(),
            shade: "shade".into(),
            glow: "light after the sun".into(),
            dark: "too dark".into(),
            flooded: "under water".into(),
            last_direct: "last sun".into(),
            last_usable: "last light to work by".into(),
        },
    }
}
