//! A ruling in plain English, for the photographer.

use fairspell_chance::Chance;
use fairspell_studio::{
    Outlook, Question, Rule, Ruling, Sourced, Spot, Step,
    outlook::SourceKind,
    ruling::{ArtistAdvice, Check, RainEvent, SpotChange},
};
use jiff::tz::TimeZone;

use crate::{
    cautions::{ADVICE_ONLY, cautions_of_ruling},
    clock::{clock, moment},
    figure::Reader,
    names::{band_name, gate_name, source_name},
    numbers::{at_least, chance, with_unit},
    sky::{spot_name, warning},
    sources::{by_hand, source_state},
    text::and_list,
};

/// Where we stand and why, line by line: band, step, question, rule with its figures, doubt, spot
/// changes, what was not checked, the artist's limit, the next moment to decide, cautions.
///
/// - `outlook`: the one that was ruled on; it gives the moment, the amount that counts as rain and
///   the ages of sources.
/// - `spots`: the studio's, for their names.
/// - `zone`: the studio's.
pub fn where_we_stand(
    ruling: &Ruling,
    outlook: &Outlook,
    spots: &[Spot],
    zone: &TimeZone,
) -> Vec<String> {
    let reader = Reader { now: outlook.as_of, zone };
    let mut lines = vec![format!(
        "Where we stand, as of {}: {}.",
        moment(outlook.as_of, zone),
        band_name(ruling.band)
    )];
    if outlook.as_of >= outlook.evening.to {
        lines.push(format!("This session's hours ended at {}.", moment(outlook.evening.to, zone)));
    }
    lines.extend(ruling.step.map(|step| step_line(step, zone)));
    lines.push(question(ruling.question).to_owned());
    lines.extend(rule(&ruling.rule, outlook, reader));
    lines.extend(ruling.figure.iter().flat_map(|figure| rule(figure, outlook, reader)));
    if let Some((low, high)) = ruling.ends_disagree {
        let (low, high) = (band_name(low), band_name(high));
        lines.push(format!(
            "The figure is a range, and its ends disagree: {low} at its low end, {high} at its high end."
        ));
    }
    lines.extend(ruling.spot_changes.iter().map(|change| spot_change(change, spots)));
    lines.extend(ruling.unchecked.iter().map(|check| not_checked(*check)));
    lines.extend(ruling.artist.map(|advice| artist(advice, zone)));
    lines.push(match ruling.next_gate {
        Some(gate) => {
            format!("Decide by {}: {}.", moment(gate.at, zone), gate_name(gate.kind))
        }
        None => "No later moment to decide is left.".to_owned(),
    });
    let cautions = cautions_of_ruling(&ruling.rule, ruling.question);
    lines.extend(cautions.into_iter().map(str::to_owned));
    lines.push(ADVICE_ONLY.to_owned());
    lines
}

fn step_line(step: Step, zone: &TimeZone) -> String {
    match step {
        Step::Go => "Go, and start as planned.".to_owned(),
        Step::WaitUntil(then) => format!("Wait until {}, then look again.", clock(then, zone)),
        Step::DontGo => "Don't go.".to_owned(),
    }
}

fn question(question: Question) -> &'static str {
    match question {
        Question::TooEarly => {
            "More than two days ahead rain is only a reason to keep an eye on it; danger decides at any time."
        }
        Question::AnyRain => {
            "Until hair and make-up begin we ask for any rain in the booked hours."
        }
        Question::DryGap => {
            "Now that hair and make-up have begun we ask for one dry gap before last usable light."
        }
    }
}

