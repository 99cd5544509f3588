use fairspell_studio::journal::Digest;

use crate::desk::{Desk, PASSPHRASE, moment};

async fn another_device(desk: &Desk, token: &str, device: &str) -> i64 {
    let (at, until) = (moment("2026-09-01T08:00:00Z"), moment("2026-10-01T08:00:00Z"));
    desk.store.sign_in(&Digest::of(token.as_bytes()), at, until, device).await.unwrap().0
}

#[tokio::test]
async fn devices_are_listed_and_ended_one_by_one_or_together() {
    let desk = Desk::open().await;
    let iphone = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 \
                  (KHTML, like Gecko) Version/18.0 Mobile/15E148 Safari/604.1";
    let id = another_device(&desk, "a", iphone).await;
    another_device(&desk, "b", "<script>alert(1)</script>").await;
    let page = desk.get("/studio/sign-ins").await;
    page.says("Firefox on Android").says("(This device)").says("Safari on an iPhone");
    page.says("&lt;script&gt;").never_says("<script>alert");
    page.says("Signed in Tue 1 Sep, 18:00");

    let ended = desk.post("/studio/sign-ins", &[("which", &id.to_string())]).await;
    desk.follow(&ended).await.says("That sign-in has ended.").never_says("iPhone");
    let ended = desk.post("/studio/sign-ins", &[("which", "others")]).await;
    desk.follow(&ended).await.says("Every other sign-in has ended.").says("No other device");
    assert_eq!(desk.store.sign_ins(moment("2026-09-02T08:10:00Z")).await.unwrap().len(), 1);
    assert_eq!(desk.post("/studio/sign-ins", &[("which", "x")]).await.status, 404);
}

#[tokio::test]
async fn a_new_passphrase_needs_the_present_one_and_ends_the_others() {
    let desk = Desk::open().await;
    another_device(&desk, "a", "x").await;
    let hash = async || desk.store.setting::<String>("passphrase").await.unwrap().unwrap();
    let before = hash().await;
    let fields = |present, new, again| [("present", present), ("new", new), ("again", again)];
    for (form, field) in [
        (fields("not that one", "eight dry umbrellas", "eight dry umbrellas"), "present"),
        (fields(PASSPHRASE, "short", "short"), "new"),
        (fields(PASSPHRASE, "eight dry umbrellas", "eight dry umbrella"), "again"),
    ] {
        let page = desk.post("/studio/passphrase", &form).await;
        page.says(&format!("id=\"{field}-wrong\"")).never_says("dry umbrella");
        page.never_says(PASSPHRASE);
        assert_eq!(hash().await, before);
    }
    let form = fields(PASSPHRASE, "eight dry umbrellas", "eight dry umbrellas");
    let done = desk.post("/studio/passphrase", &form).await;
    desk.follow(&done).await.says("The new passphrase holds.").says("No other device");
    assert_ne!(hash().await, before);
}

#[tokio::test]
async fn guessing_the_present_passphrase_is_slowed_down() {
    let desk = Desk::open().await;
    let new = "eight dry umbrellas";
    let form = [("present", "guess"), ("new", new), ("again", new)];
    let mut answers = Vec::new();
    for _ in 0..6 {
        answers.push(desk.post("/studio/passphrase", &form).await.status.as_u16());
    }
    assert_eq!(answers, [200, 200, 200, 200, 200, 429]);
}
