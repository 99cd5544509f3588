use fairspell_weather::{
    EventPolicy, GeoCode, How, Remark, Tier, Warning, WarningBoard, Whereabouts,
    warning::{MessageType, Status},
};
use jiff::Timestamp;

use crate::{local, time, warnings};

/// The fixtures' point with the codes of its county and zone.
fn spot() -> Whereabouts {
    at("29.9321,-81.3210")
}

fn at(point: &str) -> Whereabouts {
    let codes = ["012951"].map(|code| GeoCode::new("SAME", code)).into_iter();
    let zones = ["FLC951", "FLZ951"].map(|code| GeoCode::new("UGC", code));
    Whereabouts {
        points: vec![point.parse().unwrap()],
        codes: codes.chain(zones).collect(),
        shore: false,
    }
}

fn board(received: Vec<Warning>, as_of: Timestamp) -> WarningBoard {
    WarningBoard::as_of(received, as_of).value
}

/// Event, tier and way of matching of what concerns a place in a window.
fn found<'a>(
    board: &'a WarningBoard,
    place: &Whereabouts,
    from: &str,
    to: &str,
) -> Vec<(&'a str, Tier, How)> {
    board
        .in_force(&EventPolicy::default(), place, (local(from), local(to)))
        .into_iter()
        .map(|found| (found.warning.event.as_str(), found.tier, found.how))
        .collect()
}

/// Reference sheet of the fixtures: at 17:12 the storm warning by its polygon, the watch and the
/// advisory by zone.
#[test]
fn at_1712_three_warnings_are_in_force_over_the_point() {
    let board = board(warnings(&["nws_alerts_1712"]), local("14T17:12"));
    let expected = [
        ("Severe Thunderstorm Warning", Tier::Stop, How::InsidePolygon),
        ("Hurricane Watch", Tier::Stop, How::ByCode),
        ("Heat Advisory", Tier::Caution, How::ByCode),
    ];
    assert_eq!(found(&board, &spot(), "14T17:12", "15T20:00"), expected);
}

/// Reference sheet of the fixtures: at 17:46 the watch alone; the advisory was called off.
#[test]
fn at_1746_the_watch_alone_is_in_force() {
    let board = board(warnings(&["nws_alerts_1746"]), local("14T17:46"));
    assert_eq!(
        found(&board, &spot(), "14T17:46", "15T20:00"),
        [("Hurricane Watch", Tier::Stop, How::ByCode)]
    );
}

#[test]
fn only_events_that_meet_the_window_concern_it() {
    let board = board(warnings(&["cap_1"]), local("14T17:20"));
    // The warning runs from 17:12 to 18:00; neither end's moment is shared.
    assert_eq!(found(&board, &spot(), "14T17:59", "14T19:00").len(), 1);
    assert_eq!(found(&board, &spot(), "14T18:00", "14T19:00"), []);
    assert_eq!(found(&board, &spot(), "14T16:00", "14T17:12"), []);
}

#[test]
fn a_watch_for_tomorrow_outlives_its_message_s_expiry_by_some_hours_without_renewal() {
    // The message lapses at 19:00 on the 14th, the event begins at 08:00 on the 15th.
    let before = board(warnings(&["cap_2"]), local("14T18:59"));
    assert_eq!(found(&before, &spot(), "15T18:00", "15T20:00").len(), 1);
    assert_eq!(found(&before, &spot(), "14T19:00", "14T21:00"), []);
    // Nobody has said that it is over: it holds for six hours more, and a remark says why.
    let reading = WarningBoard::as_of(warnings(&["cap_2"]), local("15T00:59"));
    assert_eq!(reading.value.messages().len(), 1);
    assert!(matches!(reading.remarks[..], [Remark::LapsedWithoutSuccessor { .. }]));
    let reading = WarningBoard::as_of(warnings(&["cap_2"]), local("15T01:00"));
    assert_eq!(reading.value.messages(), []);
    assert!(matches!(reading.remarks[..], [Remark::LapsedWithoutSuccessor { .. }]));
}

