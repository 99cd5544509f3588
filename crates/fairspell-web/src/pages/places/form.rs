//! The form of a spot.

use fairspell_ground::LatLon;
use fairspell_studio::{
    LookTable, Spot,
    spot::{Cover, Refuge, WindExposure},
};
use fairspell_words::screens::{forms, places as words};
use maud::{Markup, html};

use super::site_form;
use crate::{
    fields::Fields,
    form_markup::{Field, Input, mistakes, save_or_back},
    number_input::{decimal, whole},
    pages::people::plain_name,
    place_field,
    skyline_input::{read_skyline, written_skyline},
    visit::Visit,
};

const COVERS: [Cover; 3] = [Cover::None, Cover::Partial, Cover::Roof];

/// What a walk to a refuge can take, minutes.
const WALK_MIN: (u32, u32) = (0, 1440);
/// How gusts at a spot can compare with the forecast's.
const GUST_FACTOR: (f64, f64) = (0.1, 5.0);
/// What gusts a limit can be, km/h.
const GUST_LIMIT_KM_H: (f64, f64) = (5.0, 120.0);

/// A form that nobody has filled in yet.
///
/// - `point`: a position that was chosen before.
pub(super) fn empty(point: Option<LatLon>) -> Fields {
    let position = point.map(place_field::shown).unwrap_or_default();
    Fields::of([
        ("position", position.as_str()),
        ("cover", cover_value(Cover::None)),
        ("gust_factor", "1"),
    ])
}

/// A form with a spot in it.
pub(super) fn filled(spot: &Spot) -> Fields {
    let refuge = spot.refuge.as_ref();
    let limit = spot.wind.gust_limit_km_h;
    let mut fields = vec![
        ("name", spot.name.clone()),
        ("position", place_field::shown(spot.position)),
        ("cover", cover_value(spot.cover).to_owned()),
        ("refuge", refuge.map(|refuge| refuge.name.clone()).unwrap_or_default()),
        ("refuge_min", refuge.map(|refuge| refuge.minutes.to_string()).unwrap_or_default()),
        ("gust_factor", spot.wind.gust_factor.to_string()),
        ("gust_limit", limit.map(|limit| limit.to_string()).unwrap_or_default()),
        ("skyline", written_skyline(&spot.skyline)),
        ("shore", if spot.shore { "yes".to_owned() } else { String::new() }),
    ];
    fields.extend(site_form::filled(&spot.site));
    Fields::of(fields)
}

fn cover_value(cover: Cover) -> &'static str {
    match cover {
        Cover::None => "none",
        Cover::Partial => "partial",
        Cover::Roof => "roof",
    }
}

pub(super) fn markup(visit: &Visit, action: &str, fields: &Fields) -> Markup {
    let field = |name, label| Field::new(fields, name, label);
    let covers = COVERS.map(|cover| (cover_value(cover), words::cover(cover)));
    let walk = Input::Number { from: f64::from(WALK_MIN.0), to: f64::from(WALK_MIN.1), step: 1.0 };
    let factor = Input::Number { from: GUST_FACTOR.0, to: GUST_FACTOR.1, step: 0.01 };
    let limit = Input::Number { from: GUST_LIMIT_KM_H.0, to: GUST_LIMIT_KM_H.1, step: 0.1 };
    let skies = visit.app.skies();
    let table = skies.house.as_deref().map(|house| &house.studio.look_table);
    let backdrops = table.map(LookTable::backdrops).unwrap_or_default();
    html! {
        form method="post" action=(action) enctype="multipart/form-data" {
            (visit.form_field())
            (mistakes(fields))
            (field("name", words::NAME).needed().input(Input::Text))
            (place_field::inputs(fields, words::POSITION))
            fieldset {
                legend { (words::COVER_AND_REFUGE) }
                (field("cover", words::COVER).select(&covers))
                (field("refuge", words::REFUGE).hint(words::REFUGE_HINT).input(Input::Text))
                (field("refuge_min", words::REFUGE_MINUTES).input(walk))
            }
            fieldset {
                legend { (words::WIND_AND_SKYLINE) }
                (field("gust_factor", words::GUST_FACTOR)
                    .hint(words::GUST_FACTOR_HINT)
                    .input(factor))
                (field("gust_limit", words::GUST_LIMIT)
                    .hint(words::GUST_LIMIT_HINT)
                    .input(limit))
                (field("skyline", words::SKYLINE).hint(words::SKYLINE_HINT).text_area(4))
                (field("shore", words::SHORE).tick())
            }
            (site_form::markup(fields, &backdrops))
            (save_or_back("/places"))
        }
    }
}

/// A spot out of a form, still without an id; `None` when something in it is wrong.
pub(super) fn read(fields: &mut Fields) -> Option<Spot> {
    let name = fields.need("name", forms::NAME, plain_name);
    let position = place_field::read(fields);
    let cover = fields.need("cover", forms::CHOOSE, |text| {
        COVERS.into_iter().find(|cover| cover_value(*cover) == text)
    });
    let refuge = refuge(fields);
    let factor_wrong = forms::number(GUST_FACTOR.0, GUST_FACTOR.1);
    let gust_factor = fields.may("gust_factor", &factor_wrong, |text| decimal(text, GUST_FACTOR));
    let limit_wrong = forms::number(GUST_LIMIT_KM_H.0, GUST_LIMIT_KM_H.1);
    let gust_limit_km_h =
        fields.may("gust_limit", &limit_wrong, |text| decimal(text, GUST_LIMIT_KM_H));
    let skyline = match read_skyline(fields.text("skyline")) {
        Ok(skyline) => Some(skyline),
        Err(why) => {
            fields.refuse("skyline", words::skyline_wrong(why.line, &why.text));
            None
        }
    };
    let site = site_form::read(fields);
    Some(Spot {
        id: String::new(),
        name: name?,
        position: position?,
        cover: cover?,
        refuge: refuge?,
        skyline: skyline?,
        wind: WindExposure {
            gust_factor: gust_factor?.unwrap_or(1.0),
            gust_limit_km_h: gust_limit_km_h?,
        },
        shore: fields.ticked("shore"),
        site: site?,
    })
}

/// `Some(None)` where nobody has looked yet.
#[expect(clippy::option_option, reason = "nobody has looked, and it cannot be read, are different")]
fn refuge(fields: &mut Fields) -> Option<Option<Refuge>> {
    let name = fields.may("refuge", forms::NAME, plain_name)?;
    let Some(name) = name else {
        if fields.filled("refuge_min").is_some() {
            fields.refuse("refuge", words::REFUGE_NAME_WRONG);
            return None;
        }
        return Some(None);
    };
    let minutes = fields.need("refuge_min", forms::MINUTES, |text| whole(text, WALK_MIN))?;
    Some(Some(Refuge { name, minutes }))
}
