//! The season worked out, remembered while nothing it hangs on changes.

use std::{
    collections::BTreeMap,
    path::Path,
    sync::{Arc, Mutex, PoisonError},
};

use fairspell_feeds::{
    ClimateStamp, Radar, climate_records, climate_stamp, seen_by_with, speaking_record,
};
use fairspell_plan::{
    Seen,
    evening::spots,
    evening_rain::{EveningRain, evening_rain},
    season_climate::SeasonClimate,
    season_standing::{SeasonStanding, Working, season_standing},
};
use fairspell_studio::Session;
use fairspell_weather::observed::ObservedRain;
use jiff::{Timestamp, civil::Date};

use crate::skies::House;

/// The season as one day sees it.
#[derive(Debug)]
pub(crate) struct SeasonView {
    pub(crate) climate: SeasonClimate,
    /// `None` where no session lies ahead.
    pub(crate) standing: Option<SeasonStanding>,
    /// All stations whose records are here, and what radar said of each spot.
    pub(crate) records: Vec<ObservedRain>,
    /// The station that speaks for home.
    pub(crate) record: Option<ObservedRain>,
    /// What could not be read.
    pub(crate) remarks: Vec<String>,
}

impl SeasonView {
    /// Works a season out: a fraction of a second for most, two for the largest.
    ///
    /// - `radar`: what radar said of each spot.
    pub(crate) fn of(
        data: &Path,
        house: &House,
        today: Date,
        radar: Vec<ObservedRain>,
    ) -> SeasonView {
        let studio = &house.studio;
        let (mut records, mut remarks) = match climate_records(data) {
            Ok(found) => (found.value, found.remarks),
            Err(error) => (Vec::new(), vec![error.to_string()]),
        };
        let chosen = studio.season.rain_station.as_deref();
        let speaking = speaking_record(&records, &radar, studio.home, chosen);
        let record = speaking.map(|speaking| speaking.record.clone());
        records.extend(radar);
        let climate = SeasonClimate::of(studio, &house.zone, record.as_ref());
        let worked = season_standing(studio, &house.sessions, today, &climate, Working::Exactly);
        let standing = worked.unwrap_or_else(|error| {
            remarks.push(error.to_string());
            None
        });
        SeasonView { climate, standing, records, record, remarks }
    }
}

/// Of which house, from which day on, with which records of past evenings.
type Known = (Arc<House>, Date, ClimateStamp, Arc<SeasonView>);

/// The season that was asked for last.
#[derive(Debug, Default)]
pub(crate) struct SeasonViews {
    last: Mutex<Option<Known>>,
}

impl SeasonViews {
    /// The season of a house from a day on, where it is known and no record has changed since.
    pub(crate) fn known(
        &self,
        data: &Path,
        house: &Arc<House>,
        today: Date,
    ) -> Option<Arc<SeasonView>> {
        let stamp = climate_stamp(data).unwrap_or_default();
        let last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let (of, day, with, view) = last.as_ref()?;
        (Arc::ptr_eq(of, house) && *day == today && *with == stamp).then(|| view.clone())
    }

    /// Works it out and remembers it.
    pub(crate) fn work_out(
        &self,
        data: &Path,
        house: &Arc<House>,
        today: Date,
        radar: Vec<ObservedRain>,
    ) -> Arc<SeasonView> {
        // Taken before the records are read: whatever changes meanwhile is seen the next time.
        let stamp = climate_stamp(data).unwrap_or_default();
        let view = Arc::new(SeasonView::of(data, house, today, radar));
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        *last = Some((house.clone(), today, stamp, view.clone()));
        view
    }
}

/// What had been fetched of the sky at each session's own place, by session.
///
/// What cannot be read is not known: then the climate speaks, and says so.
pub(crate) fn seen_at_places(
    data: &Path,
    house: &House,
    ids: &[String],
    as_of: Timestamp,
) -> BTreeMap<String, Seen> {
    let readings = data.join("readings");
    let seen = |id: &String| {
        let session = house.session(id)?;
        let spots = spots(&house.studio, session);
        let place = spots.first().map_or(house.studio.home, |spot| spot.position);
        let found = seen_by_with(&readings, as_of, place, Radar::LeftOut).ok()?;
        Some((id.clone(), found.seen))
    };
    ids.iter().filter_map(seen).collect()
}

/// What to expect of a session's rain where it would stand.
pub(crate) fn rain_there(
    house: &House,
    view: &SeasonView,
    seen: &BTreeMap<String, Seen>,
    as_of: Timestamp,
    session: &Session,
) -> EveningRain {
    let nothing = Seen::default();
    let seen = seen.get(&session.id).unwrap_or(&nothing);
    evening_rain(&house.studio, &house.zone, session, as_of, seen, view.record.as_ref())
}