#[test]
fn an_update_replaces_what_it_names() {
    let board = board(warnings(&["cap_2", "cap_5"]), local("14T18:40"));
    let events: Vec<_> = board.messages().iter().map(|warning| warning.event.as_str()).collect();
    assert_eq!(events, ["Hurricane Warning"]);
    assert_eq!(
        found(&board, &spot(), "15T18:00", "15T20:00"),
        [("Hurricane Warning", Tier::Stop, How::ByCode)]
    );
}

#[test]
fn a_cancel_wins_in_whichever_order_the_two_arrive() {
    for order in [["cap_1", "cap_4"], ["cap_4", "cap_1"]] {
        let reading = WarningBoard::as_of(warnings(&order), local("14T17:40"));
        assert_eq!(reading.value.messages(), [], "{order:?}");
        assert_eq!(reading.remarks, []);
    }
}

#[test]
fn a_cancel_of_something_unknown_is_remarked_on_and_harms_nothing() {
    let reading = WarningBoard::as_of(warnings(&["cap_4", "cap_3"]), local("14T17:40"));
    let events: Vec<_> =
        reading.value.messages().iter().map(|warning| warning.event.as_str()).collect();
    assert_eq!(events, ["Heat Advisory"]);
    let identifier = "INV-SV-0042-2".to_owned();
    let reference = "INV-SV-0042-1".to_owned();
    assert_eq!(reading.remarks, [Remark::UnknownReference { identifier, reference }]);
}

#[test]
fn nobody_calls_off_another_sender_s_warning() {
    let mut received = warnings(&["cap_1", "cap_4"]);
    "prankster@example.net".clone_into(&mut received[1].sender);
    assert_eq!(board(received, local("14T17:40")).messages().len(), 1);
}

#[test]
fn messages_of_the_future_are_not_seen() {
    // The cancel was sent at 17:38.
    let received = || warnings(&["cap_1", "cap_4"]);
    assert_eq!(board(received(), local("14T17:37")).messages().len(), 1);
    assert_eq!(board(received(), local("14T17:38")).messages().len(), 0);
    assert_eq!(board(received(), local("14T17:11")).messages().len(), 0);
}

#[test]
fn tests_and_exercises_count_for_nothing() {
    let received = warnings(&["cap_6"]);
    let sent = received[0].sent;
    let identifier = received[0].identifier.clone();
    let reading = WarningBoard::as_of(received, sent);
    assert_eq!(reading.value.messages(), []);
    assert_eq!(reading.remarks, [Remark::NotActual { identifier }]);

    // Nor does the test of a cancel call anything off.
    let mut received = warnings(&["cap_1", "cap_4"]);
    received[1].status = Status::Test;
    assert_eq!(board(received, local("14T17:40")).messages().len(), 1);
}

#[test]
fn a_message_rejected_as_an_error_never_was() {
    // The cancel itself was a mistake: the warning stands.
    let mut received = warnings(&["cap_1", "cap_4", "cap_4"]);
    let rejected = received[1].reference();
    received[2].identifier = "INV-SV-0042-3".to_owned();
    received[2].message_type = MessageType::Error;
    received[2].references = vec![rejected];
    assert_eq!(board(received, local("14T17:40")).messages().len(), 1);
}

#[test]
fn of_the_same_message_the_latest_counts_and_once() {
    let mut received = warnings(&["cap_1", "cap_1", "cap_1"]);
    received[1].sent = local("14T17:20");
    received[1].headline = Some("corrected".to_owned());
    received.push(received[1].clone());
    let board = board(received, local("14T17:30"));
    let headlines: Vec<_> =
        board.messages().iter().map(|warning| warning.headline.as_deref()).collect();
    assert_eq!(headlines, [Some("corrected")]);
}

