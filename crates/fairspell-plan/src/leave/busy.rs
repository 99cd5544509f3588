//! How busy the sky is, and what that says of hours that no radar reaches.
//!
//! After a long drive every shower that was on the radar before it is gone, but a busy sky is still a
//! busy sky: the share of the circle that is wet changes more slowly than any shower in it. So that
//! share, carried on along its trend, stands in for the chance that a given moment at the place is
//! wet; the spells of [`fairspell_chance::spells`] say how such moments hang together, and with them
//! how likely one gap is.

use fairspell_chance::{Chance, Character, Handover, Probability, p_dry_gap_from_steps, spells};
use fairspell_ground::LatLon;
use fairspell_nowcast::{Spread, Trend};
use jiff::Timestamp;

use crate::{outlook::BUSY_RADIUS_KM, seen::SeenRadar};

/// Pictures up to so old tell how wet the place itself has been, minutes.
///
/// # Source
///
/// Common practice: a loop of the last 60 to 90 minutes is looked at before a long drive.
const PLACE_MIN: f64 = 90.0;

/// A place with fewer pictures than this has no share of its own: an hour's worth.
const PLACE_PICTURES_MIN: usize = 4;

/// A trend goes on for about so long, minutes: what grows at this rate never grows by more than that
/// many minutes' worth.
///
/// # Source
///
/// Our choice: growth and decay of showers change sign within one to three hours.
const TREND_LASTS_MIN: f64 = 60.0;

/// The odds of a wet moment may be this many times larger or smaller than the circle says: the place
/// is one point of it, hours later. Our choice.
const ODDS_DOUBT: f64 = 2.0;

/// Even around a place without any rain, a share as large as this cannot be ruled out hours later: showers
/// are born. Our choice, a quarter of what a showery sky has on average.
const BORN: f64 = 0.02;

/// How much longer the busyness of a circle lives than the showers in it.
///
/// # Source
///
/// Our choice: rain over 100 km keeps its amount for about twice as long as its pattern.
const LASTS_LONGER: f64 = 2.0;

/// The most that busyness has to say beside a forecast: the forecast knows of what is not there yet.
const SAY_MAX: f64 = 0.5;

/// The sky around a place before leaving for it.
#[derive(Debug, Clone, PartialEq)]
pub struct BusySky {
    /// Radius of the circle, km.
    pub radius_km: f64,
    /// Share of what is measured of it that is wet (at least 0.1 mm/h), 0 to 1.
    pub wet_share: f64,
    /// How that changes, an hour; `None` with no older picture.
    pub trend_per_hour: Option<f64>,
    /// The same as a word.
    pub trend: Option<Trend>,
    /// How long it is dry between two showers in the air that comes; `None` where hardly any is.
    pub gap_between_rain: Option<Spread>,
    /// In what share of the pictures of the last hour and a half it rained at the place itself, 0 to 1;
    /// `None` with too few of them.
    pub place_wet_share: Option<f64>,
    /// How many pictures that were.
    pub place_pictures: usize,
    /// Whose pictures.
    pub source: String,
    /// The newest picture's time.
    pub issued: Timestamp,
}

impl BusySky {
    /// The sky around a place; `None` where less than half of the circle is measured.
    pub(super) fn around(place: LatLon, radar: &SeenRadar) -> Option<BusySky> {
        let nowcast = &radar.nowcast;
        let busy = nowcast.at(place).ok()?.busyness(BUSY_RADIUS_KM)?;
        let issued = nowcast.valid_time();
        let at_place: Vec<bool> = nowcast
            .observed()
            .iter()
            .filter(|picture| minutes_before(picture.valid_time, issued) <= PLACE_MIN)
            .filter_map(|picture| picture.rain_rate_at(place).filter(|rate| !rate.is_nan()))
            .map(|rate| f64::from(rate) >= WET_MM_H)
            .collect();
        let place_pictures = at_place.len();
        let wet = at_place.into_iter().filter(|wet| *wet).count();
        Some(BusySky {
            radius_km: busy.radius_km,
            wet_share: busy.wet_share,
            trend_per_hour: busy.trend_per_hour,
            trend: busy.trend(),
            gap_between_rain: busy.gap_between_rain,
            place_wet_share: (place_pictures >= PLACE_PICTURES_MIN)
                .then(|| wet as f64 / place_pictures as f64),
            place_pictures,
            source: radar.source.clone(),
            issued,
        })
    }

    /// The chance of `gap_min` dry minutes on end in a window that begins `lead_min` ahead, by the
    /// busyness alone; see [`busy_gap`].
    pub fn p_gap(
        &self,
        lead_min: f64,
        window_min: f64,
        gap_min: f64,
        character: Option<Character>,
    ) -> Option<Chance> {
        busy_gap(self.wet_share, self.trend_per_hour, lead_min, window_min, gap_min, character)
    }
}

/// At least this much is a wet moment, mm/h: what the radar's own chances count.
const WET_MM_H: f64 = 0.1;

fn minutes_before(earlier: Timestamp, later: Timestamp) -> f64 {
    later.duration_since(earlier).as_secs_f64() / 60.0
}

