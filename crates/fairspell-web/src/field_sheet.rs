//! What the phone carries into the field: strategy, light, settings, prompts, places, people and the last
//! look at the sky, as one JSON value.
//!
//! Every sentence of this evening is made here; the phone looks actions up, counts doses and minutes, and
//! fills numbers into the words that stand beside the sheet.

use std::collections::BTreeMap;

use fairspell_almanac::{sun_position, tide::Tide};
use fairspell_light::{Ev100, LightPhase, illuminance_lx};
use fairspell_plan::{
    FieldAsk, FieldError, FieldPlan, FieldSet, FieldSolved, LightAsk, LookLight, PlannedLook, Seen,
    Standing,
    field::{SLOT_MIN, Setting, rain::Classes},
    field_plan, look_light,
};
use fairspell_sheet::{Action, FormKind, Ruling, SheetBudget, SheetTable, considerations, outline};
use fairspell_studio::{Person, Role, Session, Span, Spot, Studio, spot::Cover, variety::CORE};
use fairspell_words::{
    NO_WARNING, SheetRuleTold, core_cell_prompts, core_cell_title,
    field_sheet::{
        FIELD_CAUTIONS, field_light, field_rule, field_set_heading, field_set_place, field_step,
        field_title, field_why,
    },
    screens::light_plan as light_words,
    warning_lines,
};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use serde::Serialize;

use crate::field_document::field_words;

/// A session with everything that a field sheet is made from.
#[derive(Debug, Clone, Copy)]
pub struct FieldSource<'a> {
    /// The studio.
    pub studio: &'a Studio,
    /// The clock on its wall.
    pub zone: &'a TimeZone,
    /// The session.
    pub session: &'a Session,
    /// Its people.
    pub people: &'a [Person],
    /// Its sky, and where it stands.
    pub standing: &'a Standing,
    /// What had been fetched.
    pub seen: &'a Seen,
    /// The clock on the studio's wall, which the demo's visitor sets.
    pub now: Timestamp,
    /// The real clock.
    pub made_at: Timestamp,
}

