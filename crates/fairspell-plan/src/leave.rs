//! The leave gate: go, hold, or don't go, and with what in the car.
//!
//! When she has to drive off, hair is done and money is sunk; what she asks is whether there will be
//! **one dry gap** long enough between her arrival and the last usable light, and whether the road lets
//! her there and home. The gap's chance is that of [`outlook()`](crate::outlook()) as far as radar
//! reaches. Beyond, radar only tells [how busy](BusySky) the sky is, and that is mixed with the forecast:
//!
//! ```text
//! p = s p_radar + (1 - s) (b p_busy + (1 - b) p_forecast)
//! ```
//!
//! with `s` the radar's share by the [handover](fairspell_chance::Handover), 0 where its pictures do
//! not reach, and `b` that of [`busy_share`], times 1 - `s` where they do. What the policy makes of it
//! is [`rule_leaving`]; on top of that the step only ever gets more careful: a warning never becomes a
//! go, nor does a road that nobody knows to be open. Official notices that are mere information (an
//! outlook, a marine warning) are shown and weigh nothing.

mod busy;
mod road;

pub use self::{
    busy::{BusySky, busy_gap, busy_share, wet_share_ahead},
    road::{RoadCheck, RoadState, Way},
};
pub use fairspell_nowcast::{Spread, Trend};

use fairspell_chance::{Chance, Handover, Probability, joined};
use fairspell_studio::{
    Band, Outlook, Rule, Ruling, Session, SessionError, SourceState, Sourced, Span, Step, Studio,
    Tier,
    gate::{latest_leave, minus_minutes, plus_minutes, quarter_after},
    outlook::{SourceKind, WarningSeen},
    rule_leaving,
};
use jiff::{Timestamp, ToSpan, civil, tz::TimeZone};

use crate::{
    evening::{Hours, hours},
    light_plan::{BagOut, bag_out},
    rain::{GapParts, gap_parts},
    seen::{Seen, SeenForecast, SeenRadar},
    standing::Standing,
    warnings::warnings_by_leg,
};

/// What waiting so long would change is said, minutes.
pub const WAITING_MIN: u32 = 30;

/// Before she looks again, minutes, until the next quarter hour.
const NEXT_LOOK_MIN: u32 = 20;

/// So long before leaving she looks again where that is still far off, minutes. Common practice.
const LOOK_BEFORE_MIN: u32 = 30;

/// A source that has less of a say than this is not named.
const NAMED_FROM: f64 = 0.05;

/// What to do at the leave gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeaveStep {
    /// Go.
    Go,
    /// Wait at home and look again then.
    Hold {
        /// A quarter of an hour on the clock, from which going is still worth while.
        look_again_at: Timestamp,
    },
    /// Don't go.
    No,
    /// No figure says go: something is warned of, or not known, that she has to look at herself.
    Yours,
}

/// Why.
#[derive(Debug, Clone, PartialEq)]
pub enum LeaveReason {
    /// What the policy says of the sky, by this rule.
    Sky(Box<Rule>),
    /// The same by the gate's own figure, where another rule outweighed it.
    Figure(Box<Rule>),
    /// An official warning touches the way or the place.
    Warned(Box<WayWarning>),
    /// An official warning is in force whose area nobody can tell.
    WarnedSomewhere {
        /// What it warns of, in the service's words.
        event: String,
    },
    /// A point of the road is not known to be open.
    Road(Box<RoadCheck>),
    /// It is too late: after this moment no set is left before the light goes.
    TooLate {
        /// The moment.
        latest: Timestamp,
    },
}

/// Who says how much of the chance of a gap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Voice {
    /// The rain that the radar sees on its way.
    RadarTrack,
    /// How busy the sky is.
    RadarBusyness,
    /// The forecast.
    Forecast,
}

/// What one source says.
#[derive(Debug, Clone, PartialEq)]
pub struct Say {
    /// Which.
    pub voice: Voice,
    /// Its weight in the chance, 0 to 1; who has hardly any is left out.
    pub share: f64,
    /// The chance of the gap by it alone.
    pub p_gap: Chance,
    /// Whose it is, as people are told.
    pub source: String,
    /// When that was issued.
    pub issued: Timestamp,
}

