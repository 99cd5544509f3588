//! The leave gate in words: the step first, what is missing as missing, the road, the way home, the kit.

use fairspell_plan::{
    KitItem, KitLine, LeaveAdvice, LeaveStep,
    kit::{KitGroup, KitWhy},
    leave::{
        BusySky, DriverHours, LeaveReason, LeaveTimes, LookUp, RoadCheck, RoadState, Say, Spread,
        Trend, Voice, Waiting, Way, WayWarning,
    },
};
use fairspell_studio::{Policy, Rule, Span, Tier, outlook::WarningSeen};
use fairspell_words::{
    LeavePart, avoided_words,
    kit::{kit_lines, why_said},
    leave_lines, leave_name, leave_told,
    screens::leave as screen,
};

use crate::world::{
    at, chance, nothing_known, outlook, ruling, sourced, spots, storm_warning, zone,
};

/// The invented Thursday at 14:30, ready to leave.
fn advice() -> LeaveAdvice {
    let outlook = outlook();
    LeaveAdvice {
        session: "linh".to_owned(),
        as_of: at("2026-09-03 14:30"),
        step: LeaveStep::Go,
        reasons: vec![LeaveReason::Sky(Box::new(ruling().rule))],
        go_once: Vec::new(),
        gap_min: 25,
        window: Span { from: at("2026-09-03 15:15"), to: at("2026-09-03 17:48") },
        p_gap: outlook.p_gap.clone(),
        p_wet_minute: outlook.p_wet_minute.clone(),
        says: vec![
            Say {
                voice: Voice::RadarTrack,
                share: 0.7,
                p_gap: chance(85.0, 90.0, 95.0),
                source: "Coast Radar".to_owned(),
                issued: at("2026-09-03 14:26"),
            },
            Say {
                voice: Voice::RadarBusyness,
                share: 0.15,
                p_gap: chance(85.0, 92.0, 97.0),
                source: "Coast Radar".to_owned(),
                issued: at("2026-09-03 14:26"),
            },
        ],
        busy: Some(BusySky {
            radius_km: 60.0,
            wet_share: 0.2,
            trend_per_hour: Some(0.08),
            trend: Some(Trend::Growing),
            gap_between_rain: Some(Spread { p10_min: 10.0, p50_min: 30.0, p90_min: 80.0 }),
            place_wet_share: Some(0.25),
            place_pictures: 12,
            source: "Coast Radar".to_owned(),
            issued: at("2026-09-03 14:26"),
        }),
        times: LeaveTimes {
            for_the_start: at("2026-09-03 14:30"),
            latest: at("2026-09-03 17:08"),
            latest_for_light: at("2026-09-03 17:08"),
            leaving_at: at("2026-09-03 14:30"),
            arrives_at: at("2026-09-03 14:45"),
            last_usable: at("2026-09-03 17:48"),
            wait_at_home_min: 158.0,
            wait_at_place_min: 61.0,
        },
        waiting: Some(Waiting {
            minutes: 30,
            arrives_at: at("2026-09-03 15:15"),
            p_gap: chance(80.0, 89.0, 95.0),
            radar_share: (0.7, 0.95),
        }),
        warnings: Vec::new(),
        road: Vec::new(),
        driver: DriverHours {
            home_at: at("2026-09-03 18:03"),
            home_by: at("2026-09-03 22:00"),
            drive_min: 15,
            drive_home_max_min: 180,
        },
        bag: None,
        sources: outlook.sources,
        ruling: ruling(),
    }
}

fn said(advice: &LeaveAdvice) -> String {
    leave_lines(advice, &outlook(), &Policy::default(), &spots(), &zone()).join("\n")
}

fn part(advice: &LeaveAdvice, part: LeavePart) -> String {
    let told = leave_told(advice, &outlook(), &Policy::default(), &spots(), &zone());
    let lines = told.parts.into_iter().find(|(known, _)| *known == part).map(|(_, lines)| lines);
    lines.unwrap_or_default().join("\n")
}

fn ford(way: Way, state: RoadState) -> RoadCheck {
    RoadCheck {
        name: "Gannet Ford".to_owned(),
        way,
        passed: Span { from: at("2026-09-03 18:00"), to: at("2026-09-03 18:30") },
        tide_max_m: Some(1.7),
        tide_limit_m: Some(1.65),
        state,
        rain_limit_mm_24h: Some(60.0),
    }
}

