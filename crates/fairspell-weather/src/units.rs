//! From the units that services write to ours.

/// What a number measures; each has one unit of ours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quantity {
    /// °C
    Temperature,
    /// 0..=1
    Fraction,
    /// km/h
    Speed,
    /// Degrees
    Direction,
    /// mm
    Amount,
}

/// A number that cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unusable {
    /// We do not know the unit.
    Unit,
    /// It is outside what is possible on earth.
    Value,
}

/// A number in our unit for its quantity.
///
/// Units are written bare (`celsius`, `m/s`) or as WMO codes (`wmoUnit:km_h-1`, `unit:degC`).
pub(crate) fn convert(quantity: Quantity, value: f64, unit: &str) -> Result<f64, Unusable> {
    let bare = unit.rsplit_once(':').map_or(unit, |(_, code)| code);
    let (ours, possible) = match quantity {
        Quantity::Temperature => {
            let celsius = match bare {
                "degC" | "celsius" | "C" => value,
                "degF" | "fahrenheit" | "F" => (value - 32.0) / 1.8,
                "K" | "kelvin" => value - 273.15,
                _ => return Err(Unusable::Unit),
            };
            (celsius, -100.0..=70.0)
        }
        Quantity::Fraction => {
            let fraction = match bare {
                "percent" | "%" => value / 100.0,
                "1" => value,
                _ => return Err(Unusable::Unit),
            };
            (fraction, 0.0..=1.0)
        }
        Quantity::Speed => {
            let km_h = match bare {
                "km_h-1" | "km/h" | "kph" => value,
                "m_s-1" | "m/s" => value * 3.6,
                "mph" | "mi_h-1" => value * 1.609344,
                "kt" | "kn" | "kts" | "knots" => value * 1.852,
                _ => return Err(Unusable::Unit),
            };
            (km_h, 0.0..=500.0)
        }
        Quantity::Direction => match bare {
            "degree_(angle)" | "degrees" | "degree" => (value, 0.0..=360.0),
            _ => return Err(Unusable::Unit),
        },
        Quantity::Amount => {
            let mm = match bare {
                "mm" | "kg_m-2" | "kg/m2" => value,
                "cm" => value * 10.0,
                "m" => value * 1000.0,
                "in" | "inch" => value * 25.4,
                _ => return Err(Unusable::Unit),
            };
            (mm, 0.0..=2000.0)
        }
    };
    possible.contains(&ours).then_some(ours).ok_or(Unusable::Value)
}