/// When she has to leave, and what time she has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeaveTimes {
    /// Leaving then she is there in good time before the start.
    pub for_the_start: Timestamp,
    /// The last moment at which leaving still gives the rescue set its minutes before the light goes.
    pub latest: Timestamp,
    /// When she is taken to leave: now, or for the start where that is still to come.
    pub leaving_at: Timestamp,
    /// When she is then there.
    pub arrives_at: Timestamp,
    /// The last light that can be worked by.
    pub last_usable: Timestamp,
    /// How long she can still wait at home, minutes: last usable light - now - drive - rescue set.
    /// Below zero it is too late.
    pub wait_at_home_min: f64,
    /// How long a shower can be waited out at the place, minutes: last usable light - arrival (or start)
    /// - rescue set.
    pub wait_at_place_min: f64,
}

/// What waiting would change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Waiting {
    /// How much later than [`LeaveTimes::leaving_at`] she would leave, minutes.
    pub minutes: u32,
    /// When she would be there.
    pub arrives_at: Timestamp,
    /// The chance of the gap in what would be left, by what is known now.
    pub p_gap: Chance,
    /// How much of a say radar has now, and would have then: a later picture sees nearer to the hours.
    pub radar_share: (f64, f64),
}

/// An official warning with the parts of the outing that it touches.
#[derive(Debug, Clone, PartialEq)]
pub struct WayWarning {
    /// The warning.
    pub warning: WarningSeen,
    /// On the way there.
    pub there: bool,
    /// At the place.
    pub place: bool,
    /// On the way home.
    pub home: bool,
}

/// The drive home.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DriverHours {
    /// When she is home at the latest, if she works to the end of the light.
    pub home_at: Timestamp,
    /// When she wants to be home.
    pub home_by: Timestamp,
    /// How long each way takes, minutes.
    pub drive_min: u32,
    /// The longest drive home, minutes: the owner's.
    pub drive_home_max_min: u32,
}

impl DriverHours {
    /// Whether to stay the night: the way home ends too late, or takes too long.
    pub fn stay_over(&self) -> bool {
        self.home_at > self.home_by || self.drive_min > self.drive_home_max_min
    }
}

/// When she is where.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Trip {
    leaving_at: Timestamp,
    arrives_at: Timestamp,
    /// The earliest and the latest moment to set out for home.
    home_from: Span,
}

/// The leave gate's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct LeaveAdvice {
    /// The session, by id.
    pub session: String,
    /// The moment; nothing fetched later was looked at.
    pub as_of: Timestamp,
    /// What to do.
    pub step: LeaveStep,
    /// Why, what decides first.
    pub reasons: Vec<LeaveReason>,
    /// Length of the gap, minutes.
    pub gap_min: u32,
    /// From arrival or the start, whichever is later, to last usable light.
    pub window: Span,
    /// Chance of one such gap in it.
    pub p_gap: Option<Sourced<Chance>>,
    /// Chance of any wet minute (at least 0.1 mm/h) from the start on.
    pub p_wet_minute: Option<Sourced<Chance>>,
    /// Who says how much of the chance of the gap, the one with the most say first.
    pub says: Vec<Say>,
    /// How busy the sky is around the place; `None` where no radar tells.
    pub busy: Option<BusySky>,
    /// When to leave.
    pub times: LeaveTimes,
    /// What waiting would change; `None` where it cannot be said, or no time is left for it.
    pub waiting: Option<Waiting>,
    /// Official warnings, the gravest first.
    pub warnings: Vec<WayWarning>,
    /// The road, the way there first.
    pub road: Vec<RoadCheck>,
    /// The way home.
    pub driver: DriverHours,
    /// When the bag has to be out of a cooled car; `None` where the forecast says nothing of the air.
    pub bag: Option<BagOut>,
    /// How the sources stand.
    pub sources: Vec<(SourceKind, SourceState)>,
    /// What the policy says, with the leave gate's own chance of a gap.
    pub ruling: Ruling,
}

