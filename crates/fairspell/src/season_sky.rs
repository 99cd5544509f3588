//! Past evenings at a studio's place, as its folder keeps them.

use anyhow::{Context, Result};
use fairspell_feeds::{climate_records, speaking_record};
use fairspell_plan::radar_climate::radar_record;
use fairspell_store::{Store, store::DATABASE};
use fairspell_weather::observed::ObservedRain;
use jiff::Timestamp;

use crate::{folder::Folder, waiting::wait_for};

/// The record of the station that speaks for the studio's home, and what could not be read.
pub(crate) fn records(folder: &Folder) -> Result<(Option<ObservedRain>, Vec<String>)> {
    let found = climate_records(&folder.path)
        .with_context(|| format!("read past evenings in {}", folder.path.display()))?;
    let chosen = folder.studio.season.rain_station.as_deref();
    let radar = radar_records(folder)?;
    let speaking = speaking_record(&found.value, &radar, folder.studio.home, chosen);
    Ok((speaking.map(|near| near.record.clone()), found.remarks))
}

/// What radar said of each spot, where the studio has a database that keeps it.
pub(crate) fn radar_records(folder: &Folder) -> Result<Vec<ObservedRain>> {
    if !folder.path.join(DATABASE).is_file() {
        return Ok(Vec::new());
    }
    wait_for(async {
        let store = Store::look(&folder.path)
            .await
            .with_context(|| format!("open {}", folder.path.display()))?;
        let mut records = Vec::new();
        for spot in &folder.studio.spots {
            let figures = store.radar_figures(&spot.id, Timestamp::MIN, Timestamp::MAX).await?;
            records.extend(radar_record(spot, &figures));
        }
        store.close().await;
        Ok(records)
    })
}
