use crate::desk::{Desk, Page};

fn address(page: &Page) -> String {
    let address = page.between("id=\"calendar-address\">", "<").expect("an address");
    address.strip_prefix("http://localhost:8080").expect("ours").to_owned()
}

#[tokio::test]
async fn the_calendar_rings_at_every_decision_and_needs_no_sign_in() {
    let desk = Desk::open().await;
    desk.get("/studio/telling").await.says("There is no address yet.");
    let made = desk.post("/studio/telling", &[("do", "calendar-new")]).await;
    let address = address(&desk.follow(&made).await);
    let feed = desk.get_as_guest(&address).await;
    assert_eq!(feed.kind, "text/calendar; charset=utf-8");
    feed.says("BEGIN:VCALENDAR").says("Portraits: Linh").says("BEGIN:VALARM");
    feed.never_says("@example.org");
}

#[tokio::test]
async fn a_new_address_ends_the_old_one_for_good() {
    let desk = Desk::open().await;
    let first = desk.post("/studio/telling", &[("do", "calendar-new")]).await;
    let first = address(&desk.follow(&first).await);
    let second = desk.post("/studio/telling", &[("do", "calendar-new")]).await;
    let second = address(&desk.follow(&second).await);
    assert_ne!(first, second);
    assert_eq!(desk.get_as_guest(&first).await.status, 404);
    assert_eq!(desk.get_as_guest(&second).await.status, 200);

    desk.post("/studio/telling", &[("do", "calendar-off")]).await;
    assert_eq!(desk.get_as_guest(&second).await.status, 404);
    let third = desk.post("/studio/telling", &[("do", "calendar-new")]).await;
    let third = address(&desk.follow(&third).await);
    assert!(third != first && third != second);
}

#[tokio::test]
async fn an_altered_address_leads_nowhere_and_guessing_is_slowed_down() {
    let desk = Desk::open().await;
    let made = desk.post("/studio/telling", &[("do", "calendar-new")]).await;
    let address = address(&desk.follow(&made).await);
    let other_number = address.replacen("/1.", "/2.", 1);
    assert_ne!(other_number, address);
    for odd in [other_number.as_str(), "/calendar/1.", "/calendar/x", "/calendar/1.AAAA"] {
        desk.get_as_guest(odd).await.never_says("Linh");
    }
    for _ in 0..3 {
        desk.get_as_guest("/calendar/1.AAAA").await;
    }
    assert_eq!(desk.get_as_guest("/calendar/1.AAAA").await.status, 429);
}
