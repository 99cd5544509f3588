//! Projections as attributes of a grid mapping.

use std::collections::HashMap;

use fairspell_ground::Projection;
use netcdf_writer::NcAttrValue;

/// The figure that longitude and latitude are on when a projection does not say.
const WGS84: (f64, f64) = (6378137.0, 298.257223563);

/// Ellipsoids by their names in PROJ strings: semi-major axis, m, and inverse flattening.
const ELLIPSOIDS: [(&str, f64, f64); 7] = [
    ("WGS84", WGS84.0, WGS84.1),
    ("GRS80", 6378137.0, 298.257222101),
    ("bessel", 6377397.155, 299.1528128),
    ("intl", 6378388.0, 297.0),
    ("krass", 6378245.0, 298.3),
    ("airy", 6377563.396, 299.3249646),
    ("sphere", 6370997.0, 0.0),
];

/// The attributes of a projection's grid mapping variable.
///
/// A map that the conventions have no name for, or whose figure of the earth we do not know, is
/// described by its PROJ string alone, which many programs read.
///
/// # Source
///
/// CF conventions 1.8, appendix F, tables F.1 and F.2, beside the parameters of PROJ.
pub(super) fn mapping_attributes(projection: &Projection) -> Vec<(&'static str, NcAttrValue)> {
    let text = projection.as_str();
    let proj = Proj::of(text);
    let mut said = Vec::new();
    if let (Some(map), Some(earth)) = (proj.map(), proj.earth()) {
        said.extend(map);
        said.extend(earth.into_iter().map(|(name, value)| (name, number(value))));
    }
    if !projection.is_degrees() {
        said.push(("proj4", NcAttrValue::Chars(text.to_owned())));
    }
    said
}

fn number(value: f64) -> NcAttrValue {
    NcAttrValue::Doubles(vec![value])
}

/// The parameters of a PROJ string.
struct Proj<'t> {
    parameters: HashMap<&'t str, &'t str>,
}

impl<'t> Proj<'t> {
    fn of(text: &'t str) -> Self {
        let parameters = text.split_ascii_whitespace().map(|parameter| {
            let parameter = parameter.trim_start_matches('+');
            parameter.split_once('=').unwrap_or((parameter, ""))
        });
        Proj { parameters: parameters.collect() }
    }

    fn number(&self, key: &str) -> Option<f64> {
        self.parameters.get(key)?.parse().ok()
    }

    /// A parameter that counts as 0 when it is left out.
    fn or_zero(&self, key: &str) -> f64 {
        self.number(key).unwrap_or(0.0)
    }

    /// The scale, under either of its names.
    fn scale(&self) -> Option<f64> {
        self.number("k_0").or_else(|| self.number("k"))
    }

    /// The map's own attributes; `None` for a map without a name in the conventions.
    fn map(&self) -> Option<Vec<(&'static str, NcAttrValue)>> {
        let origin_lat = ("latitude_of_projection_origin", self.or_zero("lat_0"));
        let origin_lon = ("longitude_of_projection_origin", self.or_zero("lon_0"));
        let meridian = ("longitude_of_central_meridian", self.or_zero("lon_0"));
        let (name, parameters) = match *self.parameters.get("proj")? {
            "longlat" | "latlong" | "latlon" | "lonlat" => {
                return Some(vec![("grid_mapping_name", chars("latitude_longitude"))]);
            }
            "stere" if (origin_lat.1.abs() - 90.0).abs() < 1e-9 => (
                "polar_stereographic",
                vec![
                    origin_lat,
                    ("straight_vertical_longitude_from_pole", origin_lon.1),
                    match self.number("lat_ts") {
                        Some(lat_ts) => ("standard_parallel", lat_ts),
                        None => ("scale_factor_at_projection_origin", self.scale().unwrap_or(1.0)),
                    },
                ],
            ),
            "stere" => (
                "stereographic",
                vec![
                    origin_lat,
                    origin_lon,
                    ("scale_factor_at_projection_origin", self.scale().unwrap_or(1.0)),
                ],
            ),
            "laea" => ("lambert_azimuthal_equal_area", vec![origin_lat, origin_lon]),
            "aeqd" => ("azimuthal_equidistant", vec![origin_lat, origin_lon]),
            // A scale beside standard parallels has no attribute.
            "lcc" if self.scale().is_none_or(|scale| (scale - 1.0).abs() < 1e-12) => {
                ("lambert_conformal_conic", vec![origin_lat, meridian])
            }
            "aea" => ("albers_conical_equal_area", vec![origin_lat, meridian]),
            "tmerc" => (
                "transverse_mercator",
                vec![
                    origin_lat,
                    meridian,
                    ("scale_factor_at_central_meridian", self.scale().unwrap_or(1.0)),
                ],
            ),
            "merc" => (
                "mercator",
                vec![
                    origin_lon,
                    match self.number("lat_ts") {
                        Some(lat_ts) => ("standard_parallel", lat_ts),
                        None => ("scale_factor_at_projection_origin", self.scale().unwrap_or(1.0)),
                    },
                ],
            ),
            _ => return None,
        };
        let mut said = vec![("grid_mapping_name", chars(name))];
        said.extend(parameters.into_iter().map(|(name, value)| (name, number(value))));
        if matches!(name, "lambert_conformal_conic" | "albers_conical_equal_area") {
            let first = self.number("lat_1").or_else(|| self.number("lat_0"))?;
            let second = self.number("lat_2").unwrap_or(first);
            let parallels =
                if first.total_cmp(&second).is_eq() { vec![first] } else { vec![first, second] };
            said.push(("standard_parallel", NcAttrValue::Doubles(parallels)));
        }
        said.push(("false_easting", number(self.or_zero("x_0"))));
        said.push(("false_northing", number(self.or_zero("y_0"))));
        Some(said)
    }

    /// The figure of the earth; `None` when it is one that we do not know.
    fn earth(&self) -> Option<Vec<(&'static str, f64)>> {
        let sphere = |radius_m: f64| vec![("earth_radius", radius_m)];
        if let Some(radius_m) = self.number("R") {
            return Some(sphere(radius_m));
        }
        let named = match (self.parameters.get("ellps"), self.parameters.get("datum")) {
            (Some(name), _) => {
                let found = ELLIPSOIDS.iter().find(|(known, ..)| known == name)?;
                Some((found.1, found.2))
            }
            (None, None | Some(&"WGS84")) => None,
            (None, Some(_)) => return None,
        };
        let (a, rf) = named.unwrap_or(WGS84);
        let Some(a) = self.number("a").or_else(|| named.is_some().then_some(a)) else {
            return Some(vec![("semi_major_axis", a), ("inverse_flattening", rf)]);
        };
        let own_b = self.number("b");
        let own_rf = self
            .number("rf")
            .or_else(|| self.number("f").map(|f| if f == 0.0 { 0.0 } else { 1.0 / f }));
        Some(match (own_b, own_rf) {
            (Some(b), _) if (b - a).abs() > 1e-3 => {
                vec![("semi_major_axis", a), ("semi_minor_axis", b)]
            }
            (None, Some(rf)) if rf > 0.0 => {
                vec![("semi_major_axis", a), ("inverse_flattening", rf)]
            }
            (None, None) if named.is_some() && rf > 0.0 => {
                vec![("semi_major_axis", a), ("inverse_flattening", rf)]
            }
            (None, None) if self.parameters.contains_key("es") => return None,
            _ => sphere(a),
        })
    }
}

fn chars(text: &str) -> NcAttrValue {
    NcAttrValue::Chars(text.to_owned())
}
