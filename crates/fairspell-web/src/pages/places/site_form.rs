//! The part of a spot's form that asks for light, water and hours.

use fairspell_studio::{
    Site,
    permit::PermitTerms,
    site::{Ground, Roof, Side, TideLimits},
};
use fairspell_words::screens::{forms, site as words};
use maud::{Markup, html};
use serde::Serialize;

use crate::{
    backdrops_input::{read_backdrops, written_backdrops},
    fields::Fields,
    form_markup::{Field, Input, ticks},
    hours_input::{read_hours, written_hours},
    number_input::{decimal, whole},
    road_input::{read_road, written_road},
};

const GROUNDS: [Ground; 9] = [
    Ground::Grass,
    Ground::Sand,
    Ground::WetSand,
    Ground::Stone,
    Ground::Boards,
    Ground::Earth,
    Ground::Asphalt,
    Ground::Water,
    Ground::Snow,
];

const EDGE_M: (f64, f64) = (1.8, 30.0);
const DEPTH_M: (f64, f64) = (0.2, 100.0);
const TIDE_M: (f64, f64) = (-20.0, 20.0);
const LEAVES_PERCENT: (f64, f64) = (0.0, 100.0);
const WALK_MIN: (u32, u32) = (0, 600);
const PERMIT_DAYS: (u32, u32) = (0, 365);
const PERMIT_FEE: (f64, f64) = (0.0, 1_000_000.0);

/// A choice's value in the form: its name in files.
fn value<T: Serialize>(one: T) -> String {
    match serde_json::to_value(one) {
        Ok(serde_json::Value::String(name)) => name,
        _ => String::new(),
    }
}

fn chosen<T: Copy + Serialize>(all: &[T], name: &str) -> Option<T> {
    all.iter().copied().find(|one| value(one) == name)
}

/// The fields with a site in them.
pub(super) fn filled(site: &Site) -> Vec<(&'static str, String)> {
    let text = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    let (roof, tide) = (site.roof, site.tide.unwrap_or_default());
    // A share of 0.35 is 35 per cent, not 35.00000000000001.
    let leaves = site.leaves_let_through.map(|share| (1e8 * share).round() / 1e6);
    let mut fields = vec![
        ("ground", site.ground.map(value).unwrap_or_default()),
        ("roof_opens", roof.map(|roof| value(roof.opens_to)).unwrap_or_default()),
        ("roof_edge", text(roof.map(|roof| roof.edge_height_m))),
        ("roof_depth", text(roof.map(|roof| roof.depth_m))),
        ("leaves", text(leaves)),
        ("tide_from", text(tide.usable_from_m)),
        ("tide_to", text(tide.usable_to_m)),
        ("tide_wide", text(tide.wide_to_m)),
        ("hours", written_hours(&site.hours)),
        ("backdrops", written_backdrops(&site.backdrops)),
        ("road", written_road(&site.road)),
        ("lamps", if site.lamps { "yes".to_owned() } else { String::new() }),
        ("walk", if site.walk_min > 0 { site.walk_min.to_string() } else { String::new() }),
    ];
    let sides = |name, sides: &[Side]| -> Vec<(&'static str, String)> {
        sides.iter().map(|side| (name, value(side))).collect()
    };
    fields.extend(sides("opens_to", &site.opens_to));
    fields.extend(sides("dark_towards", &site.dark_towards));
    if let Some(permit) = &site.permit {
        fields.push(("permit_days", permit.ask_days.to_string()));
        fields.push(("permit_fee", permit.fee.to_string()));
        fields.extend(permit.moves_free.then(|| ("permit_moves", "yes".to_owned())));
    }
    fields
}

