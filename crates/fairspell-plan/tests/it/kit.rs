//! What to pack: more for rain, heat, cold, dark and looks that water marks, and never less for what is
//! not known.

use fairspell_plan::{KitItem, KitLine, Seen, kit, kit::KitWhy, leave_advice, standing};
use fairspell_studio::{Hair, Hem, Session, Site, Studio, permit::PermitTerms, site::Ground};
use jiff::ToSpan;

use crate::world::{LEAVE_BY, at, forecast, radar, seen, seen_forecast, session, studio, zone};

fn packed_of(studio: &Studio, session: &Session, seen: &Seen) -> Vec<KitLine> {
    let standing = standing(studio, &zone(), session, at(LEAVE_BY), seen).unwrap();
    let advice = leave_advice(studio, &zone(), session, &standing, seen).unwrap();
    kit(studio, &zone(), session, &standing.outlook, &advice)
}

#[expect(clippy::option_option, reason = "left out, as always and for a reason are three answers")]
fn why(kit: &[KitLine], item: KitItem) -> Option<Option<KitWhy>> {
    kit.iter().find(|line| line.item == item).map(|line| line.why.clone())
}

fn fine() -> Seen {
    seen(at(LEAVE_BY), 3.0)
}

#[test]
fn every_thing_has_a_name_of_its_own_and_groups_hang_together() {
    let mut slugs: Vec<&str> = KitItem::ALL.iter().map(|item| item.slug()).collect();
    slugs.sort_unstable();
    slugs.dedup();
    assert_eq!(slugs.len(), KitItem::ALL.len());
    assert!(KitItem::ALL.iter().all(|item| KitItem::of_slug(item.slug()) == Some(*item)));
    assert_eq!(KitItem::of_slug("moon"), None);
    assert!(KitItem::ALL.is_sorted_by_key(|item| item.group()));
}

#[test]
fn a_fine_evening_needs_the_usual_things_and_no_umbrella() {
    let kit = packed_of(&studio(), &session(), &fine());
    assert_eq!(why(&kit, KitItem::Bodies), Some(None));
    assert_eq!(why(&kit, KitItem::SomebodyKnows), Some(None));
    for none in [KitItem::ClearUmbrellas, KitItem::MoreWater, KitItem::Coats, KitItem::Permit] {
        assert_eq!(why(&kit, none), None, "{none:?}");
    }
}

#[test]
fn rain_that_is_possible_and_rain_that_nobody_knows_of_bring_umbrellas() {
    let (studio, session) = (studio(), session());
    let wet = packed_of(&studio, &session, &seen(at(LEAVE_BY), 40.0));
    assert_eq!(why(&wet, KitItem::ClearUmbrellas), Some(Some(KitWhy::RainPossible)));
    let unknown = packed_of(&studio, &session, &Seen::default());
    assert_eq!(why(&unknown, KitItem::ClearUmbrellas), Some(Some(KitWhy::RainNotKnown)));
    // A dry forecast over a wet sky: the radar is believed.
    let mut seen = fine();
    seen.radar = Some(radar(at(LEAVE_BY) - 4.minutes(), at(LEAVE_BY), 2.0));
    let radar_wet = packed_of(&studio, &session, &seen);
    assert_eq!(why(&radar_wet, KitItem::Towels), Some(Some(KitWhy::RainPossible)));
}

fn at_degrees(air_temperature_c: f64) -> Seen {
    let mut warm = forecast("2026-09-03T03:00:00Z", 3.0);
    for condition in &mut warm.conditions {
        condition.air_temperature_c = Some(air_temperature_c);
        condition.relative_humidity = Some(0.5);
    }
    Seen { forecast: Some(seen_forecast(warm)), ..fine() }
}

#[test]
fn heat_and_cold_bring_their_own_and_both_come_where_nobody_knows() {
    let (studio, session) = (studio(), session());
    let of = |seen: &Seen, item| why(&packed_of(&studio, &session, seen), item);
    assert_eq!(of(&at_degrees(31.0), KitItem::Shade), Some(Some(KitWhy::Hot)));
    assert_eq!(of(&at_degrees(31.0), KitItem::Coats), None);
    assert_eq!(of(&at_degrees(6.0), KitItem::Coats), Some(Some(KitWhy::Cold)));
    assert_eq!(of(&at_degrees(6.0), KitItem::Shade), None);
    for item in [KitItem::Shade, KitItem::Coats] {
        let not_known = Some(Some(KitWhy::TemperatureNotKnown));
        assert_eq!(of(&Seen::default(), item), not_known, "{item:?}");
    }
}

#[test]
fn humid_air_brings_the_bag_out_and_still_air_the_repellent() {
    let mut humid = forecast("2026-09-03T03:00:00Z", 3.0);
    for condition in &mut humid.conditions {
        condition.air_temperature_c = Some(28.0);
        condition.relative_humidity = Some(0.75);
        condition.wind_speed_km_h = Some(5.0);
    }
    let seen = Seen { forecast: Some(seen_forecast(humid)), ..fine() };
    let mut studio = studio();
    studio.spots[0].shore = true;
    let kit = packed_of(&studio, &session(), &seen);
    assert_eq!(why(&kit, KitItem::BagOut), Some(Some(KitWhy::Mist)));
    assert_eq!(why(&kit, KitItem::RepellentAtHand), Some(Some(KitWhy::Insects)));
    assert_eq!(why(&packed_of(&studio, &session(), &fine()), KitItem::RepellentAtHand), None);
}

#[test]
fn looks_places_and_papers_bring_what_they_need() {
    let (mut studio, mut session) = (studio(), session());
    session.looks[0].marks_for_good = true;
    session.looks[0].hair = Some(Hair::Curled);
    session.looks[1].hem = Some(Hem::Floor);
    session.looks[1].shoes = Some("stilettos".to_owned());
    studio.look_table.sinking_shoes = vec!["stilettos".to_owned()];
    studio.spots[1].site = Site {
        ground: Some(Ground::Sand),
        permit: Some(PermitTerms { ask_days: 7, fee: 0.0, moves_free: true }),
        walk_min: 9,
        ..Site::default()
    };
    session.drive.minutes = 190;
    let kit = packed_of(&studio, &session, &fine());
    let looks = |names: &[&str]| {
        Some(Some(KitWhy::ForLooks(names.iter().map(|name| (*name).to_owned()).collect())))
    };
    assert_eq!(why(&kit, KitItem::SecondBag), looks(&["denim"]));
    assert_eq!(why(&kit, KitItem::HairKit), looks(&["denim"]));
    assert_eq!(why(&kit, KitItem::HemClips), looks(&["linen"]));
    assert_eq!(why(&kit, KitItem::WalkingShoes), looks(&["linen"]));
    let permit = Some(Some(KitWhy::PermitFor(vec!["lantern-steps".to_owned()])));
    assert_eq!(why(&kit, KitItem::Permit), permit);
    assert_eq!(why(&kit, KitItem::SandTowel), Some(Some(KitWhy::Sand)));
    assert_eq!(why(&kit, KitItem::HeadTorches), Some(Some(KitWhy::DarkPath)));
    assert_eq!(why(&kit, KitItem::JumperLeads), Some(Some(KitWhy::LongDrive)));
    assert_eq!(why(&kit, KitItem::NightBag), Some(Some(KitWhy::StayOver)));
    studio.spots[1].site.lamps = true;
    assert_eq!(why(&packed_of(&studio, &session, &fine()), KitItem::HeadTorches), None);
}
