//! The facts of the letter that a ruling asks for, in the studio's clock.

use fairspell_almanac::{SunDay, sun_day};
use fairspell_chance::Chance;
use fairspell_studio::{
    Band, Gate, GateKind, LetterFacts, LetterKind, Outlook, Question, Rule, Ruling, Session,
    Sourced, Step, Studio, StudioError, Tier,
    gate::{plus_minutes, quarter_after},
    gates,
    letter::{ArtistFacts, Danger, letter_kind},
    rule,
    ruling::whole_percent,
    spot::Cover,
};
use jiff::{SignedDuration, Timestamp, civil, tz::TimeZone};

use crate::seen::Seen;

/// How long a family has to answer, minutes, where the next gate does not come sooner.
const REPLY_MIN: u32 = 100;

/// The least time in which two people can answer, minutes.
const REPLY_MIN_LEAST: u32 = 30;

/// A reserve evening so many days on or fewer is near.
const NEAR_DAYS: i32 = 4;

/// Start times are told in steps of five minutes.
const START_STEP_S: i64 = 300;

/// What the family is to be told now, or `None` when there is no letter to write.
///
/// - `sessions`: all of the studio's, so that no evening is offered twice.
/// - `seen`: what the outlook was made from; the evenings that are offered are looked at in it too.
///
/// # Errors
///
/// A [`StudioError`] for a zone or a start that does not exist.
pub fn letter_facts(
    studio: &Studio,
    sessions: &[Session],
    session: &Session,
    gates: &[Gate],
    outlook: &Outlook,
    ruling: &Ruling,
    seen: &Seen,
) -> Result<Option<LetterFacts>, StudioError> {
    let Some(kind) = letter_kind(ruling, outlook, gates) else { return Ok(None) };
    let zone = studio.zone()?;
    let clock = |moment: Timestamp| zone.to_datetime(moment);
    let start = session.booked(&zone)?.from;
    let rain = match (ruling.question, kind) {
        // Odds so far ahead would be read as a promise.
        (Question::TooEarly, _) => &None,
        // Showers about: what counts now is what undoes hair.
        (Question::DryGap, LetterKind::Hold | LetterKind::AdviseMoving) => &outlook.p_wet_minute,
        _ => &outlook.p_any_rain,
    };
    let percent_of = |chance: &Sourced<Chance>| whole_percent(chance.value.centre);
    let spots = crate::evening::spots(studio, session);
    let place = spots.first().map_or(studio.home, |spot| spot.position);
    let roofed = spots
        .iter()
        .copied()
        .chain(&studio.spots)
        .find(|spot| spot.cover == Cover::Roof && spot.is_near(place))
        .map(|spot| spot.name.clone());
    let name_of = |id: &str| studio.spot(id).map_or_else(|| id.to_owned(), |s| s.name.clone());
    let meeting = spots.first().map_or_else(|| studio.place.clone(), |spot| spot.name.clone());
    let spot_change = ruling.spot_changes.first();
    Ok(Some(LetterFacts {
        kind,
        sitter: session.sitter.clone(),
        guardian: session.guardian.clone(),
        owner: studio.owner.clone(),
        question: ruling.question,
        as_of: clock(outlook.as_of),
        start: clock(start),
        end: clock(outlook.window.to),
        meeting_spot: spot_change
            .filter(|change| spots.first().is_some_and(|first| first.id == change.from))
            .map_or(meeting, |change| name_of(&change.to)),
        roofed_spot: roofed,
        rain_percent: rain.as_ref().map(percent_of),
        gap_percent: outlook.p_gap.as_ref().map(percent_of),
        gap_min: studio.policy.rescue_set_min,
        character: outlook.character.as_ref().map(|character| character.value),
        danger: danger(&ruling.rule).or_else(|| official_advice(outlook)),
        wait_until: match ruling.step {
            Some(Step::WaitUntil(moment)) => Some(clock(moment)),
            _ => None,
        },
        spot_change: spot_change.map(|change| (name_of(&change.from), name_of(&change.to))),
        reserves: reserves(studio, sessions, session, outlook.as_of, ruling, seen)?,
        reply_by: Some(reply_by(outlook.as_of, ruling.next_gate))
            .filter(|_| asks(kind))
            .flatten()
            .map(clock),
        next_word: next_word(gates, outlook.as_of).map(|gate| (gate.kind, clock(gate.at))),
        artist: artist(studio, gates, outlook.as_of, &clock),
        deadline: session.deadline.clone(),
    }))
}

/// Whether a letter asks for an answer.
fn asks(kind: LetterKind) -> bool {
    use LetterKind::{
        AdviseMoving, FamilysChoice, GreyButDry, HeatOrCold, Hold, MustMoveStorm, MustMoveSystem,
        OtherSpot, Settled, Watch,
    };
    match kind {
        FamilysChoice | AdviseMoving | MustMoveStorm | MustMoveSystem | HeatOrCold => true,
        Settled | GreyButDry | Watch | OtherSpot | Hold => false,
    }
}

/// Two hours or so from now, on a full quarter, and before the next gate makes it too late; `None`
/// when that leaves nobody time to answer.
fn reply_by(as_of: Timestamp, next: Option<Gate>) -> Option<Timestamp> {
    let comfortable = quarter_after(as_of, REPLY_MIN);
    match next {
        Some(gate) if gate.at < plus_minutes(as_of, REPLY_MIN_LEAST) => None,
        Some(gate) if gate.at < comfortable => Some(gate.at),
        _ => Some(comfortable),
    }
}

/// The next gate that the family hears of: the artist's limit is ours to mind.
fn next_word(gates: &[Gate], as_of: Timestamp) -> Option<Gate> {
    gates.iter().copied().find(|gate| gate.at > as_of && gate.kind != GateKind::ArtistLimit)
}

