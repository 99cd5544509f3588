//! How far ahead radar tells more than a forecast would, from windows that have ended.
//!
//! Skill is what a forecaster's squared errors fall short of those of somebody who knows only how
//! often it came, as a share of these. It fades with the lead, `s = s0 exp(-t / T)`; both numbers are
//! found from the windows that have ended, by least squares on the logarithm, with priors that stand
//! where few have.
//!
//! # Source
//!
//! Skill against the sample's own frequency: A. Murphy, J. Appl. Meteor. 12 (1973), 595. Rain in
//! windows of the three open events, middles 15 to 120 minutes ahead: 0.86 to 0.57 (Finland), 0.75 to
//! 0.56 (Europe), 0.74 to 0.63 within a quarter of an hour (United States). The priors are the
//! middle of these.

use crate::correction::Ended;
use crate::logistic::chance;

/// The skill of an hourly forecast of rain on a day with rain about: our choice, from memory of
/// published scores of 0.2 to 0.35.
const FORECAST_SKILL: f64 = 0.3;

/// Where skill is thought to reach that before anything has been measured, minutes.
const USUALLY_UNTIL_MIN: f64 = 180.0;

/// Skill now before anything is known, and how far off the logarithm may be.
const SKILL_NOW: f64 = 0.88;
const SKILL_NOW_SD: f64 = 0.15;

/// How far off the rate of fading may be, 1/min.
const FADING_SD: f64 = 0.003;

/// How far off one ended window's logarithm of skill may be.
const WINDOW_SD: f64 = 0.3;

/// Below this skill counts as this: its logarithm would say too much.
const SKILL_MIN: f64 = 0.05;

/// Where it came this seldom or this often nobody can show skill: the least variance of what came.
const VARIANCE_MIN: f64 = 0.01;

/// The lead at which the windows' skill falls to a forecast's, minutes.
pub(crate) fn until_min(ended: &[Ended<'_>]) -> f64 {
    let skills = ended.iter().filter_map(|window| {
        let skill = skill(window)?.max(SKILL_MIN);
        Some((window.middle_min, skill.ln(), window.fading()))
    });
    let usual_fading = (SKILL_NOW / FORECAST_SKILL).ln() / USUALLY_UNTIL_MIN;
    // Least squares of `now - fading * lead`, the priors as two more equations.
    let (prior_now, prior_fading) = (SKILL_NOW_SD.powi(-2), FADING_SD.powi(-2));
    let mut matrix = [prior_now, 0.0, prior_fading];
    let mut right = [prior_now * SKILL_NOW.ln(), prior_fading * usual_fading];
    for (lead_min, log_skill, fading) in skills {
        let weight = fading / WINDOW_SD.powi(2);
        matrix[0] += weight;
        matrix[1] -= weight * lead_min;
        matrix[2] += weight * lead_min * lead_min;
        right[0] += weight * log_skill;
        right[1] -= weight * lead_min * log_skill;
    }
    let [aa, ab, bb] = matrix;
    let determinant = aa * bb - ab * ab;
    let now = (bb * right[0] - ab * right[1]) / determinant;
    let fading = (aa * right[1] - ab * right[0]) / determinant;
    let lost = now - FORECAST_SKILL.ln();
    // Skill that is below a forecast's at once never falls to it, whatever it does later.
    match lost > 0.0 {
        true if fading > 0.0 => lost / fading,
        true => f64::INFINITY,
        false => 0.0,
    }
}

/// The skill shown in one window; `None` where nobody could have shown any.
fn skill(window: &Ended<'_>) -> Option<f64> {
    let (mut count, mut came_count, mut squared) = (0.0, 0.0, 0.0);
    for (_, log_odds, came) in window.cases() {
        count += 1.0;
        came_count += came;
        squared += (chance(log_odds) - came).powi(2);
    }
    let often: f64 = came_count / count;
    let variance = often * (1.0 - often);
    (variance >= VARIANCE_MIN).then(|| 1.0 - squared / count / variance)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Windows in which half the points were wet, and what was said misses by so much log-odds.
    fn windows(came: &[Option<bool>], said: impl Fn(f64) -> f32) -> Vec<Ended<'_>> {
        let window = |middle_min: f64| Ended {
            middle_min,
            age_min: 0.0,
            log_odds: came
                .iter()
                .map(|came| if *came == Some(true) { said(middle_min) } else { -said(middle_min) })
                .collect(),
            came,
        };
        (0..10).flat_map(|_| [15.0, 30.0, 60.0, 75.0, 120.0]).map(window).collect()
    }

    #[test]
    fn without_windows_radar_lasts_three_hours() {
        assert!((until_min(&[]) - USUALLY_UNTIL_MIN).abs() < 1e-9);
        // A sky without any rain shows nothing either.
        let dry = [Some(false); 50];
        let said = windows(&dry, |_| 3.0);
        assert!((until_min(&said) - USUALLY_UNTIL_MIN).abs() < 1e-9);
    }

    #[test]
    fn radar_that_is_worse_at_once_does_not_last_because_it_fades_no_further() {
        let came: Vec<Option<bool>> = (0..100).map(|point| Some(point % 2 == 0)).collect();
        // No better than how often it comes, and hardly better two hours ahead.
        let said = windows(&came, |middle_min| if middle_min < 100.0 { 0.05 } else { 0.3 });
        let many: Vec<Ended<'_>> = (0..20)
            .flat_map(|_| said.iter())
            .map(|window| Ended { log_odds: window.log_odds.clone(), ..*window })
            .collect();
        let until_min = until_min(&many);
        assert!(until_min < 1e-9, "{until_min}");
    }

    #[test]
    fn the_lead_is_where_known_skill_reaches_a_forecasts() {
        let came: Vec<Option<bool>> = (0..100).map(|point| Some(point % 2 == 0)).collect();
        // Said with p for what came: skill is 1 - 4 (1 - p)^2. Let it be exp(-t / 50): 0.3 at 60 min.
        let log_odds = |middle_min: f64| {
            let miss = (1.0 - (-middle_min / 50.0).exp()).sqrt() / 2.0;
            crate::narrow::single(((1.0 - miss) / miss).ln())
        };
        let quick = until_min(&windows(&came, log_odds));
        assert!((quick - 60.2).abs() < 8.0, "{quick}");
        let lasting = until_min(&windows(&came, |_| 4.0));
        assert!(lasting > 400.0, "{lasting}");
        // Ten windows of each length, but long ago, say less.
        let mut old = windows(&came, log_odds);
        for window in &mut old {
            window.age_min = 1200.0;
        }
        assert!(
            (quick + 20.0..USUALLY_UNTIL_MIN).contains(&until_min(&old)),
            "{}",
            until_min(&old)
        );
    }
}
