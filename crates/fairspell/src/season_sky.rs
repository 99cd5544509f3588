//! Past evenings at a studio's place, as its folder keeps them.

use anyhow::{Context, Result};
use fairspell_feeds::{climate_records, speaking_record};
use fairspell_weather::observed::ObservedRain;

use crate::folder::Folder;

/// The record of the station that speaks for the studio's home, and what could not be read.
pub(crate) fn records(folder: &Folder) -> Result<(Option<ObservedRain>, Vec<String>)> {
    let found = climate_records(&folder.path)
        .with_context(|| format!("read past evenings in {}", folder.path.display()))?;
    let chosen = folder.studio.season.rain_station.as_deref();
    let speaking = speaking_record(&found.value, folder.studio.home, chosen);
    Ok((speaking.map(|near| near.record.clone()), found.remarks))
}
