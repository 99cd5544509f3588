//! What radar says of one place: chances of rain and of dry gaps, onset, minute by minute.

use fairspell_chance::Probability;
use jiff::Timestamp;

use crate::advect::Position;
use crate::ahead::Ahead;
use crate::busy::{Busyness, busyness};
use crate::course::Course;
use crate::ended_windows::{EndedWindow, ended_windows};
use crate::evenings::Evenings;
use crate::logistic::Predictors;
use crate::narrow::whole;
use crate::nowcast::{Nowcast, after, minutes};

/// Minutes ahead that are drawn.
pub const MINUTES_AHEAD: u32 = 180;

/// One minute ahead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Minute {
    /// The moment.
    pub time: Timestamp,
    /// Chance of at least 0.1 mm/h at this moment; `None` where the air that arrives then has not
    /// been measured.
    pub p_rain: Option<Probability>,
    /// Expected rain rate, mm/h: dry outcomes count as 0. `None` as for `p_rain`.
    pub rain_rate_mm_h: Option<f64>,
}

/// When the rain begins, should it rain within three hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Onset {
    /// One chance in ten that it has begun by then.
    pub p10: Timestamp,
    /// As likely before as after.
    pub p50: Timestamp,
    /// Nine chances in ten that it has begun by then.
    pub p90: Timestamp,
}

/// A moment and the doubt about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Between {
    /// Hardly before.
    pub earliest: Timestamp,
    /// Best guess.
    pub likely: Timestamp,
    /// Hardly after.
    pub latest: Timestamp,
}

/// A dry gap that is more likely than not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryGap {
    /// When it becomes dry.
    pub begins: Between,
    /// When it gets wet again, or the last minute that is told.
    pub ends: Between,
    /// Chance of the asked-for dry minutes on end between the earliest begin and the latest end.
    pub p_gap: Probability,
}

/// One place of a [`Nowcast`].
#[derive(Debug)]
pub struct Spot<'a> {
    nowcast: &'a Nowcast,
    course: Course<'a>,
}

/// A window in minutes since the newest picture.
struct Window {
    begin_min: f64,
    end_min: f64,
}

impl<'a> Spot<'a> {
    pub(crate) fn new(nowcast: &'a Nowcast, place: Position) -> Self {
        Spot { nowcast, course: Course::new(nowcast, place) }
    }

    /// Chance of at least 0.1 mm/h at any moment from `from` to `to`, both included.
    ///
    /// A window that has begun counts from the moment the nowcast was issued. A longer window
    /// never has a lower chance. `None` for a window that is over, ends before it begins, or lies
    /// beyond the horizon, and where less than half of the air that arrives in it was measured:
    /// let the forecast speak there.
    pub fn p_rain(&self, from: Timestamp, to: Timestamp) -> Option<Probability> {
        let window = self.window(from, to)?;
        self.course.p_rain(window.begin_min, window.end_min).map(Probability::clamped)
    }

    /// Chance of `gap_min` dry minutes on end from `from` to `to`.
    ///
    /// A longer window never has a lower chance, a longer gap never a higher one. `None` as for
    /// [`Spot::p_rain`], and when what is left of the window is shorter than the gap.
    pub fn p_gap(&self, from: Timestamp, to: Timestamp, gap_min: f64) -> Option<Probability> {
        let window = self.window(from, to)?;
        let p_gap = self.course.p_gap(window.begin_min, window.end_min, gap_min)?;
        Some(Probability::clamped(p_gap))
    }

    /// Every minute from the moment the nowcast was issued, [`MINUTES_AHEAD`] of them and the first.
    pub fn minutes(&self) -> Vec<Minute> {
        let minute = |ahead: u32| {
            let lead_min = self.nowcast.frame_age_min() + f64::from(ahead);
            let moment = self.course.moment(lead_min);
            Minute {
                time: after(self.nowcast.issued(), f64::from(ahead)),
                p_rain: moment.map(|moment| Probability::clamped(moment.p_rain)),
                rain_rate_mm_h: moment.map(|moment| moment.rain_rate_mm_h),
            }
        };
        (0..=MINUTES_AHEAD).map(minute).collect()
    }

    /// When rain sets in, given that it does within three hours.
    ///
    /// `None` when it rains already (the chance at the first minute is at least a half) and when it
    /// is more likely to stay dry for three hours.
    pub fn onset(&self) -> Option<Onset> {
        let age_min = self.nowcast.frame_age_min();
        let issued = self.nowcast.issued();
        let begun: Vec<(f64, f64)> = self
            .course
            .p_begun(age_min, age_min + f64::from(MINUTES_AHEAD))
            .into_iter()
            .map(|(lead_min, p)| (lead_min - age_min, p))
            .collect();
        let now = begun.first()?.1;
        let likely = begun.last()?.1;
        if now >= 0.5 || likely < 0.5 {
            return None;
        }
        let quantile = |share: f64| {
            let level = now + share * (likely - now);
            let after_it = begun.iter().position(|(_, p)| *p >= level).unwrap_or(begun.len() - 1);
            let (later_min, later) = begun[after_it];
            let (earlier_min, earlier) = begun[after_it.saturating_sub(1)];
            let rest = if later > earlier { (level - earlier) / (later - earlier) } else { 1.0 };
            after(issued, earlier_min + (later_min - earlier_min) * rest)
        };
        Some(Onset { p10: quantile(0.1), p50: quantile(0.5), p90: quantile(0.9) })
    }