/// - `known`: backdrops of which the studio's table of looks says something.
pub(super) fn markup(fields: &Fields, known: &[&str]) -> Markup {
    let backdrops_hint = words::backdrops_hint(known);
    let field = |name, label| Field::new(fields, name, label);
    let number = |(from, to): (f64, f64)| Input::Number { from, to, step: 0.01 };
    let count = |(from, to): (u32, u32)| Input::Number {
        from: f64::from(from),
        to: f64::from(to),
        step: 1.0,
    };
    let sides: Vec<(String, &str)> =
        Side::ALL.iter().map(|side| (value(side), words::side(*side))).collect();
    let with_none = |none: &'static str, rest: &[(String, &'static str)]| {
        let mut options = vec![(String::new(), none)];
        options.extend(rest.iter().cloned());
        options
    };
    let grounds: Vec<(String, &str)> =
        GROUNDS.iter().map(|ground| (value(ground), words::ground(*ground))).collect();
    html! {
        fieldset {
            legend { (words::LIGHT) }
            (field("ground", words::GROUND).select(&with_none(words::NOT_SAID, &grounds)))
            (ticks(fields, "opens_to", words::OPENS_TO, &sides))
            (ticks(fields, "dark_towards", words::DARK_TOWARDS, &sides))
            p.hint { (words::DARK_HINT) }
            (field("backdrops", words::BACKDROPS).hint(&backdrops_hint).text_area(3))
            (field("lamps", words::LAMPS).tick())
        }
        fieldset {
            legend { (words::ROOF) }
            (field("roof_opens", words::ROOF_OPENS).select(&with_none(words::NO_ROOF, &sides)))
            (field("roof_edge", words::ROOF_EDGE).input(number(EDGE_M)))
            (field("roof_depth", words::ROOF_DEPTH).input(number(DEPTH_M)))
            (field("leaves", words::LEAVES).hint(words::LEAVES_HINT).input(number(LEAVES_PERCENT)))
        }
        fieldset {
            legend { (words::WATER) }
            (field("tide_from", words::TIDE_FROM)
                .hint(words::TIDE_FROM_HINT)
                .input(number(TIDE_M)))
            (field("tide_to", words::TIDE_TO).hint(words::TIDE_TO_HINT).input(number(TIDE_M)))
            (field("tide_wide", words::TIDE_WIDE).input(number(TIDE_M)))
            (field("hours", words::HOURS).hint(words::HOURS_HINT).text_area(3))
            (field("walk", words::WALK).input(count(WALK_MIN)))
            (field("road", words::ROAD).hint(words::ROAD_HINT).text_area(3))
        }
        fieldset {
            legend { (words::PERMIT) }
            (field("permit_days", words::PERMIT_DAYS)
                .hint(words::PERMIT_DAYS_HINT)
                .input(count(PERMIT_DAYS)))
            (field("permit_fee", words::PERMIT_FEE).input(number(PERMIT_FEE)))
            (field("permit_moves", words::PERMIT_MOVES).tick())
        }
    }
}

/// A site out of a form; `None` when something in it is wrong.
pub(super) fn read(fields: &mut Fields) -> Option<Site> {
    let ground = fields.may("ground", forms::CHOOSE, |text| chosen(&GROUNDS, text));
    let leaves_wrong = forms::number(0.0, 100.0);
    let leaves = fields.may("leaves", &leaves_wrong, |text| decimal(text, LEAVES_PERCENT));
    let walk_wrong = forms::number(0.0, 600.0);
    let walk = fields.may("walk", &walk_wrong, |text| whole(text, WALK_MIN));
    let roof = roof(fields);
    let tide = tide(fields);
    let permit = permit(fields);
    let hours = match read_hours(fields.text("hours")) {
        Ok(hours) => Some(hours),
        Err(why) => {
            fields.refuse("hours", words::hours_wrong(why.line, &why.text));
            None
        }
    };
    let backdrops = match read_backdrops(fields.text("backdrops")) {
        Ok(backdrops) => Some(backdrops),
        Err(why) => {
            fields.refuse("backdrops", words::backdrops_wrong(why.line, &why.text));
            None
        }
    };
    let road = match read_road(fields.text("road")) {
        Ok(road) => Some(road),
        Err(why) => {
            fields.refuse("road", words::road_wrong(why.line, &why.text));
            None
        }
    };
    let sides =
        |name: &str| fields.all(name).filter_map(|value| chosen(&Side::ALL, value)).collect();
    Some(Site {
        opens_to: sides("opens_to"),
        dark_towards: sides("dark_towards"),
        ground: ground?,
        roof: roof?,
        leaves_let_through: leaves?.map(|percent| percent / 100.0),
        tide: tide?,
        hours: hours?,
        lamps: fields.ticked("lamps"),
        walk_min: walk?.unwrap_or(0),
        permit: permit?,
        backdrops: backdrops?,
        road: road?,
    })
}

