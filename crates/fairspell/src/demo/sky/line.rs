//! A line of storms that sweeps over the town, with a broad wet rear.

use super::{WET_FROM_MM_H, at_knots, motion_km_min};

/// A storm line and its rear, moving as one.
#[derive(Debug, Clone, Copy)]
pub(in crate::demo) struct SquallLine {
    /// Where it comes from, degrees clockwise from north.
    pub(in crate::demo) from_direction_deg: f64,
    /// How fast, km/h.
    pub(in crate::demo) speed_km_h: f64,
    /// When its first drop falls in town, minutes of the local day.
    pub(in crate::demo) arrives_minute: f64,
    /// Rain in town, mm/h, by minutes since the arrival; outside the knots there is none.
    pub(in crate::demo) passage: &'static [(f64, f64)],
    /// Half its length, km.
    pub(in crate::demo) half_length_km: f64,
}

impl SquallLine {
    /// Rain at a point, mm/h.
    ///
    /// Along the line the front bends and its strength varies by a third; both vanish where the
    /// town lies, which gets exactly the stated passage.
    pub(in crate::demo) fn rain_rate_mm_h(&self, minute: f64, east_km: f64, north_km: f64) -> f64 {
        let (vx, vy) = motion_km_min(self.from_direction_deg, self.speed_km_h);
        let speed = vx.hypot(vy);
        let ahead_km = (east_km * vx + north_km * vy) / speed;
        let along_km = (east_km * vy - north_km * vx) / speed;
        let bend_km = 3.0 * (along_km / 9.0).sin() + 0.004 * along_km.powi(2);
        let since_min = minute - self.arrives_minute - (ahead_km + bend_km) / speed;
        let (Some(first), Some(last)) = (self.passage.first(), self.passage.last()) else {
            return 0.0;
        };
        if since_min < first.0 || since_min > last.0 {
            return 0.0;
        }
        let variation = 1.0 + 0.33 * (along_km / 4.5).sin() * (along_km / 31.0).cos();
        let end = ((self.half_length_km - along_km.abs()) / 15.0).clamp(0.0, 1.0);
        let rate = at_knots(self.passage, since_min) * variation * end;
        if rate < WET_FROM_MM_H { 0.0 } else { rate }
    }
}
