//! The studio that a first start makes: a place, a spot, tonight.

use fairspell_feeds::{Feed, presets};
use fairspell_ground::{LatLon, coast::coastline_near};
use fairspell_studio::{
    LookTable, Policy, Session, Site, Spot, Studio,
    outlook::SourceKind,
    season::Season,
    session::{DateNotes, Drive, Look},
    spot::{Cover, WindExposure},
    studio::{Expected, Sources, Week},
};
use fairspell_words::screens::{first_start as words, places as place_words};
use jiff::civil::DateTime;

use crate::spelled_id::spelled_id;

/// Within this distance of the coast a spot is taken to lie on the shore, km. The outline is good to
/// about one, and a surf warning too many does less harm than one too few.
const SHORE_KM: f64 = 2.0;
/// Getting ready begins so long before the start.
const CHAIR_BEFORE_START_MIN: u32 = 60;

/// Everything a first start makes.
#[derive(Debug)]
pub(super) struct Made {
    pub(super) studio: Studio,
    pub(super) session: Session,
    pub(super) feeds: Vec<Feed>,
}

/// A studio around a place, with one session; all else has its default.
pub(super) fn made(place: LatLon, zone: &str, start: DateTime, duration_min: u32) -> Made {
    let feeds = presets(place);
    let expected = |kind: SourceKind| {
        let is_there = feeds.iter().any(|feed| feed.kind == kind);
        if is_there { Expected::Yes } else { Expected::NoneHere }
    };
    let spot = Spot {
        id: spelled_id(words::SPOT, "spot", |_| false),
        name: words::SPOT.to_owned(),
        position: place,
        cover: Cover::None,
        refuge: None,
        skyline: fairspell_ground::Skyline::default(),
        wind: WindExposure::default(),
        shore: !coastline_near(place, SHORE_KM).is_empty(),
        site: Site::default(),
    };
    let session = Session {
        id: format!("{}-{}", start.date(), spelled_id(words::SITTER, "session", |_| false)),
        sitter: words::SITTER.to_owned(),
        guardian: String::new(),
        start,
        duration_min,
        looks: vec![Look {
            name: words::LOOK.to_owned(),
            spot: spot.id.clone(),
            ..Look::default()
        }],
        drive: Drive { minutes: 0, route: Vec::new() },
        chair_before_start_min: CHAIR_BEFORE_START_MIN,
        with_artist: false,
        deadline: None,
        moved_from: None,
        people: Vec::new(),
        dates: DateNotes::default(),
    };
    let studio = Studio {
        name: words::STUDIO.to_owned(),
        owner: String::new(),
        place: place_words::position(place.lat_deg(), place.lon_deg()),
        home: place,
        time_zone: zone.to_owned(),
        invented: false,
        week: Week::default(),
        blackouts: Vec::new(),
        season: Season::default(),
        artist: None,
        school: None,
        tide: None,
        sources: Sources {
            warnings: expected(SourceKind::Warnings),
            radar: expected(SourceKind::Radar),
        },
        warning_areas: Vec::new(),
        spots: vec![spot],
        policy: Policy::default(),
        look_table: LookTable::default(),
    };
    Made { studio, session, feeds }
}

#[cfg(test)]
mod tests {
    use fairspell_ground::LatLon;
    use fairspell_studio::studio::Expected;
    use jiff::civil::date;

    use super::{Made, made};

    fn at(lat_deg: f64, lon_deg: f64, zone: &str) -> Made {
        let start = date(2026, 9, 3).at(15, 50, 0, 0);
        made(LatLon::new(lat_deg, lon_deg).unwrap(), zone, start, 120)
    }

    #[test]
    fn what_is_made_is_a_studio_that_holds_together() {
        let Made { studio, session, feeds } = at(-31.7252, 152.7741, "Australia/Sydney");
        studio.check(std::slice::from_ref(&session)).unwrap();
        assert_eq!(session.id, "2026-09-03-tonight");
        assert!(!feeds.is_empty());
        assert_eq!(studio.sources.warnings, Expected::NoneHere);
        assert_eq!(studio.sources.radar, Expected::NoneHere);
    }

    #[test]
    fn in_the_united_states_warnings_and_radar_are_counted_on() {
        let sources = at(29.9, -81.3, "America/New_York").studio.sources;
        assert_eq!((sources.warnings, sources.radar), (Expected::Yes, Expected::Yes));
    }

    #[test]
    fn a_place_on_the_coast_hears_of_surf() {
        // Bondi Beach, and Alice Springs.
        assert!(at(-33.891, 151.277, "Australia/Sydney").studio.spots[0].shore);
        assert!(!at(-23.7, 133.88, "Australia/Darwin").studio.spots[0].shore);
    }
}
