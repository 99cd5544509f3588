//! What radar says of one place: chances of rain and of dry gaps, onset, minute by minute.

use fairspell_chance::Probability;
use jiff::Timestamp;

use crate::advect::Position;
use crate::course::Course;
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
    /// A gap runs while the chance of rain is below a half; its ends lie where that chance passes a
    /// quarter, a half and three quarters. It ends with the minutes that are told.
    pub fn dry_gaps(&self, gap_min: f64) -> Vec<DryGap> {
        let minutes = self.minutes();
        let told: Vec<&Minute> =
            minutes.iter().take_while(|minute| minute.p_rain.is_some()).collect();
        let p = |index: usize| told[index].p_rain.map_or(1.0, Probability::get);
        // Away from the gap until the chance leaves a bound, or as far as is told.
        let outward = |from: usize, backward: bool, inside: &dyn Fn(f64) -> bool| {
            let mut index = from;
            loop {
                let next = if backward {
                    index.checked_sub(1)
                } else {
                    Some(index + 1).filter(|next| *next < told.len())
                };
                match next {
                    Some(next) if inside(p(next)) => index = next,
                    _ => return index,
                }
            }
        };
        let mut gaps = Vec::new();
        let mut index = 0;
        while index < told.len() {
            if p(index) >= 0.5 {
                index += 1;
                continue;
            }
            let (begin, end) = (index, outward(index, false, &|p| p < 0.5));
            index = end + 1;
            if ((end - begin) as f64) < gap_min {
                continue;
            }
            let driest = (begin..=end).min_by(|a, b| p(*a).total_cmp(&p(*b))).unwrap_or(begin);
            let narrow = |p: f64| p <= 0.25;
            let (latest_begin, earliest_end) = if narrow(p(driest)) {
                (outward(driest, true, &narrow), outward(driest, false, &narrow))
            } else {
                (driest, driest)
            };
            let wide = |p: f64| p < 0.75;
            let begins = Between {
                earliest: told[outward(begin, true, &wide)].time,
                likely: told[begin].time,
                latest: told[latest_begin].time,
            };
            let ends = Between {
                earliest: told[earliest_end].time,
                likely: told[end].time,
                latest: told[outward(end, false, &wide)].time,
            };
            if let Some(p_gap) = self.p_gap(begins.earliest, ends.latest, gap_min) {
                gaps.push(DryGap { begins, ends, p_gap });
            }
        }
        gaps
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
