//! How long the sun takes: one position, a year of minutes, and a year against a skyline.
//!
//! `pvlib_year.py` beside this file times the same year with numpy.

use divan::{Bencher, black_box};
use fairspell_almanac::{SunTrack, direct_light_spans, sun_position};
use fairspell_ground::{LatLon, Ridge, RidgePoint, Skyline};
use jiff::Timestamp;

fn main() {
    divan::main();
}

fn steps() -> LatLon {
    LatLon::new(-31.7177, 152.7849).expect("a position")
}

fn year() -> (Timestamp, Timestamp) {
    let moment = |text: &str| text.parse().expect("a moment");
    (moment("2026-01-01T00:00:00Z"), moment("2027-01-01T00:00:00Z"))
}

#[divan::bench]
fn one_position() {
    black_box(sun_position(black_box(year().0), steps()));
}

#[divan::bench]
fn one_position_of_a_track(bencher: Bencher) {
    let track = SunTrack::new(year().0, year().1, steps());
    let at = "2026-09-03T07:05:00Z".parse().expect("a moment");
    bencher.bench(|| track.at(black_box(at)));
}

#[divan::bench(sample_count = 20)]
fn year_of_minutes() -> f64 {
    let track = SunTrack::new(year().0, year().1, steps());
    track.every(60).map(|(_, sun)| sun.apparent_elevation_deg + sun.azimuth_deg).sum()
}

/// Twenty points all round.
#[divan::bench(sample_count = 20)]
fn year_of_direct_light() -> usize {
    let point = |index: u32| RidgePoint {
        azimuth_deg: f64::from(index) * 360.0 / 19.0,
        height_deg: 4.0 + 3.0 * (f64::from(index % 19) * 1.7).sin(),
    };
    let skyline =
        Skyline::of_stretches(vec![Ridge { points: (0..20).map(point).collect() }.into()]);
    direct_light_spans(year().0, year().1, steps(), &skyline).len()
}
