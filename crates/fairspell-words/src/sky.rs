//! Everything known of a session's sky, line by line.

use fairspell_chance::Character;
use fairspell_studio::{
    Outlook, Spot, Tier,
    outlook::{LightBounds, LikelyGap, RadarView, Reach, SourceKind, SourceState, WarningSeen},
};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    cautions::{ADVICE_ONLY, Hazard, caution, hazards},
    clock::{age, as_of, clock, hours, moment},
    compass::toward,
    figure::{Figures, Reader},
    names::tier_name,
    numbers::{at_least, chance, millimetres, minutes, percent, with_unit},
    sources::{by_hand, source_state},
    text::{capital, one_line},
};

/// Motion below this is no motion that a direction could be named for, km/h (our choice: a radar
/// cell of 1 km in a picture every five minutes cannot tell less than some km/h from rest).
const HARDLY_MOVING_KM_H: f64 = 3.0;

/// The sky as of one moment: every figure of an outlook as a line, under a heading with its hours,
/// place, source and age. What is missing says "not known"; nothing is left out because it is
/// missing.
///
/// - `spots`: the studio's, for their names; a spot that is not among them goes by its id.
/// - `zone`: the studio's.
pub fn the_sky(outlook: &Outlook, spots: &[Spot], zone: &TimeZone) -> Vec<String> {
    let reader = Reader { now: outlook.as_of, zone };
    let mut figures = Figures::new(reader);
    rain(&mut figures, outlook);
    comfort(&mut figures, outlook);
    let mut lines = vec![format!("The sky, as of {}.", moment(outlook.as_of, zone))];
    lines.extend(figures.into_lines());
    lines.extend(outlook.likely_gaps.iter().map(|gap| likely_gap(gap, reader)));
    lines.extend(unknown_minutes(outlook, reader));
    radar(&mut lines, outlook, reader);
    if outlook.comfort.thunder.as_ref().is_some_and(|thunder| thunder.value) {
        lines.push(caution(Hazard::Lightning).to_owned());
    }
    warnings(&mut lines, outlook, reader);
    lines.push(light(outlook, spots, reader));
    lines.extend(
        [SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar]
            .map(|kind| source_state(kind, outlook.source(kind), outlook.as_of, zone)),
    );
    lines.push(ADVICE_ONLY.to_owned());
    lines
}

fn rain(figures: &mut Figures<'_>, outlook: &Outlook) {
    let any_rain = format!("Chance of any rain ({})", at_least(outlook.rain_threshold_mm));
    figures.add(&any_rain, outlook.p_any_rain.as_ref(), chance);
    figures.add(
        "The largest single hour as published, which families read",
        outlook.largest_hour.as_ref(),
        |hour| percent(*hour),
    );
    figures.add("Kind of rain", outlook.character.as_ref(), |character| {
        match character {
            Character::Showery => "showers, which come and go",
            Character::Steady => "steady, it stays",
        }
        .to_owned()
    });
    figures.add("Rain in all", outlook.rain_amount_mm.as_ref(), |mm| millimetres(*mm));
    figures.add(
        "Chance of a wet minute (at least 0.1 mm/h)",
        outlook.p_wet_minute.as_ref(),
        chance,
    );
    let gap = format!("Chance of one dry gap of {} minutes", outlook.gap_min);
    figures.add(&gap, outlook.p_gap.as_ref(), chance);
}

fn unknown_minutes(outlook: &Outlook, reader: Reader<'_>) -> Option<String> {
    let unknown: f64 = outlook
        .steps
        .iter()
        .filter(|step| step.p_wet.is_none())
        .map(|step| step.hours.minutes())
        .sum();
    let evening = || hours(outlook.evening, reader.zone);
    (unknown > 0.0)
        .then(|| format!("For {} of {}, rain is not known.", minutes(unknown), evening()))
}

