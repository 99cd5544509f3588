//! What the phone carries into the field: strategy, light, settings, prompts, places, people and the last
//! look at the sky, as one JSON value.
//!
//! Every sentence of this evening is made here; the phone looks actions up, counts doses and minutes, and
//! fills numbers into the words that stand beside the sheet.

mod format;

use fairspell_almanac::{sun_position, tide::Tide};
use fairspell_light::LightPhase;
use fairspell_plan::{
    FieldAsk, FieldError, FieldPlan, FieldSet, FieldSolved, LightAsk, LookLight, PlannedLook, Seen,
    Standing,
    field::{SLOT_MIN, rain::Classes},
    field_plan, look_light,
};
use fairspell_sheet::{Action, FormKind, Ruling, SheetBudget, SheetTable, considerations, outline};
use fairspell_studio::{
    Outlook, Person, Role, Session, Span, Spot, Studio, field_record::THUNDER_WAIT_MIN,
    variety::CORE,
};
use fairspell_words::{
    NO_WARNING, SheetRuleTold, core_cell_prompts, core_cell_title,
    field_sheet::{
        FIELD_CAUTIONS, field_light, field_rule, field_set_heading, field_set_place, field_step,
        field_stop, field_title, field_why, field_wind_unknown,
    },
    screens::light_plan as light_words,
    warning_lines,
};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

pub use self::format::FieldSheet;
use self::format::{
    ByForm, Contact, Doses, EndsBy, Exposure, Grid, GridCell, LightThen, NowcastStep, NowcastThen,
    Outline, OutlineStep, Rates, SheetLook, SheetSet, SheetSpot, Start, Thunder,
};
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
    /// Whether it was moved to another date.
    pub is_moved: bool,
    /// The clock on the studio's wall, which the demo's visitor sets.
    pub now: Timestamp,
    /// The real clock.
    pub made_at: Timestamp,
}

/// A chance with as many decimals as anybody can use: the sheet has to stay small.
fn rounded(p: f64) -> f64 {
    (p * 1000.0).round() / 1000.0
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
    let mut warnings = warning_lines(outlook, zone);
    warnings.extend(unknown_wind(&field.plan, outlook));
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
        ends_by: match outlook.light.last_usable {
            Some(_) => EndsBy::Light,
            None => EndsBy::Agreed,
        },
        table: SheetTable::pack(&field.solved.strategy),
        start: Start {
            spot: problem.start.spot.clone(),
            hair_dose_g_m2: problem.start.hair_dose_g_m2,
        },
        sets: sheet_sets(source, &field, &titles, tide.as_ref()),
        looks: sheet_looks(source, &field),
        spots: sheet_spots(&field.plan),
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
        light: light_by_slot(&field.plan),
        nowcast: nowcast(source, &field.plan),
        outline: [0, 2].map(|class| outline_of(&field, class, &titles)).into(),
        rule: rule.map(|rule| field_rule(rule_told(rule.ruling))),
        contacts: contacts(source),
        grid: grid(),
        prompts: prompts(),
        thunder: Thunder { wait_min: THUNDER_WAIT_MIN },
        cautions: cautions(&warnings),
        stop: field_stop(standing.ruling.band, source.is_moved),
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
            worth: spec.worth,
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
            marks_for_good: worn.is_some_and(|look| source.studio.look_table.marks_for_good(look)),
            damp_at_g_m2: spec.damp_at_g_m2,
            wet_at_g_m2: spec.wet_at_g_m2,
        }
    };
    field.model.problem().looks.iter().map(look).collect()
}

/// The spots of the sets, with the refuge of each and the walks between them.
fn sheet_spots(plan: &FieldPlan<'_>) -> Vec<SheetSpot> {
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
    plan.spots().into_iter().map(told).collect()
}

fn light_by_slot(plan: &FieldPlan<'_>) -> Vec<LightThen> {
    let place = plan.sets[0].spot.position;
    let slots = plan.problem.slots;
    let light = |slot: usize| {
        let at = plan.slot_begins(slot);
        let sun = sun_position(at, place);
        LightThen {
            at,
            text: field_light(sun.apparent_elevation_deg, LightPhase::at(sun.elevation_deg)),
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
        too_old_min: source.studio.policy.freshness.radar_min,
        source: radar.source.clone(),
        steps: steps.map(|(at, shares)| NowcastStep { at, shares: shares.map(rounded) }).collect(),
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

/// Where the wind has a limit and nobody knows it, she looks before she goes out there.
fn unknown_wind(plan: &FieldPlan<'_>, outlook: &Outlook) -> Option<String> {
    let has_limit = |spot: &&Spot| spot.wind.gust_limit_km_h.is_some();
    let exposed: Vec<&str> =
        plan.spots().into_iter().filter(has_limit).map(|spot| spot.name.as_str()).collect();
    let is_unknown = outlook.comfort.wind_gust_km_h.is_none() && !exposed.is_empty();
    is_unknown.then(|| field_wind_unknown(&exposed))
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
