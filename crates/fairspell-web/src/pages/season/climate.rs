//! Past evenings: an archived record of a station, counted.

use axum::response::{IntoResponse, Redirect, Response};
use fairspell_feeds::import_climate_bytes;
use fairspell_plan::evening_rain::EveningRain;
use fairspell_words::{
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
    visit::{Posted, Visit},
};

/// `GET /season/climate`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    shown(&visit, &Fields::default()).await
}

async fn shown(visit: &Visit, fields: &Fields) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.clone().ok_or(PageError::NotThere)?;
    let today = house.zone.to_datetime(skies.as_of).date();
    let view = super::season(&visit.app, &house, today).await?;
    let body = html! {
        h1 { (words::CLIMATE) }
        p { (words::CLIMATE_MEANS) }
        p { (season_risk::rests_on(&view.climate.voice)) }
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

fn months(view: &SeasonView) -> Markup {
    let row = |month: i8| -> Option<(String, &EveningRain)> {
        let day = Date::new(2026, month, 1).ok()?;
        Some((day.strftime("%B").to_string(), view.climate.rain(day)?))
    };
    html! {
        h2 { (words::CLIMATE_MONTHS) }
        div.scroll tabindex="0" role="region" aria-label=(words::CLIMATE_MONTHS) {
            table {
                thead { tr { @for head in words::CLIMATE_COLUMNS { th scope="col" { (head) } } } }
                tbody {
                    @for (name, rain) in (1..=12).filter_map(row) {
                        tr {
                            th scope="row" { (name) }
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

/// `POST /season/climate`: the file is kept as it came.
pub(crate) async fn take_in(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = visit.app.clone();
    let at = fields.may("at", about::HOME_WRONG, |text| read_position(text).ok());
    let station = fields.filled("station").map(str::to_owned);
    let sent = fields.file("file").map(|file| file.bytes.to_vec());
    let Some(bytes) = sent.filter(|bytes| !bytes.is_empty()) else {
        fields.refuse("file", words::NO_FILE);
        return shown(&visit, &fields).await;
    };
    let Some(at) = at else { return shown(&visit, &fields).await };
    let data = app.settings.data.clone();
    let taken = tokio::task::spawn_blocking(move || -> Result<(), String> {
        let taken = import_climate_bytes(&data, &bytes, "station", station.as_deref(), at);
        taken.map(|_| ()).map_err(|error| error.to_string())
    });
    match taken.await.map_err(PageError::ours)? {
        Ok(()) => {
            app.season_views.forget();
            Ok(Redirect::to("/season/climate?done=climate").into_response())
        }
        Err(why) => {
            fields.refuse("file", words::unreadable(&why));
            shown(&visit, &fields).await
        }
    }
}