#[test]
fn the_step_stands_first_in_few_words() {
    let held = LeaveStep::Hold { look_again_at: at("2026-09-03 14:50") };
    for (step, headline, name) in [
        (LeaveStep::Go, "Go.", "go"),
        (held, "Hold until 14:50, then look again.", "hold until 14:50"),
        (LeaveStep::No, "Don't go.", "don't go"),
        (LeaveStep::Yours, "Yours to decide: read why first.", "yours to decide"),
    ] {
        let advice = LeaveAdvice { step, ..advice() };
        assert_eq!(said(&advice).lines().next(), Some(headline));
        assert_eq!(leave_name(step, &zone()), name);
    }
}

#[test]
fn what_alone_has_to_be_looked_up_stands_in_the_headline() {
    let road = |name: &str| LookUp::Road(name.to_owned());
    for (go_once, headline) in [
        (vec![road("Gannet Ford")], "Go, once you have looked up Gannet Ford."),
        (vec![LookUp::Warnings], "Yours to decide: look up the official warnings first."),
        (
            vec![LookUp::Warnings, road("Gannet Ford")],
            "Yours to decide: look up the official warnings and Gannet Ford first.",
        ),
        (
            vec![road("Gannet Ford"), road("Long Flat")],
            "Yours to decide: look up Gannet Ford and Long Flat first.",
        ),
    ] {
        let advice = LeaveAdvice { step: LeaveStep::Yours, go_once, ..advice() };
        assert_eq!(said(&advice).lines().next(), Some(headline));
    }
    let open = RoadState::OpenButForRain { until: None };
    let check = ford(Way::There, open);
    let advice = LeaveAdvice {
        step: LeaveStep::Yours,
        reasons: vec![LeaveReason::Road(Box::new(check.clone()))],
        road: vec![check, ford(Way::Home, open)],
        ..advice()
    };
    let all = said(&advice);
    assert_eq!(all.matches("after 60 mm of rain in 24 hours").count(), 1, "{all}");
    assert!(part(&advice, LeavePart::Why).contains("look up the road and the gauge"), "{all}");
    for way in [LeavePart::There, LeavePart::Home] {
        let told = part(&advice, way);
        assert!(told.contains("open by tide and hours, unless too much rain fell."), "{told}");
    }
}

#[test]
fn hours_and_minutes_are_counted_one_by_one() {
    for (wait_min, expected) in [
        (89.0, "for 89 minutes at most"),
        (90.0, "for 1 hour 30 minutes at most"),
        (119.5, "for 1 hour 59 minutes at most"),
        (120.0, "for 2 hours at most"),
        (121.0, "for 2 hours 1 minute at most"),
        (158.0, "for 2 hours 38 minutes at most"),
    ] {
        let times = LeaveTimes { wait_at_home_min: wait_min, ..advice().times };
        let told = part(&LeaveAdvice { times, ..advice() }, LeavePart::Times);
        assert!(told.contains(expected), "{expected}: {told}");
    }
}

#[test]
fn a_road_that_shuts_says_until_when_she_can_leave() {
    let passed = Span { from: at("2026-09-03 14:25"), to: at("2026-09-03 14:55") };
    let until = Some(at("2026-09-03 15:10"));
    let gate = RoadCheck { passed, ..ford(Way::There, RoadState::Open { until }) };
    let times = LeaveTimes { latest: at("2026-09-03 14:44"), ..advice().times };
    let told = part(&LeaveAdvice { times, road: vec![gate], ..advice() }, LeavePart::Times);
    assert!(
        told.contains(
            "Leave at 14:44 at the latest: whoever leaves later finds Gannet Ford shut. For the light \
             17:08 would do."
        ),
        "{told}"
    );
}

#[test]
fn figures_come_with_their_share_source_and_age() {
    let gap = part(&advice(), LeavePart::Gap);
    assert!(gap.contains("By the radar, by the rain on its way, 70 % of it: 90 %"), "{gap}");
    assert!(gap.contains("by how busy the sky is, 15 % of it"), "{gap}");
    assert!(
        gap.contains("20 % of the sky within 60 km is wet (at least 0.1 mm/h), growing"),
        "{gap}"
    );
    assert!(gap.contains("it rained in 3 of the last 12 pictures"), "{gap}");
    assert!(gap.contains("dry for about 30 minutes (10 to 80)"), "{gap}");
    assert!(gap.contains("as of 14:26 (4 minutes old)"), "{gap}");
    assert!(gap.contains("go from 70 %"), "{gap}");
}

