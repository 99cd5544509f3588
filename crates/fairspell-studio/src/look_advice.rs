//! What a place, a month and a sky mean for a look, and where a look goes well.

use serde::{Deserialize, Serialize};

use crate::{
    Policy, Spot,
    look_table::{LookTable, Verdict},
    outlook::Outlook,
    ruling::whole_percent,
    session::{Hair, Hem, Look},
    site::{Backdrop, Ground},
    spot::Cover,
};

/// What is known of a sky, as far as it concerns clothes and hair; `None` is not known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LookSky {
    /// Whether rain is possible: its chance is one that is watched.
    pub rain_possible: Option<bool>,
    /// Whether the ground is wet, or will be if that rain comes.
    pub wet_ground: Option<bool>,
    /// The highest relative humidity of the hours, %.
    pub humidity_percent: Option<f64>,
    /// The strongest gust in the open, km/h, before the spot's own exposure.
    pub gust_km_h: Option<f64>,
}

/// Rain at the spot from which the ground gets wet, mm/h.
const WET_FROM_MM_H: f64 = 0.1;

impl LookSky {
    /// What an outlook says of it. Outlooks do not carry the humidity: the caller fills it in.
    ///
    /// Rain is possible from the chance of any rain at which the policy begins to watch, so that no
    /// page calls an evening settled and warns of rain; where that chance is missing, the chance of
    /// a wet minute stands in. Without either it is not known, unless the radar shows rain there.
    pub fn of(outlook: &Outlook, policy: &Policy) -> LookSky {
        let chance = outlook.p_any_rain.as_ref().or(outlook.p_wet_minute.as_ref());
        let percent = chance.map(|chance| whole_percent(chance.value.centre));
        let rain_possible = percent.map(|it| it >= policy.any_rain.watch_from_percent);
        let rate = outlook.radar.as_ref().and_then(|radar| radar.rain_rate_mm_h);
        let rains = rate.is_some_and(|rate| rate >= WET_FROM_MM_H);
        LookSky {
            rain_possible: if rains { Some(true) } else { rain_possible },
            wet_ground: if rains { Some(true) } else { rain_possible },
            humidity_percent: None,
            gust_km_h: outlook.comfort.wind_gust_km_h.as_ref().map(|gust| gust.value),
        }
    }
}

/// Something to mind about a look at a spot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LookAdvice {
    /// Rain is possible, and it is no look for rain.
    KeepDry {
        /// Whether drops show on it.
        shows_drops: bool,
        /// Whether they stay for good.
        marks_for_good: bool,
        /// Whether it loses its shape.
        loses_shape: bool,
        /// How long drops take to dry, minutes.
        dries_min: Option<u32>,
        /// Whether it is planned under a roof already.
        has_roof: bool,
    },
    /// Its colour and what stands behind it.
    Colour {
        /// The colour as it was typed.
        colour: String,
        /// The backdrop as the spot names it; `None`: whatever stands behind.
        backdrop: Option<String>,
        /// How they go together; never [`Verdict::Suits`].
        verdict: Verdict,
    },
    /// It reaches down to what is wet.
    HemTooLong {
        /// How far it reaches.
        hem: Hem,
        /// On what.
        ground: Ground,
    },
    /// Its shoes sink in, or catch between boards.
    ShoesSink {
        /// The shoes as they were typed.
        shoes: String,
        /// Into what.
        ground: Ground,
    },
    /// Curls drop in this air: what wants them comes first.
    CurlsDrop {
        /// The air's relative humidity, %.
        humidity_percent: f64,
    },
    /// The wind gets into open hair.
    WindInHair {
        /// The gust at the spot, km/h.
        gust_km_h: f64,
    },
}

/// What to mind about a look at a spot: the rain first, then colour, hem, shoes and hair.
///
/// Says only what there is to say: a fabric or colour that no row of the table names, a backdrop of
/// another month and a sky of which nothing is known add nothing.
///
/// - `month`: 1 to 12.
///
/// # Examples
///
/// ```
/// use fairspell_ground::{LatLon, Skyline};
/// use fairspell_studio::{
///     LookAdvice, LookSky, LookTable, Site, Spot, look_advice, session::Look, spot::Cover,
/// };
///
/// let satin = Look { fabric: Some("satin".into()), ..Look::default() };
/// let marsh = Spot {
///     id: "heron_walk".into(),
///     name: "Heron Walk".into(),
///     position: LatLon::new(-31.7, 152.8).expect("on the globe"),
///     cover: Cover::None,
///     refuge: None,
///     skyline: Skyline::default(),
///     wind: Default::default(),
///     shore: true,
///     site: Site::default(),
/// };
/// let showers = LookSky { rain_possible: Some(true), ..LookSky::default() };
/// let advice = look_advice(&LookTable::default(), &satin, &marsh, 9, &showers);
/// assert!(matches!(advice[..], [LookAdvice::KeepDry { marks_for_good: true, .. }]));
/// ```
pub fn look_advice(
    table: &LookTable,
    look: &Look,
    spot: &Spot,
    month: i8,
    sky: &LookSky,
) -> Vec<LookAdvice> {
    let mut advice: Vec<LookAdvice> = keep_dry(table, look, spot, sky).into_iter().collect();
    for (backdrop, verdict) in verdicts(table, look, spot, month) {
        if verdict != Verdict::Suits {
            let colour = look.colour.clone().unwrap_or_default();
            advice.push(LookAdvice::Colour { colour, backdrop, verdict });
        }
    }
    if let Some((hem, ground)) = look.hem.zip(spot.site.ground) {
        let is_wet = sky.wet_ground == Some(true) && spot.cover != Cover::Roof;
        if drags(hem, ground, is_wet) {
            advice.push(LookAdvice::HemTooLong { hem, ground });
        }
    }
    if let Some((shoes, ground)) = look.shoes.as_ref().zip(spot.site.ground)
        && lets_sink(ground)
        && table.sinks(shoes)
    {
        advice.push(LookAdvice::ShoesSink { shoes: shoes.clone(), ground });
    }
    advice.extend(hair(table, look, spot, sky));
    advice
}