/// The share of the circle that is wet so many minutes ahead, by its trend: which fades, so that
/// nothing grows without end.
///
/// The range takes in the share as it is now, and the doubt that one point hours later may be wetter
/// or drier than its circle.
///
/// - `wet_share`: now, 0 to 1.
/// - `trend_per_hour`: its change an hour; `None` counts as none.
///
/// `None` for a share outside 0 to 1 or a number that is not one.
pub fn wet_share_ahead(
    wet_share: f64,
    trend_per_hour: Option<f64>,
    lead_min: f64,
) -> Option<Chance> {
    let trend_per_hour = trend_per_hour.unwrap_or(0.0);
    let is_sound = (0.0..=1.0).contains(&wet_share) && trend_per_hour.is_finite();
    if !is_sound || lead_min.is_nan() {
        return None;
    }
    let grown_min = TREND_LASTS_MIN * (1.0 - (-lead_min.max(0.0) / TREND_LASTS_MIN).exp());
    let ahead = (wet_share + trend_per_hour * grown_min / 60.0).clamp(0.0, 1.0);
    let chance = |p: f64| Some(Chance::certain(Probability::new(p)?));
    let mut range = chance(ahead)?;
    for share in [ahead, wet_share] {
        for odds in [ODDS_DOUBT, 1.0 / ODDS_DOUBT] {
            range = range.widened_to(&chance(share * odds / (1.0 - share + share * odds))?);
        }
    }
    Some(range.widened_to(&chance(ahead.max(BORN))?))
}

/// The chance of so many dry minutes on end in a window, from how busy the sky is now.
///
/// - `wet_share`: share of the circle around the place that is wet (at least 0.1 mm/h), 0 to 1.
/// - `trend_per_hour`: its change an hour; `None` where nobody knows.
/// - `lead_min`: how far ahead the window begins, minutes.
/// - `window_min`, `gap_min`: its length and the gap's, minutes; begun steps of five minutes at the
///   window's end don't count.
/// - `character`: showers leave gaps where steady rain leaves none; `None` holds both ways.
///
/// A wetter sky never makes a gap likelier; in a sky without rain it is certain, under one that is wet
/// all round there is none, as [`fairspell_chance::p_dry_gap`] has it at its ends.
///
/// `None` for a window shorter than the gap or longer than two days, and as for [`wet_share_ahead`].
///
/// # Examples
///
/// ```
/// use fairspell_chance::Character;
/// use fairspell_plan::leave::busy_gap;
///
/// // A fifth of the circle is wet with showers, three hours' drive away: one gap is all but sure.
/// let showers = busy_gap(0.2, None, 180.0, 150.0, 25.0, Some(Character::Showery)).expect("a window");
/// assert!(showers.centre.get() > 0.9);
/// // Under four fifths of steady rain it is not.
/// let steady = busy_gap(0.8, None, 180.0, 150.0, 25.0, Some(Character::Steady)).expect("a window");
/// assert!(steady.centre.get() < 0.5);
/// ```
///
/// # Source
///
/// Our own way of asking what is common practice: "what share of the circle was wet, how long were the
/// gaps, is it growing"; the spells are those of a five-minute record.
pub fn busy_gap(
    wet_share: f64,
    trend_per_hour: Option<f64>,
    lead_min: f64,
    window_min: f64,
    gap_min: f64,
    character: Option<Character>,
) -> Option<Chance> {
    let is_window = window_min >= gap_min && window_min <= spells::WINDOW_MAX_MIN;
    if !is_window || !gap_min.is_finite() {
        return None;
    }
    let gap_steps = whole(gap_min / spells::STEP_MIN, f64::ceil);
    let steps = whole(window_min / spells::STEP_MIN, f64::floor).max(gap_steps);
    let shares: Option<Vec<Chance>> = (0..steps)
        .map(|step| {
            let into_min = spells::STEP_MIN * (step as f64 + 0.5);
            wet_share_ahead(wet_share, trend_per_hour, lead_min + into_min)
        })
        .collect();
    let shares = shares?;
    let gap = |of: fn(&Chance) -> Probability, character| {
        let p_wet: Vec<Probability> = shares.iter().map(of).collect();
        p_dry_gap_from_steps(&p_wet, character, gap_steps).map(Chance::certain)
    };
    let by = |character| {
        let centre = gap(|share| share.centre, character)?;
        let (wetter, drier) =
            (gap(|share| share.high, character)?, gap(|share| share.low, character)?);
        Some(centre.widened_to(&wetter).widened_to(&drier))
    };
    if let Some(character) = character {
        return by(character);
    }
    let (showery, steady) = (by(Character::Showery)?, by(Character::Steady)?);
    Some(showery.blend(&steady, 0.5).widened_to(&showery).widened_to(&steady))
}

/// How much of a say the busyness has beside a forecast, for a window whose middle lies so far ahead.
///
/// Half of it as far as twice the radar's own reach, and then less and less, without a step.
pub fn busy_share(handover: Handover, lead_min: f64) -> f64 {
    SAY_MAX * handover.radar_share(lead_min / LASTS_LONGER)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a window of at most two days in steps of five minutes"
)]
fn whole(steps: f64, round: fn(f64) -> f64) -> usize {
    round(steps.max(0.0)) as usize
}
