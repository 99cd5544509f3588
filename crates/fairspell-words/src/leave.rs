//! The leave gate in plain English: go, hold, or don't go, and why.

use fairspell_plan::{
    BagOut,
    leave::{
        BusySky, LeaveAdvice, LeaveReason, LeaveStep, LeaveTimes, LookUp, RoadCheck, RoadState,
        Say, Spread, Trend, Voice, Waiting, Way, WayWarning,
    },
};
use fairspell_studio::{
    Outlook, Policy, Rule, Span, Spot, Tier,
    outlook::{SourceKind, WarningSeen},
};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    cautions::{ADVICE_ONLY, Hazard, caution, cautions_of_ruling, hazards},
    clock::{age, as_of, clock, hours, moment},
    figure::Reader,
    light::mist_said,
    names::tier_name,
    numbers::{chance, minutes, with_unit},
    reasons::{not_checked, rule, spot_change},
    sky::warning,
    sources::{by_hand, source_state},
    text::{and_list, capital, one_line},
};

/// Which part of the answer lines belong to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeavePart {
    /// Why.
    Why,
    /// The chance of one dry gap, and who says so.
    Gap,
    /// When to leave, and what time there is.
    Times,
    /// The way there.
    There,
    /// The way home.
    Home,
    /// On arrival.
    Arrival,
    /// What to mind.
    Cautions,
    /// How the sources stand.
    Sources,
}

impl LeavePart {
    /// Its heading.
    pub fn heading(self) -> &'static str {
        match self {
            LeavePart::Why => "Why",
            LeavePart::Gap => "One dry gap",
            LeavePart::Times => "Times",
            LeavePart::There => "The way there",
            LeavePart::Home => "The way home",
            LeavePart::Arrival => "On arrival",
            LeavePart::Cautions => "To mind",
            LeavePart::Sources => "What this rests on",
        }
    }
}

/// The leave gate's answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeaveTold {
    /// The first and largest line.
    pub headline: String,
    /// Everything else, under its headings.
    pub parts: Vec<(LeavePart, Vec<String>)>,
}

/// The step in a few words: "go", "hold until 14:50", "don't go", "yours to decide".
pub fn leave_name(step: LeaveStep, zone: &TimeZone) -> String {
    match step {
        LeaveStep::Go => "go".to_owned(),
        LeaveStep::Hold { look_again_at } => format!("hold until {}", clock(look_again_at, zone)),
        LeaveStep::No => "don't go".to_owned(),
        LeaveStep::Yours => "yours to decide".to_owned(),
    }
}

/// The leave gate's answer, part by part.
///
/// - `outlook`: the sky that it rests on.
/// - `policy`, `spots`, `zone`: the studio's.
pub fn leave_told(
    advice: &LeaveAdvice,
    outlook: &Outlook,
    policy: &Policy,
    spots: &[Spot],
    zone: &TimeZone,
) -> LeaveTold {
    let reader = Reader { now: advice.as_of, zone };
    let parts = [
        (LeavePart::Why, why(advice, outlook, spots, reader)),
        (LeavePart::Gap, gap(advice, policy, reader)),
        (LeavePart::Times, times(advice, zone)),
        (LeavePart::There, way(advice, Way::There, reader)),
        (LeavePart::Home, home(advice, reader)),
        (LeavePart::Arrival, arrival(advice.bag, advice, zone)),
        (LeavePart::Cautions, cautions(advice)),
        (LeavePart::Sources, sources(advice, zone)),
    ];
    LeaveTold {
        headline: headline(advice, zone),
        parts: parts.into_iter().filter(|(_, lines)| !lines.is_empty()).collect(),
    }
}

/// The same, line by line.
pub fn leave_lines(
    advice: &LeaveAdvice,
    outlook: &Outlook,
    policy: &Policy,
    spots: &[Spot],
    zone: &TimeZone,
) -> Vec<String> {
    let told = leave_told(advice, outlook, policy, spots, zone);
    let mut lines =
        vec![told.headline, format!("The leave gate, as of {}.", moment(advice.as_of, zone))];
    for (part, said) in told.parts {
        lines.push(String::new());
        lines.push(format!("{}:", part.heading()));
        lines.extend(said.into_iter().map(|line| format!("  {line}")));
    }
    lines
}

