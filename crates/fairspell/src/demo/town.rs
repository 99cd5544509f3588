//! The two places of the demo for which a service speaks.

use fairspell_ground::LatLon;
use fairspell_studio::{Session, Studio};

/// A place with its own forecast and its own radar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Town {
    /// Home: a small harbour on an east-facing coast.
    SalternBight,
    /// 158 km south, over the causeway.
    PellNarrows,
}

impl Town {
    /// Its position. The coordinates serve sun and maps only: neither town exists.
    pub(super) fn position(self) -> anyhow::Result<LatLon> {
        let (lat_deg, lon_deg) = match self {
            Town::SalternBight => (-31.72, 152.79),
            Town::PellNarrows => (-33.05, 152.02),
        };
        Ok(LatLon::new(lat_deg, lon_deg)?)
    }

    /// How files are named after it.
    pub(super) fn slug(self) -> &'static str {
        match self {
            Town::SalternBight => "saltern-bight",
            Town::PellNarrows => "pell-narrows",
        }
    }

    /// Its radar, as the list of readings names it.
    pub(super) fn radar(self) -> &'static str {
        match self {
            Town::SalternBight => "Saltern Bight radar (invented)",
            Town::PellNarrows => "Pell Narrows radar (invented)",
        }
    }

    /// The town nearest to a session's first look.
    pub(super) fn of(session: &Session, studio: &Studio) -> anyhow::Result<Town> {
        let spot = session.looks.first().and_then(|look| studio.spot(&look.spot));
        let place = spot.map_or(studio.home, |spot| spot.position);
        let (near, far) = (Town::SalternBight.position()?, Town::PellNarrows.position()?);
        let is_near = near.distance_km(place) <= far.distance_km(place);
        Ok(if is_near { Town::SalternBight } else { Town::PellNarrows })
    }
}
