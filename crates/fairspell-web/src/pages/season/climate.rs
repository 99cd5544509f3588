//! Past evenings: archived records of stations, counted, and which of them speaks.

use axum::response::{IntoResponse, Redirect, Response};
use fairspell_feeds::{ImportedClimate, import_climate_bytes, remove_climate};
use fairspell_plan::{
    evening_rain::{EveningRain, RainVoice},
    radar_climate::is_radar,
    season_climate::DayHalf,
};
use fairspell_weather::observed::ObservedRain;
use fairspell_words::{
    ClimateKeptTold, climate_kept_lines,
    redate::of_hundred_evenings,
    screens::{season as words, shell, studio::about},
    season_risk,
};
use jiff::civil::Date;
use maud::{Markup, html};

use crate::{
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    page::{Section, page},
    place_input::read_position,
    season_views::SeasonView,
    skies::House,
    visit::{Posted, Visit},
};

/// `GET /season/climate`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    shown(&visit, &Fields::default(), &[]).await
}

async fn shown(visit: &Visit, fields: &Fields, kept: &[String]) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let today = house.zone.to_datetime(skies.as_of).date();
    let view = super::season(&visit.app, &house, today).await?;
    let body = html! {
        h1 { (words::CLIMATE) }
        @if !kept.is_empty() { div role="status" { @for line in kept { p { (line) } } } }
        p { (words::CLIMATE_MEANS) }
        p { (season_risk::rests_on(&view.climate.voice)) }
        (stations(visit, &house, &view))
        (months(&view))
        form method="post" action="/season/climate" enctype="multipart/form-data" {
            (visit.form_field())
            (mistakes(fields))
            (Field::new(fields, "file", words::CLIMATE_FILE)
                .hint(words::CLIMATE_LAYOUTS)
                .needed()
                .input(Input::File(".csv,.dly,.txt,text/csv,text/plain")))
            (Field::new(fields, "station", words::CLIMATE_STATION).input(Input::Text))
            (Field::new(fields, "at", words::CLIMATE_AT).input(Input::Text))
            div.buttons {
                button.main { (words::CLIMATE_TAKE) }
                a.button.plain href="/season" { (shell::BACK) }
            }
        }
    };
    Ok(page(visit, Some(Section::Season), words::CLIMATE, &body))
}

/// Which stations are here, and which of them speaks.
fn stations(visit: &Visit, house: &House, view: &SeasonView) -> Markup {
    let speaks = |record: &ObservedRain| {
        view.record.as_ref().is_some_and(|speaking| speaking.station == record.station)
    };
    let km = |record: &ObservedRain| {
        record.position.map_or_else(
            || words::FAR_UNKNOWN.to_owned(),
            |at| format!("{:.0} km", at.distance_km(house.studio.home)),
        )
    };
    let button = |what: &str, label: &str, record: &ObservedRain| {
        html! {
            form method="post" action="/season/climate" {
                (visit.form_field())
                input type="hidden" name="do" value=(what);
                input type="hidden" name="station" value=(record.station);
                button aria-label=(words::station_button(label, &record.station)) { (label) }
            }
        }
    };
    html! {
        @for remark in &view.remarks { p role="alert" { (remark) } }
        @if !view.records.is_empty() {
            h2 { (words::STATIONS) }
            div.scroll tabindex="0" role="region" aria-label=(words::STATIONS) {
                table {
                    thead { tr { @for head in words::STATION_COLUMNS { th scope="col" { (head) } } } }
                    tbody {
                        @for record in &view.records {
                            tr {
                                th scope="row" { (record.name.as_deref().unwrap_or(&record.station)) }
                                td { (km(record)) }
                                td {
                                    (words::station_record(
                                        record.record.known(),
                                        record.record.is_hourly(),
                                        record.record.span(),
                                    ))
                                }
                                td {
                                    @if speaks(record) { p { (words::SPEAKS) } }
                                    @else { (button("speak", words::LET_SPEAK, record)) }
                                    @if !is_radar(&record.station) {
                                        (button("remove", words::REMOVE_STATION, record))
                                    }
                                }
                            }
                        }
                    }
                }
            }
            @if house.studio.season.rain_station.is_some() {
                form method="post" action="/season/climate" {
                    (visit.form_field())
                    input type="hidden" name="do" value="nearest";
                    button { (words::LET_NEAREST) }
                }
            }
        }
    }
}