/// Whether to drive off to a session.
///
/// - `standing`: where it stands at the moment of the question, as [`standing`](crate::standing()) gives it.
/// - `seen`: what that was made from.
///
/// # Errors
///
/// A [`SessionError`] for a start that does not exist or comes twice.
pub fn leave_advice(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    standing: &Standing,
    seen: &Seen,
) -> Result<LeaveAdvice, SessionError> {
    let hours = hours(studio, zone, session)?;
    let outlook = &standing.outlook;
    let as_of = outlook.as_of;
    let gap_min = studio.policy.rescue_set_min;
    let (times, trip) = times(studio, session, &hours, as_of);
    let sky = Sky { hours: &hours, seen: Fresh::of(seen, outlook), as_of, gap_min };

    let window = sky.window(trip.arrives_at);
    let (p_gap, says) = sky.gap(window);
    let ruling = rule_leaving(
        studio,
        session,
        &standing.gates,
        &Outlook { p_gap: p_gap.clone(), ..outlook.clone() },
    );
    let warnings = way_warnings(studio, session, &hours, &trip, outlook, seen);
    // A tide that cannot be made is one that nobody knows.
    let tide = studio.tide().ok().flatten();
    let road = road::road_checks(studio, zone, session, &trip, tide.as_ref());
    let (step, reasons) = decide(&ruling, outlook, &times, &warnings, &road);
    let forecast = sky.seen.forecast.map(|seen| &seen.forecast);
    Ok(LeaveAdvice {
        session: session.id.clone(),
        as_of,
        step,
        reasons,
        gap_min,
        window,
        waiting: sky.waiting(session, &times),
        busy: sky.seen.radar.and_then(|radar| BusySky::around(hours.place, radar)),
        p_gap,
        p_wet_minute: outlook.p_wet_minute.clone(),
        says,
        times,
        warnings,
        road,
        driver: driver_hours(studio, zone, session, &trip),
        bag: forecast
            .and_then(|forecast| bag_out(forecast, hours.window.from.max(trip.arrives_at))),
        sources: outlook.sources.clone(),
        ruling,
    })
}

fn times(
    studio: &Studio,
    session: &Session,
    hours: &Hours,
    as_of: Timestamp,
) -> (LeaveTimes, Trip) {
    let policy = &studio.policy;
    let (start, last_usable) = (hours.window.from, hours.until_last_light.to);
    let drive_min = session.drive.minutes;
    let for_the_start = minus_minutes(start, drive_min + policy.arrive_before_min);
    let latest = latest_leave(session, policy.rescue_set_min, last_usable);
    let leaving_at = as_of.max(for_the_start);
    let arrives_at = plus_minutes(leaving_at, drive_min);
    let between = |from: Timestamp, to: Timestamp| to.duration_since(from).as_secs_f64() / 60.0;
    let works_from = arrives_at.max(start);
    let times = LeaveTimes {
        for_the_start,
        latest,
        leaving_at,
        arrives_at,
        last_usable,
        wait_at_home_min: between(as_of, latest),
        wait_at_place_min: between(works_from, last_usable) - f64::from(policy.rescue_set_min),
    };
    // Once begun we finish, but nobody sets out for home before arriving.
    let home_from = Span {
        from: hours.window.to.max(arrives_at),
        to: hours.window.to.max(last_usable).max(arrives_at),
    };
    (times, Trip { leaving_at, arrives_at, home_from })
}

/// What had been seen and is not too old to rely on.
#[derive(Debug, Clone, Copy)]
struct Fresh<'a> {
    forecast: Option<&'a SeenForecast>,
    radar: Option<&'a SeenRadar>,
}

impl<'a> Fresh<'a> {
    fn of(seen: &'a Seen, outlook: &Outlook) -> Fresh<'a> {
        let is_fresh = |kind| matches!(outlook.source(kind), SourceState::Fresh { .. });
        Fresh {
            forecast: seen.forecast.as_ref().filter(|_| is_fresh(SourceKind::Forecast)),
            radar: seen.radar.as_ref().filter(|_| is_fresh(SourceKind::Radar)),
        }
    }
}

/// The sky that the chance of a gap is asked of.
struct Sky<'a> {
    hours: &'a Hours,
    seen: Fresh<'a>,
    as_of: Timestamp,
    gap_min: u32,
}

