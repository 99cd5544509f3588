//! Which variable of a file is the rain rate, and in what unit.

use netcdf_reader::{NcFile, NcType, NcVariable};

use super::{damaged, text};
use crate::{RadarError, RadarRemark};

/// CF standard names of what falls on a dress, by hour or second.
const RAIN_NAMES: [&str; 4] =
    ["rainfall_rate", "lwe_precipitation_rate", "precipitation_flux", "rainfall_flux"];

/// The rain rate variable, and how many mm/h one of its units is.
pub(super) fn find<'f>(
    file: &'f NcFile,
    remarks: &mut Vec<RadarRemark>,
) -> Result<(&'f NcVariable, f64), RadarError> {
    let variables = file.variables().map_err(damaged)?;
    let fields: Vec<&NcVariable> = variables.iter().filter(|field| is_field(field)).collect();

    let named = |field: &&&NcVariable| {
        text(field, "standard_name").is_some_and(|name| RAIN_NAMES.contains(&name.as_str()))
    };
    let by_name: Vec<&NcVariable> = fields.iter().filter(named).copied().collect();
    if let Some(&chosen) = by_name.first() {
        let unit = text(chosen, "units").unwrap_or_default();
        let mm_h_per_unit = mm_h_per_unit(&unit).ok_or_else(|| RadarError::Quantity {
            expected: "rain rate in mm h-1, m s-1 or kg m-2 s-1",
            found: format!("`{}` in `{unit}`", chosen.name()),
        })?;
        remark_others(&by_name, remarks);
        return Ok((chosen, mm_h_per_unit));
    }

    // Without a name the unit has to do: but m s-1 is wind as well, so a variable that has another
    // name is never taken, and one that is called rain goes first.
    let by_unit: Vec<&NcVariable> = fields
        .iter()
        .filter(|field| text(field, "standard_name").is_none())
        .filter(|field| text(field, "units").as_deref().and_then(mm_h_per_unit).is_some())
        .copied()
        .collect();
    let called_rain: Vec<&NcVariable> =
        by_unit.iter().filter(|field| is_called_rain(field)).copied().collect();
    let candidates = if called_rain.is_empty() { by_unit } else { called_rain };
    let Some(&chosen) = candidates.first() else {
        let found = fields.iter().map(|field| {
            format!("`{}` in `{}`", field.name(), text(field, "units").unwrap_or_default())
        });
        let found: Vec<String> = found.collect();
        return Err(RadarError::Quantity {
            expected: "a rain rate",
            found: if found.is_empty() { "no field".to_owned() } else { found.join(", ") },
        });
    };
    let unit = text(chosen, "units").unwrap_or_default();
    let Some(mm_h_per_unit) = mm_h_per_unit(&unit) else {
        return Err(RadarError::Missing("unit of the rain rate".to_owned()));
    };
    if !is_called_rain(chosen) {
        remarks.push(RadarRemark::ChosenByUnit { variable: chosen.name().to_owned(), unit });
    }
    remark_others(&candidates, remarks);
    Ok((chosen, mm_h_per_unit))
}

/// Numbers on at least two axes.
fn is_field(variable: &NcVariable) -> bool {
    let numeric = !matches!(variable.dtype(), NcType::Char | NcType::String)
        && variable.dtype().is_primitive();
    numeric && variable.ndim() >= 2
}

fn is_called_rain(variable: &NcVariable) -> bool {
    let long_name = text(variable, "long_name").unwrap_or_default();
    let called = format!("{} {long_name}", variable.name()).to_lowercase();
    ["rain", "precip"].iter().any(|word| called.contains(word))
}

fn remark_others(candidates: &[&NcVariable], remarks: &mut Vec<RadarRemark>) {
    if let [chosen, others @ ..] = candidates
        && !others.is_empty()
    {
        remarks.push(RadarRemark::SeveralCandidates {
            chosen: chosen.name().to_owned(),
            others: others.iter().map(|other| other.name().to_owned()).collect(),
        });
    }
}

/// How many mm/h one of a unit is; `None` for a unit that is no rain rate.
///
/// A kilogram of water on a square metre stands a millimetre high.
fn mm_h_per_unit(unit: &str) -> Option<f64> {
    let mut plain = unit.to_lowercase();
    plain.retain(|c| !matches!(c, ' ' | '.' | '^' | '*' | '(' | ')'));
    let plain = plain.replace("hours", "h").replace("hour", "h").replace("hr", "h");
    match plain.as_str() {
        "mmh-1" | "mm/h" | "kgm-2h-1" | "kg/m2/h" => Some(1.0),
        "mms-1" | "mm/s" | "kgm-2s-1" | "kg/m2/s" | "kg/m2s" => Some(3600.0),
        "ms-1" | "m/s" => Some(3.6e6),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rain_rate_is_known_in_every_usual_spelling_and_nothing_else_is() {
        for unit in ["mm h-1", "mm/h", "mm/hr", "mm hr^-1", "mm.h-1", "mm hour-1", "mm h**-1"] {
            assert_eq!(mm_h_per_unit(unit), Some(1.0), "{unit}");
        }
        for unit in ["kg m-2 s-1", "kg/m2/s", "kg/(m2 s)", "kg m^-2 s^-1", "mm s-1"] {
            assert_eq!(mm_h_per_unit(unit), Some(3600.0), "{unit}");
        }
        assert_eq!(mm_h_per_unit("m s-1"), Some(3.6e6));
        for unit in ["mm", "dBZ", "", "kg m-2", "K", "m", "h"] {
            assert_eq!(mm_h_per_unit(unit), None, "{unit}");
        }
    }
}
