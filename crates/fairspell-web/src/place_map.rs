//! Maps of a place: the coast around it, and which point of the map a finger meant.

use std::sync::LazyLock;

use fairspell_figures::{NamedPoint, PlaceMap, ScaleBar, Theme, place_map_svg};
use fairspell_ground::{LatLon, coast::coastline_near};

/// Towns all over the world, by which to find one's way inland: one for each time zone of each
/// country. `data/README.md` has its origin and terms.
const TOWNS: &str = include_str!("../data/zone.tab");

/// Names of towns on a map keep this apart, as a share of its width.
const APART: f64 = 0.14;

/// Lengths for the bar to measure by, km.
const BARS_KM: [f64; 10] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];

/// A rectangle of the globe, drawn flat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct View {
    pub(crate) centre: LatLon,
    pub(crate) width_km: f64,
    /// Its width over its height.
    pub(crate) aspect: f64,
}

impl View {
    fn height_km(self) -> f64 {
        self.width_km / self.aspect
    }

    /// Where a point lies, as shares of the width from the left and of the height from the top.
    pub(crate) fn shares(self, point: LatLon) -> (f64, f64) {
        let (east_km, north_km) = self.centre.offset_km(point);
        (0.5 + east_km / self.width_km, 0.5 - north_km / self.height_km())
    }

    /// Which point lies there; `None` beyond a pole.
    pub(crate) fn point(self, x: f64, y: f64) -> Option<LatLon> {
        let east_km = (x - 0.5) * self.width_km;
        self.centre.at_offset_km(east_km, (0.5 - y) * self.height_km()).ok()
    }

    fn holds(self, point: LatLon) -> bool {
        let (x, y) = self.shares(point);
        (0.0..=1.0).contains(&x) && (0.0..=1.0).contains(&y)
    }

    /// Towns within it, of which none stands in another's way.
    pub(crate) fn towns(self) -> Vec<(LatLon, String)> {
        let mut kept: Vec<(LatLon, String)> = Vec::new();
        for (point, name) in TOWN_LIST.iter().filter(|(point, _)| self.holds(*point)) {
            let (x, y) = self.shares(*point);
            let is_free = kept.iter().all(|(other, _)| {
                let (other_x, other_y) = self.shares(*other);
                (x - other_x).abs().max((y - other_y).abs() / self.aspect) > APART
            });
            if is_free {
                kept.push((*point, name.clone()));
            }
        }
        kept
    }

    /// Draws it, with a cross in its middle.
    ///
    /// - `coast`: the studio's own outline; without it the world's.
    /// - `words`: title and description, for those who cannot see it.
    pub(crate) fn svg(
        self,
        width_px: f64,
        coast: Option<&[Vec<LatLon>]>,
        places: &[(LatLon, String)],
        words: (String, String),
    ) -> String {
        let outline = match coast {
            Some(coast) => coast.to_vec(),
            // Twice what is seen: beyond its edges the line goes on.
            None => coastline_near(self.centre, self.width_km.hypot(self.height_km()) * 0.6),
        };
        let named = |(point, name): &(LatLon, String)| {
            let (x, y) = self.shares(*point);
            NamedPoint { x, y, label: name.clone() }
        };
        let map = PlaceMap {
            title: words.0,
            description: words.1,
            width: width_px,
            height: width_px / self.aspect,
            coast: outline
                .iter()
                .map(|line| line.iter().map(|point| self.shares(*point)).collect())
                .collect(),
            places: places.iter().map(named).collect(),
            scale_bar: self.scale_bar(),
        };
        place_map_svg(&map, Theme::Auto)
    }

    /// The longest bar of up to a third of the width. Across half the world no bar would be true.
    fn scale_bar(self) -> Option<ScaleBar> {
        let fits = |km: &&f64| **km <= self.width_km / 3.0;
        let km = BARS_KM.iter().rfind(fits).filter(|_| self.width_km < 10_000.0)?;
        Some(ScaleBar { share: km / self.width_km, label: format!("{km} km") })
    }
}

static TOWN_LIST: LazyLock<Vec<(LatLon, String)>> =
    LazyLock::new(|| TOWNS.lines().filter_map(town).collect());

/// A line of the list: country, position by ISO 6709, zone, remarks.
fn town(line: &str) -> Option<(LatLon, String)> {
    let mut columns = line.split('\t').skip(1);
    let position = columns.next()?;
    let name = columns.next()?.rsplit('/').next()?.replace('_', " ");
    let second = position.rfind(['+', '-']).filter(|at| *at > 0)?;
    let lat_deg = sexagesimal(&position[..second], 2)?;
    let lon_deg = sexagesimal(&position[second..], 3)?;
    Some((LatLon::new(lat_deg, lon_deg).ok()?, name))
}

/// `+DDMM` or `+DDMMSS`, with two or three digits of degrees.
fn sexagesimal(text: &str, degree_digits: usize) -> Option<f64> {
    let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
    let digits = text.get(1..)?;
    let part = |from: usize, to: usize| digits.get(from..to)?.parse::<f64>().ok();
    let minutes = part(degree_digits, degree_digits + 2)?;
    let seconds = part(degree_digits + 2, degree_digits + 4).unwrap_or(0.0);
    Some(sign * (part(0, degree_digits)? + minutes / 60.0 + seconds / 3600.0))
}

#[cfg(test)]
mod tests {
    use fairspell_ground::LatLon;

    use super::{TOWN_LIST, View};

    fn view(lat_deg: f64, lon_deg: f64, width_km: f64) -> View {
        View { centre: LatLon::new(lat_deg, lon_deg).unwrap(), width_km, aspect: 2.0 }
    }

    #[test]
    fn a_point_of_the_map_is_found_again_where_it_was_drawn() {
        for view in [view(0.0, 0.0, 40_030.0), view(-31.7, 152.8, 3000.0), view(60.0, 179.9, 150.0)]
        {
            for (x, y) in [(0.5, 0.5), (0.1, 0.9), (0.9, 0.2)] {
                let (back_x, back_y) = view.shares(view.point(x, y).unwrap());
                assert!((back_x - x).abs() < 1e-9 && (back_y - y).abs() < 1e-9, "{view:?}");
            }
        }
    }

    #[test]
    fn beyond_a_pole_there_is_no_point() {
        assert_eq!(view(85.0, 0.0, 3000.0).point(0.5, 0.0), None);
    }

    #[test]
    fn towns_stand_where_the_time_zone_database_has_them() {
        // zone.tab: AU -3352+15113 Australia/Sydney.
        let sydney = TOWN_LIST.iter().find(|(_, name)| name == "Sydney").unwrap().0;
        assert!((sydney.lat_deg() + 33.8667).abs() < 1e-3);
        assert!((sydney.lon_deg() - 151.2167).abs() < 1e-3);
        let new_york = TOWN_LIST.iter().find(|(_, name)| name == "New York").unwrap().0;
        // US +404251-0740023.
        assert!((new_york.lat_deg() - 40.71417).abs() < 1e-4);
        assert!((new_york.lon_deg() + 74.00639).abs() < 1e-4);
        assert!(TOWN_LIST.len() > 400);
    }

    #[test]
    fn towns_keep_out_of_each_others_way() {
        assert!((3..40).contains(&view(40.0, -100.0, 3000.0).towns().len()));
        assert!(view(-31.7, 152.8, 20.0).towns().is_empty());
    }
}
