//! The tide against a general-purpose library that builds on other sources, against the speeds that
//! tide services print, and what must hold for every tide.

use fairspell_almanac::tide::{
    ConstituentConstants, HarmonicConstants, HarmonicTide, NodalCorrection, Tide, TideError,
    TideKind, tide_argument,
};
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;

use crate::rows;

const CONSTANTS: &str = include_str!("../reference/tide_constants.json");
const ARGUMENTS: &str = include_str!("../reference/tide_arguments.csv");
const HEIGHTS: &str = include_str!("../reference/tide_heights.csv");

fn reference(nodal: NodalCorrection) -> HarmonicConstants {
    let constants: HarmonicConstants = serde_json::from_str(CONSTANTS).unwrap();
    HarmonicConstants { nodal, ..constants }
}

pub(crate) fn constants(waves: &[(&str, f64, f64)]) -> HarmonicConstants {
    let wave = |&(name, amplitude_m, phase_lag_deg): &(&str, f64, f64)| ConstituentConstants {
        name: name.to_owned(),
        amplitude_m,
        phase_lag_deg,
    };
    HarmonicConstants {
        name: "Steps".to_owned(),
        datum: "the third step".to_owned(),
        mean_level_m: 1.0,
        phase_zone: "utc".to_owned(),
        nodal: NodalCorrection::None,
        constituents: waves.iter().map(wave).collect(),
    }
}

pub(crate) fn tide(constants: &HarmonicConstants) -> Tide {
    Tide::Harmonic(HarmonicTide::new(constants).unwrap())
}

pub(crate) fn time(text: &str) -> Timestamp {
    text.parse().unwrap()
}

pub(crate) fn hours(from: Timestamp, hours: i64) -> Timestamp {
    from + SignedDuration::from_hours(hours)
}

fn turned_deg(a_deg: f64, b_deg: f64) -> f64 {
    (a_deg - b_deg + 180.0).rem_euclid(360.0) - 180.0
}

/// Other polynomials for moon and sun (the "Explanatory supplement" of 1961): over 2006 to 2034 they
/// agree to 0.004°, a tenth of a second of M2. The issue asked for 0.05°.
#[test]
fn arguments_agree_with_a_library() {
    let mut seen = 0;
    for row in rows(ARGUMENTS) {
        let argument = tide_argument(row.text("constituent"), row.time("time")).unwrap();
        let off_deg = turned_deg(argument.argument_deg, row.number("v_deg"));
        let name = row.text("constituent");
        assert!(off_deg.abs() <= 0.005, "{name} {}: {off_deg}", row.text("time"));
        seen += 1;
    }
    assert_eq!(seen, 9 * 37);
}

/// That library adds satellite lines up, ours follows Schureman. They may differ by the lines which
/// Schureman leaves out (`left_out`, from the library's own list), and by what the lines of the node
/// itself differ in: LAM2 has 0.0448 there and shares the 0.0373 of M2 here; hence 0.009. For M1 and
/// L2, where one root stands for many lines, it is 0.03 instead.
#[test]
fn nodal_corrections_agree_with_a_library() {
    for row in rows(ARGUMENTS) {
        let name = row.text("constituent");
        if ["MM", "MF", "MSF"].contains(&name) {
            continue;
        }
        let argument = tide_argument(name, row.time("time")).unwrap();
        // The library counts M1 from the larger of its halves, which has two thirds of the whole.
        let measure = if name == "M1" { 2.0 / 3.0 } else { 1.0 };
        let (u, library_u) =
            (argument.nodal_shift_deg.to_radians(), row.number("u_deg").to_radians());
        let (f, library_f) = (argument.nodal_factor * measure, row.number("f"));
        let off = (f * u.cos() - library_f * library_u.cos())
            .hypot(f * u.sin() - library_f * library_u.sin());
        let rounding = if ["M1", "L2"].contains(&name) { 0.03 } else { 0.009 };
        let most = row.number("left_out") * library_f.max(1.0) + rounding;
        assert!(off <= most, "{name} {}: {off} > {most}", row.text("time"));
    }
}

