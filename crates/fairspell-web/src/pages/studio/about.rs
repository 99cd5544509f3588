//! Name, place, clock, artist, contact.

use axum::response::Response;
use fairspell_studio::{Studio, StudioError, studio::Artist};
use fairspell_words::screens::studio::about as words;
use jiff::tz::TimeZone;
use maud::html;

use super::{keep, part};
use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes, save_or_back},
    number_input::decimal,
    pages::people::{email_address, plain_name},
    place_input::read_position,
    skies::House,
    visit::{Posted, Visit},
    watch::CONTACT,
};

/// `GET /studio/about`.
pub(crate) async fn edit(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let studio = &skies.house.as_deref().ok_or(PageError::NotThere)?.studio;
    let artist = studio.artist.as_ref();
    let fields = Fields::of([
        ("name", studio.name.clone()),
        ("owner", studio.owner.clone()),
        ("place", studio.place.clone()),
        ("home", format!("{}, {}", studio.home.lat_deg(), studio.home.lon_deg())),
        ("zone", studio.time_zone.clone()),
        ("artist", artist.map(|artist| artist.name.clone()).unwrap_or_default()),
        ("free_change_h", artist.map(|it| it.free_change_h.to_string()).unwrap_or_default()),
        ("full_fee_h", artist.map(|it| it.full_fee_h.to_string()).unwrap_or_default()),
        ("artist_fee", artist.map(|it| it.fee.to_string()).unwrap_or_default()),
        ("contact", contact(&visit.app).await?.unwrap_or_default()),
        ("areas", studio.warning_areas.join("\n")),
    ]);
    Ok(form_page(&visit, &fields))
}

/// Her address for weather services.
pub(crate) async fn contact(app: &Shared) -> Result<Option<String>, PageError> {
    let contact: Option<String> = app.store.setting(CONTACT).await?;
    Ok(contact.filter(|contact| !contact.is_empty()))
}

fn form_page(visit: &Visit, fields: &Fields) -> Response {
    let field = |name, label| Field::new(fields, name, label);
    let hours = Input::Number { from: 0.0, to: 1000.0, step: 1.0 };
    let body = html! {
        form method="post" action="/studio/about" {
            (visit.form_field())
            (mistakes(fields))
            (field("name", words::NAME).needed().input(Input::Text))
            (field("owner", words::OWNER).needed().input(Input::Text))
            (field("place", words::PLACE).needed().input(Input::Text))
            (field("home", words::HOME).hint(words::HOME_HINT).needed().input(Input::Text))
            (field("zone", words::ZONE).hint(words::ZONE_HINT).needed().input(Input::Text))
            fieldset {
                legend { (words::ARTIST) }
                (field("artist", words::ARTIST_NAME).hint(words::ARTIST_NAME_HINT).input(Input::Text))
                (field("free_change_h", words::ARTIST_FREE).input(hours))
                (field("full_fee_h", words::ARTIST_FULL).hint(words::ARTIST_FULL_HINT).input(hours))
                (field("artist_fee", words::ARTIST_FEE).input(Input::Text))
            }
            (field("contact", words::CONTACT).hint(words::CONTACT_HINT).input(Input::Email))
            (field("areas", words::AREAS).hint(words::AREAS_HINT).text_area(3))
            (save_or_back("/studio"))
        }
    };
    part(visit, words::HEADING, &body)
}

/// `POST /studio/about`.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let contact = fields.may("contact", words::CONTACT_WRONG, email_address);
    let studio = read(&mut fields, house);
    let (Some(studio), Some(contact)) = (studio, contact) else {
        return Ok(form_page(&visit, &fields));
    };
    app.store.save_setting(CONTACT, &contact.unwrap_or_default()).await?;
    keep(app, &studio, "about").await
}

/// The studio with what the form says; `None` when something in it is wrong.
fn read(fields: &mut Fields, house: &House) -> Option<Studio> {
    let name = fields.need("name", words::TEXT_WRONG, plain_name);
    let owner = fields.need("owner", words::TEXT_WRONG, plain_name);
    let place = fields.need("place", words::TEXT_WRONG, plain_name);
    let home = fields.need("home", words::HOME_WRONG, |text| read_position(text).ok());
    let time_zone = fields
        .need("zone", words::ZONE_WRONG, |text| TimeZone::get(text).ok().map(|_| text.to_owned()));
    let artist = artist(fields);
    let warning_areas = areas(fields);
    if !fields.is_right() {
        return None;
    }
    let studio = Studio {
        name: name?,
        owner: owner?,
        place: place?,
        home: home?,
        time_zone: time_zone?,
        artist,
        warning_areas: warning_areas?,
        ..house.studio.clone()
    };
    if let Err(StudioError::Session(_)) = studio.check(&house.sessions) {
        fields.refuse("zone", words::ZONE_SKIPS);
        return None;
    }
    Some(studio)
}

/// Hair and make-up; `None` where somebody at home does it, or where something is wrong.
fn artist(fields: &mut Fields) -> Option<Artist> {
    let name = fields.may("artist", words::TEXT_WRONG, plain_name)??;
    let free_change_h = fields.need("free_change_h", words::ARTIST_FREE_WRONG, |text| {
        text.parse().ok().filter(|hours| (0..=1000).contains(hours))
    })?;
    let full_fee_h = fields.may("full_fee_h", words::ARTIST_FULL_WRONG, |text| {
        text.parse().ok().filter(|hours| (0..=free_change_h).contains(hours))
    })?;
    let fee =
        fields.may("artist_fee", words::ARTIST_FEE_WRONG, |text| decimal(text, (0.0, 1e6)))?;
    let (full_fee_h, fee) = (full_fee_h.unwrap_or_default(), fee.unwrap_or_default());
    Some(Artist { name, free_change_h, full_fee_h, fee })
}

fn areas(fields: &mut Fields) -> Option<Vec<String>> {
    let areas: Vec<String> = fields
        .text("areas")
        .split(['\n', ','])
        .map(|area| area.trim().to_owned())
        .filter(|area| !area.is_empty())
        .collect();
    let is_code = |area: &String| {
        area.split_once(':').is_some_and(|(system, code)| !system.is_empty() && !code.is_empty())
    };
    match areas.iter().find(|area| !is_code(area)) {
        None => Some(areas),
        Some(odd) => {
            let why = words::area_wrong(odd);
            fields.refuse("areas", why);
            None
        }
    }
}
