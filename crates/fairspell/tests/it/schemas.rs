//! The JSON Schemas: sound, complete, and true of what the program reads and writes.

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
};

use fairspell_chance::{Chance, Character, Probability};
use fairspell_ground::LatLon;
use fairspell_studio::{
    Band, Choice, GateKind, Hair, Hem, LetterKind, LightWish, Question, Rule, Ruling, Session,
    Side, SourceState, Sourced, Span, Step, Studio, Tier,
    letter::Danger,
    look_table::Verdict,
    outlook::{Reach, SourceKind, WarningSeen},
    ruling::{Check, RainEvent},
    spot::Cover,
    studio::{Day, Expected},
};
use jiff::Timestamp;
use jsonschema::Validator;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use crate::demo_folder::{check_report, copied, fairspell, fairspell_json, studio_folder, text};

const SCHEMA: &str = ".schema.json";
const EXAMPLE: &str = ".example.json";

const THURSDAY: &str = "2026-09-03-linh";
const ISSUED: &str = "2026-09-03T04:30:00Z";
const PLACE: &str = "--at=-31.7252,152.7741";

fn schemas() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schemas")
}

/// The names of the files that end so, without that end.
fn names(ending: &str) -> BTreeSet<String> {
    fs::read_dir(schemas())
        .expect("the folder of schemas")
        .filter_map(|entry| {
            let name = entry.expect("the folder of schemas").file_name();
            name.to_string_lossy().strip_suffix(ending).map(str::to_owned)
        })
        .collect()
}

