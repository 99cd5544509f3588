//! What the hourly and the grid document of the US National Weather Service have in common.

use fairspell_chance::Probability;
use jiff::Timestamp;
use serde_json::Value;

use crate::{
    Remark, WeatherError,
    forecast::{Basis, RainStatement, Service},
    json,
    nws_periods::{Listed, periods_meant, runs},
};

/// When the forecast was made. The time at which the document was put together says nothing of that.
pub(crate) fn reference_time(
    what: &'static str,
    properties: &Value,
    remarks: &mut Vec<Remark>,
) -> Result<Timestamp, WeatherError> {
    json::time(properties, "updateTime", remarks)
        .or_else(|| json::time(properties, "updated", remarks))
        .ok_or(WeatherError::NothingUseful { what, missing: "time of update" })
}

/// Statements from figures listed for stretches of time: neighbours that are equal belong together,
/// and a stretch is then the periods that it was made from.
pub(crate) fn statements(
    listed: &[Listed<Option<Probability>>],
    service: Service,
    remarks: &mut Vec<Remark>,
) -> Vec<RainStatement> {
    let mut rain = Vec::new();
    for run in runs(listed) {
        let periods = if run.value.is_some() {
            periods_meant(run.from, run.to)
        } else {
            Remark::ChanceNotStated { from: run.from, to: run.to }.note(remarks);
            vec![(run.from, run.to)]
        };
        rain.extend(periods.into_iter().map(|(from, to)| RainStatement {
            from,
            to,
            p_rain: run.value,
            threshold_mm: service.threshold_mm(),
            basis: Basis::Stated,
            spread: None,
            amount: None,
        }));
    }
    rain
}
