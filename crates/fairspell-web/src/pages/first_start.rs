//! The first start: a place, tonight's hours, a passphrase; then the evening.
//!
//! The place comes first, since tonight's hours follow from it, and so that a passphrase that was
//! typed never has to travel through a page.

mod made;
mod map;
mod starting;
mod tonight;

use axum::{
    extract::{Query, State},
    http::{HeaderMap, Uri, header},
    response::{AppendHeaders, IntoResponse, Redirect, Response},
};
use fairspell_ground::LatLon;
use fairspell_studio::{Policy, SessionError};
use fairspell_words::screens::{
    first_start as words, forms, places as place_words, session_edit as session_words,
};
use jiff::{civil, tz::TimeZone};
use maud::{Markup, html};
use serde::Deserialize;

use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    form_markup::{Field, Input, mistakes},
    page::bare_page,
    pages::session_edit::clock_time,
    place_field,
    place_input::read_position,
    sign_in::{PassphraseRefused, choose_passphrase, has_passphrase, sign_in},
    watch::FEEDS,
    zone_of::zone_of,
};

use self::{
    map::Level,
    starting::{Missing, Starting, StartingPosted},
    tonight::{LastLight, Tonight, tonight},
};

pub(crate) use self::map::choose as map;

/// What has been answered so far.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Answered {
    /// The place, once it is known.
    #[serde(default)]
    place: String,
    /// The middle of the map, while it is being chosen there.
    #[serde(default)]
    near: String,
    /// How near the map has come.
    #[serde(default)]
    level: Level,
    /// The map was sent without a touch.
    #[serde(default)]
    untouched: bool,
}

/// `GET /start`.
pub(crate) async fn show(
    starting: Starting,
    State(app): State<Shared>,
    Query(answered): Query<Answered>,
) -> Result<Response, PageError> {
    if starting.missing == Missing::Passphrase {
        return Ok(passphrase_page(&Fields::default()));
    }
    match read_position(&answered.place) {
        Ok(place) => {
            let asked = Asked::of(&app, place);
            Ok(tonight_page(starting.missing, &asked, &asked.fields(), None))
        }
        Err(_) => Ok(place_page(&answered, &Fields::default())),
    }
}

/// The first page: where.
fn place_page(answered: &Answered, fields: &Fields) -> Response {
    let body = html! {
        h1 { (words::HEADING) }
        p { (words::ASKS) }
        form method="post" action="/start" enctype="multipart/form-data" {
            h2 { (words::WHERE) }
            (mistakes(fields))
            (place_field::inputs(fields, words::PLACE))
            button.main { (words::GO_ON) }
        }
        h2 #map { (words::MAP_HEADING) }
        @if answered.untouched { p.wrong role="alert" { (words::MAP_UNTOUCHED) } }
        (map::forms(&answered.near, answered.level))
    };
    bare_page(words::HEADING, &body)
}

/// What the second page is about.
struct Asked {
    place: LatLon,
    zone_name: String,
    zone: TimeZone,
    tonight: Tonight,
}

impl Asked {
    fn of(app: &Shared, place: LatLon) -> Asked {
        let zone_name = zone_of(place);
        let zone = TimeZone::get(&zone_name).unwrap_or(TimeZone::UTC);
        let tonight = tonight(place, &zone, app.clock.now(), &Policy::default());
        Asked { place, zone_name, zone, tonight }
    }

    /// The form with its defaults.
    fn fields(&self) -> Fields {
        let clock = |at: civil::DateTime| at.strftime("%H:%M").to_string();
        Fields::of([("from", clock(self.tonight.from)), ("to", clock(self.tonight.to))])
    }
}

/// The second page: when, and the passphrase.
///
/// - `cookie`: of a passphrase that has just been kept although something else was wrong.
fn tonight_page(missing: Missing, asked: &Asked, fields: &Fields, kept: Option<&str>) -> Response {
    let position = place_words::position(asked.place.lat_deg(), asked.place.lon_deg());
    let body = html! {
        h1 { (words::HEADING) }
        p.large { (position) }
        p.quiet { (words::zone(&asked.zone_name)) }
        (map::picture(asked.place))
        p { a href="/start" { (words::OTHER_PLACE) } }
        form method="post" action="/start" {
            @if let Some(kept) = kept { p role="status" { (kept) } }
            (mistakes(fields))
            input type="hidden" name="step" value="tonight";
            input type="hidden" name="place" value=(place_field::shown(asked.place));
            input type="hidden" name="date" value=(asked.tonight.from.date());
            h2 { (words::TONIGHT) }
            (light(&asked.tonight))
            (Field::new(fields, "from", words::FROM).needed().input(Input::Time))
            (Field::new(fields, "to", words::TO).needed().input(Input::Time))
            @if missing == Missing::Everything { (passphrase_field(fields)) }
            button.main { (words::BEGIN) }
        }
    };
    bare_page(words::HEADING, &body)
}

fn light(tonight: &Tonight) -> Markup {
    html! {
        @if tonight.is_tomorrow { p { (words::tomorrow(tonight.from.date())) } }
        @match tonight.last_light {
            LastLight::At(at) => p { (words::last_light(at)) },
            LastLight::AllNight => p { (words::NO_NIGHT) },
            LastLight::Never => p { (words::NO_LIGHT) },
        }
    }
}