#[test]
fn times_say_what_waiting_costs() {
    let times = part(&advice(), LeavePart::Times);
    assert!(times.contains("Leave at 14:30 to be there at 14:45"), "{times}");
    assert!(times.contains("Leaving at 17:08 at the latest"), "{times}");
    assert!(times.contains("at home for 2 hours 38 minutes at most"), "{times}");
    assert!(times.contains("showers of 61 minutes in all"), "{times}");
    assert!(times.contains("one dry gap 89 % (between 80 and 95 %) instead of 91 %"), "{times}");
    assert!(times.contains("up to 95 % of the say, now 70 %"), "{times}");

    let late = LeaveTimes {
        leaving_at: at("2026-09-03 17:20"),
        arrives_at: at("2026-09-03 17:35"),
        wait_at_home_min: -12.0,
        wait_at_place_min: -12.0,
        ..advice().times
    };
    let latest = late.latest;
    let too_late = LeaveAdvice {
        step: LeaveStep::No,
        reasons: vec![LeaveReason::TooLate { latest }],
        times: late,
        waiting: None,
        ..advice()
    };
    let why = part(&too_late, LeavePart::Why);
    assert!(why.contains("Too late: leaving after 17:08 leaves no set of 25 minutes"), "{why}");
    let times = part(&too_late, LeavePart::Times);
    assert!(times.contains("That was 12 minutes ago."), "{times}");
    assert!(times.contains("12 minutes are missing for the set"), "{times}");
}

#[test]
fn a_warning_is_told_once_in_full_and_again_in_short_where_it_touches() {
    let known = WayWarning { warning: storm_warning(), there: true, place: true, home: false };
    let advice = LeaveAdvice {
        step: LeaveStep::No,
        reasons: vec![LeaveReason::Warned(Box::new(known.clone()))],
        warnings: vec![known.clone()],
        ..advice()
    };
    let all = said(&advice);
    assert_eq!(all.matches("it says \"Severe storms with hail").count(), 1, "{all}");
    assert!(part(&advice, LeavePart::Why).contains("It touches the way there and the place."));
    for touched in [LeavePart::There, LeavePart::Arrival] {
        let told = part(&advice, touched);
        let line = told.lines().find(|line| line.contains("Severe Thunderstorm Warning")).unwrap();
        assert!(line.starts_with("Severe Thunderstorm Warning, ") && line.len() < 60, "{line}");
    }
    assert!(!part(&advice, LeavePart::Home).contains("Severe Thunderstorm Warning"));
    assert!(part(&advice, LeavePart::Cautions).contains("stop and go into a solid building"));

    let care =
        WarningSeen { tier: Tier::Caution, event: "Heat Advisory".to_owned(), ..storm_warning() };
    let care = WayWarning { warning: care, ..known };
    let advice = LeaveAdvice { reasons: vec![LeaveReason::Warned(Box::new(care))], ..advice };
    assert!(part(&advice, LeavePart::Why).contains("read it before you decide"));
}

#[test]
fn the_road_says_when_it_is_passed_and_what_nobody_knows() {
    let opens = Some(at("2026-09-03 20:10"));
    for (state, expected) in [
        (RoadState::Open { until: None }, "open by tide and hours."),
        (RoadState::Open { until: opens }, "open by tide and hours, until Thu 3 Sep, 20:10."),
        (RoadState::Shut { opens }, "shut; open again from 20:10."),
        (RoadState::Shut { opens: None }, "shut; open again not within half a day."),
        (RoadState::ShutWithSwell { opens }, "shut if a swell runs, which is not known here"),
        (RoadState::NotKnown, "What nobody knows is not dry land."),
    ] {
        let home = LeaveAdvice { road: vec![ford(Way::Home, state)], ..advice() };
        let told = part(&home, LeavePart::Home);
        assert!(told.contains("passed between 18:00 and 18:30"), "{told}");
        assert!(told.contains(expected), "{expected}: {told}");
        assert!(part(&home, LeavePart::Cautions).contains("never drive or walk into it"));
        let there = LeaveAdvice { road: vec![ford(Way::There, state)], ..advice() };
        let told = part(&there, LeavePart::There);
        assert!(
            told.contains("after 60 mm of rain in 24 hours. How much fell is not known"),
            "{told}"
        );
    }
}