fn headline(advice: &LeaveAdvice, zone: &TimeZone) -> String {
    match advice.step {
        LeaveStep::Go => "Go.".to_owned(),
        LeaveStep::Hold { look_again_at } => {
            format!("Hold until {}, then look again.", clock(look_again_at, zone))
        }
        LeaveStep::No => "Don't go.".to_owned(),
        LeaveStep::Yours => match &advice.go_once[..] {
            [] => "Yours to decide: read why first.".to_owned(),
            [LookUp::Road(name)] => format!("Go, once you have looked up {}.", one_line(name)),
            look_ups => {
                let names: Vec<String> = look_ups.iter().map(look_up_name).collect();
                format!("Yours to decide: look up {} first.", and_list(&names))
            }
        },
    }
}

fn look_up_name(look_up: &LookUp) -> String {
    match look_up {
        LookUp::Warnings => "the official warnings".to_owned(),
        LookUp::Road(name) => one_line(name),
    }
}

fn why(advice: &LeaveAdvice, outlook: &Outlook, spots: &[Spot], reader: Reader<'_>) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for reason in &advice.reasons {
        match reason {
            LeaveReason::Sky(of) | LeaveReason::Figure(of) => {
                lines.extend(rule(of, outlook, reader));
            }
            LeaveReason::Warned(known) => {
                let line = format!("{}.{}", warning(&known.warning, reader), touches(known));
                lines.push(if known.warning.tier < Tier::Hold {
                    format!("{line} No figure outweighs it: read it before you decide.")
                } else {
                    line
                });
            }
            LeaveReason::WarnedSomewhere { event } => lines.push(format!(
                "Official warning somewhere: {}. Whether it is for here is not known; {}.",
                one_line(event),
                by_hand(SourceKind::Warnings)
            )),
            LeaveReason::Road(check) if check.state.is_open_but_for_rain() => {
                lines.extend(rain_to_look_up(check));
            }
            LeaveReason::Road(check) => lines.push(road(check, reader.zone)),
            LeaveReason::TooLate { latest } => lines.push(format!(
                "Too late: leaving after {} leaves no {} before last usable light at {}.",
                clock(*latest, reader.zone),
                set(advice.gap_min),
                clock(advice.times.last_usable, reader.zone)
            )),
        }
    }
    lines.extend(advice.ruling.unchecked.iter().map(|check| not_checked(*check)));
    lines.extend(advice.ruling.spot_changes.iter().map(|change| spot_change(change, spots)));
    lines
}

fn set(gap_min: u32) -> String {
    format!("set of {}", minutes(f64::from(gap_min)))
}

fn gap(advice: &LeaveAdvice, policy: &Policy, reader: Reader<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let length = minutes(f64::from(advice.gap_min));
    // What decides has said its figures with the reasons.
    let decides = |rule: &Rule| match rule {
        Rule::GapKeepsIt { .. } => (true, true),
        Rule::DryGap { .. } => (true, false),
        _ => (false, false),
    };
    let by_figure = advice.ruling.figure.as_ref().map(decides).unwrap_or_default();
    let by_rule = decides(&advice.ruling.rule);
    let (gap_said, wet_said) = (by_rule.0 || by_figure.0, by_rule.1 || by_figure.1);
    match &advice.p_gap {
        Some(_) if gap_said => {}
        Some(p_gap) => lines.push(format!(
            "Chance of one dry gap of {length}: {}; {}.",
            chance(&p_gap.value),
            reader.provenance(p_gap)
        )),
        None => lines.push(format!(
            "Chance of one dry gap of {length}: not known, which does not mean dry or wet."
        )),
    }
    if let Some(wet) = advice.p_wet_minute.as_ref().filter(|_| !wet_said) {
        lines.push(format!(
            "Chance of any wet minute (at least 0.1 mm/h): {}; {}.",
            chance(&wet.value),
            reader.provenance(wet)
        ));
    }
    lines.extend(advice.says.iter().map(|say| said(say, reader)));
    lines.extend(advice.busy.as_ref().map(|busy| busyness(busy, reader)));
    let policy = &policy.gap;
    lines.push(format!(
        "By your policy a gap is likely enough to go from {} %, and worth waiting for from {} %.",
        policy.go_from_percent, policy.wait_from_percent
    ));
    lines
}

