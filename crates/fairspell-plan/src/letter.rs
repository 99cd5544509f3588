//! The facts of the letter that a ruling asks for, in the studio's clock.

use fairspell_almanac::sun_day;
use fairspell_studio::{
    Gate, GateKind, LetterFacts, LetterKind, Outlook, Question, Rule, Ruling, Session, Step,
    Studio, StudioError,
    gate::quarter_after,
    letter::{ArtistFacts, Danger, letter_kind},
    ruling::whole_percent,
    spot::Cover,
};
use jiff::{SignedDuration, Timestamp, civil, tz::TimeZone};

/// How long a family has to answer, minutes, where the next gate does not come sooner.
const REPLY_MIN: u32 = 100;

/// Start times are told in steps of five minutes.
const START_STEP_S: i64 = 300;

/// What the family is to be told now, or `None` while nothing is known.
///
/// - `sessions`: all of the studio's, so that no evening is offered twice.
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
) -> Result<Option<LetterFacts>, StudioError> {
    let Some(kind) = letter_kind(ruling, outlook) else { return Ok(None) };
    let zone = studio.zone()?;
    let clock = |moment: Timestamp| zone.to_datetime(moment);
    let start = session.booked(&zone)?.from;
    let on_the_day = ruling.question == Question::DryGap;
    let rain = if on_the_day { &outlook.p_wet_minute } else { &outlook.p_any_rain };
    let percent_of = |chance: &fairspell_studio::Sourced<fairspell_chance::Chance>| {
        whole_percent(chance.value.centre)
    };
    let spots = crate::evening::spots(studio, session);
    let roofed = spots
        .iter()
        .copied()
        .chain(&studio.spots)
        .find(|spot| spot.cover == Cover::Roof)
        .map(|spot| spot.name.clone());
    let name_of = |id: &str| studio.spot(id).map_or_else(|| id.to_owned(), |s| s.name.clone());
    let meeting = spots.first().map_or_else(|| studio.place.clone(), |spot| spot.name.clone());
    let spot_change = ruling.spot_changes.first();
    Ok(Some(LetterFacts {
        kind,
        sitter: session.sitter.clone(),
        guardian: session.guardian.clone(),
        owner: studio.owner.clone(),
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
        danger: danger(&ruling.rule),
        wait_until: match ruling.step {
            Some(Step::WaitUntil(moment)) => Some(clock(moment)),
            _ => None,
        },
        spot_change: spot_change.map(|change| (name_of(&change.from), name_of(&change.to))),
        reserves: studio
            .reserve_evenings(session, sessions)
            .into_iter()
            .map(|date| start_on(date, studio, session, &zone))
            .collect(),
        reply_by: asks(kind).then(|| clock(reply_by(outlook.as_of, ruling.next_gate))),
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

/// Two hours or so from now, on a full quarter, and before the next gate makes it too late.
fn reply_by(as_of: Timestamp, next: Option<Gate>) -> Timestamp {
    let comfortable = quarter_after(as_of, REPLY_MIN);
    match next {
        Some(gate) if gate.at < comfortable && gate.at > as_of => gate.at,
        _ => comfortable,
    }
}

/// The next gate that the family hears of: the artist's limit is ours to mind.
fn next_word(gates: &[Gate], as_of: Timestamp) -> Option<Gate> {
    gates.iter().copied().find(|gate| gate.at > as_of && gate.kind != GateKind::ArtistLimit)
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

/// The start on another date that gives the same light: as long before sunset as on the first date.
///
/// Where either day has no sunset, the clock time stays.
fn start_on(
    date: civil::Date,
    studio: &Studio,
    session: &Session,
    zone: &TimeZone,
) -> civil::DateTime {
    let place =
        crate::evening::spots(studio, session).first().map_or(studio.home, |spot| spot.position);
    let sunset_on = |date| {
        sun_day(date, zone, place).sunset.timestamp().map(|moment| zone.to_datetime(moment).time())
    };
    let same_clock = date.to_datetime(session.start.time());
    let (Some(then), Some(here)) = (sunset_on(date), sunset_on(session.start.date())) else {
        return same_clock;
    };
    let later_s = seconds_of_day(then) - seconds_of_day(here);
    let rounded_s = (later_s + START_STEP_S / 2).div_euclid(START_STEP_S) * START_STEP_S;
    same_clock.checked_add(SignedDuration::from_secs(rounded_s)).unwrap_or(same_clock)
}

fn seconds_of_day(time: civil::Time) -> i64 {
    i64::from(time.hour()) * 3600 + i64::from(time.minute()) * 60 + i64::from(time.second())
}