impl Sky<'_> {
    /// From when she is there and the session has begun, to last usable light.
    fn window(&self, arrives_at: Timestamp) -> Span {
        let whole = self.hours.until_last_light;
        Span { from: whole.from.max(arrives_at).max(self.as_of).min(whole.to), to: whole.to }
    }

    /// The chance of the gap in a window, and who says how much of it.
    fn gap(&self, window: Span) -> (Option<Sourced<Chance>>, Vec<Say>) {
        let parts = self.parts(window);
        let Some(mixed) = parts.as_ref().and_then(Mixed::of) else { return (None, Vec::new()) };
        let mut says: Vec<Say> = mixed
            .voices
            .into_iter()
            .filter(|(_, share, _)| *share >= NAMED_FROM)
            .filter_map(|(voice, share, p_gap)| {
                let (source, issued) = self.source(voice)?;
                Some(Say { voice, share, p_gap, source, issued })
            })
            .collect();
        says.sort_by(|a, b| b.share.total_cmp(&a.share));
        // A session that is over, or never has light, has no source and needs none.
        let Some(issued) = says.iter().map(|say| say.issued).min() else { return (None, says) };
        let mut names: Vec<&str> = Vec::new();
        for say in &says {
            if !names.contains(&say.source.as_str()) {
                names.push(&say.source);
            }
        }
        let p_gap = Sourced {
            value: mixed.p_gap,
            hours: window,
            place: self.hours.place_name.clone(),
            source: names.join(" + "),
            issued,
            our_estimate: true,
        };
        (Some(p_gap), says)
    }

    fn parts(&self, window: Span) -> Option<Parts> {
        let gap_min = f64::from(self.gap_min);
        if window.minutes() < gap_min {
            let none = Chance::certain(Probability::ZERO);
            let by_radar = self.seen.radar.map(|_| none);
            let by_forecast = self.seen.forecast.map(|_| none);
            return Some(Parts {
                by_radar,
                busy: None,
                by_forecast,
                busy_share: 0.0,
                lead_min: 0.0,
                handover: Handover::by_hours(),
            });
        }
        let Fresh { forecast, radar } = self.seen;
        let GapParts { by_radar, by_forecast, handover, character, lead_min } =
            gap_parts(self.hours, window, self.as_of, forecast, radar, gap_min);
        let ahead_min = lead_min - window.minutes() / 2.0;
        let busy = radar
            .and_then(|radar| BusySky::around(self.hours.place, radar))
            .and_then(|busy| busy.p_gap(ahead_min, window.minutes(), gap_min, character));
        // Radar alone, without any forecast, fades by the hours: see `joined`.
        if by_forecast.is_none() && busy.is_none() {
            let alone = joined(by_radar.as_ref(), None, lead_min, handover)?;
            return Some(Parts {
                by_radar: Some(alone),
                busy: None,
                by_forecast: None,
                busy_share: 0.0,
                lead_min,
                handover,
            });
        }
        Some(Parts {
            by_radar,
            busy,
            by_forecast,
            busy_share: busy_share(handover, lead_min),
            lead_min,
            handover,
        })
    }

    fn source(&self, voice: Voice) -> Option<(String, Timestamp)> {
        match voice {
            Voice::RadarTrack | Voice::RadarBusyness => {
                self.seen.radar.map(|seen| (seen.source.clone(), seen.nowcast.valid_time()))
            }
            Voice::Forecast => {
                self.seen.forecast.map(|seen| (seen.source.clone(), seen.forecast.reference_time))
            }
        }
    }

    /// What waiting half an hour would change.
    fn waiting(&self, session: &Session, times: &LeaveTimes) -> Option<Waiting> {
        let leaving_at = plus_minutes(times.leaving_at, WAITING_MIN);
        if leaving_at > times.latest {
            return None;
        }
        let arrives_at = plus_minutes(leaving_at, session.drive.minutes);
        let parts = self.parts(self.window(arrives_at))?;
        // Just before leaving then she looks again.
        let later_min = parts.lead_min - Span { from: self.as_of, to: leaving_at }.minutes();
        let radar_then = self.seen.radar.map_or(0.0, |_| parts.handover.radar_share(later_min));
        let mixed = Mixed::of(&parts)?;
        Some(Waiting {
            minutes: WAITING_MIN,
            arrives_at,
            p_gap: mixed.p_gap,
            radar_share: (mixed.share_of(Voice::RadarTrack), radar_then),
        })
    }
}