    /// Dry gaps of at least `gap_min` minutes that are more likely than not, in order, for drawing.
    ///
    /// A gap begins where the chance of rain falls below a half, and ends where rain is as likely as
    /// not to have begun since: among showers that is long before the chance of any one minute
    /// reaches a half. The doubt about its beginning runs from three quarters to a quarter, that
    /// about its end from one chance in four to three in four. After its end nothing is known of
    /// where the next one lies until rain is likely again. It ends with the minutes that are told.
    pub fn dry_gaps(&self, gap_min: f64) -> Vec<DryGap> {
        let minutes = self.minutes();
        let told: Vec<f64> =
            minutes.iter().map_while(|minute| minute.p_rain.map(Probability::get)).collect();
        let mut gaps = Vec::new();
        let mut index = 0;
        while index < told.len() {
            let begin = index;
            let wet_again =
                told[begin..].iter().position(|p| *p >= 0.5).map_or(told.len(), |n| begin + n);
            index = wet_again.max(begin + 1);
            if wet_again == begin {
                continue;
            }
            let last = wet_again - 1;
            let [earliest_end, end, latest_end] =
                [0.25, 0.5, 0.75].map(|share| self.rain_begun(begin, last, share));
            if ((end - begin) as f64) < gap_min {
                continue;
            }
            let wetter = told[..begin].iter().rposition(|p| *p >= 0.75);
            let drier = told[begin..=end].iter().position(|p| *p <= 0.25);
            let time = |index: usize| minutes[index].time;
            let begins = Between {
                earliest: time(wetter.map_or(0, |n| n + 1)),
                likely: time(begin),
                latest: time(begin + drier.unwrap_or(end - begin)),
            };
            let ends = Between {
                earliest: time(earliest_end.max(begin)),
                likely: time(end),
                latest: time(latest_end),
            };
            if let Some(p_gap) = self.p_gap(begins.earliest, ends.latest, gap_min) {
                gaps.push(DryGap { begins, ends, p_gap });
            }
        }
        gaps
    }

    /// Plausible evenings: whole courses of rain that agree with these chances.
    ///
    /// `None` where the air that arrives now or next was not measured, and where the newest picture
    /// is so old that nothing is told.
    pub fn evenings(&self) -> Option<Evenings> {
        Evenings::new(self.nowcast, &self.course)
    }

    /// The hours ahead as a whole, gaps of `gap_min` minutes first. `None` as for
    /// [`evenings`](Self::evenings), in which the figures are counted that are not stated.
    pub fn ahead(&self, gap_min: f64) -> Option<Ahead> {
        Some(Ahead::new(self, &self.evenings()?, gap_min))
    }

    /// How busy the sky is within `radius_km`, whether it is growing, and the gaps in what comes.
    ///
    /// `None` when less than half of that circle is measured.
    pub fn busyness(&self, radius_km: f64) -> Option<Busyness> {
        busyness(self.nowcast, &self.course, radius_km)
    }

    /// Hours that are over by the newest picture, at the record's points within `within_km`: what was
    /// said of rain in them and whether it came, to be held against what others had said.
    ///
    /// In order of the pictures they were asked at; empty for a nowcast that no record corrects. The
    /// points lie some 18 km apart. See [`Nowcast::corrected_by`].
    pub fn ended_windows(&self, within_km: f64) -> Vec<EndedWindow> {
        ended_windows(self.nowcast, self.course.place, within_km)
    }

    /// What the chances of a window are read from, for refitting the formulas behind them.
    ///
    /// The formulas' values for the whole window: [`Spot::p_rain`] and [`Spot::p_gap`] take the windows
    /// within it, its two ends and the correction into account too. `gap_min` as for
    /// [`Spot::p_gap`]. `None` for a window that is over, ends before it begins, lies beyond the
    /// horizon or has no step of the series in it; at a single step some values are infinite.
    pub fn predictors(&self, from: Timestamp, to: Timestamp, gap_min: f64) -> Option<Predictors> {
        let window = self.window(from, to)?;
        self.course.predictors(window.begin_min, window.end_min, gap_min)
    }

    /// The first minute after `begin`, `last` at the most, by which rain has begun with that chance,
    /// given that it is dry at `begin`.
    fn rain_begun(&self, begin: usize, last: usize, share: f64) -> usize {
        let lead_min = |index: usize| self.nowcast.frame_age_min() + index as f64;
        let begun = self.course.p_begun(lead_min(begin), lead_min(last));
        let Some((_, wet_already)) = begun.first().copied() else { return last };
        let level = wet_already + share * (1.0 - wet_already);
        begun
            .iter()
            .find(|(_, p)| *p >= level)
            .map_or(last, |(lead, _)| whole(lead - lead_min(0)).clamp(begin, last))
    }

    /// What is left of a window; `None` when that is nothing, or more than can be told.
    fn window(&self, from: Timestamp, to: Timestamp) -> Option<Window> {
        let begin = from.max(self.nowcast.issued());
        if from > to || to < begin {
            return None;
        }
        let end_min = minutes(self.nowcast.valid_time(), to);
        let begin_min = minutes(self.nowcast.valid_time(), begin);
        (end_min <= self.course.horizon_min()).then_some(Window { begin_min, end_min })
    }
}
