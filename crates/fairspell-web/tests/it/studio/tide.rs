use fairspell_studio::studio::TideSource;
use jiff::civil::{date, time};

use crate::desk::Desk;

const PRINTED: &str = "time,height_m\n2026-09-03 06:40,1.40\n2026-09-03 12:50,0.62\n\
                       2026-09-03 19:10,1.48\n2026-09-04 01:30,0.40\n";

const CONSTANTS: &str = r#"{ "name": "Steps <1>", "datum": "chart datum", "mean_level_m": 1.0,
    "phase_zone": "utc", "nodal": "standard",
    "constituents": [{ "name": "M2", "amplitude_m": 0.48, "phase_lag_deg": 300.0 }] }"#;

#[tokio::test]
async fn the_tide_is_told_for_the_next_days_with_its_caution() {
    let desk = Desk::open().await;
    desk.get("/studio/tide").await.says("what nobody knows is not dry land");
    desk.post("/studio/tide", &[("tide", CONSTANTS)]).await;
    let page = desk.get("/studio/tide").await;
    page.says("Harmonic constants of").says("high water").says("low water");
    page.says("never let the way back be cut off");
    // Two of each a day, or one short of it at an end.
    let turns = page.text.matches(" water, ").count();
    assert!((10..=13).contains(&turns), "{turns}");
}

#[tokio::test]
async fn a_printed_table_by_the_studios_clock_takes_the_constants_place_and_can_be_undone() {
    let desk = Desk::open().await;
    let saved = desk.post("/studio/tide", &[("tide", PRINTED)]).await;
    desk.follow(&saved)
        .await
        .says("A table of 4 high and low waters, from 3 Sep 2026 to 4 Sep 2026");
    desk.get("/studio/tide").await.says("Thu 3 Sep, 12:50: low water, 0.6 m");
    let Some(TideSource::Table(rows)) = desk.studio().await.tide else { panic!("a table") };
    // Ten hours east of Greenwich.
    assert_eq!(rows[1].0, "2026-09-03T02:50Z".parse().unwrap());
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await.tide, None);
}

#[tokio::test]
async fn constants_are_taken_and_the_tide_can_be_removed() {
    let desk = Desk::open().await;
    let saved = desk.post("/studio/tide", &[("tide", CONSTANTS)]).await;
    desk.follow(&saved).await.says("Harmonic constants of Steps &lt;1&gt;, 1 of them");
    let removed = desk.post("/studio/tide", &[("do", "remove")]).await;
    desk.follow(&removed).await.says("No tide has been entered.");
    assert_eq!(desk.studio().await.tide, None);
}

#[tokio::test]
async fn what_is_no_tide_is_said_and_changes_nothing() {
    let desk = Desk::open().await;
    let before = desk.studio().await.tide;
    for (given, said) in [
        ("", "Please paste a tide"),
        ("time,height_m\n2026-09-03 06:40,1.40\n", "at least two rows, found 1"),
        (
            "time,height_m\n2026-09-03 06:40,high\n2026-09-03 12:50,0.6\n",
            "Line 2: `high` is no height",
        ),
        (
            "time,height_m\n2026-09-03 06:40,1.4\n2026-09-03 12:50,0.6\n2026-09-03 18:50,0.5\n2026-09-04 00:50,0.4\n",
            "is a row missing?",
        ),
        ("{\"name\": \"Steps\"}", "Missing field `mean_level_m`"),
        (
            "{\"name\":\"Steps\",\"datum\":\"chart\",\"mean_level_m\":1,\"phase_zone\":\"utc\",\
             \"nodal\":\"none\",\"constituents\":[{\"name\":\"Z9\",\"amplitude_m\":1,\
             \"phase_lag_deg\":0}]}",
            "Unknown constituent `Z9`",
        ),
    ] {
        let page = desk.post("/studio/tide", &[("tide", given)]).await;
        page.says("id=\"tide-wrong\"").says(said);
    }
    assert_eq!(desk.studio().await.tide, before);
}

#[tokio::test]
async fn school_and_its_terms_are_kept_and_mistakes_said() {
    let desk = Desk::open().await;
    let days = [("do", "days"), ("working", "tuesday"), ("reserve", "sunday")];
    let with = |more: &[(&'static str, &'static str)]| [&days, more].concat();
    let terms = "2026-07-20 to 2026-09-25\n2026-10-12 to 2026-12-16";
    desk.post("/studio/week", &with(&[("school_ends", "15:10"), ("terms", terms)])).await;
    let school = desk.studio().await.school.unwrap();
    assert_eq!(school.ends, time(15, 10, 0, 0));
    assert_eq!(school.terms[1], (date(2026, 10, 12), date(2026, 12, 16)));
    desk.get("/studio/week").await.says("value=\"15:10\"").says("2026-07-20 to 2026-09-25");
    for (more, refused) in [
        (vec![("terms", terms)], "school_ends"),
        (vec![("school_ends", "15:10"), ("terms", "spring")], "terms"),
        (vec![("school_ends", "15:10"), ("terms", "2026-09-25 to 2026-07-20")], "terms"),
        (vec![("school_ends", "after lunch")], "school_ends"),
    ] {
        let page = desk.post("/studio/week", &with(&more)).await;
        page.says(&format!("id=\"{refused}-wrong\""));
    }
    assert_eq!(desk.studio().await.school.unwrap(), school);
    desk.post("/studio/week", &with(&[])).await;
    assert_eq!(desk.studio().await.school, None);
}