/// For the long waves, which that library leaves alone: Doodson and Warburg, "Admiralty manual of
/// tides" (1941), series in the node, from memory; they stop at about 0.01 and half a degree.
#[test]
fn the_long_waves_follow_the_node() {
    for year in 2006..2026 {
        let at = time(&format!("{year}-01-01T00:00Z"));
        let centuries = f64::from(year - 2000) / 100.0;
        let node = (125.04 - 1934.136 * centuries).to_radians();
        let month = tide_argument("MM", at).unwrap();
        assert!((month.nodal_factor - (1.0 - 0.130 * node.cos())).abs() <= 0.01, "{month:?}");
        let fortnight = tide_argument("MF", at).unwrap();
        assert!((fortnight.nodal_factor - (1.043 + 0.414 * node.cos())).abs() <= 0.02);
        let shift_deg = -23.7 * node.sin() + 2.7 * (2.0 * node).sin() - 0.4 * (3.0 * node).sin();
        assert!((fortnight.nodal_shift_deg - shift_deg).abs() <= 0.5, "{fortnight:?} {shift_deg}");
    }
}

/// Speeds as tide services print them, degrees an hour, to seven decimals.
#[test]
fn waves_run_at_the_printed_speeds() {
    for (name, printed_deg_h) in [
        ("M2", 28.9841042),
        ("S2", 30.0000000),
        ("N2", 28.4397295),
        ("K1", 15.0410686),
        ("O1", 13.9430356),
        ("M1", 14.4966939),
        ("J1", 15.5854433),
        ("OO1", 16.1391017),
        ("RHO1", 13.4715145),
        ("2Q1", 12.8542862),
        ("NU2", 28.5125831),
        ("LDA2", 29.4556253),
        ("L2", 29.5284789),
        ("T2", 29.9589333),
        ("R2", 30.0410667),
        ("K2", 30.0821373),
        ("M3", 43.4761563),
        ("2MK3", 42.9271398),
        ("2SM2", 31.0158958),
        ("MN4", 57.4238337),
        ("M4", 57.9682085),
        ("MF", 1.0980331),
        ("MM", 0.5443747),
    ] {
        let speed_deg_h = tide_argument(name, Timestamp::UNIX_EPOCH).unwrap().speed_deg_h;
        assert!((speed_deg_h - printed_deg_h).abs() <= 3e-7, "{name}: {speed_deg_h}");
    }
}

/// A year, all 37 waves, no nodal corrections. The table is rounded to 0.01 mm; 0.004° of argument
/// on two metres of amplitude are another 0.01 mm at most times.
#[test]
fn a_year_of_heights_agrees_with_a_library() {
    let tide = tide(&reference(NodalCorrection::None));
    let mut seen = 0;
    for row in rows(HEIGHTS) {
        let off_m = tide.height_m(row.time("time")).unwrap() - row.number("plain_m");
        assert!(off_m.abs() <= 0.00003, "{}: {off_m}", row.text("time"));
        seen += 1;
    }
    assert_eq!(seen, 1252);
}

/// With nodal corrections: never further than every wave's `left_out` at once allows (20 mm on 2 m
/// of amplitudes), and 3 mm in the mean.
#[test]
fn a_year_of_heights_with_nodal_corrections_agrees_with_a_library() {
    let mut constants = reference(NodalCorrection::Standard);
    constants.constituents.retain(|wave| !["MM", "MF", "MSF", "M1"].contains(&wave.name.as_str()));
    let most_m: f64 = rows(ARGUMENTS)
        .filter(|row| row.text("time") == "2026-09-03T07:33Z")
        .filter_map(|row| {
            let wave = constants.constituents.iter().find(|w| w.name == row.text("constituent"))?;
            let rounding = if wave.name == "L2" { 0.02 } else { 0.003 };
            Some(wave.amplitude_m * (row.number("left_out") + rounding))
        })
        .sum();
    assert!(most_m < 0.021, "{most_m}");
    let tide = tide(&constants);
    let mut squares = Vec::new();
    for row in rows(HEIGHTS) {
        let off_m = tide.height_m(row.time("time")).unwrap() - row.number("nodal_m");
        assert!(off_m.abs() <= most_m, "{}: {off_m}", row.text("time"));
        squares.push(off_m * off_m);
    }
    let rms_m = (squares.iter().sum::<f64>() / squares.len() as f64).sqrt();
    assert!(rms_m <= 0.003, "{rms_m}");
}

