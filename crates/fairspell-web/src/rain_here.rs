//! What the radar tells of a session's place for the next hours, in words.

use fairspell_chance::Probability;
use fairspell_nowcast::{Ahead, Busyness, Spread, Trend, Turn};
use fairspell_plan::{SeenRadar, outlook::BUSY_RADIUS_KM};
use fairspell_words::{RainAhead, SkyAround, SkyTrend, rain_here};

use crate::drawing::{Drawn, place};

/// The lines, gaps first; none where the radar does not see the place.
pub(crate) fn rain_here_lines(drawn: Drawn<'_>, seen: &SeenRadar) -> Vec<String> {
    let gap_min = f64::from(drawn.studio.policy.rescue_set_min);
    let (position, _) = place(drawn);
    let Ok(spot) = seen.nowcast.at(position) else { return Vec::new() };
    let Some(ahead) = spot.ahead(gap_min) else { return Vec::new() };
    let sky =
        sky_around(seen.nowcast.wet_share(position, BUSY_RADIUS_KM), spot.busyness(BUSY_RADIUS_KM));
    let issued = seen.nowcast.issued();
    rain_here(&rain_ahead(&ahead), gap_min, &sky, issued, drawn.zone.to_offset(issued))
}

fn rain_ahead(ahead: &Ahead) -> RainAhead {
    let p = |p: Option<Probability>| p.map(Probability::get);
    let turn = |turn: Turn| {
        let when = turn.when;
        (turn.p.get(), [when.earliest, when.likely, when.latest])
    };
    RainAhead {
        until: ahead.until,
        p_gap: p(ahead.p_gap),
        best_start: ahead.best_start.map(|best| (best.time, best.p_dry.get())),
        longest_gap_min: ahead.longest_gap.map(three_minutes),
        rain_now: p(ahead.rain_now),
        begins: ahead.begins.map(turn),
        ends: ahead.ends.map(turn),
        wet_min: ahead.wet_minutes.map(three_minutes),
        p_at_least: ahead.p_at_least.map(p),
    }
}

fn sky_around(wet_share: Option<f64>, busyness: Option<Busyness>) -> SkyAround {
    let trend = |trend: Trend| match trend {
        Trend::Growing => SkyTrend::Growing,
        Trend::Steady => SkyTrend::Steady,
        Trend::Shrinking => SkyTrend::Shrinking,
    };
    SkyAround {
        radius_km: BUSY_RADIUS_KM,
        wet_share,
        trend: busyness.and_then(|sky| sky.trend()).map(trend),
        trend_per_hour: busyness.and_then(|sky| sky.trend_per_hour),
        gap_between_min: busyness.and_then(|sky| sky.gap_between_rain).map(three_minutes),
    }
}

/// Rare rounding below zero is none.
fn three_minutes(spread: Spread) -> [f64; 3] {
    [spread.p10_min, spread.p50_min, spread.p90_min].map(|min| min.max(0.0))
}