fn keep_dry(table: &LookTable, look: &Look, spot: &Spot, sky: &LookSky) -> Option<LookAdvice> {
    let fabric = table.fabric(look);
    let (shows_drops, marks_for_good) = (table.shows_drops(look), table.marks_for_good(look));
    let loses_shape = fabric.is_some_and(|row| row.collapses_wet);
    let suffers = shows_drops || marks_for_good || loses_shape;
    (sky.rain_possible == Some(true) && suffers).then(|| LookAdvice::KeepDry {
        shows_drops,
        marks_for_good,
        loses_shape,
        dries_min: fabric.and_then(|row| row.dries_min),
        has_roof: spot.cover == Cover::Roof,
    })
}

/// How a look's colour goes with each backdrop of a month; what holds whatever stands behind is
/// said once, without a backdrop.
fn verdicts(
    table: &LookTable,
    look: &Look,
    spot: &Spot,
    month: i8,
) -> Vec<(Option<String>, Verdict)> {
    let Some(colour) = look.colour.as_deref() else { return Vec::new() };
    let mut found: Vec<(Option<String>, Verdict)> = Vec::new();
    let behind = spot.site.backdrops.iter().filter(|backdrop| backdrop.is_there_in(month));
    for Backdrop { name, .. } in behind {
        if let Some(row) = table.pairing(colour, Some(name)).filter(|row| row.backdrop.is_some()) {
            found.push((Some(name.clone()), row.verdict));
        }
    }
    // A colour that goes well anywhere does not where a row says otherwise.
    match table.pairing(colour, None) {
        Some(row) if row.verdict != Verdict::Suits || found.is_empty() => {
            found.push((None, row.verdict));
        }
        _ => {}
    }
    found
}

/// Whether a hem reaches what it must not touch. Wet sand and snow are wet whatever the sky.
fn drags(hem: Hem, ground: Ground, is_wet: bool) -> bool {
    match (hem, ground) {
        (Hem::Floor | Hem::Ankle, Ground::WetSand | Ground::Snow) => true,
        (Hem::Floor, _) | (Hem::Ankle, Ground::Grass | Ground::Earth | Ground::Sand) => is_wet,
        (Hem::Ankle | Hem::Knee | Hem::Short, _) => false,
    }
}

/// Soft ground does, and the gaps between boards hold a heel as well.
fn lets_sink(ground: Ground) -> bool {
    !matches!(ground, Ground::Stone | Ground::Asphalt)
}

fn hair(table: &LookTable, look: &Look, spot: &Spot, sky: &LookSky) -> Vec<LookAdvice> {
    let mut advice = Vec::new();
    let Some(hair) = look.hair else { return advice };
    let humid = sky.humidity_percent.filter(|it| *it >= f64::from(table.humid_from_percent));
    if let (Hair::Curled, Some(humidity_percent)) = (hair, humid) {
        advice.push(LookAdvice::CurlsDrop { humidity_percent });
    }
    let gust = sky.gust_km_h.map(|gust| spot.gust_km_h(gust));
    let gust = gust.filter(|gust| *gust >= f64::from(table.hair_gust_from_km_h));
    if let (true, Some(gust_km_h)) = (hair.is_open(), gust) {
        advice.push(LookAdvice::WindInHair { gust_km_h });
    }
    advice
}

/// How well a look's colour goes with a spot in some month.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SuitedSpot {
    /// The spot, by id.
    pub spot: String,
    /// One for going well with it, less one for each backdrop with which it does not.
    pub score: i32,
    /// By backdrop; without a backdrop: whatever stands behind.
    pub verdicts: Vec<(Option<String>, Verdict)>,
}

/// Where a look goes well in a month: every spot, the best first, equals in the order given.
///
/// By its colour alone; light, tide and wind are for others to weigh.
///
/// - `month`: 1 to 12.
pub fn suited_spots(table: &LookTable, look: &Look, spots: &[Spot], month: i8) -> Vec<SuitedSpot> {
    let suited = |spot: &Spot| {
        let verdicts = verdicts(table, look, spot, month);
        let suits = verdicts.iter().any(|(_, verdict)| *verdict == Verdict::Suits);
        let against = verdicts.iter().filter(|(_, verdict)| *verdict != Verdict::Suits).count();
        let against = i32::try_from(against).unwrap_or(i32::MAX);
        SuitedSpot { spot: spot.id.clone(), score: i32::from(suits) - against, verdicts }
    };
    let mut found: Vec<SuitedSpot> = spots.iter().map(suited).collect();
    found.sort_by_key(|spot| std::cmp::Reverse(spot.score));
    found
}
