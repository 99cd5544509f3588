//! How the air feels: heat index, wind chill and the Beaufort number.
//!
//! None of these is a medical limit. Children, older relatives, people in gowns and whoever carries
//! the gear are worse off than the walker whom the formulas have in mind.

/// Heat index: the air temperature, in °C, that would feel the same in ordinary humidity.
///
/// In shade and light wind; full sun adds up to 8 °C. We use it to say when an evening is too hot
/// for a family, and compare it with the studio's heat limit through [`felt_c`].
///
/// - `air_temperature_c`: dry-bulb temperature, °C.
/// - `relative_humidity`: 0..=1.
///
/// In mild air the number is close to the air temperature and may lie below it. Returns `None` for
/// an input that is not finite, a humidity outside 0..=1, or a temperature outside -40 to 60 °C,
/// where the formula was never meant to be used. Show the air temperature there.
///
/// # Examples
///
/// ```
/// use fairspell_weather::comfort::heat_index_c;
///
/// // 32 °C at 70 % on a marsh feels like 41 °C.
/// let felt_c = heat_index_c(32.2, 0.7).expect("within the index's range");
/// assert_eq!(felt_c.round(), 41.0);
///
/// assert_eq!(heat_index_c(32.2, 70.0), None); // humidity given in per cent
/// ```
///
/// # Source
///
/// US National Weather Service: Rothfusz, "The heat index equation", Southern Region Technical
/// Attachment SR 90-23 (1990), with the service's two adjustments and its simple form below 80 °F.
/// Stated error of the regression: 1.3 °F.
pub fn heat_index_c(air_temperature_c: f64, relative_humidity: f64) -> Option<f64> {
    if !(-40.0..=60.0).contains(&air_temperature_c) || !(0.0..=1.0).contains(&relative_humidity) {
        return None;
    }
    let t = fahrenheit(air_temperature_c);
    let r = relative_humidity * 100.0;
    let simple = 0.5 * (t + 61.0 + 1.2 * (t - 68.0) + 0.094 * r);
    let simple = f64::midpoint(simple, t);
    if simple < 80.0 {
        return Some(celsius(simple));
    }
    let regression = -42.379 + 2.04901523 * t + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t * t
        - 0.05481717 * r * r
        + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r
        - 0.00000199 * t * t * r * r;
    let adjustment = if r < 13.0 && (80.0..=112.0).contains(&t) {
        -((13.0 - r) / 4.0) * ((17.0 - (t - 95.0).abs()) / 17.0).sqrt()
    } else if r > 85.0 && (80.0..=87.0).contains(&t) {
        ((r - 85.0) / 10.0) * ((87.0 - t) / 5.0)
    } else {
        0.0
    };
    Some(celsius(regression + adjustment))
}

/// Wind chill: the air temperature, in °C, that would feel the same with next to no wind.
///
/// For bare skin at face height, at walking pace, without sun. We use it to say how long a family
/// can stand still at a windy spot.
///
/// - `air_temperature_c`: dry-bulb temperature, °C.
/// - `wind_speed_km_h`: mean wind at 10 m, km/h. The index already allows for the weaker wind at
///   face height; pass neither a reduced wind nor a gust.
///
/// Returns `None` where the index is not defined: above 10 °C, below 4.8 km/h, or for an input that
/// is not finite. Show the air temperature there.
///
/// # Examples
///
/// ```
/// use fairspell_weather::comfort::wind_chill_c;
///
/// // 2 °C and 40 km/h on an open beach feels like -5 °C.
/// let felt_c = wind_chill_c(2.0, 40.0).expect("within the index's range");
/// assert_eq!(felt_c.round(), -5.0);
///
/// // A mild evening is outside the index, whatever the wind.
/// assert_eq!(wind_chill_c(18.0, 40.0), None);
/// ```
///
/// # Source
///
/// "The new wind chill equivalent temperature chart", Bull. Amer. Meteor. Soc. 86 (2005), 1453-1458;
/// coefficients for °C and km/h.
pub fn wind_chill_c(air_temperature_c: f64, wind_speed_km_h: f64) -> Option<f64> {
    let finite = air_temperature_c.is_finite() && wind_speed_km_h.is_finite();
    if !finite || air_temperature_c > 10.0 || wind_speed_km_h < 4.8 {
        return None;
    }
    let v = wind_speed_km_h.powf(0.16);
    Some(13.12 + 0.6215 * air_temperature_c - 11.37 * v + 0.3965 * air_temperature_c * v)
}

/// The larger of air temperature and heat index, °C: what a heat limit is held against.
///
/// Without a humidity, or outside the index's range, it is the air temperature.
///
/// - `air_temperature_c`: dry-bulb temperature, °C.
/// - `relative_humidity`: 0..=1 where it is known.
///
/// # Examples
///
/// ```
/// use fairspell_weather::comfort::felt_c;
///
/// assert_eq!(felt_c(38.0, Some(0.08)), 38.0); // desert air: the thermometer is the larger
/// assert_eq!(felt_c(32.2, Some(0.7)).round(), 41.0);
/// assert_eq!(felt_c(32.2, None), 32.2);
/// ```
///
/// # Source
///
/// Our choice: in dry heat the index lies below the thermometer, and a limit should not be missed
/// for that.
pub fn felt_c(air_temperature_c: f64, relative_humidity: Option<f64>) -> f64 {
    relative_humidity
        .and_then(|humidity| heat_index_c(air_temperature_c, humidity))
        .map_or(air_temperature_c, |index_c| index_c.max(air_temperature_c))
}

/// Beaufort number of a mean wind, 0 to 12.
///
/// At 4 loose hair and small reflectors are a nuisance; 5 to 6 ends the use of stands.
///
/// - `wind_speed_km_h`: mean wind at 10 m, km/h.
///
/// Returns `None` for a speed that is negative or not finite.
///
/// # Examples
///
/// ```
/// use fairspell_weather::comfort::beaufort;
///
/// assert_eq!(beaufort(33.7), Some(5)); // 18.2 knots: small leafy trees sway
/// ```
///
/// # Source
///
/// World Meteorological Organization, Manual on Codes (WMO-No. 306), code table 1100: the bands'
/// lower limits in whole knots, a speed between two bands belonging to the lower one.
pub fn beaufort(wind_speed_km_h: f64) -> Option<u8> {
    const LOWER_LIMITS_KNOTS: [f64; 12] =
        [1.0, 4.0, 7.0, 11.0, 17.0, 22.0, 28.0, 34.0, 41.0, 48.0, 56.0, 64.0];
    if !wind_speed_km_h.is_finite() || wind_speed_km_h < 0.0 {
        return None;
    }
    let knots = wind_speed_km_h / 1.852;
    (0u8..)
        .zip(LOWER_LIMITS_KNOTS)
        .find(|(_, limit)| knots < *limit)
        .map_or(Some(12), |(number, _)| Some(number))
}

fn fahrenheit(celsius: f64) -> f64 {
    celsius * 1.8 + 32.0
}

fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}