fn passphrase_field(fields: &Fields) -> Markup {
    html! {
        (Field::new(fields, "passphrase", words::PASSPHRASE)
            .hint(words::PASSPHRASE_HINT)
            .needed()
            .input(Input::NewPassphrase))
        // The script that can do it shows the button.
        button.plain type="button" data-reveal="#passphrase" data-hide=(words::HIDE) hidden {
            (words::SHOW)
        }
    }
}

/// The page of a studio that has everything but a passphrase.
fn passphrase_page(fields: &Fields) -> Response {
    let body = html! {
        h1 { (words::ONLY_PASSPHRASE) }
        p { (words::ONLY_PASSPHRASE_MEANS) }
        form method="post" action="/start" {
            (mistakes(fields))
            (passphrase_field(fields))
            button.main { (words::KEEP) }
        }
    };
    bare_page(words::ONLY_PASSPHRASE, &body)
}

/// `POST /start`.
pub(crate) async fn begin(
    StartingPosted { starting, app, headers, uri, mut fields }: StartingPosted,
) -> Result<Response, PageError> {
    if starting.missing == Missing::Passphrase {
        return match keep_passphrase(&app, &headers, &uri, &mut fields).await? {
            Some(cookie) => Ok((cookie, Redirect::to("/")).into_response()),
            None => Ok(passphrase_page(&fields)),
        };
    }
    if fields.text("step") == "tonight"
        && let Ok(place) = read_position(fields.text("place"))
    {
        let asked = Asked::of(&app, place);
        return begin_tonight(&app, starting.missing, &asked, (&headers, &uri), fields).await;
    }
    match place_field::read(&mut fields) {
        Some(place) => Ok(to_tonight(place)),
        None => Ok(place_page(&Answered::default(), &fields)),
    }
}

/// On to the second page, with a place.
fn to_tonight(place: LatLon) -> Response {
    Redirect::to(&format!("/start?place={place}")).into_response()
}

type Cookie = AppendHeaders<[(header::HeaderName, header::HeaderValue); 1]>;

/// Keeps the passphrase and signs in; `None` when it is refused, which is noted.
async fn keep_passphrase(
    app: &Shared,
    headers: &HeaderMap,
    uri: &Uri,
    fields: &mut Fields,
) -> Result<Option<Cookie>, PageError> {
    let _starting = app.starting.lock().await;
    if has_passphrase(app).await? {
        // Another browser was quicker, and its passphrase stays.
        return Err(PageError::NotOurForm);
    }
    match choose_passphrase(app, fields.text("passphrase")).await {
        Ok(()) => {
            let cookie = sign_in(app, headers, uri).await?;
            Ok(Some(AppendHeaders([(header::SET_COOKIE, cookie)])))
        }
        Err(PassphraseRefused::Length { shortest, longest }) => {
            fields.refuse("passphrase", words::passphrase_wrong(shortest, longest));
            Ok(None)
        }
        Err(PassphraseRefused::Page(error)) => Err(error),
    }
}

/// The second page was sent: keeps the passphrase, makes the studio, and goes to the evening.
async fn begin_tonight(
    app: &Shared,
    missing: Missing,
    asked: &Asked,
    (headers, uri): (&HeaderMap, &Uri),
    mut fields: Fields,
) -> Result<Response, PageError> {
    let made = made(asked, &mut fields);
    // Whatever else is wrong, a good passphrase is kept: no page could show it again.
    let cookie = if missing == Missing::Everything {
        keep_passphrase(app, headers, uri, &mut fields).await?
    } else {
        None
    };
    let Some(made) = made.filter(|_| fields.is_right()) else {
        let (missing, kept) = match &cookie {
            Some(_) => (Missing::Studio, Some(words::PASSPHRASE_KEPT)),
            None => (missing, None),
        };
        return Ok((cookie, tonight_page(missing, asked, &fields, kept)).into_response());
    };
    let at = app.clock.real();
    app.store.save_setting(FEEDS, &made.feeds).await?;
    app.store.save_studio(&made.studio, at).await?;
    app.store.save_session(&made.session, at).await?;
    app.look_again().await?;
    app.fetch_soon();
    let evening = Redirect::to(&format!("/sessions/{}", made.session.id));
    Ok((cookie, evening).into_response())
}

/// The studio of a form; `None` when something in it is wrong, which is noted.
fn made(asked: &Asked, fields: &mut Fields) -> Option<made::Made> {
    let from = fields.need("from", forms::TIME, clock_time);
    let to = fields.need("to", forms::TIME, clock_time);
    let date = asked.tonight.date_or_default(fields.text("date"));
    let Some(duration_min) = tonight::minutes(from?, to?) else {
        fields.refuse("to", words::HOURS_WRONG);
        return None;
    };
    let made = made::made(asked.place, &asked.zone_name, date.to_datetime(from?), duration_min);
    match made.session.booked(&asked.zone) {
        Ok(_) => Some(made),
        Err(SessionError::StartRepeated { .. }) => {
            fields.refuse("from", session_words::START_REPEATED);
            None
        }
        Err(_) => {
            fields.refuse("from", session_words::START_SKIPPED);
            None
        }
    }
}
