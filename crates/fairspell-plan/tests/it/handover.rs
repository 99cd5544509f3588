//! The handover from radar to forecast, learned from an afternoon of showers that no picture foretold.

use std::sync::LazyLock;

use fairspell_nowcast::{Nowcast, RainField, Record};
use fairspell_plan::{Seen, SeenForecast, SeenRadar};
use fairspell_studio::Outlook;
use jiff::ToSpan;

use crate::world::{LEAVE_BY, at, forecast, outlook_at, picture, seen, seen_forecast};

/// Made before the first picture, and just before the outlook.
const MORNING: &str = "2026-09-02T21:00:00Z";
const JUST_NOW: &str = "2026-09-03T04:20:00Z";

/// Six hours of pictures up to [`LEAVE_BY`]: rain everywhere for twenty minutes of each hour, out of a
/// clear sky and into it; or no rain at all.
fn pictures(showery: bool) -> Vec<RainField> {
    (0..=36_i64)
        .rev()
        .map(|back| {
            let is_wet = showery && (3..5).contains(&(back % 6));
            picture(at(LEAVE_BY) - (10 * back + 4).minutes(), if is_wet { 3.0 } else { 0.0 })
        })
        .collect()
}

/// The record that a folder keeps in these hours.
fn record(pictures: &[RainField]) -> Record {
    let mut record = Record::default();
    for upto in 1..=pictures.len() {
        let issued = pictures[upto - 1].valid_time;
        record.catch_up(&pictures[..upto], issued);
    }
    record
}

static SHOWERY: LazyLock<(Vec<RainField>, Record)> = LazyLock::new(|| {
    let pictures = pictures(true);
    let record = record(&pictures);
    (pictures, record)
});

static DRY: LazyLock<(Vec<RainField>, Record)> = LazyLock::new(|| {
    let pictures = pictures(false);
    let record = record(&pictures);
    (pictures, record)
});

/// What the radar says now, with a record or without.
fn radar(sky: &(Vec<RainField>, Record), with_record: bool) -> SeenRadar {
    let recent = sky.0[sky.0.len() - 7..].to_vec();
    let nowcast = Nowcast::from_fields(recent, at(LEAVE_BY)).unwrap().value;
    let nowcast = if with_record { nowcast.corrected_by(&sky.1) } else { nowcast };
    SeenRadar { nowcast, source: "an invented radar".to_owned() }
}

fn with(radar: SeenRadar, forecast: SeenForecast) -> Outlook {
    let all = Seen { radar: Some(radar), forecast: Some(forecast), ..seen(at(LEAVE_BY), 0.0) };
    outlook_at(LEAVE_BY, &all)
}

/// Made at a moment, with the forecast that it replaced.
fn told(made: &str, percent: f64, earlier: Option<(&str, f64)>) -> SeenForecast {
    let earlier = earlier.map(|(made, percent)| forecast(made, percent));
    SeenForecast {
        earlier: earlier.into_iter().collect(),
        ..seen_forecast(forecast(made, percent))
    }
}

fn reach(outlook: &Outlook) -> Option<f64> {
    outlook.radar.as_ref().unwrap().reach
}

#[test]
fn a_forecast_that_knew_of_showers_that_no_picture_showed_takes_over_sooner() {
    let outlook = with(radar(&SHOWERY, true), told(JUST_NOW, 90.0, Some((MORNING, 90.0))));
    let reach = reach(&outlook).unwrap();
    assert!((0.25..0.7).contains(&reach), "{reach}");
    // Two hours ahead the forecast now has its say, and is named.
    let p_gap = outlook.p_gap.unwrap();
    assert!(p_gap.source.contains("service"), "{}", p_gap.source);
    let by_hours = with(radar(&SHOWERY, false), told(JUST_NOW, 90.0, None)).p_gap.unwrap();
    assert_eq!(by_hours.source, "an invented radar");
}

#[test]
fn a_forecast_that_did_not_know_of_them_leaves_radar_its_hours() {
    let outlook = with(radar(&SHOWERY, true), told(JUST_NOW, 3.0, Some((MORNING, 3.0))));
    assert_eq!(reach(&outlook), None);
}

#[test]
fn a_radar_that_was_right_keeps_its_hours() {
    let outlook = with(radar(&DRY, true), told(JUST_NOW, 60.0, Some((MORNING, 60.0))));
    assert_eq!(reach(&outlook), None);
}

#[test]
fn a_forecast_that_was_made_afterwards_says_nothing_of_how_it_does() {
    let outlook = with(radar(&SHOWERY, true), told(JUST_NOW, 90.0, None));
    assert_eq!(reach(&outlook), None);
    // It is the newest of its time that counts, not one that came to know.
    let outlook = with(radar(&SHOWERY, true), told(JUST_NOW, 90.0, Some((MORNING, 3.0))));
    assert_eq!(reach(&outlook), None);
    let mut replaced = told(JUST_NOW, 90.0, Some((MORNING, 90.0)));
    let later = at(MORNING) + 20.minutes();
    replaced.earlier.push(forecast(&later.to_string(), 3.0));
    assert_eq!(reach(&with(radar(&SHOWERY, true), replaced)), None);
}

#[test]
fn without_a_record_or_a_forecast_the_hours_stand() {
    let outlook = with(radar(&SHOWERY, false), told(JUST_NOW, 90.0, Some((MORNING, 90.0))));
    assert_eq!(reach(&outlook), None);
    let alone = Seen { radar: Some(radar(&SHOWERY, true)), ..seen(at(LEAVE_BY), 0.0) };
    assert_eq!(reach(&outlook_at(LEAVE_BY, &Seen { forecast: None, ..alone })), None);
}
