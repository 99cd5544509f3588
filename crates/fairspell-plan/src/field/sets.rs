//! The ways of a session's looks, and what water does to each.

use fairspell_sheet::problem::{self, Form, Promise, Setting};
use fairspell_studio::{Hair, Session, Spot, Studio, session::Look, spot::Cover};

use crate::{field::FieldSet, starts_day::road_min};

/// So many sets are solved exactly within a second, and their strategy stays small enough for a phone
/// with a poor signal; more ways would add little.
const SETS_MOST: usize = 9;
/// With fewer than so many, looks that have one way only get a second round of it.
const SETS_FEW: usize = 7;

/// A roof or another spot farther than this is none for a shower, minutes.
const NEAR_MIN: f64 = 15.0;

/// What a set is worth in full and in its best light. Our choice, in the only unit there is: beside each
/// other.
const AS_PLANNED: f64 = 100.0;
const UNDER_ANOTHER_ROOF: f64 = 50.0;
const UNDER_THE_UMBRELLA: f64 = 60.0;
const AT_ANOTHER_SPOT: f64 = 60.0;
const IN_DASHES: f64 = 50.0;
const A_SECOND_TIME: f64 = 12.0;
/// What it costs to miss a look, and each picture short of what was promised of it.
const LOOK_MISSED: f64 = 60.0;
const PICTURE_MISSED: f64 = 2.0;

/// What the short form leaves of a set's worth.
const SHORT_FACTOR: f64 = 0.6;
/// From so many minutes on a set brings all that is promised of its look, a shorter one half of it:
/// eighteen pictures in a quarter of an hour is the trade's pace, and finer counts would make the
/// strategy three times as large without another answer.
const WHOLE_PROMISE_MIN: u32 = 15;
/// Setting up before the first picture.
const SETUP_MIN: u32 = 1;

/// Nobody stands longer for one set, minutes.
const LONGEST_MIN: u32 = 30;

/// Dashes: minutes, and seconds of them out in the rain; each dash is 40 s long or less.
const DASHES_MIN: (u32, u32) = (10, 5);
const DASHES_S: (f64, f64) = (120.0, 60.0);
/// Rain that falls on a set in the open finds it so many seconds of each minute unsheltered: a quarter of
/// a minute until the umbrella at hand is up, and what that lets through, over a quarter of an hour. Our
/// choice.
const CAUGHT_S: f64 = 2.5;

/// The ways of a session's looks, the most important first.
///
/// Each where it was planned and under the nearest roof, always. While there is room: under an umbrella,
/// in dashes, at a spot near by. Where there are few, a look that has one way only gets a second round of
/// it, or half of its time would be left. What water marks for good goes under the sky only where that
/// was planned.
pub(super) fn session_sets<'a>(studio: &'a Studio, session: &Session) -> Vec<FieldSet<'a>> {
    let planned: Vec<(usize, &Spot)> = session
        .looks
        .iter()
        .enumerate()
        .filter_map(|(index, look)| Some((index, studio.spot(&look.spot)?)))
        .collect();
    let mut sets: Vec<FieldSet<'a>> = Vec::new();
    for (look, spot) in &planned {
        add(&mut sets, natural(*look, spot, true));
    }
    for (look, spot) in &planned {
        if let Some(roof) = nearest(studio, session, spot, |near| near.cover == Cover::Roof) {
            add(&mut sets, natural(*look, roof, false));
        }
    }
    for set in further_ways(studio, session, &planned) {
        if sets.len() < SETS_MOST {
            add(&mut sets, set);
        }
    }
    for (look, _) in &planned {
        let own: Vec<&FieldSet<'_>> = sets.iter().filter(|set| set.look == *look).collect();
        if let [only] = own[..]
            && sets.len() < SETS_FEW
        {
            let again = FieldSet { is_again: true, is_planned: false, ..only.clone() };
            sets.push(again);
        }
    }
    sets
}