/// What each source says of the gap, and its weight.
struct Parts {
    by_radar: Option<Chance>,
    busy: Option<Chance>,
    by_forecast: Option<Chance>,
    /// The busyness's share beside the forecast.
    busy_share: f64,
    /// How far the middle of the window lies ahead, minutes.
    lead_min: f64,
    /// How radar gives way to the other two.
    handover: Handover,
}

/// The chance of a gap, mixed.
struct Mixed {
    p_gap: Chance,
    /// Who has which share of it, and says what alone.
    voices: Vec<(Voice, f64, Chance)>,
}

impl Mixed {
    /// `None` where nobody says anything.
    fn of(parts: &Parts) -> Option<Mixed> {
        let Parts { by_radar, busy, by_forecast, busy_share, lead_min, handover } = *parts;
        let radar = handover.radar_share(lead_min);
        // What the radar sees on its way says more than how much of it there is.
        let busy_share = by_radar.map_or(busy_share, |_| (1.0 - radar) * busy_share);
        let unknown = Chance::new(Probability::ZERO, Probability::clamped(0.5), Probability::ONE)?;
        // Without a forecast nobody knows of the rain that is not there yet.
        let (far, busy_part, forecast_part) = match (busy, by_forecast) {
            (Some(busy), Some(forecast)) => {
                (Some(busy.blend(&forecast, busy_share)), busy_share, 1.0 - busy_share)
            }
            (Some(busy), None) if busy_share > 0.0 => {
                let doubt = Chance::new(unknown.low, busy.centre, unknown.high)?;
                (Some(busy.blend(&doubt, busy_share)), 1.0, 0.0)
            }
            (Some(_) | None, None) => (None, 0.0, 0.0),
            (None, Some(forecast)) => (Some(forecast), 0.0, 1.0),
        };
        let (p_gap, share) = match (by_radar, far) {
            (Some(near), Some(far)) => (near.blend(&far, radar), radar),
            (Some(near), None) => (near, 1.0),
            (None, far) => (far?, 0.0),
        };
        let said = [
            (Voice::RadarTrack, share, by_radar),
            (Voice::RadarBusyness, (1.0 - share) * busy_part, busy),
            (Voice::Forecast, (1.0 - share) * forecast_part, by_forecast),
        ];
        let voices = said.into_iter().filter_map(|(voice, share, p)| Some((voice, share, p?)));
        Some(Mixed { p_gap, voices: voices.collect() })
    }

    fn share_of(&self, voice: Voice) -> f64 {
        self.voices.iter().filter(|(of, ..)| *of == voice).map(|(_, share, _)| share).sum()
    }
}

/// Warnings over the way there, the place and the way home; those that the outlook names for the hours
/// around are named too.
fn way_warnings(
    studio: &Studio,
    session: &Session,
    hours: &Hours,
    trip: &Trip,
    outlook: &Outlook,
    seen: &Seen,
) -> Vec<WayWarning> {
    let there = Span { from: trip.leaving_at, to: trip.arrives_at };
    let place = Span { from: hours.evening.from.min(trip.arrives_at), to: trip.home_from.to };
    let home = Span {
        from: trip.home_from.from,
        to: plus_minutes(trip.home_from.to, session.drive.minutes),
    };
    // Even an old list is read: nobody has said that its warnings are over.
    let by_leg = seen
        .warnings
        .as_ref()
        .map(|seen| warnings_by_leg(studio, session, [there, place, home], seen));
    let mut warnings: Vec<WayWarning> = by_leg
        .unwrap_or_default()
        .into_iter()
        .map(|(warning, [there, place, home])| WayWarning { warning, there, place, home })
        .collect();
    for warning in &outlook.warnings {
        match warnings.iter_mut().find(|known| is_same(&known.warning, warning)) {
            Some(known) if known.warning.tier < warning.tier => known.warning = warning.clone(),
            Some(_) => {}
            None => warnings.push(WayWarning {
                warning: warning.clone(),
                there: false,
                place: false,
                home: false,
            }),
        }
    }
    warnings.sort_by_key(|known| std::cmp::Reverse(known.warning.tier));
    warnings
}

/// Whether it is the same warning, whatever it overlaps.
fn is_same(one: &WarningSeen, other: &WarningSeen) -> bool {
    let of = |seen: &WarningSeen| (seen.event.clone(), seen.issued, seen.from, seen.to);
    of(one) == of(other)
}