#[test]
fn lags_by_a_local_clock_are_turned_to_greenwich() {
    let mut local = constants(&[("M2", 0.5, 100.0), ("K1", 0.2, 20.0), ("MF", 0.1, 350.0)]);
    local.phase_zone = "+09:30".to_owned();
    // A tide that Greenwich would have at noon, a place ahead of it has when its own clock shows noon.
    let greenwich = tide(&HarmonicConstants { phase_zone: "utc".to_owned(), ..local.clone() });
    let ahead = tide(&local);
    for hour in 0..200 {
        let at = hours(time("2026-03-01T00:00Z"), hour);
        let by_its_clock = at + SignedDuration::from_mins(570);
        let off_m = ahead.height_m(at).unwrap() - greenwich.height_m(by_its_clock).unwrap();
        assert!(off_m.abs() < 1e-6, "{at}: {off_m}");
    }
}

#[test]
fn what_is_wrong_with_constants_is_named() {
    let good = constants(&[("M2", 0.5, 100.0)]);
    let error = |constants: HarmonicConstants| HarmonicTide::new(&constants).unwrap_err();
    let wave =
        |name: &str, amplitude_m: f64, lag: f64| error(constants(&[(name, amplitude_m, lag)]));

    assert_eq!(
        error(HarmonicConstants { datum: " ".to_owned(), ..good.clone() }),
        TideError::MissingDatum("Steps".to_owned())
    );
    assert_eq!(
        error(HarmonicConstants { name: String::new(), ..good.clone() }),
        TideError::MissingName
    );
    assert_eq!(
        error(HarmonicConstants { mean_level_m: 1000.0, ..good.clone() }),
        TideError::MeanLevel(1000.0)
    );
    for zone in
        ["", "Australia/Sydney", "+10", "10:00", "+1:00", "+10:60", "+24:00", "\u{2212}10:00"]
    {
        let constants = HarmonicConstants { phase_zone: zone.to_owned(), ..good.clone() };
        assert_eq!(error(constants), TideError::PhaseZone(zone.to_owned()));
    }
    assert_eq!(error(constants(&[])), TideError::NoConstituents);
    assert_eq!(wave("Z0", 0.5, 0.0), TideError::UnknownConstituent("Z0".to_owned()));
    assert_eq!(
        error(constants(&[("LAM2", 0.5, 0.0), ("lda2", 0.5, 0.0)])),
        TideError::RepeatedConstituent("lda2".to_owned())
    );
    for amplitude_m in [-0.1, 10.1, f64::INFINITY] {
        let name = "M2".to_owned();
        assert_eq!(wave("M2", amplitude_m, 0.0), TideError::Amplitude { name, amplitude_m });
    }
    assert!(matches!(wave("M2", f64::NAN, 0.0), TideError::Amplitude { .. }));
    assert!(matches!(wave("K1", 0.1, 361.0), TideError::PhaseLag { name, .. } if name == "K1"));

    let misspelt = CONSTANTS.replace("phase_lag_deg", "phase_deg");
    assert!(serde_json::from_str::<HarmonicConstants>(&misspelt).is_err());
    let nameless = CONSTANTS.replace("\"datum\": \"an invented level\",", "");
    let nameless: HarmonicConstants = serde_json::from_str(&nameless).unwrap();
    assert!(matches!(error(nameless), TideError::MissingDatum(_)));
}

/// One wave's turns are known: M2 comes round every 12 h 25 min 14 s.
#[test]
fn a_single_wave_turns_at_its_period() {
    let m2 = tide(&constants(&[("M2", 0.5, 0.0)]));
    let from = time("2026-01-01T00:00Z");
    let turns = m2.extremes(from, hours(from, 24 * 365));
    for pair in turns.windows(2) {
        let half_s = pair[1].time.duration_since(pair[0].time).as_secs();
        assert!((half_s - 22357).abs() <= 1, "{half_s}");
    }
    for turn in &turns {
        let expected_m = if turn.kind == TideKind::High { 1.5 } else { 0.5 };
        assert!((turn.height_m - expected_m).abs() < 1e-9, "{turn:?}");
    }
    // 8760 h hold 1410.6 halves.
    assert!((1410..=1411).contains(&turns.len()), "{}", turns.len());
}