/// The rule that decided, with its figures.
pub(crate) fn rule(rule: &Rule, outlook: &Outlook, reader: Reader<'_>) -> Vec<String> {
    let celsius = |value: &f64| with_unit(*value, 0, "°C");
    let km_h = |value: &f64| with_unit(*value, 0, "km/h");
    let line = match rule {
        Rule::StopWarning { warning: seen } => {
            format!("An official warning decides. {}.", warning(seen, reader))
        }
        Rule::HoldWarning { warning: seen } => {
            format!("An official warning speaks for another date. {}.", warning(seen, reader))
        }
        Rule::TooHot { felt, limit_c: limit } => format!(
            "Too hot: it feels like {}, and your limit is {}; {}.",
            celsius(&felt.value),
            celsius(limit),
            reader.provenance(felt)
        ),
        Rule::TooCold { felt, limit_c: limit } => format!(
            "Too cold: it feels like {}, below your limit of {}; {}.",
            celsius(&felt.value),
            celsius(limit),
            reader.provenance(felt)
        ),
        Rule::TooWindy { gust, limit_km_h } => format!(
            "Too windy: gusts of {}, above your limit of {}; {}.",
            km_h(&gust.value),
            km_h(limit_km_h),
            reader.provenance(gust)
        ),
        Rule::NoSpotBearsWind { gust } => format!(
            "Gusts of {} in the open are more than any of your spots bears; {}.",
            km_h(&gust.value),
            reader.provenance(gust)
        ),
        Rule::NotKnown { missing } => return not_known(missing, outlook, reader),
        Rule::BeyondForecast => "The forecast does not reach these hours yet.".to_owned(),
        Rule::AnyRain { chance: any_rain, .. } => format!(
            "Chance of any rain ({}): {}; {}.",
            at_least(outlook.rain_threshold_mm),
            chance(&any_rain.value),
            reader.provenance(any_rain)
        ),
        Rule::DryGap { chance: gap, gap_min, .. } => format!(
            "Chance of one dry gap of {gap_min} minutes: {}; {}.",
            chance(&gap.value),
            reader.provenance(gap)
        ),
        Rule::GapKeepsIt { rain, of, chance: gap, gap_min, .. } => {
            let gap = format!(
                "But a long enough gap is likely: {} for one dry gap of {gap_min} minutes; {}.",
                chance(&gap.value),
                reader.provenance(gap)
            );
            return vec![likely_rain(rain, *of, outlook, reader), gap];
        }
        Rule::ThunderMentioned { thunder } => format!(
            "Rain alone would be settled, but the forecast mentions thunder; {}.",
            reader.provenance(thunder)
        ),
        Rule::NotChecked { .. } => {
            "Nothing that we read speaks against it, but not everything could be checked."
                .to_owned()
        }
    };
    vec![line]
}

/// The likely rain that a gap outweighs, with its own hours, amount and source.
///
/// From the chair on the figure is that of a wet minute, before it that of rain in the forecast's
/// sense; the two are different amounts and must not be mixed up.
fn likely_rain(
    rain: &Sourced<Chance>,
    of: RainEvent,
    outlook: &Outlook,
    reader: Reader<'_>,
) -> String {
    let of = match of {
        RainEvent::WetMinute => "a wet minute (at least 0.1 mm/h)".to_owned(),
        RainEvent::AnyRain => format!("any rain ({})", at_least(outlook.rain_threshold_mm)),
    };
    let (chance, provenance) = (chance(&rain.value), reader.provenance(rain));
    format!("Some rain is likely: {chance} for {of}; {provenance}.")
}

fn not_known(missing: &[SourceKind], outlook: &Outlook, reader: Reader<'_>) -> Vec<String> {
    let names: Vec<&str> = missing.iter().map(|kind| source_name(*kind)).collect();
    let what = if names.is_empty() { "a source".to_owned() } else { and_list(&names) };
    let mut lines =
        vec![format!("No ruling: it needs {what}. What is missing is not dry; it is not known.")];
    lines.extend(
        missing
            .iter()
            .map(|kind| source_state(*kind, outlook.source(*kind), reader.now, reader.zone)),
    );
    lines
}

/// A spot that is left out, and where its looks go.
pub(crate) fn spot_change(change: &SpotChange, spots: &[Spot]) -> String {
    format!(
        "Gusts of {} are expected at {}, above its limit: its looks go to {}.",
        with_unit(change.gust_km_h, 0, "km/h"),
        spot_name(spots, &change.from),
        spot_name(spots, &change.to)
    )
}

/// What could not be checked.
pub(crate) fn not_checked(check: Check) -> String {
    match check {
        Check::Temperature => "Not checked: heat and cold, because for some or all of these hours \
                               too little is known; look it up yourself."
            .to_owned(),
        Check::Gusts => {
            "Not checked: gusts, because for some or all of these hours none are known; \
                         look them up yourself."
                .to_owned()
        }
        Check::WarningsByHand => format!(
            "Not checked: official warnings, because none are read for this place, or one cannot be \
             placed; {}.",
            by_hand(SourceKind::Warnings)
        ),
        Check::RadarByHand => format!(
            "Not checked: radar, because none is read for this place; {}.",
            by_hand(SourceKind::Radar)
        ),
    }
}

fn artist(advice: ArtistAdvice, zone: &TimeZone) -> String {
    let until = moment(advice.free_until, zone);
    let advice = if advice.move_before {
        "the sky already speaks for moving before then"
    } else {
        "so far nothing asks for moving before then"
    };
    format!("Hair and make-up can be moved free until {until}; {advice}.")
}