fn likely_gap(gap: &LikelyGap, reader: Reader<'_>) -> String {
    let doubt = |either_way: f64| minutes(either_way.abs());
    format!(
        "A dry gap of {} is likely, {}; its beginning give or take {}, its end {}.",
        minutes(gap.hours.minutes()),
        hours(gap.hours, reader.zone),
        doubt(gap.from_doubt_min),
        doubt(gap.to_doubt_min)
    )
}

fn radar(lines: &mut Vec<String>, outlook: &Outlook, reader: Reader<'_>) {
    let Some(view) = &outlook.radar else {
        lines.push("The radar's view: not known.".to_owned());
        return;
    };
    let place = outlook.p_wet_minute.as_ref().or(outlook.p_gap.as_ref());
    let place = place.map_or_else(String::new, |rain| format!(" at {}", one_line(&rain.place)));
    let source = match outlook.source(SourceKind::Radar) {
        SourceState::Fresh { source, .. } => format!(", {}", one_line(source)),
        _ => String::new(),
    };
    lines.push(format!(
        "The radar's view{place}{source}, {} ({}, {}): {}; {}; rain at the spot {}.",
        as_of(view.issued, reader.now, reader.zone),
        age(view.issued, reader.now),
        pictures(view.frames_used),
        wet_share(view),
        motion(view),
        view.rain_rate_mm_h.map_or("not known".to_owned(), |rate| with_unit(rate, 1, "mm/h"))
    ));
}

fn pictures(count: usize) -> String {
    if count == 1 { "1 picture".to_owned() } else { format!("{count} pictures") }
}

/// How much of the sky around is wet, with the amount that counts.
pub(crate) fn wet_share(view: &RadarView) -> String {
    match view.wet_share {
        Some(share) if share.is_finite() => format!(
            "{} of the sky within 60 km is wet (at least 0.1 mm/h)",
            with_unit(share * 100.0, 0, "%")
        ),
        _ => "how much of the sky within 60 km is wet is not known".to_owned(),
    }
}

pub(crate) fn motion(view: &RadarView) -> String {
    let Some((east, north)) = view.motion_km_h else {
        let no_rain = view.wet_share.is_some_and(|share| share < 0.005);
        let said = if no_rain { "no rain to follow" } else { "where the rain goes is not known" };
        return said.to_owned();
    };
    let speed = east.hypot(north);
    match toward(east, north) {
        Some(_) if speed < HARDLY_MOVING_KM_H => "rain hardly moving".to_owned(),
        Some(direction) => {
            format!("rain moving toward {direction} at {}", with_unit(speed, 0, "km/h"))
        }
        None => "where the rain goes is not known".to_owned(),
    }
}

fn comfort(figures: &mut Figures<'_>, outlook: &Outlook) {
    let comfort = &outlook.comfort;
    let celsius = |value: &f64| with_unit(*value, 0, "°C");
    let km_h = |value: &f64| with_unit(*value, 0, "km/h");
    figures.add("Warmest air", comfort.air_temperature_max_c.as_ref(), celsius);
    figures.add("Feels like, at the warmest", comfort.felt_max_c.as_ref(), celsius);
    figures.add("Feels like, at the coldest", comfort.felt_min_c.as_ref(), celsius);
    figures.add("Strongest wind", comfort.wind_speed_km_h.as_ref(), km_h);
    figures.add("Strongest gust in the open", comfort.wind_gust_km_h.as_ref(), km_h);
    figures.add("Most cloud", comfort.cloud_area_fraction.as_ref(), |share| {
        with_unit(*share * 100.0, 0, "% of the sky")
    });
    figures.add("Thunder", comfort.thunder.as_ref(), |thunder| {
        if *thunder { "mentioned" } else { "none mentioned, which is no promise" }.to_owned()
    });
}

/// That no warning is in force, as far as anybody knows.
pub const NO_WARNING: &str = "No official warning that we read touches the session or the drive.";

/// The official warnings that touch a session or its drive, with their cautions, or that nobody knows
/// them. Empty where none does.
pub fn warning_lines(outlook: &Outlook, zone: &TimeZone) -> Vec<String> {
    let mut lines = Vec::new();
    warnings(&mut lines, outlook, Reader { zone, now: outlook.as_of });
    lines.retain(|line| line != NO_WARNING);
    lines
}

