//! From a found start to the words for it, on a page and in the terminal.

use fairspell_plan::{
    Start,
    starts::{Bound, DayKind, PlacedLook},
};
use fairspell_studio::{LightWish, Studio, spot::Cover};
use fairspell_words::screens::offers as words;
use jiff::{Timestamp, tz::TimeZone};

/// Why a look is where and when it is.
pub fn look_reason(
    studio: &Studio,
    zone: &TimeZone,
    start: &Start,
    placed: &PlacedLook,
    wants: LightWish,
) -> String {
    let spot = studio.spot(&placed.spot);
    let (from_deg, to_deg) = placed.sun_elevation_deg;
    let find =
        |at_spot: &dyn Fn(&Bound) -> Option<Timestamp>| start.bounds.iter().find_map(at_spot);
    let sun_leaves = find(&|bound| match bound {
        Bound::SunLeaves(id, at) if *id == placed.spot => Some(*at),
        _ => None,
    });
    // A hill that takes the sun later has not made this shade.
    let sun_leaves = sun_leaves.filter(|at| placed.direct_share >= 0.5 || *at <= placed.from);
    let tide_shuts = find(&|bound| match bound {
        Bound::TideShuts(id, at) if *id == placed.spot && *at >= placed.to => Some(*at),
        _ => None,
    });
    let light = words::LookLight {
        wants,
        sun_elevation_deg: f64::midpoint(from_deg, to_deg),
        sun_azimuth_deg: placed.sun_azimuth_deg,
        direct_share: placed.direct_share,
        under_roof: spot.is_some_and(|it| it.site.roof.is_some() || it.cover == Cover::Roof),
        has_lamps: spot.is_some_and(|it| it.site.lamps),
        sun_leaves,
        tide_shuts,
        score: placed.score,
    };
    words::reason(&light, placed.to, zone)
}

/// What bounds an evening, with its time.
pub fn bound_line(studio: &Studio, zone: &TimeZone, bound: &Bound) -> String {
    let name = |spot| spot_name(studio, spot);
    let bounding = match bound {
        Bound::SchoolOut(_) => words::Bounding::SchoolOut,
        Bound::SunLeaves(spot, _) => words::Bounding::SunLeaves(name(spot)),
        Bound::TideShuts(spot, _) => words::Bounding::TideShuts(name(spot)),
        Bound::TideOpens(spot, _) => words::Bounding::TideOpens(name(spot)),
        Bound::Shuts(spot, _) => words::Bounding::Shuts(name(spot)),
        Bound::LastLight(_) => words::Bounding::LastLight,
    };
    words::bound(bounding, bound.time(), zone)
}

/// A look in its minutes at its spot.
pub fn look_line(studio: &Studio, zone: &TimeZone, placed: &PlacedLook, name: &str) -> String {
    words::look((placed.from, placed.to), zone, name, spot_name(studio, &placed.spot))
}

/// Start, end, kind of evening.
pub fn hours_line(zone: &TimeZone, start: &Start) -> String {
    let is_reserve = start.kind == DayKind::Reserve;
    words::hours((start.from, start.to), zone, is_reserve, start.at_dawn)
}

/// What people call a spot.
fn spot_name<'a>(studio: &'a Studio, spot: &'a str) -> &'a str {
    studio.spot(spot).map_or(spot, |spot| spot.name.as_str())
}
