use fairspell_studio::ruling::RainEvent;
use fairspell_studio::{
    Band, Gate, GateKind, Outlook, Question, Rule, Ruling, SourceState, Step,
    outlook::SourceKind,
    ruling::{ArtistAdvice, Check, SpotChange},
};
use fairspell_words::{avoided_words, where_we_stand};

use crate::world::{
    at, chance, nothing_known, outlook, ruling, sourced, spots, storm_warning, zone,
};

fn lines(ruling: &Ruling, outlook: &Outlook) -> Vec<String> {
    where_we_stand(ruling, outlook, &spots(), &zone())
}

fn by_rule(rule: Rule) -> Ruling {
    Ruling { rule, step: None, question: Question::AnyRain, ends_disagree: None, ..ruling() }
}

#[test]
fn the_ruling_of_the_wet_thursday_reads_as_it_did() {
    insta::assert_snapshot!(lines(&ruling(), &outlook()).join("\n"));
}

#[test]
fn each_rule_names_its_figures_hours_place_source_and_age() {
    let celsius = |value| sourced(value, "Coast Weather Service", "2026-09-03 12:00");
    let tail = "Thu 3 Sep, 15:15 to 17:05, at Cannery Arcade; Coast Weather Service, as of 12:00.";
    let gap = outlook().p_gap.unwrap();
    let any_rain = sourced(chance(40.0, 55.0, 61.0), "Coast Weather Service", "2026-09-03 12:00");
    for (rule, said) in [
        (
            Rule::AnyRain { chance: any_rain.clone(), percent: 55 },
            format!("Chance of any rain (at least 0.2 mm): 55 % (between 40 and 61 %); {tail}"),
        ),
        (
            Rule::DryGap { chance: gap, percent: 91, gap_min: 25 },
            "Chance of one dry gap of 25 minutes: 91 % (between 82 and 96 %); Thu 3 Sep, 15:15 to 17:05, at Cannery Arcade; Coast Radar, as of 14:26.".to_owned(),
        ),
        (
            Rule::TooHot { felt: celsius(39.4), limit_c: 38.0 },
            format!("Too hot: it feels like 39 °C, and your limit is 38 °C; {tail}"),
        ),
        (
            Rule::TooCold { felt: celsius(-0.4), limit_c: 3.0 },
            format!("Too cold: it feels like 0 °C, below your limit of 3 °C; {tail}"),
        ),
        (
            Rule::TooWindy { gust: celsius(61.0), limit_km_h: 45.0 },
            format!("Too windy: gusts of 61 km/h, above your limit of 45 km/h; {tail}"),
        ),
        (
            Rule::NoSpotBearsWind { gust: celsius(41.0) },
            format!("Gusts of 41 km/h in the open are more than any of your spots bears; {tail}"),
        ),
        (
            Rule::StopWarning { warning: storm_warning() },
            "An official warning decides. Official warning (must move): Severe Thunderstorm Warning, over the session, Thu 3 Sep, 15:00 to 20:00; Coast Weather Service, as of 14:05; it says \"Severe storms with hail from 3 pm\".".to_owned(),
        ),
        (Rule::BeyondForecast, "The forecast does not reach these hours yet.".to_owned()),
    ] {
        let lines = lines(&by_rule(rule), &outlook());
        assert!(lines.contains(&said), "{said}\nnot in\n{}", lines.join("\n"));
        assert!(lines.iter().all(|line| avoided_words(line).is_empty()));
    }
    let mut estimate = any_rain;
    estimate.our_estimate = true;
    let text =
        lines(&by_rule(Rule::AnyRain { chance: estimate, percent: 55 }), &outlook()).join("\n");
    assert!(text.contains("; our estimate from Coast Weather Service, as of 12:00."), "{text}");
}

#[test]
fn before_the_chair_likely_rain_is_told_in_the_forecasts_own_amount() {
    let mut outlook = outlook();
    outlook.p_any_rain =
        Some(sourced(chance(50.0, 62.0, 70.0), "Coast Weather Service", "2026-09-03 09:00"));
    let rule = Rule::GapKeepsIt {
        rain: outlook.p_any_rain.clone().unwrap(),
        of: RainEvent::AnyRain,
        chance: outlook.p_gap.clone().unwrap(),
        percent: 91,
        gap_min: 25,
    };
    let text = lines(&by_rule(rule), &outlook).join("\n");
    assert!(text.contains("62 % (between 50 and 70 %) for any rain (at least 0.2 mm)"), "{text}");
}

#[test]
fn missing_sources_are_named_with_their_ages_and_never_called_dry() {
    let mut outlook = nothing_known();
    outlook.sources = vec![(
        SourceKind::Forecast,
        SourceState::Stale {
            source: "Coast Weather Service".to_owned(),
            issued: at("2026-09-02 18:00"),
        },
    )];
    let ruling = Ruling {
        band: Band::Unknown,
        ..by_rule(Rule::NotKnown { missing: vec![SourceKind::Forecast, SourceKind::Radar] })
    };
    let lines = lines(&ruling, &outlook);
    for said in [
        "Where we stand, as of Thu 3 Sep, 14:30: not known.",
        "No ruling: it needs forecast and radar. What is missing is not dry; it is not known.",
        "Forecast: too old to rely on; Coast Weather Service, as of Wed 2 Sep, 18:00 (20 hours old).",
        "Radar: missing, so not known.",
    ] {
        assert!(lines.contains(&said.to_owned()), "{said}\nnot in\n{}", lines.join("\n"));
    }
}

#[test]
fn steps_changes_checks_artist_and_next_gate_are_said() {
    let ruling = Ruling {
        band: Band::Watch,
        step: Some(Step::WaitUntil(at("2026-09-03 15:00"))),
        ends_disagree: Some((Band::FamilysChoice, Band::Watch)),
        spot_changes: vec![SpotChange {
            from: "dune".to_owned(),
            to: "no_longer-there".to_owned(),
            gust_km_h: 36.4,
        }],
        unchecked: vec![
            Check::Temperature,
            Check::Gusts,
            Check::WarningsByHand,
            Check::RadarByHand,
        ],
        artist: Some(ArtistAdvice { free_until: at("2026-09-04 11:45"), move_before: true }),
        next_gate: Some(Gate { kind: GateKind::Arrival, at: at("2026-09-03 15:15") }),
        ..ruling()
    };
    let all = lines(&ruling, &outlook());
    for said in [
        "Wait until 15:00, then look again.",
        "The figure is a range, and its ends disagree: family's choice at its low end, watch at its high end.",
        "Gusts of 36 km/h are expected at Long Dune, above its limit: its looks go to No longer there.",
        "Not checked: gusts, because for some or all of these hours none are known; look them up yourself.",
        "Not checked: official warnings, because none are read for this place, or one cannot be placed; look at your weather service's warnings yourself, for spot and road.",
        "Hair and make-up can be moved free until Fri 4 Sep, 11:45; the sky already speaks for moving before then.",
        "Decide by Thu 3 Sep, 15:15: start, on the spot.",
    ] {
        assert!(all.contains(&said.to_owned()), "{said}\nnot in\n{}", all.join("\n"));
    }
    assert!(all.iter().filter(|line| line.starts_with("Not checked: ")).count() == 4);
    assert!(all.iter().all(|line| avoided_words(line).is_empty()));
}