fn warnings(lines: &mut Vec<String>, outlook: &Outlook, reader: Reader<'_>) {
    lines.extend(outlook.unplaced_warnings.iter().map(|event| {
        format!(
            "Official warning somewhere: {}. Whether it is for here is not known; {}.",
            one_line(event),
            by_hand(SourceKind::Warnings)
        )
    }));
    lines.extend(outlook.warnings.iter().map(|seen| format!("{}.", warning(seen, reader))));
    let mut dangers: Vec<Hazard> = outlook
        .warnings
        .iter()
        .filter(|seen| seen.tier > Tier::Info)
        .flat_map(|seen| hazards(&seen.event))
        .collect();
    dangers.sort_unstable();
    dangers.dedup();
    lines.extend(
        dangers
            .into_iter()
            .map(caution)
            .filter(|text| !lines.contains(&(*text).to_owned()))
            .map(str::to_owned)
            .collect::<Vec<_>>(),
    );
    if !outlook.warnings.is_empty() || !outlook.unplaced_warnings.is_empty() {
        return;
    }
    lines.push(match outlook.source(SourceKind::Warnings) {
        SourceState::Fresh { .. } => NO_WARNING.to_owned(),
        SourceState::NoneHere => {
            format!("Official warnings: not known; {}.", by_hand(SourceKind::Warnings))
        }
        _ => "Official warnings: not known.".to_owned(),
    });
}

/// A warning with its hours, meaning, source and age, without a full stop.
pub(crate) fn warning(seen: &WarningSeen, reader: Reader<'_>) -> String {
    let zone = reader.zone;
    let reach = match seen.reach {
        Reach::Session => "over the session",
        Reach::Drive => "over the drive",
    };
    let until = match seen.to {
        Some(to) => hours(fairspell_studio::Span { from: seen.from, to }, zone),
        None => format!("{}, until further notice", moment(seen.from, zone)),
    };
    let headline = match seen.headline.as_deref().map(one_line) {
        Some(headline) if !headline.is_empty() => format!("; it says \"{headline}\""),
        _ => String::new(),
    };
    format!(
        "Official warning ({}): {}, {reach}, {until}; {}, {}{headline}",
        tier_name(seen.tier),
        one_line(&seen.event),
        one_line(&seen.source),
        as_of(seen.issued, reader.now, zone),
    )
}

fn light(outlook: &Outlook, spots: &[Spot], reader: Reader<'_>) -> String {
    let zone = reader.zone;
    let LightBounds { sunset, sunrise, last_direct, last_usable } = &outlook.light;
    let mut said: Vec<String> = Vec::new();
    let shown = |at: &Timestamp| (outlook.evening.from..=outlook.evening.to).contains(at);
    let sunrise = sunrise.filter(shown);
    said.extend(sunrise.map(|at| format!("sunrise {}", clock(at, zone))));
    said.extend(last_direct.iter().filter(|(_, gone)| shown(gone)).map(|(id, gone)| {
        format!("the sun leaves {} {}", spot_name(spots, id), clock(*gone, zone))
    }));
    if sunrise.is_none() {
        said.push(sunset.map_or_else(
            || "no sunset that day".to_owned(),
            |at| format!("sunset {}", clock(at, zone)),
        ));
        said.push(last_usable.map_or_else(
            || "last usable light not known".to_owned(),
            |at| format!("last usable light {}", clock(at, zone)),
        ));
    }
    format!("Light: {}.", said.join("; "))
}

/// What people call a spot; its id, made readable, where the studio no longer has it.
pub(crate) fn spot_name(spots: &[Spot], id: &str) -> String {
    spots
        .iter()
        .find(|spot| spot.id == id)
        .map_or_else(|| capital(&id.replace(['_', '-'], " ")), |spot| one_line(&spot.name))
}