fn driver_hours(studio: &Studio, zone: &TimeZone, session: &Session, trip: &Trip) -> DriverHours {
    let rules = studio.policy.driver;
    let before_noon = rules.home_by < civil::time(12, 0, 0, 0);
    let day = session.start.date();
    let day = if before_noon { day.saturating_add(1.day()) } else { day };
    let home_at = plus_minutes(trip.home_from.to, session.drive.minutes);
    DriverHours {
        home_at,
        // At the end of the calendar there is no later day; then she stays.
        home_by: zone.to_timestamp(day.to_datetime(rules.home_by)).unwrap_or(Timestamp::MIN),
        drive_min: session.drive.minutes,
        drive_home_max_min: rules.drive_home_max_min,
    }
}

/// The step, and why: the policy's own, which what follows can only make more careful.
fn decide(
    ruling: &Ruling,
    outlook: &Outlook,
    times: &LeaveTimes,
    warnings: &[WayWarning],
    road: &[RoadCheck],
) -> (LeaveStep, Vec<LeaveReason>) {
    let look_again_at = next_look(outlook.as_of, times.for_the_start);
    let hold = |at: Timestamp| {
        if at <= times.latest { LeaveStep::Hold { look_again_at: at } } else { LeaveStep::Yours }
    };
    let mut reasons = vec![LeaveReason::Sky(Box::new(ruling.rule.clone()))];
    reasons.extend(ruling.figure.clone().map(|figure| LeaveReason::Figure(Box::new(figure))));
    // Missing is never dry: there may be something by then, or she has to look herself.
    let mut step = match (ruling.band, ruling.step) {
        (Band::MustMove, _) | (_, Some(Step::DontGo)) => LeaveStep::No,
        (Band::Unknown, _) | (_, None | Some(Step::WaitUntil(_))) => hold(look_again_at),
        (_, Some(Step::Go)) => LeaveStep::Go,
    };
    for known in warnings.iter().filter(|known| known.warning.tier > Tier::Info) {
        let decided = match &ruling.rule {
            Rule::StopWarning { warning } | Rule::HoldWarning { warning } => {
                is_same(warning, &known.warning)
            }
            _ => false,
        };
        if !decided {
            reasons.push(LeaveReason::Warned(Box::new(known.clone())));
        }
        step = match known.warning.tier {
            Tier::Stop | Tier::Hold => LeaveStep::No,
            // Looking again at a quarter past does not take it away: she reads it and decides.
            Tier::Caution | Tier::Info => no_go(step, LeaveStep::Yours),
        };
    }
    for event in &outlook.unplaced_warnings {
        reasons.push(LeaveReason::WarnedSomewhere { event: event.clone() });
        step = no_go(step, LeaveStep::Yours);
    }
    for check in road.iter().filter(|check| !check.is_open()) {
        reasons.push(LeaveReason::Road(Box::new(check.clone())));
        step = match (check.state, check.way) {
            (RoadState::Shut { opens: Some(opens) }, Way::There) if step != LeaveStep::No => {
                // So long after the point is open again she may pass it.
                let later = opens.duration_since(check.passed.from);
                let leave = times.leaving_at.checked_add(later).unwrap_or(Timestamp::MAX);
                let look_again_at = quarter_after(leave, 0);
                if look_again_at <= times.latest {
                    LeaveStep::Hold { look_again_at }
                } else {
                    LeaveStep::No
                }
            }
            (RoadState::Shut { .. }, Way::There) => LeaveStep::No,
            _ => no_go(step, LeaveStep::Yours),
        };
    }
    if outlook.as_of > times.latest {
        reasons.insert(0, LeaveReason::TooLate { latest: times.latest });
        step = LeaveStep::No;
    }
    (step, reasons)
}

/// When to look again: in a while, or, where leaving is still hours off, shortly before it.
fn next_look(as_of: Timestamp, for_the_start: Timestamp) -> Timestamp {
    let before = minus_minutes(for_the_start, LOOK_BEFORE_MIN);
    let soon = quarter_after(as_of, NEXT_LOOK_MIN);
    if before > soon { quarter_after(before, 0) } else { soon }
}

/// What was a go is one no longer; a hold or a no stays.
fn no_go(step: LeaveStep, instead: LeaveStep) -> LeaveStep {
    if step == LeaveStep::Go { instead } else { step }
}