fn said(say: &Say, reader: Reader<'_>) -> String {
    let how = match say.voice {
        Voice::RadarTrack => "the radar, by the rain on its way",
        Voice::RadarBusyness => "the radar, by how busy the sky is",
        Voice::Forecast => "the forecast",
    };
    let share = if say.share > 0.995 {
        "all of it".to_owned()
    } else {
        format!("{} of it", with_unit(100.0 * say.share, 0, "%"))
    };
    let (source, as_of) = (one_line(&say.source), as_of(say.issued, reader.now, reader.zone));
    format!("By {how}, {share}: {}; {source}, {as_of}.", chance(&say.p_gap))
}

fn busyness(busy: &BusySky, reader: Reader<'_>) -> String {
    let trend = match busy.trend {
        Some(Trend::Growing) => "growing",
        Some(Trend::Steady) => "about as much as half an hour ago",
        Some(Trend::Shrinking) => "shrinking",
        None => "how it changes is not known",
    };
    let between = match busy.gap_between_rain {
        Some(Spread { p10_min, p50_min, p90_min }) => format!(
            "between two showers on their way it is dry for about {} ({:.0} to {:.0})",
            minutes(p50_min),
            p10_min,
            p90_min
        ),
        None => "of gaps between showers on their way nothing can be said".to_owned(),
    };
    let place = match busy.place_wet_share {
        Some(share) => format!(
            "at the place it rained in {:.0} of the last {} pictures",
            share * busy.place_pictures as f64,
            busy.place_pictures
        ),
        None => "how often it rained at the place is not known".to_owned(),
    };
    format!(
        "{} of the sky within {} is wet (at least 0.1 mm/h), {trend}; {between}; {place}; {}, {} ({}).",
        with_unit(100.0 * busy.wet_share, 0, "%"),
        with_unit(busy.radius_km, 0, "km"),
        one_line(&busy.source),
        as_of(busy.issued, reader.now, reader.zone),
        age(busy.issued, reader.now)
    )
}

fn times(advice: &LeaveAdvice, zone: &TimeZone) -> Vec<String> {
    let LeaveTimes {
        for_the_start,
        latest,
        latest_for_light,
        leaving_at,
        arrives_at,
        last_usable,
        wait_at_home_min,
        wait_at_place_min,
    } = advice.times;
    let at = |moment: Timestamp| clock(moment, zone);
    let mut lines = Vec::new();
    if leaving_at > for_the_start {
        lines.push(format!(
            "To be there in good time you had to leave at {}; leaving now you are there at {}.",
            at(for_the_start),
            at(arrives_at)
        ));
    } else {
        lines.push(format!(
            "Leave at {} to be there at {}, in good time before the start.",
            at(for_the_start),
            at(arrives_at)
        ));
    }
    let shuts = advice.road.iter().find(|check| check.leave_by(leaving_at) == Some(latest));
    lines.push(match shuts.filter(|_| latest < latest_for_light) {
        Some(check) => format!(
            "Leave at {} at the latest: whoever leaves later finds {} shut. For the light {} would do.",
            at(latest),
            one_line(&check.name),
            at(latest_for_light)
        ),
        None => format!(
            "Leaving at {} at the latest still gives a {} before last usable light at {}.",
            at(latest),
            set(advice.gap_min),
            at(last_usable)
        ),
    });
    lines.push(if wait_at_home_min >= 0.0 {
        format!("You can wait at home for {} at most.", long(wait_at_home_min))
    } else {
        format!("That was {} ago.", long(-wait_at_home_min))
    });
    lines.push(if wait_at_place_min >= 0.0 {
        format!("Once there, showers of {} in all can be waited out.", long(wait_at_place_min))
    } else {
        format!("Once there, {} are missing for the set.", long(-wait_at_place_min))
    });
    lines.extend(advice.waiting.map(|waiting| waits(&waiting, advice, zone)));
    lines
}

/// Minutes, from an hour and a half on with their hours: "2 hours 29 minutes", "3 hours", "1 hour 59
/// minutes".
fn long(count: f64) -> String {
    let whole = count.floor();
    if whole < 90.0 {
        return minutes(whole);
    }
    let (hours, rest) = ((whole / 60.0).floor(), whole % 60.0);
    let unit = if hours < 1.5 { "hour" } else { "hours" };
    let rest = if rest < 0.5 { String::new() } else { format!(" {}", minutes(rest)) };
    format!("{hours:.0} {unit}{rest}")
}

