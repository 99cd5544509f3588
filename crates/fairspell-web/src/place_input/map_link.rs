//! The position in a map's link.

use fairspell_ground::LatLon;

use super::{NotAPlace, decimal, percent_decoded, point, written};

/// Names under which links give a position whole.
const WHOLE: [&str; 8] = ["q", "query", "ll", "destination", "daddr", "center", "coordinate", "cp"];
/// Names under which they give its two numbers apart.
const APART: [(&str, &str); 4] =
    [("mlat", "mlon"), ("lat", "lon"), ("lat", "lng"), ("latitude", "longitude")];

/// The point that a link marks; where it marks none, the middle of its view.
pub(super) fn read(text: &str) -> Result<LatLon, NotAPlace> {
    let link = percent_decoded(text);
    let found = marked(&link)
        .or_else(|| named(&link))
        .or_else(|| after(&link, '@'))
        .or_else(|| view(&link))
        .or_else(|| in_path(&link));
    found.ok_or(NotAPlace::LinkWithout)
}

/// `!3dLAT!4dLON`: the last one is the place itself.
fn marked(link: &str) -> Option<LatLon> {
    let (_, pin) = link.rsplit_once("!3d")?;
    let (lat, rest) = pin.split_once("!4d")?;
    let end = rest.find(|c: char| !c.is_ascii_digit() && !"+-.".contains(c)).unwrap_or(rest.len());
    point(decimal(lat)?, decimal(&rest[..end])?).ok()
}

fn named(link: &str) -> Option<LatLon> {
    let pairs = || link.split(['?', '&', '#']).filter_map(|part| part.split_once('='));
    let value = |name: &str| pairs().find(|(known, _)| *known == name).map(|(_, value)| value);
    let apart = APART
        .iter()
        .find_map(|(lat, lon)| point(decimal(value(lat)?)?, decimal(value(lon)?)?).ok());
    apart.or_else(|| WHOLE.iter().find_map(|name| pair(value(name)?)))
}

/// A position as the value of a parameter: `LAT,LON`, `LAT~LON`, or written as people do.
fn pair(value: &str) -> Option<LatLon> {
    let value = value.trim_start_matches("loc:").replace(['+', '~'], " ");
    written::read(&value).ok()
}

/// `@LAT,LON,17z`.
fn after(link: &str, mark: char) -> Option<LatLon> {
    link.split(mark).skip(1).find_map(|rest| {
        let mut numbers = rest.split([',', '/', '?', '&']);
        point(decimal(numbers.next()?)?, decimal(numbers.next()?)?).ok()
    })
}

/// `#map=ZOOM/LAT/LON`.
fn view(link: &str) -> Option<LatLon> {
    let (_, rest) = link.split_once("map=")?;
    let mut numbers = rest.split(['/', '&']).skip(1);
    point(decimal(numbers.next()?)?, decimal(numbers.next()?)?).ok()
}

/// `/place/LAT,LON/`.
fn in_path(link: &str) -> Option<LatLon> {
    let path = link.split(['?', '#']).next()?;
    path.split('/').skip(3).find_map(pair)
}