#[test]
fn a_message_without_an_end_stays_and_says_how_old_it_is() {
    let mut received = warnings(&["cap_1"]);
    received[0].expires = None;
    received[0].vtec.clear();
    let reading = WarningBoard::as_of(received, time("2030-06-20T12:00:00Z"));
    assert_eq!(reading.value.messages().len(), 1);
    let (identifier, sent) = ("INV-SV-0042-1".to_owned(), local("14T17:12"));
    assert_eq!(reading.remarks, [Remark::NoExpiry { identifier, sent }]);
}

#[test]
fn the_same_county_outside_the_polygon_is_a_caution() {
    let board = board(warnings(&["cap_1"]), local("14T17:20"));
    let outside = at("30.00,-81.30");
    assert_eq!(
        found(&board, &outside, "14T17:20", "14T19:00"),
        [("Severe Thunderstorm Warning", Tier::Caution, How::SameCodeOutsidePolygon)]
    );
    let elsewhere = Whereabouts { codes: vec![GeoCode::new("UGC", "FLC001")], ..outside };
    assert_eq!(found(&board, &elsewhere, "14T17:20", "14T19:00"), []);
}

#[test]
fn one_point_of_the_drive_inside_the_polygon_is_enough() {
    let board = board(warnings(&["cap_1"]), local("14T17:20"));
    let mut drive = at("30.30,-81.30");
    drive.points.push("29.9321,-81.3210".parse().unwrap());
    assert_eq!(found(&board, &drive, "14T17:20", "14T19:00")[0].1, Tier::Stop);
}

#[test]
fn a_circle_is_matched_by_distance() {
    let board = board(warnings(&["cap_3"]), local("14T12:00"));
    let mut place = at("29.93,-81.0609");
    place.codes.clear();
    let matched = found(&board, &place, "14T12:00", "14T13:00");
    assert_eq!(matched, [("Heat Advisory", Tier::Caution, How::InsideCircle)]);
    place.points = vec!["29.93,-81.0570".parse().unwrap()];
    assert_eq!(found(&board, &place, "14T12:00", "14T13:00"), []);
}

#[test]
fn a_storm_watch_over_the_whole_window_stops_and_over_a_part_of_it_holds() {
    let mut received = warnings(&["cap_1"]);
    "Severe Thunderstorm Watch".clone_into(&mut received[0].event);
    let board = board(received, local("14T17:12"));
    assert_eq!(found(&board, &spot(), "14T17:12", "14T18:00")[0].1, Tier::Stop);
    assert_eq!(found(&board, &spot(), "14T17:11", "14T18:00")[0].1, Tier::Hold);
    assert_eq!(found(&board, &spot(), "14T17:12", "14T18:01")[0].1, Tier::Hold);
}

#[test]
fn same_codes_name_parts_of_counties_and_whole_states() {
    let county = GeoCode::new("SAME", "012951");
    assert!(GeoCode::new("same", "512951").covers(&county));
    assert!(GeoCode::new("SAME", "012000").covers(&county));
    assert!(!GeoCode::new("SAME", "013000").covers(&county));
    assert!(!GeoCode::new("SAME", "012952").covers(&county));
    assert!(!GeoCode::new("SAME", "12951").covers(&county));
    assert!(GeoCode::new("UGC", "flz951").covers(&GeoCode::new("UGC", "FLZ951")));
}

/// "Until further notice" in the event code: the message's expiry is no end of the event.
#[test]
fn an_event_until_further_notice_reaches_past_its_message() {
    let mut received = warnings(&["cap_2"]);
    received[0].onset = Some(local("14T11:00"));
    let board = board(received, local("14T12:00"));
    assert_eq!(found(&board, &spot(), "15T18:00", "15T20:00").len(), 1);
}

#[test]
fn until_further_notice_counts_even_beside_a_stated_end() {
    let mut received = warnings(&["cap_2"]);
    received[0].onset = Some(local("14T11:00"));
    received[0].ends = Some(local("14T15:00"));
    let board = board(received, local("14T12:00"));
    assert_eq!(found(&board, &spot(), "15T18:00", "15T20:00").len(), 1);
}