/// An official warning that advises another date, also where the rain alone had advised it already:
/// then silence must not keep the date.
fn official_advice(outlook: &Outlook) -> Option<Danger> {
    let hold = outlook.warnings.iter().find(|warning| warning.tier == Tier::Hold)?;
    Some(Danger::Warning { event: hold.event.clone() })
}

fn danger(rule: &Rule) -> Option<Danger> {
    match rule {
        Rule::StopWarning { warning } | Rule::HoldWarning { warning } => {
            Some(Danger::Warning { event: warning.event.clone() })
        }
        Rule::TooHot { felt, .. } => Some(Danger::Heat(felt.value)),
        Rule::TooCold { felt, .. } => Some(Danger::Cold(felt.value)),
        Rule::TooWindy { gust, .. } | Rule::NoSpotBearsWind { gust } => {
            Some(Danger::Gust(gust.value))
        }
        _ => None,
    }
}

fn artist(
    studio: &Studio,
    gates: &[Gate],
    as_of: Timestamp,
    clock: &impl Fn(Timestamp) -> civil::DateTime,
) -> Option<ArtistFacts> {
    let limit = gates.iter().find(|gate| gate.kind == GateKind::ArtistLimit)?;
    let artist = studio.artist.as_ref()?;
    Some(ArtistFacts {
        name: artist.name.clone(),
        free_until: clock(limit.at),
        passed: limit.at < as_of,
    })
}

/// Two evenings to move to: one near (1 to 4 days on) and one far (5 to 14), or the first that there
/// are.
///
/// Bad weather lasts for days, so two neighbouring evenings are no real choice; the near one keeps
/// hair and visiting relatives (common practice, no source). An evening on which the same forecast
/// and warnings would say "advise moving" or "must move" is no choice either.
fn reserves(
    studio: &Studio,
    sessions: &[Session],
    session: &Session,
    as_of: Timestamp,
    ruling: &Ruling,
    seen: &Seen,
) -> Result<Vec<civil::DateTime>, StudioError> {
    let zone = studio.zone()?;
    let at_dawn = matches!(ruling.rule, Rule::TooHot { .. });
    let mut offers: Vec<civil::DateTime> = Vec::new();
    for date in studio.reserve_evenings(session, sessions) {
        let start = start_on(date, studio, session, &zone, at_dawn);
        let moved = Session { start, ..session.clone() };
        let sky = crate::outlook(studio, &zone, &moved, as_of, seen)?;
        let gates = gates(studio, &zone, &moved)?;
        let band = rule(studio, &moved, &gates, &sky).band;
        if !matches!(band, Band::AdviseMoving | Band::MustMove) && zone.to_datetime(as_of) < start {
            offers.push(start);
        }
    }
    let booked = session.start.date();
    let days_on = |offer: &&civil::DateTime| (offer.date() - booked).get_days();
    let near = offers.iter().find(|offer| days_on(offer) <= NEAR_DAYS);
    let far = offers.iter().find(|offer| days_on(offer) > NEAR_DAYS);
    let mut chosen: Vec<civil::DateTime> = near.into_iter().chain(far).copied().collect();
    chosen.extend(
        offers
            .iter()
            .filter(|offer| !chosen.contains(offer))
            .copied()
            .take(2 - chosen.len())
            .collect::<Vec<_>>(),
    );
    chosen.sort_unstable();
    Ok(chosen)
}

/// The start on another date that gives the same light: as long before sunset, or after sunrise for a
/// morning session, as on the first date; from first light when the day would be too hot.
///
/// Where a day has no such event, the clock time stays.
fn start_on(
    date: civil::Date,
    studio: &Studio,
    session: &Session,
    zone: &TimeZone,
    at_dawn: bool,
) -> civil::DateTime {
    let place =
        crate::evening::spots(studio, session).first().map_or(studio.home, |spot| spot.position);
    let same_clock = date.to_datetime(session.start.time());
    let (here, there) = (sun_day(session.start.date(), zone, place), sun_day(date, zone, place));
    if at_dawn {
        let dawn = there.civil_dawn.timestamp().map(|moment| zone.to_datetime(moment));
        return dawn.map_or(same_clock, |dawn| on_a_step(dawn, START_STEP_S - 1));
    }
    let start = zone.to_timestamp(session.start).ok();
    let (rise, set) = (here.sunrise.timestamp(), here.sunset.timestamp());
    let morning = start.is_some_and(|start| crate::evening::in_the_morning(start, rise, set));
    let event = |day: &SunDay| if morning { day.sunrise } else { day.sunset };
    let time = |day: &SunDay| {
        event(day).timestamp().map(|moment| seconds_of_day(zone.to_datetime(moment).time()))
    };
    let (Some(then_s), Some(here_s)) = (time(&there), time(&here)) else { return same_clock };
    let later = SignedDuration::from_secs(then_s - here_s);
    on_a_step(same_clock.checked_add(later).unwrap_or(same_clock), START_STEP_S / 2)
}

/// The five-minute step at or before a time, after `forward_s` seconds have been added.
fn on_a_step(time: civil::DateTime, forward_s: i64) -> civil::DateTime {
    let second = seconds_of_day(time.time()) + forward_s;
    let midnight = time.date().to_datetime(civil::Time::midnight());
    let stepped = SignedDuration::from_secs(second.div_euclid(START_STEP_S) * START_STEP_S);
    midnight.checked_add(stepped).unwrap_or(time)
}

fn seconds_of_day(time: civil::Time) -> i64 {
    i64::from(time.hour()) * 3600 + i64::from(time.minute()) * 60 + i64::from(time.second())
}
