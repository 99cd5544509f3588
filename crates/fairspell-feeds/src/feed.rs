//! One source of readings: whose, where from, how often.

use std::path::PathBuf;

use fairspell_ground::LatLon;
use fairspell_studio::outlook::SourceKind;
use serde::{Deserialize, Serialize};

/// One source of readings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Feed {
    /// What it is called in files: small letters, digits and hyphens; each feed its own.
    pub id: String,
    /// What it brings.
    pub kind: SourceKind,
    /// Whose readings they are, as people are told.
    pub source: String,
    /// Where they come from.
    pub from: From,
    /// How often it is asked at the most, minutes.
    pub every_min: u32,
    /// The kind of document asked for (the `Accept` field), where the service wants that said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accept: Option<String>,
    /// Decimals of the coordinates that the service is told: its terms, or its redirects, bound them.
    #[serde(default = "four")]
    pub decimals: u8,
    /// The feed that this one stands in for, by id: it is asked only while that one does not cover
    /// the place or fails again and again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stands_in_for: Option<String>,
}

/// Where readings come from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum From {
    /// An address, with `{lat}` and `{lon}` where the place goes.
    Web(String),
    /// An address whose answer, JSON, names the address of the reading.
    Through {
        /// The first address, with `{lat}` and `{lon}` where the place goes.
        address: String,
        /// The member of the answer's `properties` that names the second.
        property: String,
    },
    /// A folder into which another program puts files.
    Folder(PathBuf),
}

fn four() -> u8 {
    4
}

/// The folder of a kind of reading, within the folder of readings.
pub(crate) fn folder_of(kind: SourceKind) -> &'static str {
    match kind {
        SourceKind::Forecast => "forecasts",
        SourceKind::Warnings => "warnings",
        SourceKind::Radar => "radar",
    }
}

/// Puts a place into an address, its coordinates cut (not rounded) to so many decimals.
///
/// Zeros at the end are left out: a service may redirect for them.
///
/// # Examples
///
/// ```
/// use fairspell_feeds::feed::address_for;
/// use fairspell_ground::LatLon;
///
/// let place = LatLon::new(29.93219, -81.3)?;
/// let address = address_for("https://weather.example/points/{lat},{lon}", place, 4);
/// assert_eq!(address, "https://weather.example/points/29.9321,-81.3");
/// # Ok::<(), fairspell_ground::GroundError>(())
/// ```
pub fn address_for(template: &str, place: LatLon, decimals: u8) -> String {
    template
        .replace("{lat}", &cut(place.lat_deg(), decimals))
        .replace("{lon}", &cut(place.lon_deg(), decimals))
}

/// A number cut to some decimals. Ten decimals are a hundredth of a millimetre: there the digits
/// that binary fractions add are rounded away first.
fn cut(degrees: f64, decimals: u8) -> String {
    let full = format!("{degrees:.10}");
    let point = full.find('.').unwrap_or(full.len());
    let end = (point + 1 + usize::from(decimals)).min(full.len());
    let short = full[..end].trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
