//! Grid mappings: a projection written as attributes.

use fairspell_ground::Projection;
use netcdf_reader::NcVariable;

use super::text;
use crate::readers::map;
use crate::{RadarError, RadarRemark};

/// Attributes under which files keep a ready PROJ string.
const PROJ_STRINGS: [&str; 5] =
    ["proj4", "proj4text", "proj4_params", "proj4_string", "proj_params"];

/// The projection of a grid mapping, in metres.
///
/// - `axis_unit_m`: how many metres a unit of the map axes is; false eastings and northings are
///   given in that unit.
pub(super) fn projection(
    mapping: &NcVariable,
    axis_unit_m: f64,
    remarks: &mut Vec<RadarRemark>,
) -> Result<Projection, RadarError> {
    // Parameters of the conventions go first: a PROJ string is an extra that may say less.
    if let Some(name) = text(mapping, "grid_mapping_name") {
        let parameters = Parameters { mapping, axis_unit_m };
        if let Some(map) = parameters.map(&name)? {
            let (earth, assumed) = parameters.earth();
            if assumed {
                remarks.push(RadarRemark::EarthAssumed);
            }
            return map::projection(&format!("{map} {earth}"));
        }
    }
    if let Some(proj_string) = PROJ_STRINGS.iter().find_map(|name| text(mapping, name)) {
        return map::projection(&proj_string);
    }
    Err(RadarError::Unsupported {
        what: "the grid mapping",
        found: text(mapping, "grid_mapping_name").unwrap_or_else(|| mapping.name().to_owned()),
    })
}

/// The attributes of a grid mapping variable.
struct Parameters<'v> {
    mapping: &'v NcVariable,
    axis_unit_m: f64,
}

impl Parameters<'_> {
    fn get(&self, name: &str) -> Option<f64> {
        self.mapping.attribute(name)?.value.as_f64()
    }

    fn need(&self, name: &str) -> Result<f64, RadarError> {
        self.get(name).ok_or_else(|| {
            RadarError::Missing(format!("`{name}` in the grid mapping `{}`", self.mapping.name()))
        })
    }

    /// The map's part of a PROJ string; `None` for a mapping that we do not know.
    ///
    /// # Source
    ///
    /// CF conventions, appendix F, table F.1, beside the parameters of PROJ.
    fn map(&self, name: &str) -> Result<Option<String>, RadarError> {
        let origin_lat = "latitude_of_projection_origin";
        let origin_lon = "longitude_of_projection_origin";
        let shift = format!(
            "+x_0={} +y_0={}",
            self.get("false_easting").unwrap_or(0.0) * self.axis_unit_m,
            self.get("false_northing").unwrap_or(0.0) * self.axis_unit_m
        );
        let map = match name {
            "polar_stereographic" => {
                let lon_0 = self
                    .get("straight_vertical_longitude_from_pole")
                    .map_or_else(|| self.need(origin_lon), Ok)?;
                let scale = match self.get("standard_parallel") {
                    Some(lat_ts) => format!("+lat_ts={lat_ts}"),
                    None => format!("+k_0={}", self.need("scale_factor_at_projection_origin")?),
                };
                format!("+proj=stere +lat_0={} +lon_0={lon_0} {scale}", self.need(origin_lat)?)
            }
            "stereographic" => format!(
                "+proj=stere +lat_0={} +lon_0={} +k_0={}",
                self.need(origin_lat)?,
                self.need(origin_lon)?,
                self.get("scale_factor_at_projection_origin").unwrap_or(1.0)
            ),
            "lambert_azimuthal_equal_area" => format!(
                "+proj=laea +lat_0={} +lon_0={}",
                self.need(origin_lat)?,
                self.need(origin_lon)?
            ),
            "azimuthal_equidistant" => format!(
                "+proj=aeqd +lat_0={} +lon_0={}",
                self.need(origin_lat)?,
                self.need(origin_lon)?
            ),
            "lambert_conformal_conic" | "albers_conical_equal_area" => {
                let proj = if name.starts_with("lambert") { "lcc" } else { "aea" };
                let parallels = self.parallels()?;
                format!(
                    "+proj={proj} {parallels} +lat_0={} +lon_0={}",
                    self.need(origin_lat)?,
                    self.need("longitude_of_central_meridian")?
                )
            }
            "transverse_mercator" => format!(
                "+proj=tmerc +lat_0={} +lon_0={} +k_0={}",
                self.need(origin_lat)?,
                self.need("longitude_of_central_meridian")?,
                self.need("scale_factor_at_central_meridian")?
            ),
            "mercator" => {
                let scale = match self.get("standard_parallel") {
                    Some(lat_ts) => format!("+lat_ts={lat_ts}"),
                    None => format!("+k_0={}", self.need("scale_factor_at_projection_origin")?),
                };
                format!("+proj=merc +lon_0={} {scale}", self.need(origin_lon)?)
            }
            _ => return Ok(None),
        };
        Ok(Some(format!("{map} {shift}")))
    }

    /// One or two standard parallels.
    fn parallels(&self) -> Result<String, RadarError> {
        let name = "standard_parallel";
        let values = self.mapping.attribute(name).and_then(|found| found.value.as_f64_vec());
        match values.as_deref() {
            Some(&[both]) => Ok(format!("+lat_1={both} +lat_2={both}")),
            Some(&[one, two]) => Ok(format!("+lat_1={one} +lat_2={two}")),
            _ => Err(RadarError::Missing(format!("one or two values of `{name}`"))),
        }
    }

    /// The figure of the earth, and whether we had to assume it.
    fn earth(&self) -> (String, bool) {
        if let Some(radius) = self.get("earth_radius") {
            return (format!("+R={radius}"), false);
        }
        let Some(a) = self.get("semi_major_axis") else {
            return ("+ellps=WGS84".to_owned(), true);
        };
        match (self.get("semi_minor_axis"), self.get("inverse_flattening")) {
            // An inverse flattening of zero, or axes that differ by nothing, is how files write a sphere.
            (Some(b), _) if (b - a).abs() > 1.0 => (format!("+a={a} +b={b}"), false),
            (None, Some(rf)) if rf > 0.0 => (format!("+a={a} +rf={rf}"), false),
            _ => (format!("+R={a}"), false),
        }
    }
}