/// Ways that are there when there is room for them, the better first.
fn further_ways<'a>(
    studio: &'a Studio,
    session: &Session,
    planned: &[(usize, &'a Spot)],
) -> Vec<FieldSet<'a>> {
    let bears = |look: usize| !studio.look_table.marks_for_good(&session.looks[look]);
    let wet: Vec<(usize, &Spot)> =
        planned.iter().filter(|(look, _)| bears(*look)).copied().collect();
    let mut ways = Vec::new();
    for (look, spot) in wet.iter().filter(|(_, spot)| spot.cover != Cover::Roof) {
        ways.push(FieldSet { setting: Setting::Umbrella, ..natural(*look, spot, false) });
    }
    // The joyful soaked run comes last and in what minds it least.
    let shows = |look: usize| studio.look_table.shows_drops(&session.looks[look]);
    if let Some((look, spot)) = wet.iter().rev().find(|(look, _)| !shows(*look)) {
        let open = nearest(studio, session, spot, |near| near.cover != Cover::Roof);
        ways.extend(open.map(|spot| FieldSet { in_dashes: true, ..natural(*look, spot, false) }));
    }
    for (look, spot) in &wet {
        let is_other = |near: &Spot| near.id != spot.id && near.cover != Cover::Roof;
        let other = nearest(studio, session, spot, is_other);
        ways.extend(other.map(|other| natural(*look, other, false)));
    }
    ways
}

/// A look at a spot as that spot is.
fn natural(look: usize, spot: &Spot, is_planned: bool) -> FieldSet<'_> {
    let setting = if spot.cover == Cover::Roof { Setting::Cover } else { Setting::Open };
    FieldSet { look, spot, setting, in_dashes: false, is_again: false, is_planned }
}

fn add<'a>(sets: &mut Vec<FieldSet<'a>>, set: FieldSet<'a>) {
    let is_it = |known: &FieldSet<'_>| {
        (known.look, &known.spot.id, known.setting, known.in_dashes, known.is_again)
            == (set.look, &set.spot.id, set.setting, set.in_dashes, set.is_again)
    };
    if !sets.iter().any(is_it) {
        sets.push(set);
    }
}

/// The nearest spot of a kind that can be reached in a shower, the spot itself included; one at which the
/// session is anyway before another, since it lies on the way. Where leave is asked for, none but those.
fn nearest<'a>(
    studio: &'a Studio,
    session: &Session,
    spot: &Spot,
    is_wanted: impl Fn(&Spot) -> bool,
) -> Option<&'a Spot> {
    let is_booked = |near: &Spot| session.looks.iter().any(|look| look.spot == near.id);
    let near = studio.spots.iter().filter(|near| is_wanted(near));
    let free = near.filter(|near| near.site.permit.is_none() || is_booked(near));
    let timed =
        free.map(|near| (if near.id == spot.id { 0.0 } else { road_min(spot, near) }, near));
    let within = timed.filter(|(minutes, _)| *minutes <= NEAR_MIN);
    let order = |a: &(f64, &Spot), b: &(f64, &Spot)| {
        is_booked(b.1).cmp(&is_booked(a.1)).then(a.0.total_cmp(&b.0))
    };
    within.min_by(order).map(|(_, near)| near)
}

/// What water does to a look, and what it costs to miss it.
///
/// Doses at which an outfit shows water, and what that leaves of a picture, are our choice, an estimate
/// to start from: what marks for good is lost at the first drops, what hides them bears a good deal.
pub(super) fn look_terms(studio: &Studio, look: &Look) -> problem::Look {
    let terms = &studio.policy.field;
    let collapses = studio.look_table.fabric(look).is_some_and(|row| row.collapses_wet);
    let (damp_at_g_m2, wet_at_g_m2, damp_factor, wet_factor) =
        if studio.look_table.marks_for_good(look) {
            (5.0, 10.0, 0.3, 0.0)
        } else if studio.look_table.shows_drops(look) || collapses {
            (10.0, 30.0, 0.6, 0.1)
        } else {
            (40.0, 120.0, 0.95, 0.7)
        };
    let promise = Promise { pictures: terms.pictures_promised, penalty_each: PICTURE_MISSED };
    problem::Look {
        name: look.name.clone(),
        change_min: terms.change_min,
        may_return: false,
        damp_at_g_m2,
        wet_at_g_m2,
        damp_factor,
        wet_factor,
        missed_penalty: LOOK_MISSED,
        promise: (promise.pictures > 0).then_some(promise),
    }
}

