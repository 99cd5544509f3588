//! Where the weather radars stand, as the owner lists them, and how high they look over a place.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use clap::Args;
use csv::StringRecord;
use fairspell_ground::LatLon;
use fairspell_nowcast::{
    Beam, RadarSite,
    beam::{LOWEST_ELEVATION_DEG, beam_above_antenna},
};
use fairspell_words::{BeamTold, beam_line};
use serde::Serialize;

/// How far a radar is used where the list does not say, km: as far as most composites go.
const RANGE_KM: f64 = 250.0;

/// What every list has; `antenna_height_m` and `max_range_km` may follow.
const NEEDED: [&str; 3] = ["name", "lat", "lon"];

/// What is known of the radars.
#[derive(Args)]
pub(crate) struct RadarSiteArguments {
    /// Where the radars stand: a CSV file with the header `name,lat,lon` and, if known,
    /// `antenna_height_m` (above sea level) and `max_range_km` (250 when left out). Tells how high the
    /// nearest looks over the place, and what low rain it may miss
    #[arg(long, value_name = "CSV")]
    radar_sites: Option<PathBuf>,
    /// Where the radars are not known: how far from one a place of the picture can be at most, km
    #[arg(long, value_name = "KM", conflicts_with = "radar_sites")]
    radar_range: Option<f64>,
}

/// The radars, or how far from one a place can be.
pub(crate) enum Radars {
    Unknown,
    Sites(Vec<NamedSite>),
    Within(Beam),
}

pub(crate) struct NamedSite {
    name: String,
    site: RadarSite,
    /// The list says how high the antenna is.
    above_sea: bool,
}

/// The lowest beam over a place; its keys are stable.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct BeamReport {
    nearest_radar: Option<String>,
    distance_km: f64,
    height_m: f64,
    lower_edge_m: f64,
    above: &'static str,
}

impl RadarSiteArguments {
    /// Reads the list.
    pub(crate) fn radars(&self) -> Result<Radars> {
        if let Some(file) = &self.radar_sites {
            return Ok(Radars::Sites(read(file)?));
        }
        let Some(range_km) = self.radar_range else { return Ok(Radars::Unknown) };
        let at_worst = beam_above_antenna(range_km, LOWEST_ELEVATION_DEG);
        at_worst
            .map(Radars::Within)
            .with_context(|| format!("no radar reaches {range_km} km; expected 0 to 1000"))
    }
}

impl Radars {
    /// The lowest beam over a place, or why it is not known.
    ///
    /// Of several radars the one whose beam is lowest, since composites take the lowest: mostly the
    /// nearest.
    pub(crate) fn beam_at(&self, place: LatLon) -> Result<BeamReport, &'static str> {
        let sites = match self {
            Radars::Unknown => return Err("no radar sites given"),
            Radars::Within(beam) => return Ok(beam_report(None, *beam, false)),
            Radars::Sites(sites) => sites,
        };
        sites
            .iter()
            .filter_map(|named| Some((named, named.site.beam_at(place)?)))
            .min_by(|(_, a), (_, b)| a.centre_height_m.total_cmp(&b.centre_height_m))
            .map(|(named, beam)| beam_report(Some(named.name.clone()), beam, named.above_sea))
            .ok_or("no radar of the list reaches the place")
    }
}

impl BeamReport {
    /// In a sentence.
    pub(crate) fn line(&self) -> String {
        beam_line(&BeamTold {
            radar: self.nearest_radar.clone(),
            distance_km: self.distance_km,
            height_m: self.height_m,
            lower_edge_m: self.lower_edge_m,
            above_sea: self.above == ABOVE_SEA,
        })
    }
}

const ABOVE_SEA: &str = "sea_level";
const ABOVE_ANTENNA: &str = "antenna";

fn beam_report(nearest_radar: Option<String>, beam: Beam, above_sea: bool) -> BeamReport {
    BeamReport {
        nearest_radar,
        distance_km: tenths(beam.distance_km),
        height_m: beam.centre_height_m.round(),
        lower_edge_m: beam.lower_edge_height_m.round(),
        above: if above_sea { ABOVE_SEA } else { ABOVE_ANTENNA },
    }
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn read(file: &Path) -> Result<Vec<NamedSite>> {
    let shown = file.display();
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(true)
        .from_path(file)
        .with_context(|| format!("read {shown}"))?;
    let header = reader.headers().with_context(|| format!("read {shown}"))?.clone();
    let column =
        |name: &str| header.iter().position(|column| column.trim_start_matches('\u{feff}') == name);
    let [Some(name), Some(lat), Some(lon)] = NEEDED.map(column) else {
        bail!("{shown} needs the header {}", NEEDED.join(","));
    };
    let (antenna, range) = (column("antenna_height_m"), column("max_range_km"));
    let mut sites = Vec::new();
    for (index, row) in reader.records().enumerate() {
        let row = row.with_context(|| format!("read {shown}"))?;
        let line = row.position().map_or(index as u64 + 2, csv::Position::line);
        let site = || -> Result<NamedSite> {
            let place = LatLon::new(needed(&row, lat)?, needed(&row, lon)?)?;
            let antenna_height_m = optional(&row, antenna)?;
            let range_km = optional(&row, range)?.unwrap_or(RANGE_KM);
            if range_km <= 0.0 {
                bail!("expected kilometres above 0, found `{range_km}`");
            }
            Ok(NamedSite {
                name: row.get(name).unwrap_or_default().to_owned(),
                site: RadarSite {
                    place,
                    antenna_height_m: antenna_height_m.unwrap_or(0.0),
                    lowest_elevation_deg: LOWEST_ELEVATION_DEG,
                    range_km,
                },
                above_sea: antenna_height_m.is_some(),
            })
        };
        sites.push(site().with_context(|| format!("{shown}, line {line}"))?);
    }
    if sites.is_empty() {
        bail!("{shown} holds no radar sites");
    }
    Ok(sites)
}

fn needed(row: &StringRecord, column: usize) -> Result<f64> {
    let text = row.get(column).unwrap_or_default();
    let number = text.parse().ok().filter(|value: &f64| value.is_finite());
    number.with_context(|| format!("expected a number, found `{text}`"))
}

/// `None` where the column is missing or the field empty.
fn optional(row: &StringRecord, column: Option<usize>) -> Result<Option<f64>> {
    let filled = column.filter(|column| row.get(*column).is_some_and(|text| !text.is_empty()));
    filled.map(|column| needed(row, column)).transpose()
}