fn waits(waiting: &Waiting, advice: &LeaveAdvice, zone: &TimeZone) -> String {
    let now = match &advice.p_gap {
        Some(p_gap) if p_gap.value == waiting.p_gap => ", the same as now".to_owned(),
        Some(p_gap) => format!(" instead of {}", chance(&p_gap.value)),
        None => String::new(),
    };
    let (radar_now, radar_then) = waiting.radar_share;
    let percent = |share: f64| with_unit(100.0 * share, 0, "%");
    let radar = if radar_then > radar_now + 0.01 {
        format!(
            "; radar, looked at again then, would have up to {} of the say, now {}",
            percent(radar_then),
            percent(radar_now)
        )
    } else {
        String::new()
    };
    format!(
        "Leaving {} later you are there at {}: one dry gap {}{now}{radar}.",
        minutes(f64::from(waiting.minutes)),
        clock(waiting.arrives_at, zone),
        chance(&waiting.p_gap)
    )
}

fn way(advice: &LeaveAdvice, way: Way, reader: Reader<'_>) -> Vec<String> {
    let is_here = |known: &&WayWarning| match way {
        // What touches only the hours around belongs to the road, which is taken first on the way there.
        Way::There => known.there || (!known.place && !known.home),
        Way::Home => known.home,
    };
    let mut lines: Vec<String> =
        advice.warnings.iter().filter(is_here).map(|known| way_warning(known, reader)).collect();
    let checks = advice.road.iter().filter(|check| check.way == way);
    lines.extend(checks.clone().map(|check| road(check, reader.zone)));
    // Where only the rain is open it stands under Why.
    let there = checks.filter(|check| check.way == Way::There);
    let not_told = there.filter(|check| !check.state.is_open_but_for_rain());
    lines.extend(not_told.filter_map(rain_to_look_up));
    if lines.is_empty() {
        let warnings = advice.sources.iter().find(|(kind, _)| *kind == SourceKind::Warnings);
        let is_fresh = warnings
            .is_some_and(|(_, state)| matches!(state, fairspell_studio::SourceState::Fresh { .. }));
        lines.push(if is_fresh {
            let road = match way {
                Way::There => " Whether the road is open is not known here; look it up.",
                Way::Home => "",
            };
            format!("No official warning that we read touches it.{road}")
        } else {
            format!("Official warnings: not known; {}.", by_hand(SourceKind::Warnings))
        });
    }
    lines
}

/// A warning by its name and hours. What weighs anything stands in full under Why; what is mere
/// information stands only here, and says so.
fn way_warning(known: &WayWarning, reader: Reader<'_>) -> String {
    let WarningSeen { event, from, to, tier, .. } = &known.warning;
    let when = match to {
        Some(to) => hours(Span { from: *from, to: *to }, reader.zone),
        None => format!("{}, until further notice", moment(*from, reader.zone)),
    };
    let named = format!("{}, {when}.", one_line(event));
    match tier {
        Tier::Info => format!("Official warning ({}): {named}", tier_name(*tier)),
        Tier::Caution | Tier::Hold | Tier::Stop => named,
    }
}

/// " It touches the way there and the place."
fn touches(known: &WayWarning) -> String {
    let legs: Vec<&str> =
        [(known.there, "the way there"), (known.place, "the place"), (known.home, "the way home")]
            .into_iter()
            .filter_map(|(touches, leg)| touches.then_some(leg))
            .collect();
    if legs.is_empty() { String::new() } else { format!(" It touches {}.", and_list(&legs)) }
}