/// A field sheet.
///
/// Its keys are those of `fairspell schema field-sheet`, which says what each means.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldSheet {
    version: u32,
    session: String,
    title: String,
    utc_offset_min: i32,
    made_at: Timestamp,
    as_of: Timestamp,
    invented: bool,
    origin: Timestamp,
    last_light: Timestamp,
    must_have_chance: f64,
    value: f64,
    table: SheetTable,
    start: Start,
    sets: Vec<SheetSet>,
    looks: Vec<SheetLook>,
    spots: Vec<SheetSpot>,
    hair: Doses,
    exposure: Exposure,
    rain: Rates,
    light: Vec<LightThen>,
    nowcast: Option<NowcastThen>,
    outline: Vec<Outline>,
    rule: Option<String>,
    contacts: Vec<Contact>,
    grid: Grid,
    prompts: Vec<&'static str>,
    thunder: Thunder,
    cautions: Vec<&'static str>,
    warnings: Vec<String>,
    words: BTreeMap<String, String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Start {
    spot: String,
    hair_dose_g_m2: f64,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct SheetSet {
    id: String,
    title: String,
    /// The same without its setting.
    heading: String,
    look: usize,
    spot: String,
    setting: Setting,
    facing: Option<String>,
    settings: Option<String>,
    why: Vec<String>,
    minutes: ByForm<u32>,
    exposed_s: ByForm<f64>,
    setup_min: u32,
    /// Whether it is made in short dashes out into the rain.
    in_dashes: bool,
    /// Whether the safe pictures can begin with it: dry whatever falls.
    is_bank: bool,
    worth: f64,
    hair_dry: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct ByForm<T> {
    full: T,
    short: Option<T>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct SheetLook {
    name: String,
    change_min: u32,
    may_return: bool,
    marks_for_good: bool,
    damp_at_g_m2: f64,
    wet_at_g_m2: f64,
    promise: u32,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct SheetSpot {
    id: String,
    name: String,
    cover: Cover,
    refuge: Option<fairspell_studio::spot::Refuge>,
    walks_min: BTreeMap<String, u32>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct Doses {
    damp_at_g_m2: f64,
    wet_at_g_m2: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct Exposure {
    open: f64,
    umbrella: f64,
    cover: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct Rates {
    rates_mm_h: [f64; 4],
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct LightThen {
    at: Timestamp,
    text: String,
    ev100: Option<[f64; 2]>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct NowcastThen {
    issued: Timestamp,
    source: String,
    steps: Vec<NowcastStep>,
    now_class: Option<usize>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct NowcastStep {
    at: Timestamp,
    shares: Classes,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Outline {
    rain: usize,
    steps: Vec<OutlineStep>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct OutlineStep {
    at: Timestamp,
    text: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Contact {
    name: String,
    phone: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Grid {
    core: Vec<GridCell>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct GridCell {
    id: &'static str,
    title: &'static str,
    #[serde(flatten)]
    cell: fairspell_studio::variety::Cell,
    prompts: Vec<&'static str>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct Thunder {
    wait_min: u32,
}

/// Minutes from the last thunder until work may go on.
///
/// # Source
///
/// US National Weather Service, lightning safety: thirty minutes after the last thunder or flash.
const THUNDER_WAIT_MIN: u32 = 30;

/// As many decimals as anybody can use: the sheet has to stay small.
fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale
}

fn whole_second(at: Timestamp) -> Timestamp {
    Timestamp::from_second(at.as_second()).unwrap_or(at)
}

/// Chances of rain are carried for so many minutes ahead, in five-minute steps.
const NOWCAST_MIN: i32 = 120;

/// The field sheet of a session.
///
/// # Errors
///
/// A [`FieldError`] where nothing can be made that evening, with the reason.
pub fn field_sheet(source: FieldSource<'_>) -> Result<FieldSheet, FieldError> {
    let FieldSource { studio, zone, session, standing, seen, .. } = source;
    let outlook = &standing.outlook;
    let tide = studio.tide().ok().flatten();
    let ask = FieldAsk { studio, zone, session, outlook, seen, tide: tide.as_ref() };
    let budget = SheetBudget::default();
    let field = field_plan(ask)?.solve(budget)?;
    let problem = field.model.problem();
    let rule = considerations(&field.model, &field.solved, budget);
    let warnings = warning_lines(outlook, zone);
    let titles: Vec<String> =
        field.plan.sets.iter().map(|set| field_set_heading(set, session)).collect();
    Ok(FieldSheet {
        version: 1,
        session: session.id.clone(),
        title: field_title(session),
        utc_offset_min: zone.to_offset(outlook.window.from).seconds() / 60,
        made_at: whole_second(source.made_at),
        as_of: whole_second(source.now),
        invented: studio.invented,
        origin: field.plan.origin,
        last_light: whole_second(field.plan.light_ends),
        must_have_chance: rounded(field.solved.course.p_must_haves, 4),
        value: rounded(field.solved.course.value, 2),
        table: SheetTable::pack(&field.solved.strategy),
        start: Start {
            spot: problem.start.spot.clone(),
            hair_dose_g_m2: problem.start.hair_dose_g_m2,
        },
        sets: sheet_sets(source, &field, &titles, tide.as_ref()),
        looks: sheet_looks(source, &field),
        spots: sheet_spots(studio, &field.plan),
        hair: Doses {
            damp_at_g_m2: problem.hair.damp_at_g_m2,
            wet_at_g_m2: problem.hair.wet_at_g_m2,
        },
        exposure: Exposure {
            open: problem.exposure.open,
            umbrella: problem.exposure.umbrella,
            cover: problem.exposure.cover,
        },
        rain: Rates { rates_mm_h: problem.rain.rates_mm_h },
        light: light_by_slot(source, &field.plan),
        nowcast: nowcast(source, &field.plan),
        outline: [0, 2].map(|class| outline_of(&field, class, &titles)).into(),
        rule: rule.map(|rule| field_rule(rule_told(rule.ruling))),
        contacts: contacts(source),
        grid: grid(),
        prompts: prompts(),
        thunder: Thunder { wait_min: THUNDER_WAIT_MIN },
        cautions: cautions(&warnings),
        warnings,
        words: field_words(),
    })
}

fn sheet_sets(
    source: FieldSource<'_>,
    field: &FieldSolved<'_>,
    titles: &[String],
    tide: Option<&Tide>,
) -> Vec<SheetSet> {
    let FieldSource { studio, session, .. } = source;
    let sets = field.plan.sets.iter().zip(&field.model.problem().sets);
    let told = sets.zip(titles).enumerate().map(|(index, ((set, spec), title))| {
        let begins_min = field.solved.course.sets[index].start_min;
        let light = set_light(source, &field.plan, set, spec.full.minutes, begins_min, tide);
        let look = &session.looks[set.look];
        let form = |form: &fairspell_sheet::problem::Form| {
            (form.minutes, form.exposed_s.unwrap_or(60.0 * f64::from(form.minutes)))
        };
        let (full, short) = (form(&spec.full), spec.short.as_ref().map(form));
        SheetSet {
            id: spec.name.clone(),
            title: title.clone(),
            heading: field_set_place(set, session),
            look: table_look(field, set),
            spot: set.spot.id.clone(),
            setting: set.setting,
            facing: light.as_ref().map(|light| {
                light_words::facing(&light.facing, light.is_backlit, set.wants(session))
            }),
            settings: light.as_ref().map(|light| {
                light_words::camera(light.settings.as_ref(), light.settings_darkest.as_ref(), 0.0)
            }),
            why: field_why(&studio.look_table, look, set),
            minutes: ByForm { full: full.0, short: short.map(|short| short.0) },
            exposed_s: ByForm { full: full.1, short: short.map(|short| short.1) },
            setup_min: spec.setup_min,
            in_dashes: set.in_dashes,
            is_bank: set.setting == Setting::Cover,
            worth: spec.worth,
            hair_dry: spec.hair_dry,
        }
    });
    told.collect()
}

/// A set's look, by its place in the problem: looks that cannot be made at all are not in it.
fn table_look(field: &FieldSolved<'_>, set: &FieldSet<'_>) -> usize {
    let index = field.plan.sets.iter().position(|known| known == set).expect("a set of the plan");
    let problem = field.model.problem();
    let name = &problem.sets[index].look;
    problem.looks.iter().position(|look| look.name == *name).expect("a look of the problem")
}

/// The light of a set, when it is likeliest made.
fn set_light(
    source: FieldSource<'_>,
    plan: &FieldPlan<'_>,
    set: &FieldSet<'_>,
    minutes: u32,
    begins_min: Option<f64>,
    tide: Option<&Tide>,
) -> Option<LookLight> {
    let whole_min = Span { from: plan.origin, to: plan.light_ends }.minutes();
    let begins_min = begins_min.unwrap_or(whole_min / 2.0);
    let from = plan.origin + SignedDuration::from_secs_f64(60.0 * begins_min);
    let to = from + SignedDuration::from_mins(i64::from(minutes));
    let ask = LightAsk {
        policy: &source.studio.policy,
        zone: source.zone,
        forecast: source.seen.forecast.as_ref().map(|seen| &seen.forecast),
        tide,
        wet: false,
    };
    let look = PlannedLook {
        name: source.session.looks[set.look].name.clone(),
        spot: set.spot,
        wants: set.wants(source.session),
        hours: Span { from, to },
        rain_rate_mm_h: None,
    };
    look_light(ask, &look)
}

fn sheet_looks(source: FieldSource<'_>, field: &FieldSolved<'_>) -> Vec<SheetLook> {
    let look = |spec: &fairspell_sheet::problem::Look| {
        let worn = source.session.looks.iter().find(|look| look.name == spec.name);
        SheetLook {
            name: spec.name.clone(),
            change_min: spec.change_min,
            may_return: spec.may_return,
            marks_for_good: worn.is_some_and(|look| source.studio.look_table.marks_for_good(look)),
            damp_at_g_m2: spec.damp_at_g_m2,
            wet_at_g_m2: spec.wet_at_g_m2,
            promise: spec.promise.map_or(0, |promise| promise.pictures),
        }
    };
    field.model.problem().looks.iter().map(look).collect()
}

/// The spots of the sets, with the refuge of each and the walks between them.
fn sheet_spots(studio: &Studio, plan: &FieldPlan<'_>) -> Vec<SheetSpot> {
    let walks = &plan.problem.walks;
    let walks_from = |spot: &Spot| {
        let other = |walk: &fairspell_sheet::problem::Walk| {
            let ends = [(&walk.from, &walk.to), (&walk.to, &walk.from)];
            ends.into_iter()
                .find(|(from, _)| **from == spot.id)
                .map(|(_, to)| (to.clone(), walk.minutes))
        };
        walks.iter().filter_map(other).collect()
    };
    let told = |spot: &Spot| SheetSpot {
        id: spot.id.clone(),
        name: spot.name.clone(),
        cover: spot.cover,
        refuge: spot.refuge.clone(),
        walks_min: walks_from(spot),
    };
    debug_assert!(plan.spots().iter().all(|spot| studio.spot(&spot.id).is_some()));
    plan.spots().into_iter().map(told).collect()
}

fn light_by_slot(source: FieldSource<'_>, plan: &FieldPlan<'_>) -> Vec<LightThen> {
    let place = plan.sets[0].spot.position;
    let forecast = source.seen.forecast.as_ref().map(|seen| &seen.forecast);
    let slots = plan.problem.slots;
    let light = |slot: usize| {
        let at = plan.slot_begins(slot);
        let sun = sun_position(at, place);
        let cloud = forecast.and_then(|forecast| {
            let mut then = forecast.conditions_during(at, at + SignedDuration::from_secs(1));
            then.next()?.cloud_area_fraction
        });
        let range = illuminance_lx(sun.elevation_deg, cloud);
        let ev100 =
            |lux: f64| Ev100::from_illuminance_lx(lux).map(|ev100| rounded(ev100.value(), 1));
        LightThen {
            at,
            text: field_light(sun.apparent_elevation_deg, LightPhase::at(sun.elevation_deg)),
            ev100: ev100(range.low_lx).zip(ev100(range.high_lx)).map(|(low, high)| [low, high]),
        }
    };
    (0..slots).map(light).collect()
}

/// What radar says of the coming hours at the first spot, or, where it does not speak, nothing.
fn nowcast(source: FieldSource<'_>, plan: &FieldPlan<'_>) -> Option<NowcastThen> {
    let outlook = &source.standing.outlook;
    let radar = outlook.radar.as_ref().and(source.seen.radar.as_ref())?;
    let place = plan.sets[0].spot.position;
    let evenings = radar.nowcast.at(place).ok()?.evenings()?;
    let step = SignedDuration::from_mins(i64::from(SLOT_MIN));
    let count = NOWCAST_MIN / i32::try_from(SLOT_MIN).expect("five");
    let times: Vec<Timestamp> = (0..=count).map(|index| outlook.as_of + step * index).collect();
    let chain = evenings.rain_chain_at(&times);
    let known = |shares: &Classes| shares.iter().sum::<f64>() > 0.0;
    let steps = times.into_iter().zip(chain.shares).filter(|(_, shares)| known(shares));
    let now = radar.nowcast.newest().rain_rate_at(place).map(f64::from);
    let from = fairspell_nowcast::evenings::CLASSES_FROM_MM_H;
    Some(NowcastThen {
        issued: radar.nowcast.valid_time(),
        source: radar.source.clone(),
        steps: steps
            .map(|(at, shares)| NowcastStep { at, shares: shares.map(|share| rounded(share, 3)) })
            .collect(),
        now_class: now.map(|rate| from.iter().filter(|from| rate >= **from).count()),
    })
}

fn rule_told(ruling: Ruling) -> SheetRuleTold {
    match ruling {
        Ruling::DelicateFirst => SheetRuleTold::DelicateFirst,
        Ruling::FavouriteInBestLight => SheetRuleTold::FavouriteInBestLight,
        Ruling::Both => SheetRuleTold::Both,
        Ruling::Neither => SheetRuleTold::Neither,
    }
}

fn outline_of(field: &FieldSolved<'_>, class: usize, titles: &[String]) -> Outline {
    let steps = outline(&field.solved.strategy, class).into_iter().map(|step| OutlineStep {
        at: field.plan.origin + SignedDuration::from_mins(i64::from(step.from_min)),
        text: match step.action {
            Action::Make { set, form } => {
                field_step(Some((&titles[set], form == FormKind::Short)), false)
            }
            Action::Wait => field_step(None, false),
            Action::Finish => field_step(None, true),
        },
    });
    Outline { rain: class, steps: steps.collect() }
}

/// Whom to call: the family first, then the artist of the day is in her own phone.
fn contacts(source: FieldSource<'_>) -> Vec<Contact> {
    let own = source.people.iter().filter(|person| source.session.people.contains(&person.id));
    let mut own: Vec<&Person> = own.collect();
    own.sort_by_key(|person| person.role == Role::Sitter);
    let contact =
        |person: &Person| Some(Contact { name: person.name.clone(), phone: person.phone.clone()? });
    own.into_iter().filter_map(contact).collect()
}

/// What holds whatever the sheet says; where no warning is in force, that as well.
fn cautions(warnings: &[String]) -> Vec<&'static str> {
    let none = warnings.is_empty().then_some(NO_WARNING);
    FIELD_CAUTIONS.into_iter().chain(none).collect()
}

/// Things to say to her, one from each of the core twelve, then the others.
fn prompts() -> Vec<&'static str> {
    let of =
        |turn: usize| CORE.iter().filter_map(move |core| Some(core_cell_prompts(core.id)?[turn]));
    of(0).chain(of(1)).collect()
}

fn grid() -> Grid {
    let cell = |core: &fairspell_studio::variety::CoreCell| GridCell {
        id: core.id,
        title: core_cell_title(core.id).unwrap_or(core.id),
        cell: core.cell,
        prompts: core_cell_prompts(core.id).map(Vec::from).unwrap_or_default(),
    };
    Grid { core: CORE.iter().map(cell).collect() }
}