/// `Some(None)` where nobody asks for one.
#[expect(clippy::option_option, reason = "no permit, and one that cannot be, are different")]
fn permit(fields: &mut Fields) -> Option<Option<PermitTerms>> {
    let days_wrong = forms::number(f64::from(PERMIT_DAYS.0), f64::from(PERMIT_DAYS.1));
    let days = fields.may("permit_days", &days_wrong, |text| whole(text, PERMIT_DAYS))?;
    let fee_wrong = forms::number(PERMIT_FEE.0, PERMIT_FEE.1);
    let fee = fields.may("permit_fee", &fee_wrong, |text| decimal(text, PERMIT_FEE))?;
    let Some(days) = days else {
        if fee.is_some() || fields.ticked("permit_moves") {
            fields.refuse("permit_days", words::PERMIT_DAYS_NEEDED);
            return None;
        }
        return Some(None);
    };
    Some(Some(PermitTerms {
        ask_days: u16::try_from(days).ok()?,
        fee: fee.unwrap_or_default(),
        moves_free: fields.ticked("permit_moves"),
    }))
}

/// `Some(None)` where there is none.
#[expect(clippy::option_option, reason = "no roof, and a roof that cannot be, are different")]
fn roof(fields: &mut Fields) -> Option<Option<Roof>> {
    let opens_to = fields.may("roof_opens", forms::CHOOSE, |text| chosen(&Side::ALL, text))?;
    let edge_wrong = forms::number(EDGE_M.0, EDGE_M.1);
    let edge = fields.may("roof_edge", &edge_wrong, |text| decimal(text, EDGE_M))?;
    let depth_wrong = forms::number(DEPTH_M.0, DEPTH_M.1);
    let depth = fields.may("roof_depth", &depth_wrong, |text| decimal(text, DEPTH_M))?;
    match (opens_to, edge, depth) {
        (None, None, None) => Some(None),
        (Some(opens_to), Some(edge_height_m), Some(depth_m)) => {
            Some(Some(Roof { opens_to, edge_height_m, depth_m }))
        }
        (None, ..) => {
            fields.refuse("roof_opens", words::ROOF_WHOLE);
            None
        }
        (_, None, _) => {
            fields.refuse("roof_edge", words::ROOF_WHOLE);
            None
        }
        (.., None) => {
            fields.refuse("roof_depth", words::ROOF_WHOLE);
            None
        }
    }
}

/// `Some(None)` where the water limits nothing.
#[expect(clippy::option_option, reason = "no limit, and one that cannot be, are different")]
fn tide(fields: &mut Fields) -> Option<Option<TideLimits>> {
    let wrong = forms::number(TIDE_M.0, TIDE_M.1);
    let mut height = |name: &str| fields.may(name, &wrong, |text| decimal(text, TIDE_M));
    let (from, to, wide) = (height("tide_from")?, height("tide_to")?, height("tide_wide")?);
    if to.is_some_and(|to| [from, wide].into_iter().flatten().any(|below| below >= to)) {
        fields.refuse("tide_to", words::TIDE_ORDER);
        return None;
    }
    let limits = TideLimits { usable_from_m: from, usable_to_m: to, wide_to_m: wide };
    Some((limits != TideLimits::default()).then_some(limits))
}