/// Where one day's curve hands over to the next, a turn must be seen, and only once.
#[test]
fn a_turn_at_midnight_in_greenwich_is_seen_once() {
    let from = time("2026-01-01T01:00Z");
    for (name, lag_deg) in [("S2", 0.0), ("S2", 180.0), ("S4", 0.0), ("S4", 180.0), ("S6", 0.0)] {
        for tiny_deg in [0.0, 1e-13, -1e-13, 1e-6, -1e-6] {
            let sun = tide(&constants(&[(name, 0.5, lag_deg + tiny_deg)]));
            let turns = sun.extremes(from, hours(from, 24 * 200));
            let per_day = 2 * name[1..].parse::<usize>().unwrap();
            assert_eq!(turns.len(), 200 * per_day, "{name} {lag_deg} {tiny_deg}");
            assert!(turns.windows(2).all(|pair| pair[0].kind != pair[1].kind));
        }
    }
}

#[test]
fn a_tide_of_one_high_water_a_day_and_a_double_one_are_both_seen() {
    let from = time("2026-06-01T00:00Z");
    let daily = tide(&constants(&[("K1", 0.5, 0.0), ("M2", 0.02, 0.0)]));
    let highs = |tide: &Tide| {
        let turns = tide.extremes(from, hours(from, 240));
        turns.iter().filter(|turn| turn.kind == TideKind::High).count()
    };
    assert_eq!(highs(&daily), 10);
    // At half the height of M2 and in step with its low water, M4 makes every high water a pair.
    let double = tide(&constants(&[("M2", 0.5, 0.0), ("M4", 0.3, 180.0)]));
    assert!((37..=39).contains(&highs(&double)), "{}", highs(&double));
    let still = tide(&constants(&[("M2", 0.0, 0.0)]));
    assert_eq!(highs(&still), 0);
}

/// The quick way equals the slow way: by turning waves on instead of working each out.
#[test]
fn a_series_is_the_same_curve() {
    let tide = tide(&reference(NodalCorrection::Standard));
    let from = time("2026-02-27T21:13:07Z");
    for (step_s, count) in
        [(60, 5000), (7, 20000), (3600, 1000), (86_400, 400), (200_000, 50), (0, 3)]
    {
        let series_m = tide.heights_m(from, step_s, count);
        assert_eq!(series_m.len(), count);
        for (step, height_m) in series_m.iter().enumerate().step_by(7) {
            let later = SignedDuration::from_secs(i64::from(step_s) * i64::try_from(step).unwrap());
            let slow_m = tide.height_m(from + later).unwrap();
            assert!((height_m - slow_m).abs() < 1e-9, "{step_s} s, {step}: {height_m} {slow_m}");
        }
    }
}

/// Between the midnights at which they are worked out anew, waves run evenly: no more than a
/// micrometre off, even in the middle of the day.
#[test]
fn a_day_is_as_good_as_its_moments() {
    for (name, nodal) in [("M2", true), ("L2", true), ("M1", true), ("K2", true), ("M8", false)] {
        let mut constants = constants(&[(name, 1.0, 0.0)]);
        constants.mean_level_m = 0.0;
        if nodal {
            constants.nodal = NodalCorrection::Standard;
        }
        let tide = tide(&constants);
        for hour in 0..(24 * 30) {
            let at = hours(time("2026-11-01T00:00Z"), hour);
            let exact = tide_argument(name, at).unwrap();
            let (f, u_deg) =
                if nodal { (exact.nodal_factor, exact.nodal_shift_deg) } else { (1.0, 0.0) };
            let exact_m = f * (exact.argument_deg + u_deg).to_radians().cos();
            let off_m = tide.height_m(at).unwrap() - exact_m;
            assert!(off_m.abs() < 2e-5, "{name} {at}: {off_m}");
        }
    }
}