fn road(check: &RoadCheck, zone: &TimeZone) -> String {
    let name = one_line(&check.name);
    let way = match check.way {
        Way::There => "on the way there",
        Way::Home => "on the way home",
    };
    let (from, to) = (clock(check.passed.from, zone), clock(check.passed.to, zone));
    let tide = match (check.tide_limit_m, check.tide_max_m) {
        (Some(limit_m), Some(max_m)) => format!(
            "; tide at most {} then, its limit is {}",
            with_unit(max_m, 2, "m"),
            with_unit(limit_m, 2, "m")
        ),
        (Some(limit_m), None) => format!("; its limit is a tide of {}", with_unit(limit_m, 2, "m")),
        (None, _) => String::new(),
    };
    let again = |opens: Option<Timestamp>| {
        opens.map_or("not within half a day".to_owned(), |at| format!("from {}", clock(at, zone)))
    };
    let by = if check.tide_limit_m.is_some() { "by tide and hours" } else { "as far as is known" };
    let state = match check.state {
        RoadState::Open { until: Some(until) } => {
            format!("open {by}, until {}", moment(until, zone))
        }
        RoadState::Open { until: None } => format!("open {by}"),
        RoadState::Shut { opens } => format!("shut; open again {}", again(opens)),
        RoadState::ShutWithSwell { opens } => format!(
            "shut if a swell runs, which is not known here; look it up. Below the limit again {}",
            again(opens)
        ),
        RoadState::OpenButForRain { until } => format!(
            "open {by}{}, unless too much rain fell",
            until.map(|until| format!(", until {}", moment(until, zone))).unwrap_or_default()
        ),
        RoadState::NotKnown => {
            "not known, because the tide is not known here; look it up. What nobody knows is not dry land"
                .to_owned()
        }
    };
    format!("{name}, {way}, passed between {from} and {to}{tide}: {state}.")
}

/// Rain of the last day, which she has to look up.
fn rain_to_look_up(check: &RoadCheck) -> Option<String> {
    let limit_mm = check.rain_limit_mm_24h?;
    Some(format!(
        "{} is shut after {} of rain in 24 hours. How much fell is not known here: look up the road and \
         the gauge.",
        one_line(&check.name),
        with_unit(limit_mm, 0, "mm")
    ))
}

fn home(advice: &LeaveAdvice, reader: Reader<'_>) -> Vec<String> {
    let (driver, zone) = (&advice.driver, reader.zone);
    let mut lines = vec![format!(
        "If you work to the end of the light you are home at about {}.",
        moment(driver.home_at, zone)
    )];
    if driver.stay_over() {
        let late = (driver.home_at > driver.home_by)
            .then(|| format!("that is after {}", clock(driver.home_by, zone)));
        let long = (driver.drive_min > driver.drive_home_max_min).then(|| {
            let most = minutes(f64::from(driver.drive_home_max_min));
            format!("the drive takes {}, more than {most}", long(f64::from(driver.drive_min)))
        });
        let because: Vec<String> = late.into_iter().chain(long).collect();
        lines.push(format!(
            "Stay the night rather than drive tired: {}, your own limit.",
            and_list(&because)
        ));
    }
    lines.extend(way(advice, Way::Home, reader));
    lines
}

fn arrival(bag: Option<BagOut>, advice: &LeaveAdvice, zone: &TimeZone) -> Vec<String> {
    let at_place: Vec<String> = advice
        .warnings
        .iter()
        .filter(|known| known.place)
        .map(|known| way_warning(known, Reader { now: advice.as_of, zone }))
        .collect();
    let mist = match bag {
        Some(bag) => {
            let by = bag.by.map(|by| clock(by, zone));
            mist_said(bag.mist, bag.air_temperature_c, bag.dew_point_c, by.as_deref())
        }
        None => {
            "Whether glass from a cooled car mists is not known: set the bag out half an hour before."
                .to_owned()
        }
    };
    at_place.into_iter().chain([mist]).collect()
}

fn cautions(advice: &LeaveAdvice) -> Vec<String> {
    let mut said = cautions_of_ruling(&advice.ruling.rule, advice.ruling.question);
    let mut dangers: Vec<Hazard> = advice
        .warnings
        .iter()
        .filter(|known| known.warning.tier > Tier::Info)
        .flat_map(|known| hazards(&one_line(&known.warning.event)))
        .collect();
    if advice
        .road
        .iter()
        .any(|check| check.tide_limit_m.is_some() || check.rain_limit_mm_24h.is_some())
    {
        dangers.push(Hazard::FloodedRoads);
    }
    for danger in dangers {
        if !said.contains(&caution(danger)) {
            said.push(caution(danger));
        }
    }
    said.push(ADVICE_ONLY);
    said.into_iter().map(str::to_owned).collect()
}

fn sources(advice: &LeaveAdvice, zone: &TimeZone) -> Vec<String> {
    advice
        .sources
        .iter()
        .map(|(kind, state)| capital(&source_state(*kind, state, advice.as_of, zone)))
        .collect()
}
