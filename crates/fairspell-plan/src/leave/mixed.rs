//! Who says how much of the chance of one dry gap: the radar near ahead, how busy the sky is, the
//! forecast.

use fairspell_chance::{Chance, Handover, Probability, joined};
use fairspell_studio::{
    Outlook, Session, SourceState, Sourced, Span, gate::plus_minutes, outlook::SourceKind,
};
use jiff::Timestamp;

use super::{BusySky, LeaveTimes, busy_share};
use crate::{
    evening::Hours,
    rain::{GapParts, gap_parts},
    seen::{Seen, SeenForecast, SeenRadar},
};

/// What waiting so long would change is said, minutes.
pub const WAITING_MIN: u32 = 30;

/// A source that has less of a say than this is not named.
const NAMED_FROM: f64 = 0.05;

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

/// What had been seen and is not too old to rely on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fresh<'a> {
    pub(super) forecast: Option<&'a SeenForecast>,
    pub(super) radar: Option<&'a SeenRadar>,
}

impl<'a> Fresh<'a> {
    pub(super) fn of(seen: &'a Seen, outlook: &Outlook) -> Fresh<'a> {
        let is_fresh = |kind| matches!(outlook.source(kind), SourceState::Fresh { .. });
        Fresh {
            forecast: seen.forecast.as_ref().filter(|_| is_fresh(SourceKind::Forecast)),
            radar: seen.radar.as_ref().filter(|_| is_fresh(SourceKind::Radar)),
        }
    }
}

/// The sky that the chance of a gap is asked of.
pub(super) struct Sky<'a> {
    pub(super) hours: &'a Hours,
    pub(super) seen: Fresh<'a>,
    pub(super) as_of: Timestamp,
    pub(super) gap_min: u32,
}

impl Sky<'_> {
    /// From when she is there and the session has begun, to last usable light.
    pub(super) fn window(&self, arrives_at: Timestamp) -> Span {
        let whole = self.hours.until_last_light;
        Span { from: whole.from.max(arrives_at).max(self.as_of).min(whole.to), to: whole.to }
    }

    /// The chance of the gap in a window, and who says how much of it.
    pub(super) fn gap(&self, window: Span) -> (Option<Sourced<Chance>>, Vec<Say>) {
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
    pub(super) fn waiting(&self, session: &Session, times: &LeaveTimes) -> Option<Waiting> {
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
        // Without a forecast nobody knows of the rain that is not there yet.
        let (far, busy_part, forecast_part) = match (busy, by_forecast) {
            (Some(busy), Some(forecast)) => {
                (Some(busy.blend(&forecast, busy_share)), busy_share, 1.0 - busy_share)
            }
            (Some(busy), None) if busy_share > 0.0 => {
                let doubt = Chance::new(Probability::ZERO, busy.centre, Probability::ONE)?;
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
