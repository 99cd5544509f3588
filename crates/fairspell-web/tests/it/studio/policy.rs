use fairspell_studio::Policy;

use crate::desk::Desk;

const FIELDS: [(&str, &str); 37] = [
    ("watch_from", "10"),
    ("choice_above", "25"),
    ("advise_above", "60"),
    ("settled_from", "90"),
    ("go_from", "75"),
    ("wait_from", "35"),
    ("rescue_set", "30"),
    ("heat", "36,5"),
    ("cold", "-2"),
    ("gust", "40"),
    ("last_light", "-5.5"),
    ("arrive", "20"),
    ("golden_from", "7"),
    ("golden_to", "-3.5"),
    ("blue_to", "-6"),
    ("shutter", "200"),
    ("f_number", "1,8"),
    ("iso", "6400"),
    ("sensor_width", "23.5"),
    ("pixels_across", "6240"),
    ("lens", "56"),
    ("fresh_forecast", "600"),
    ("fresh_warnings", "45"),
    ("fresh_radar", "15"),
    ("evening", "19:00"),
    ("morning", "09:30:00"),
    ("home_by", "23:15"),
    ("drive_home", "150"),
    ("hair_damp", "12"),
    ("hair_wet", "24"),
    ("umbrella", "5"),
    ("umbrella_gust", "25"),
    ("change", "10"),
    ("open_set", "18"),
    ("sheltered_set", "12"),
    ("short_set", "6"),
    ("pictures", "20"),
];

fn fields_with(name: &'static str, value: &'static str) -> Vec<(&'static str, &'static str)> {
    FIELDS.iter().map(|field| if field.0 == name { (name, value) } else { *field }).collect()
}

#[tokio::test]
async fn every_number_is_shown_with_its_unit_and_common_practice() {
    let desk = Desk::open().await;
    let page = desk.get("/studio/policy").await;
    for (name, _) in FIELDS {
        page.says(&format!("name=\"{name}\""));
    }
    page.says("%; common practice: 15; from 0 to 100").says("km/h; common practice: 45");
    page.says("Common practice: 18:00").says("value=\"18:00\"");
}

#[tokio::test]
async fn numbers_are_saved_and_undone() {
    let desk = Desk::open().await;
    let saved = desk.post("/studio/policy", &FIELDS).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let policy = desk.studio().await.policy;
    assert_eq!(policy.any_rain.watch_from_percent, 10);
    assert_eq!((policy.limits.heat_from_c, policy.limits.cold_below_c), (36.5, -2.0));
    assert_eq!(policy.morning_reading.to_string(), "09:30:00");
    assert_eq!(policy.freshness.radar_min, 15);
    assert_eq!(policy.driver.home_by.to_string(), "23:15:00");
    assert_eq!(policy.driver.drive_home_max_min, 150);
    assert_eq!((policy.field.hair_damp_at_g_m2, policy.field.hair_wet_at_g_m2), (12.0, 24.0));
    assert_eq!((policy.field.umbrella_lets_through, policy.field.change_min), (0.05, 10));
    assert_eq!((policy.field.short_set_min, policy.field.pictures_promised), (6, 20));
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await.policy, Policy::default());
}

#[tokio::test]
async fn what_cannot_be_is_said_beside_its_field() {
    let desk = Desk::open().await;
    for (name, value) in [
        ("watch_from", ""),
        ("watch_from", "10.5"),
        ("advise_above", "101"),
        ("choice_above", "10"),
        ("go_from", "20"),
        ("settled_from", "75"),
        ("heat", "hot"),
        ("heat", "NaN"),
        ("cold", "-41"),
        ("home_by", "late"),
        ("drive_home", "1441"),
        ("rescue_set", "4"),
        ("evening", "25:00"),
        ("fresh_radar", "0"),
        ("umbrella", "101"),
        ("short_set", "0"),
    ] {
        let page = desk.post("/studio/policy", &fields_with(name, value)).await;
        page.says(&format!("id=\"{name}-wrong\"")).says("value=\"-5.5\"");
    }
    let page = desk.post("/studio/policy", &fields_with("choice_above", "70")).await;
    page.says("id=\"advise_above-wrong\"").says("70 % must be below 60 %");
    assert_eq!(desk.studio().await.policy, Policy::default());
}

#[tokio::test]
async fn common_practice_fills_the_form_and_saves_nothing() {
    let desk = Desk::open().await;
    desk.post("/studio/policy", &FIELDS).await;
    let page = desk.post("/studio/policy", &[("do", "usual")]).await;
    page.says("value=\"15\"");
    assert_eq!(desk.studio().await.policy.any_rain.watch_from_percent, 10);
}