#[test]
fn a_late_or_long_way_home_advises_the_night() {
    let driver = |home_at: &str, drive_min| DriverHours {
        home_at: at(home_at),
        drive_min,
        ..advice().driver
    };
    let home = |driver| part(&LeaveAdvice { driver, ..advice() }, LeavePart::Home);
    assert!(!home(driver("2026-09-03 18:03", 15)).contains("Stay the night"));
    let late = home(driver("2026-09-03 22:31", 60));
    assert!(late.contains("Stay the night rather than drive tired: that is after 22:00"), "{late}");
    let long = home(driver("2026-09-03 21:00", 200));
    assert!(long.contains("the drive takes 3 hours 20 minutes, more than 180 minutes"), "{long}");
}

#[test]
fn what_is_missing_is_said_to_be_missing() {
    let unknown = nothing_known();
    let advice = LeaveAdvice {
        step: LeaveStep::Yours,
        reasons: vec![LeaveReason::Sky(Box::new(Rule::NotKnown { missing: Vec::new() }))],
        p_gap: None,
        p_wet_minute: None,
        says: Vec::new(),
        busy: None,
        waiting: None,
        sources: unknown.sources,
        ..advice()
    };
    let all = said(&advice);
    assert!(all.contains("25 minutes: not known, which does not mean dry or wet"), "{all}");
    assert!(all.contains("Whether glass from a cooled car mists is not known"), "{all}");
    assert!(all.contains("Official warnings: not known; look at your weather service's"), "{all}");
    assert!(!all.contains("No official warning that we read"), "{all}");
}

#[test]
fn the_list_says_why_once_for_a_group_or_thing_by_thing() {
    let line = |item, why| KitLine { item, why };
    let kit = [
        line(KitItem::Bodies, None),
        line(KitItem::Towels, Some(KitWhy::RainPossible)),
        line(KitItem::BinBags, Some(KitWhy::RainPossible)),
        line(KitItem::HemClips, Some(KitWhy::ForLooks(vec!["sari".to_owned(), "gown".to_owned()]))),
        line(KitItem::HairKit, Some(KitWhy::ForLooks(vec!["jeans".to_owned()]))),
    ];
    let lines = kit_lines(&kit, |item| item == KitItem::Towels);
    assert_eq!(
        lines,
        [
            "In the car:",
            "  Every time",
            "    [ ] Two camera bodies",
            "  For rain (rain is possible)",
            "    [x] 6 towels, 2 of them dark",
            "    [ ] Bin bags: to sit and kneel on, over bags, for a wet dress",
            "  For these looks",
            "    [ ] Clips for the hem (sari and gown)",
            "    [ ] Pins and spray to put the hair up (jeans)",
        ]
    );
}

#[test]
fn nothing_of_it_uses_a_word_to_avoid() {
    let states = [
        RoadState::Open { until: None },
        RoadState::Shut { opens: None },
        RoadState::ShutWithSwell { opens: None },
        RoadState::NotKnown,
    ];
    let road: Vec<RoadCheck> = states
        .into_iter()
        .flat_map(|state| [ford(Way::There, state), ford(Way::Home, state)])
        .collect();
    let reasons = road.iter().map(|check| LeaveReason::Road(Box::new(check.clone()))).collect();
    let full = LeaveAdvice { reasons, road, ..advice() };
    let mut texts = vec![said(&advice()), said(&full)];
    let whys = [
        KitWhy::RainPossible,
        KitWhy::RainNotKnown,
        KitWhy::Hot,
        KitWhy::Cold,
        KitWhy::TemperatureNotKnown,
        KitWhy::Mist,
        KitWhy::DarkPath,
        KitWhy::Insects,
        KitWhy::Sand,
        KitWhy::LongDrive,
        KitWhy::StayOver,
    ];
    texts.extend(whys.iter().map(why_said));
    let everything: Vec<KitLine> =
        KitItem::ALL.iter().map(|item| KitLine { item: *item, why: None }).collect();
    assert!(everything.iter().any(|line| line.item.group() == KitGroup::Papers));
    texts.push(kit_lines(&everything, |_| false).join("\n"));
    texts.extend([screen::LINK, screen::KEEP, screen::OVER, screen::MOVED].map(str::to_owned));
    texts.push(screen::packed(3, 31));
    for text in texts {
        assert_eq!(avoided_words(&text), Vec::<&str>::new(), "{text}");
        assert!(!text.contains('!'), "{text}");
    }
    let mut gap = advice();
    gap.p_gap = Some(sourced(chance(1.0, 2.0, 3.0), "Coast Radar", "2026-09-03 14:26"));
    assert!(said(&gap).lines().all(|line| !line.contains("NaN")));
}