fn read(file: &Path) -> Value {
    let bytes = fs::read(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    serde_json::from_slice(&bytes).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

pub(crate) fn schema(name: &str) -> Value {
    read(&schemas().join(format!("{name}{SCHEMA}")))
}

pub(crate) fn example(name: &str) -> Value {
    read(&schemas().join(format!("{name}{EXAMPLE}")))
}

/// Checks formats too, which a validator of draft 2020-12 only notes unless it is told to.
pub(crate) fn validator(schema: &Value) -> Validator {
    jsonschema::draft202012::options()
        .should_validate_formats(true)
        .build(schema)
        .expect("a sound schema")
}

/// A validator for one of a schema's shared shapes.
fn shape(schema: &Value, name: &str) -> Validator {
    assert!(schema["$defs"][name].is_object(), "there is no shape `{name}`");
    validator(&json!({ "$ref": format!("#/$defs/{name}"), "$defs": schema["$defs"] }))
}

pub(crate) fn assert_follows(validator: &Validator, document: &Value, what: &str) {
    let faults: Vec<String> = validator
        .iter_errors(document)
        .map(|fault| format!("{}: {fault}", fault.instance_path()))
        .collect();
    assert!(faults.is_empty(), "{what}:\n{}", faults.join("\n"));
}

#[test]
fn every_schema_is_sound_and_is_printed_by_name() {
    let list = fairspell_json(&["schema", "--json"]);
    let listed: BTreeSet<String> = serde_json::from_value(list["schemas"].clone()).unwrap();
    assert_eq!(names(SCHEMA), listed);
    for name in listed {
        let schema = schema(&name);
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema", "{name}");
        if let Err(fault) = jsonschema::draft202012::meta::validate(&schema) {
            panic!("{name}: {}: {fault}", fault.instance_path());
        }
        assert_eq!(fairspell_json(&["schema", &name]), schema, "{name}");
    }
}

#[test]
fn every_schema_has_an_example_that_follows_it_and_the_other_way_round() {
    assert_eq!(names(EXAMPLE), names(SCHEMA));
    for name in names(EXAMPLE) {
        assert_follows(&validator(&schema(&name)), &example(&name), &name);
    }
}

#[test]
fn every_key_and_every_object_says_what_it_is() {
    fn walk(value: &Value, path: &str) {
        if value["type"] == "object" {
            assert!(value["description"].is_string(), "{path} is not described");
            assert_eq!(value["additionalProperties"], false, "{path} is open");
        }
        for (key, inner) in value["properties"].as_object().into_iter().flatten() {
            // What refines a shape that has been described already need not describe it again.
            let described = inner["description"].is_string() || value["type"] != "object";
            assert!(described, "{path}/{key} is not described");
        }
        match value {
            Value::Object(entries) => {
                for (key, inner) in entries.iter().filter(|(key, _)| !is_condition(key)) {
                    walk(inner, &format!("{path}/{key}"));
                }
            }
            Value::Array(items) => {
                for (index, inner) in items.iter().enumerate() {
                    walk(inner, &format!("{path}/{index}"));
                }
            }
            _ => {}
        }
    }
    fn is_condition(key: &str) -> bool {
        matches!(key, "if" | "then" | "else")
    }
    for name in names(SCHEMA) {
        let schema = schema(&name);
        assert!(schema["title"].is_string(), "{name} has no title");
        assert!(schema["description"].is_string(), "{name} is not described");
        walk(&schema, &name);
    }
}

#[test]
fn a_shape_that_several_schemas_share_is_the_same_in_each() {
    let mut seen: BTreeMap<String, (String, Value)> = BTreeMap::new();
    let mut shared = 0;
    for name in names(SCHEMA) {
        let schema = schema(&name);
        for (shape, meaning) in schema["$defs"].as_object().into_iter().flatten() {
            if let Some((first, known)) = seen.get(shape) {
                assert_eq!(meaning, known, "`{shape}` of {name} is not that of {first}");
                shared += 1;
            } else {
                seen.insert(shape.clone(), (name.clone(), meaning.clone()));
            }
        }
    }
    assert!(shared > 10, "only {shared} shared shapes were found");
}

#[test]
fn the_invented_studio_follows_the_schemas() {
    for name in ["studio", "sessions", "people", "coast"] {
        let document = read(&studio_folder().join(format!("{name}.json")));
        assert_follows(&validator(&schema(name)), &document, name);
    }
    assert_follows(&validator(&schema("demo")), &check_report(), "demo --check --json");
}

#[test]
fn the_examples_of_a_studio_its_sessions_and_its_coast_open_as_a_folder() {
    let folder = tempfile::TempDir::new().unwrap();
    for name in ["studio", "sessions", "people", "coast"] {
        let file = folder.path().join(format!("{name}.json"));
        fs::copy(schemas().join(format!("{name}{EXAMPLE}")), file).unwrap();
    }
    for session in example("sessions").as_array().unwrap() {
        let report = ask("outlook", folder.path(), session["id"].as_str().unwrap(), ISSUED);
        assert_eq!(report["ruling"]["band"], "unknown", "there are no readings beside it");
    }
}

fn ask(command: &str, folder: &Path, session: &str, as_of: &str) -> Value {
    let folder = folder.to_string_lossy();
    fairspell_json(&[command, "--data", &folder, "--session", session, "--as-of", as_of, "--json"])
}

#[test]
fn outlooks_and_letters_follow_their_schemas_whatever_the_ruling() {
    let (outlooks, letters) = (validator(&schema("outlook")), validator(&schema("letter")));
    let mut silent = BTreeSet::new();
    let mut check = |folder: &Path, session: &str, as_of: &str| {
        let what = format!("{session} at {as_of}");
        let outlook = ask("outlook", folder, session, as_of);
        assert_follows(&outlooks, &outlook, &format!("the outlook of {what}"));
        let letter = ask("letter", folder, session, as_of);
        assert_follows(&letters, &letter, &format!("the letter of {what}"));
        let band = outlook["ruling"]["band"].as_str().unwrap().to_owned();
        if letter["facts"].is_null() {
            silent.insert(band.clone());
        }
        band
    };

    let mut bands = BTreeSet::new();
    let report = check_report();
    for session in report["sessions"].as_array().unwrap() {
        for gate in ["evening_reading", "leave_by"] {
            let as_of = session[gate]["as_of"].as_str().unwrap();
            bands.insert(check(&studio_folder(), session["id"].as_str().unwrap(), as_of));
        }
    }
    // A week ahead the forecast does not reach the session, and the artist's limit is still to come.
    bands.insert(check(&studio_folder(), THURSDAY, "2026-08-27T08:00:00Z"));
    // Once it has begun there is nothing left to write, whatever is known.
    bands.insert(check(&studio_folder(), THURSDAY, "2026-09-03T05:30:00Z"));
    let bare = copied();
    fs::remove_dir_all(bare.path().join("readings")).unwrap();
    bands.insert(check(bare.path(), THURSDAY, ISSUED));
    for band in ["settled", "familys_choice", "advise_moving", "must_move", "unknown"] {
        assert!(bands.contains(band), "nothing was {band}: {bands:?}");
    }
    assert!(silent.remove("unknown"), "a letter was written while nothing was known");
    assert!(!silent.is_empty(), "a letter was written whenever something was known");
}

#[test]
fn what_radar_tells_follows_its_schema_even_when_it_is_nothing() {
    let rain = validator(&schema("rain"));
    let frames = studio_folder().join("readings/radar").to_string_lossy().into_owned();
    let usual = ["rain", "--frames", &frames, "--issued", ISSUED, "--json"];
    let windows =
        ["2026-09-03T05:15:00Z/2026-09-03T07:45:00Z", "2026-09-03T03:00:00Z/2026-09-03T04:00:00Z"];
    let asked = ["--window", windows[0], "--window", windows[1]];

    let report = fairspell_json(&[&usual[..], &[PLACE]].concat());
    assert_follows(&rain, &report, "without windows");
    let report = fairspell_json(&[&usual[..], &[PLACE], &asked].concat());
    assert_follows(&rain, &report, "with windows");
    assert_eq!(report["windows"][1]["p_rain"], Value::Null, "that window is over");

    let folder = tempfile::TempDir::new().unwrap();
    let points = folder.path().join("points.csv");
    fs::write(&points, "lat,lon\n-31.7252,152.7741\n48.2,16.4\n").unwrap();
    let points = points.to_string_lossy();
    let output = fairspell(&[&usual[..], &["--points", &points], &asked].concat());
    let lines = text(&output.stdout);
    assert_eq!(lines.lines().count(), 2, "{}", text(&output.stderr));
    for line in lines.lines() {
        assert_follows(&rain, &serde_json::from_str(line).unwrap(), line);
    }

    let empty = tempfile::TempDir::new().unwrap();
    let no_frames = empty.path().to_string_lossy();
    let output = fairspell(&["rain", "--frames", &no_frames, PLACE, "--issued", ISSUED, "--json"]);
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_follows(&rain, &report, "without pictures");
}

#[test]
fn a_document_that_is_plainly_wrong_is_refused() {
    let refused = |name: &str, why: &str, spoil: &dyn Fn(&mut Value)| {
        let mut document = example(name);
        spoil(&mut document);
        assert_ne!(document, example(name), "{name}: nothing was spoilt for: {why}");
        assert!(!validator(&schema(name)).is_valid(&document), "{name}: {why}");
    };
    for name in names(SCHEMA) {
        let document = example(&name);
        let is_object = |inside: &&str| document.pointer(inside).is_some_and(Value::is_object);
        let inside = ["", "/0", "/0/0"].into_iter().find(is_object).unwrap();
        for key in document.pointer(inside).unwrap().as_object().unwrap().keys() {
            let optional = fills_itself(&schema(&name), key);
            if !optional {
                refused(&name, &format!("without {key}"), &|document| {
                    document.pointer_mut(inside).unwrap().as_object_mut().unwrap().remove(key);
                });
            }
        }
        refused(&name, "a key that nobody knows", &|document| {
            document.pointer_mut(inside).unwrap()["moon"] = json!("full");
        });
        refused(&name, "no object at all", &|document| *document = json!("settled"));
    }
    refused("rain", "a chance of 1.2", &|rain| rain["windows"][0]["p_rain"] = json!(1.2));
    refused("rain", "a chance below zero", &|rain| rain["minutes"][0]["p_rain"] = json!(-0.1));
    refused("rain", "a time without its zone", &|rain| {
        rain["issued"] = json!("2026-09-03T04:30:00");
    });
    refused("outlook", "a chance of 1.2", &|report| {
        report["outlook"]["p_gap"]["value"]["high"] = json!(1.2);
    });
    refused("outlook", "a figure without its hours", &|report| {
        report["outlook"]["p_gap"].as_object_mut().unwrap().remove("hours");
    });
    refused("outlook", "a figure with one key too many", &|report| {
        report["outlook"]["p_gap"]["mood"] = json!("fine");
    });
    refused("outlook", "a band that there is not", &|report| {
        report["ruling"]["band"] = json!("maybe");
    });
    refused("outlook", "a rule without its figure", &|report| {
        report["ruling"]["rule"].as_object_mut().unwrap().remove("percent");
    });
    refused("letter", "a letter while nothing is known", &|letter| {
        letter["band"] = json!("unknown");
    });
    refused("letter", "a letter without its facts", &|letter| letter["facts"] = Value::Null);
    refused("letter", "facts without their letter", &|letter| letter["body"] = Value::Null);
    refused("letter", "a letter without its offers", &|letter| letter["offers"] = Value::Null);
    refused("letter", "a move without its date", &|letter| {
        letter["offers"][0]["choice"] = json!({ "choice": "move_to" });
    });
    refused("coast", "swapped coordinates", &|coast| {
        coast[0][0] = json!({ "lat_deg": 152.79, "lon_deg": -31.72 });
    });
    refused("demo", "a step that there is not", &|demo| {
        demo["sessions"][0]["chair"]["step"] = json!("run");
    });
    refused("sessions", "no looks", &|sessions| sessions[0]["looks"] = json!([]));
    refused("sessions", "a start that is no time", &|sessions| {
        sessions[0]["start"] = json!("2026-09-03T25:15:00");
    });
    refused("studio", "more than a hundred per cent", &|studio| {
        studio["policy"]["gap"]["go_from_percent"] = json!(120);
    });
    refused("studio", "swapped coordinates", &|studio| {
        studio["home"] = json!({ "lat_deg": 152.79, "lon_deg": -31.72 });
    });
}

/// Whether a schema says what a key means that is left out.
fn fills_itself(schema: &Value, key: &str) -> bool {
    let object = if schema["type"] == "array" { &schema["items"] } else { schema };
    object["properties"][key].get("default").is_some()
}

/// Takes every value of a document away, makes it null or another number, and adds a key to every
/// object, one change at a time; the schema and the program have to agree on whether that can still
/// be read.
fn assert_agree(name: &str, reads: impl Fn(&Value) -> bool) {
    let validator = validator(&schema(name));
    let whole = example(name);
    assert!(reads(&whole), "{name}: the example itself");
    let mut tried = 0;
    let mut compare = |document: &Value, how: &str| {
        assert_eq!(validator.is_valid(document), reads(document), "{name}: {how}");
        tried += 1;
    };
    for path in paths(&whole, "") {
        let (parent, key) = path.rsplit_once('/').expect("a path begins with a stroke");
        let mut without = whole.clone();
        if let Value::Object(entries) = without.pointer_mut(parent).expect("the path of a value") {
            entries.remove(key);
            compare(&without, &format!("{path} left out"));
        }
        let value = whole.pointer(&path).expect("the path of a value");
        if value.is_object() {
            let mut more = whole.clone();
            more.pointer_mut(&path).expect("the path of a value")["moon"] = json!("full");
            compare(&more, &format!("{path} has a key that nobody knows"));
        }
        // On both sides of the largest gust factor, hours of a free change and minutes of a session.
        let around = [json!(-1), json!(5.5), json!(1000), json!(1001), json!(1440), json!(1441)];
        let numbers = if value.is_number() { &around[..] } else { &[] };
        for other in [&Value::Null].into_iter().chain(numbers) {
            let mut changed = whole.clone();
            *changed.pointer_mut(&path).expect("the path of a value") = other.clone();
            compare(&changed, &format!("{path} is {other}"));
        }
    }
    assert!(tried > 100, "{name}: only {tried} changes were tried");
}

/// Where every value of a document stands, itself left out.
fn paths(value: &Value, at: &str) -> Vec<String> {
    let inner: Vec<(String, &Value)> = match value {
        Value::Object(entries) => entries.iter().map(|(key, inner)| (key.clone(), inner)).collect(),
        Value::Array(items) => {
            items.iter().enumerate().map(|(index, inner)| (index.to_string(), inner)).collect()
        }
        _ => Vec::new(),
    };
    inner
        .into_iter()
        .flat_map(|(key, inner)| {
            let path = format!("{at}/{key}");
            let below = paths(inner, &path);
            [path].into_iter().chain(below)
        })
        .collect()
}

#[test]
fn the_schemas_ask_of_a_studio_what_the_program_asks() {
    assert_agree("studio", |document| {
        serde_json::from_value::<Studio>(document.clone())
            .is_ok_and(|studio| studio.check(&[]).is_ok())
    });
    let mut nameless = example("studio");
    nameless["warning_areas"] = json!(["FLC109"]);
    assert!(!validator(&schema("studio")).is_valid(&nameless), "a code without its system");
    let nameless: Studio = serde_json::from_value(nameless).unwrap();
    assert!(nameless.check(&[]).is_err(), "a code without its system");

    let studio: Studio = serde_json::from_value(example("studio")).unwrap();
    assert_agree("sessions", |document| {
        serde_json::from_value::<Vec<Session>>(document.clone())
            .is_ok_and(|sessions| studio.check(&sessions).is_ok())
    });
}

/// The choices that a Rust type has: what it says it expected, when given something else.
fn choices_of<T: DeserializeOwned>() -> BTreeSet<String> {
    let nonsense =
        [json!("nonsense"), json!({ "rule": "nonsense" }), json!({ "choice": "nonsense" })];
    nonsense
        .into_iter()
        .filter_map(|nonsense| serde_json::from_value::<T>(nonsense).err())
        .find_map(|error| {
            let error = error.to_string();
            let (_, expected) = error.split_once("unknown variant `nonsense`, expected")?;
            Some(expected.split('`').skip(1).step_by(2).map(str::to_owned).collect())
        })
        .expect("a type that is a choice")
}

/// The choices that a schema spells out.
fn choices_in(schema: &Value) -> BTreeSet<String> {
    let listed = schema["enum"].as_array().into_iter().flatten().cloned();
    let alternatives = schema["oneOf"].as_array().into_iter().flatten().map(|alternative| {
        let properties = &alternative["properties"];
        let tags = ["rule", "choice"].map(|tag| &properties[tag]["const"]);
        std::iter::once(&alternative["const"])
            .chain(tags)
            .chain([&alternative["required"][0]])
            .find(|name| name.is_string())
            .unwrap_or_else(|| panic!("an alternative without a name: {alternative}"))
            .clone()
    });
    listed.chain(alternatives).filter_map(|name| name.as_str().map(str::to_owned)).collect()
}

#[test]
fn the_schemas_spell_out_every_choice_that_the_types_have_and_no_other() {
    let (outlook, letter, studio) = (schema("outlook"), schema("letter"), schema("studio"));
    let shapes = &outlook["$defs"];
    let warning = &shapes["warning"]["properties"];
    let spot = &studio["$defs"]["spot"]["properties"];
    let table = &studio["$defs"]["look_table"]["properties"];
    let sessions = schema("sessions");
    let look = &sessions["items"]["properties"]["looks"]["items"]["properties"];
    let is_gap_keeps_it = |rule: &&Value| rule["properties"]["rule"]["const"] == "gap_keeps_it";
    let mut rules = shapes["rule"]["oneOf"].as_array().unwrap().iter();
    let gap_keeps_it = &rules.find(is_gap_keeps_it).unwrap()["properties"];
    for (choices, schema) in [
        (choices_of::<Band>(), &shapes["band"]),
        (choices_of::<Step>(), &shapes["step"]),
        (choices_of::<Rule>(), &shapes["rule"]),
        (choices_of::<Question>(), &shapes["ruling"]["properties"]["question"]),
        (choices_of::<Question>(), &letter["$defs"]["facts"]["properties"]["question"]),
        (choices_of::<RainEvent>(), &gap_keeps_it["of"]),
        (choices_of::<Check>(), &shapes["check"]),
        (choices_of::<GateKind>(), &shapes["gate_kind"]),
        (choices_of::<Character>(), &shapes["character"]),
        (choices_of::<Tier>(), &warning["tier"]),
        (choices_of::<Reach>(), &warning["reach"]),
        (choices_of::<SourceKind>(), &shapes["source_kind"]),
        (choices_of::<SourceState>(), &shapes["source_state"]),
        (choices_of::<LetterKind>(), &letter["$defs"]["letter_kind"]),
        (choices_of::<Danger>(), &letter["$defs"]["danger"]),
        (choices_of::<Choice>(), &letter["$defs"]["choice"]),
        (choices_of::<Cover>(), &spot["cover"]),
        (choices_of::<Side>(), &studio["$defs"]["side"]),
        (choices_of::<LightWish>(), &look["wants"]),
        (choices_of::<Hem>(), &look["hem"]),
        (choices_of::<Hair>(), &look["hair"]),
        (choices_of::<Verdict>(), &table["pairings"]["items"]["properties"]["verdict"]),
        (choices_of::<Expected>(), &studio["$defs"]["expected"]),
        (choices_of::<Day>(), &studio["$defs"]["day"]),
    ] {
        assert_eq!(choices, choices_in(schema));
    }
}

fn moment() -> Timestamp {
    ISSUED.parse().expect("RFC 3339")
}

fn figure<T>(value: T) -> Sourced<T> {
    Sourced {
        value,
        hours: Span { from: moment(), to: moment() },
        place: "Heron Walk".into(),
        source: "a service".into(),
        issued: moment(),
        our_estimate: false,
    }
}

#[test]
fn every_rule_follows_the_schema_even_those_that_the_demo_never_meets() {
    let chance = figure(Chance::certain(Probability::ONE));
    let warning = WarningSeen {
        event: "Gale Warning".into(),
        tier: Tier::Hold,
        reach: Reach::Drive,
        from: moment(),
        to: None,
        headline: None,
        source: "a service".into(),
        issued: moment(),
    };
    let rules = [
        Rule::StopWarning { warning: warning.clone() },
        Rule::TooHot { felt: figure(39.0), limit_c: 38.0 },
        Rule::TooCold { felt: figure(-4.5), limit_c: 3.0 },
        Rule::TooWindy { gust: figure(60.0), limit_km_h: 45.0 },
        Rule::NotKnown { missing: vec![SourceKind::Forecast, SourceKind::Radar] },
        Rule::BeyondForecast,
        Rule::AnyRain { chance: chance.clone(), percent: 100 },
        Rule::DryGap { chance: chance.clone(), percent: 100, gap_min: 25 },
        Rule::GapKeepsIt {
            rain: chance.clone(),
            of: RainEvent::WetMinute,
            chance,
            percent: 100,
            gap_min: 25,
        },
        Rule::HoldWarning { warning },
        Rule::NoSpotBearsWind { gust: figure(44.0) },
        Rule::ThunderMentioned { thunder: figure(true) },
        Rule::NotChecked { unchecked: vec![Check::Gusts, Check::RadarByHand] },
    ];
    let schema = schema("outlook");
    let mut met = BTreeSet::new();
    for rule in rules {
        let ruling = Ruling {
            band: Band::AdviseMoving,
            step: None,
            question: Question::AnyRain,
            rule: Rule::BeyondForecast,
            figure: Some(rule),
            ends_disagree: None,
            spot_changes: Vec::new(),
            unchecked: Vec::new(),
            artist: None,
            next_gate: None,
        };
        let ruling = serde_json::to_value(ruling).unwrap();
        let rule = &ruling["figure"];
        let name = rule["rule"].as_str().unwrap();
        assert_follows(&shape(&schema, "rule"), rule, name);
        assert_follows(&shape(&schema, "ruling"), &ruling, name);
        met.insert(name.to_owned());
    }
    assert_eq!(met, choices_of::<Rule>());
}

#[test]
fn every_state_step_danger_and_choice_follows_the_schemas() {
    let (outlook, letter) = (schema("outlook"), schema("letter"));
    let source = || "a service".to_owned();
    for state in [
        SourceState::Fresh { source: source(), issued: moment() },
        SourceState::Stale { source: source(), issued: moment() },
        SourceState::NotCovering { source: source() },
        SourceState::Missing,
        SourceState::NoneHere,
        SourceState::NotYet,
    ] {
        let state = serde_json::to_value(state).unwrap();
        assert_follows(&shape(&outlook, "source_state"), &state, &state.to_string());
    }
    for step in [Step::Go, Step::WaitUntil(moment()), Step::DontGo] {
        let step = serde_json::to_value(step).unwrap();
        assert_follows(&shape(&outlook, "step"), &step, &step.to_string());
    }
    for danger in [
        Danger::Warning { event: "Gale Warning".into() },
        Danger::Heat(39.0),
        Danger::Cold(-4.5),
        Danger::Gust(60.0),
    ] {
        let danger = serde_json::to_value(danger).unwrap();
        assert_follows(&shape(&letter, "danger"), &danger, &danger.to_string());
    }
    let start = jiff::civil::date(2026, 9, 6).at(15, 15, 0, 0);
    for choice in [
        Choice::Keep,
        Choice::KeepUnderCover,
        Choice::MoveTo { start },
        Choice::LaterDate,
        Choice::LeaveOpen,
        Choice::Talk,
    ] {
        let choice = serde_json::to_value(choice).unwrap();
        assert_follows(&shape(&letter, "choice"), &choice, &choice.to_string());
    }
    let position = serde_json::to_value(LatLon::new(-31.72, 187.0).unwrap()).unwrap();
    assert_follows(&shape(&schema("rain"), "position"), &position, "a place beyond 180 degrees");
}
