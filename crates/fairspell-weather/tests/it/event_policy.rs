use fairspell_weather::{
    EventPolicy, Tier, WeatherError,
    event_policy::Circumstances,
    warning::{Certainty, Severity, Urgency},
};

use crate::warnings;

fn tier(event: &str, circumstances: Circumstances) -> Tier {
    let mut warning = warnings(&["cap_1"]).remove(0);
    event.clone_into(&mut warning.event);
    EventPolicy::default().tier(&warning, circumstances)
}

const NOWHERE: Circumstances =
    Circumstances { shore: false, inside_drawing: false, whole_window: false };
const ALL: Circumstances = Circumstances { shore: true, inside_drawing: true, whole_window: true };

/// The proposed table: every event, at the shore, with the tiers that its notes raise left out.
#[test]
fn every_event_of_the_proposed_table_has_its_tier() {
    let raised_by_note =
        ["Tornado Watch", "Severe Thunderstorm Watch", "Flood Warning", "High Surf Warning"];
    let lines: Vec<&str> = include_str!("../reference/event_policy.csv").lines().skip(1).collect();
    assert_eq!(lines.len(), 63);
    for line in lines {
        let mut cells = line.split(',');
        let (event, expected) = (cells.next().unwrap(), cells.next().unwrap());
        let shore = !raised_by_note.contains(&event);
        let expected = match expected {
            "stop" => Tier::Stop,
            "hold" => Tier::Hold,
            "caution" => Tier::Caution,
            "info" => Tier::Info,
            _ => Tier::Ignore,
        };
        assert!(EventPolicy::default().knows(event), "{event}");
        assert_eq!(tier(event, Circumstances { shore, ..NOWHERE }), expected, "{event}");
    }
}

#[test]
fn notes_raise_an_event_where_they_apply_and_only_there() {
    let shore = Circumstances { shore: true, ..NOWHERE };
    let inside_drawing = Circumstances { inside_drawing: true, ..NOWHERE };
    let whole_window = Circumstances { whole_window: true, ..NOWHERE };
    for (event, elsewhere, raising) in [
        ("Special Marine Warning", Tier::Hold, shore),
        ("Coastal Flood Warning", Tier::Hold, shore),
        ("Tsunami Advisory", Tier::Caution, shore),
        ("High Surf Warning", Tier::Hold, shore),
        ("Flood Warning", Tier::Hold, inside_drawing),
        ("Tornado Watch", Tier::Hold, whole_window),
        ("severe thunderstorm watch", Tier::Hold, whole_window),
    ] {
        assert_eq!(tier(event, NOWHERE), elsewhere, "{event}");
        assert_eq!(tier(event, raising), Tier::Stop, "{event}");
        for other in [shore, inside_drawing, whole_window] {
            if other != raising {
                assert_eq!(tier(event, other), elsewhere, "{event}, {other:?}");
            }
        }
    }
    assert_eq!(tier("Heat Advisory", ALL), Tier::Caution);
}

#[test]
fn an_event_that_nobody_knows_is_judged_by_its_words_and_never_ignored() {
    let judge = |severity, urgency, certainty| {
        let mut warning = warnings(&["cap_1"]).remove(0);
        "Rain of Frogs".clone_into(&mut warning.event);
        (warning.severity, warning.urgency, warning.certainty) = (severity, urgency, certainty);
        EventPolicy::default().tier(&warning, NOWHERE)
    };
    let (at_hand, likely) = (Urgency::Expected, Certainty::Likely);
    assert_eq!(judge(Severity::Extreme, Urgency::Unknown, Certainty::Unknown), Tier::Stop);
    assert_eq!(judge(Severity::Severe, at_hand, likely), Tier::Stop);
    assert_eq!(judge(Severity::Severe, Urgency::Future, likely), Tier::Hold);
    assert_eq!(judge(Severity::Severe, at_hand, Certainty::Possible), Tier::Hold);
    for severity in [Severity::Moderate, Severity::Minor, Severity::Unknown] {
        assert_eq!(judge(severity, at_hand, likely), Tier::Caution);
    }
}

#[test]
fn the_owner_s_own_table_is_read_or_its_mistake_is_named() {
    let own = "event,tier,note\nHeat Advisory,stop,two of us are eighty\n";
    let warning = warnings(&["cap_3"]).remove(0);
    assert_eq!(EventPolicy::parse(own).unwrap().tier(&warning, NOWHERE), Tier::Stop);
    let check = |table: &str, line: u64, part: &str| {
        let error = EventPolicy::parse(table).unwrap_err();
        let WeatherError::EventTable { line: found, problem } = &error else { panic!("{error}") };
        assert_eq!(*found, line, "{error}");
        assert!(problem.contains(part), "{error}");
    };
    check("", 1, "`event`");
    check("event,level\nHeat Advisory,stop\n", 1, "`tier`");
    check("event,tier\n", 1, "no event");
    check("event,tier\nHeat Advisory,stop\nWind Advisory,strong\n", 3, "`strong`");
    check("event,tier\nHeat Advisory,stop\nheat advisory,hold\n", 3, "twice");
    check("event,tier\n,stop\n", 2, "no name");
    check("event,tier\nHeat Advisory\n", 2, "found ``");
    check("event,tier,at_shore\nHeat Advisory,hold,maybe\n", 2, "`maybe`");
}