#[test]
fn nothing_breaks_at_the_ends_of_the_calendar() {
    let tide = tide(&reference(NodalCorrection::Standard));
    for at in [Timestamp::MIN, Timestamp::MAX] {
        assert!(tide.height_m(at).unwrap().is_finite());
        assert_eq!(tide.heights_m(at, 3600, 30).len(), 30);
    }
    let end = Timestamp::MAX - SignedDuration::from_hours(30);
    assert!(tide.extremes(end, Timestamp::MAX).len() > 2);
    assert!(tide.extremes(Timestamp::MAX, end).is_empty());
}

fn any_constants() -> impl Strategy<Value = HarmonicConstants> {
    let names = ["M2", "S2", "N2", "K1", "O1", "M4", "M6", "M8", "MF", "L2", "M1"];
    let wave = (0.0..2.0, -360.0..360.0);
    (proptest::collection::vec(wave, names.len()), any::<bool>()).prop_map(move |(waves, nodal)| {
        let waves: Vec<(&str, f64, f64)> =
            names.iter().zip(waves).map(|(name, wave)| (*name, wave.0, wave.1)).collect();
        let mut constants = constants(&waves);
        if nodal {
            constants.nodal = NodalCorrection::Standard;
        }
        constants
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_height_is_further_from_the_mean_than_all_waves_together(
        constants in any_constants(),
        hour in -300_000_i64..300_000,
    ) {
        let at = hours(Timestamp::UNIX_EPOCH, hour);
        let standard = constants.nodal == NodalCorrection::Standard;
        let most_m: f64 = constants.constituents.iter().map(|wave| {
            let f = tide_argument(&wave.name, at).unwrap().nodal_factor;
            wave.amplitude_m * if standard { f } else { 1.0 }
        }).sum();
        let off_m = tide(&constants).height_m(at).unwrap() - constants.mean_level_m;
        prop_assert!(off_m.abs() <= most_m * 1.0001);
    }

    #[test]
    fn turns_alternate_and_nothing_between_them_is_higher_or_lower(
        constants in any_constants(),
        day in 0_i64..20_000,
    ) {
        let tide = tide(&constants);
        let from = hours(Timestamp::UNIX_EPOCH, day * 24 + 5);
        let turns = tide.extremes(from, hours(from, 72));
        for pair in turns.windows(2) {
            prop_assert!(pair[0].kind != pair[1].kind);
            prop_assert!(pair[0].time < pair[1].time);
            let minutes = pair[1].time.duration_since(pair[0].time).as_secs() / 60;
            let (low_m, high_m) = (
                pair[0].height_m.min(pair[1].height_m),
                pair[0].height_m.max(pair[1].height_m),
            );
            let between = tide.heights_m(pair[0].time, 60, usize::try_from(minutes).unwrap());
            // A pair of turns under five minutes apart may hide here: 1 cm at 2 m of M8.
            prop_assert!(between.iter().all(|m| *m > low_m - 0.01 && *m < high_m + 0.01));
        }
    }

    #[test]
    fn the_rate_is_the_slope_of_the_curve(constants in any_constants(), hour in 0_i64..500_000) {
        let tide = tide(&constants);
        let at = hours(Timestamp::UNIX_EPOCH, hour) + SignedDuration::from_mins(17);
        let minute = SignedDuration::from_mins(1);
        let slope = (tide.height_m(at + minute).unwrap() - tide.height_m(at - minute).unwrap()) * 30.0;
        prop_assert!((tide.rate_m_h(at).unwrap() - slope).abs() < 0.005);
    }

    #[test]
    fn turns_of_two_halves_are_those_of_the_whole(constants in any_constants(), minute in 0_i64..4000) {
        let tide = tide(&constants);
        let from = time("2026-09-01T00:00Z");
        let (half, to) = (from + SignedDuration::from_mins(minute), hours(from, 72));
        let mut parts = tide.extremes(from, half);
        parts.extend(tide.extremes(half, to));
        prop_assert_eq!(parts.len(), tide.extremes(from, to).len());
    }
}