/// A set of the problem.
///
/// - `share_min`: the minutes that are this set's of the agreed time; a planned set takes them, up to
///   half an hour, where that is more than the owner's minutes.
/// - `light`: how well each slot's light grants what it wants.
/// - `gust_km_h`: the strongest gust in the open; `None` where nobody knows.
pub(super) fn set_terms(
    studio: &Studio,
    look: &Look,
    set: &FieldSet<'_>,
    name: String,
    share_min: u32,
    light: Vec<f64>,
    gust_km_h: Option<f64>,
) -> problem::Set {
    let terms = &studio.policy.field;
    let has_umbrella =
        gust_km_h.is_none_or(|gust| set.spot.gust_km_h(gust) <= terms.umbrella_gust_to_km_h);
    let marks = studio.look_table.marks_for_good(look);
    let (full_min, short_min) = match (set.setting, set.in_dashes) {
        (Setting::Open, true) => DASHES_MIN,
        (Setting::Open, false) => (terms.open_set_min, terms.short_set_min),
        (Setting::Umbrella | Setting::Cover, _) => (terms.sheltered_set_min, terms.short_set_min),
    };
    let full_min = if set.is_planned || set.is_again {
        full_min.max(share_min.min(LONGEST_MIN))
    } else {
        full_min
    };
    let form = |minutes: u32, factor: f64, dashes_s: f64| Form {
        minutes,
        factor,
        exposed_s: match set.setting {
            Setting::Open if set.in_dashes => Some(dashes_s),
            Setting::Open => Some(CAUGHT_S * f64::from(minutes)),
            Setting::Umbrella | Setting::Cover => None,
        },
        pictures: pictures(minutes, terms.pictures_promised),
    };
    let short = (short_min < full_min).then(|| form(short_min, SHORT_FACTOR, DASHES_S.1));
    problem::Set {
        name,
        look: look.name.clone(),
        spot: set.spot.id.clone(),
        setting: set.setting,
        worth: worth(set),
        setup_min: SETUP_MIN,
        full: form(full_min, 1.0, DASHES_S.0),
        short,
        light,
        rain: rain_factors(set, marks, has_umbrella),
        hair_dry: !set.in_dashes && look.hair != Some(Hair::Short),
        needed: None,
    }
}

fn worth(set: &FieldSet<'_>) -> f64 {
    match set.setting {
        _ if set.in_dashes => IN_DASHES,
        _ if set.is_again => A_SECOND_TIME,
        _ if set.is_planned => AS_PLANNED,
        Setting::Cover => UNDER_ANOTHER_ROOF,
        Setting::Umbrella => UNDER_THE_UMBRELLA,
        Setting::Open => AT_ANOTHER_SPOT,
    }
}

/// What each class of rain leaves of a set, or adds to it: dry, drizzle, rain, heavy.
///
/// Under 1 mm/h an umbrella and dashes work, up to 4 covered sets and dashes, above only covered ones
/// (trade practice). In the open an umbrella is at hand, and rain makes a lesser set of it; it may so be
/// got ready for while it still rains. A roof that nobody had planned is for rain; in dry air the same is
/// worth more outside. A set that is meant for the umbrella waits for rain;
/// rain behind it or behind a roof's edge is a picture of its own. The figures are our choice.
///
/// - `has_umbrella`: whether the wind lets anybody hold one.
fn rain_factors(set: &FieldSet<'_>, marks_for_good: bool, has_umbrella: bool) -> [f64; 4] {
    match set.setting {
        Setting::Cover if set.is_planned || set.is_again => [1.0, 1.0, 1.05, 0.9],
        Setting::Cover => [0.6, 1.0, 1.05, 0.9],
        Setting::Umbrella if has_umbrella => [0.0, 1.0, 1.1, 0.4],
        Setting::Umbrella => [0.0; 4],
        Setting::Open if set.in_dashes => [0.0, 0.8, 1.2, 0.0],
        Setting::Open if marks_for_good => [1.0, 0.0, 0.0, 0.0],
        Setting::Open if has_umbrella => [1.0, 0.8, 0.5, 0.15],
        Setting::Open => [1.0, 0.5, 0.0, 0.0],
    }
}

fn pictures(minutes: u32, promised: u32) -> u32 {
    if minutes >= WHOLE_PROMISE_MIN { promised } else { promised.div_ceil(2) }
}