fn months(view: &SeasonView) -> Markup {
    let row = |month: i8| -> Option<(String, &EveningRain)> {
        let day = Date::new(2026, month, 1).ok()?;
        Some((day.strftime("%B").to_string(), view.climate.rain(day, DayHalf::Evening)))
    };
    html! {
        h2 { (words::CLIMATE_MONTHS) }
        p.quiet { (words::CLIMATE_MONTHS_MEAN) }
        div.scroll tabindex="0" role="region" aria-label=(words::CLIMATE_MONTHS) {
            table {
                thead { tr { @for head in words::CLIMATE_COLUMNS { th scope="col" { (head) } } } }
                tbody {
                    @for (name, rain) in (1..=12).filter_map(row) {
                        tr {
                            th scope="row" { (name) }
                            td {
                                @match rain.voice {
                                    RainVoice::Climate { evenings, wet, .. } => {
                                        (words::counted(wet, evenings))
                                    },
                                    _ => (words::CANNOT_SAY),
                                }
                            }
                            td { (of_hundred_evenings(rain.p_rain)) }
                            td {
                                @match rain.p_gap {
                                    Some(gap) => (of_hundred_evenings(gap)),
                                    None => (words::CANNOT_SAY),
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// `POST /season/climate`: a file is taken in and kept as it came, or another station speaks.
pub(crate) async fn change(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    match fields.text("do") {
        "speak" => speak(&visit, Some(fields.text("station").to_owned())).await,
        "nearest" => speak(&visit, None).await,
        "remove" => remove(&visit, fields.text("station").to_owned()).await,
        _ => take_in(&visit, &mut fields).await,
    }
}

/// Lets a station speak, or the nearest one.
async fn speak(visit: &Visit, station: Option<String>) -> Result<Response, PageError> {
    let app = &visit.app;
    let mut studio = app.store.studio().await?.ok_or(PageError::NotThere)?;
    studio.season.rain_station = station;
    app.store.save_studio(&studio, app.clock.real()).await?;
    app.look_again().await?;
    Ok(Redirect::to("/season/climate").into_response())
}

async fn remove(visit: &Visit, station: String) -> Result<Response, PageError> {
    let data = visit.app.settings.data.clone();
    let removing = move || remove_climate(&data, &station);
    tokio::task::spawn_blocking(removing)
        .await
        .map_err(PageError::ours)?
        .map_err(PageError::ours)?;
    Ok(Redirect::to("/season/climate").into_response())
}

async fn take_in(visit: &Visit, fields: &mut Fields) -> Result<Response, PageError> {
    let at = fields.may("at", about::HOME_WRONG, |text| read_position(text).ok());
    let station = fields.filled("station").map(str::to_owned);
    let Some(sent) = fields.file("file").cloned().filter(|sent| !sent.bytes.is_empty()) else {
        fields.refuse("file", words::NO_FILE);
        return shown(visit, fields, &[]).await;
    };
    let Some(at) = at else { return shown(visit, fields, &[]).await };
    let data = visit.app.settings.data.clone();
    let taken = tokio::task::spawn_blocking(move || {
        // A file that names no station is its own: two of them are two stations.
        let own_name = sent.name.split('.').next().unwrap_or_default();
        import_climate_bytes(&data, &sent.bytes, own_name, station.as_deref(), at)
    });
    match taken.await.map_err(PageError::ours)? {
        Ok(taken) => shown(visit, &Fields::default(), &kept_lines(&taken)).await,
        Err(why) => {
            fields.refuse("file", words::unreadable(&why.to_string()));
            shown(visit, fields, &[]).await
        }
    }
}

fn kept_lines(taken: &ImportedClimate) -> Vec<String> {
    let ImportedClimate { record, file, replaced, remarks } = taken;
    climate_kept_lines(&ClimateKeptTold {
        station: &record.station,
        name: record.name.as_deref(),
        is_placed: record.position.is_some(),
        known: record.record.known(),
        is_hourly: record.record.is_hourly(),
        span: record.record.span(),
        replaced: *replaced,
        file: &file.file_name().unwrap_or_default().to_string_lossy(),
        remarks: remarks.iter().map(ToString::to_string).collect(),
    })
}
