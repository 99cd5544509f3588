use fairspell_tell::MailSettings;
use jiff::Timestamp;

use crate::desk::Desk;

const FIELDS: [(&str, &str); 8] = [
    ("do", "mail"),
    ("host", "smtp.example.org"),
    ("port", "465"),
    ("security", "tls"),
    ("user", "ines"),
    ("password", "hunter-of-light"),
    ("mail_from", "studio@example.org"),
    ("mail_to", "ines@example.org"),
];

/// RFC 8291, appendix A: the browser's keys of the published example.
const P256DH: &str =
    "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4";
const AUTH: &str = "BTBZMqHH6r4Tts7J_aSIgg";

fn fields_with(name: &'static str, value: &'static str) -> Vec<(&'static str, &'static str)> {
    FIELDS.iter().map(|field| if field.0 == name { (name, value) } else { *field }).collect()
}

async fn mail(desk: &Desk) -> Option<MailSettings> {
    desk.store.setting::<Option<MailSettings>>("mail").await.unwrap().flatten()
}

#[tokio::test]
async fn her_mail_server_is_kept_and_its_password_never_shown() {
    let desk = Desk::open().await;
    desk.get("/studio/telling").await.says("Not set up.").says("value=\"465\"");
    let saved = desk.post("/studio/telling", &FIELDS).await;
    let page = desk.follow(&saved).await;
    page.says("Saved.").says("value=\"smtp.example.org\"").says("One is kept and never shown.");
    page.never_says("hunter-of-light");
    assert_eq!(mail(&desk).await.unwrap().password, "hunter-of-light");
    desk.get("/studio").await.says("You are told by e-mail.").never_says("hunter");
    desk.get("/studio/journal").await.never_says("hunter");

    desk.post("/studio/telling", &[("do", "mail-off")]).await;
    assert_eq!(mail(&desk).await, None);
}

#[tokio::test]
async fn a_kept_password_never_goes_to_another_server_or_user() {
    let desk = Desk::open().await;
    desk.post("/studio/telling", &FIELDS).await;
    let kept = |name, value| -> Vec<(&str, &str)> {
        let fields = fields_with(name, value);
        fields.into_iter().map(|f| if f.0 == "password" { ("password", "") } else { f }).collect()
    };
    desk.post("/studio/telling", &kept("mail_to", "other@example.org")).await;
    assert_eq!(mail(&desk).await.unwrap().password, "hunter-of-light");
    for (name, value) in [("host", "smtp.elsewhere.example"), ("user", "somebody")] {
        let page = desk.post("/studio/telling", &kept(name, value)).await;
        page.says("id=\"password-wrong\"").says(&format!("value=\"{value}\""));
    }
    assert_eq!(mail(&desk).await.unwrap().host, "smtp.example.org");
}

#[tokio::test]
async fn each_mistake_stands_beside_its_field_and_the_password_is_not_shown_again() {
    let desk = Desk::open().await;
    for (name, value) in [
        ("host", ""),
        ("host", "smtp example org"),
        ("port", "70000"),
        ("security", "none"),
        ("security", "maybe"),
        ("mail_from", "nobody"),
        ("mail_to", "a@b"),
    ] {
        let page = desk.post("/studio/telling", &fields_with(name, value)).await;
        page.says(&format!("id=\"{name}-wrong\"")).never_says("hunter-of-light");
        page.says("value=\"ines\"");
    }
    assert_eq!(mail(&desk).await, None);
}

#[tokio::test]
async fn a_test_says_what_went_wrong() {
    let desk = Desk::open().await;
    desk.post("/studio/telling/test", &[]).await.says("there is nothing to test");
    // Nobody listens on the port of nothing.
    let mut fields = fields_with("host", "127.0.0.1");
    for field in &mut fields {
        match field.0 {
            "port" => field.1 = "9",
            "security" => field.1 = "none",
            _ => {}
        }
    }
    desk.post("/studio/telling", &fields).await;
    let page = desk.post("/studio/telling/test", &[]).await;
    page.says("The test did not go out: cannot reach 127.0.0.1, port 9");
    page.says("value=\"127.0.0.1\"").never_says("hunter-of-light");
}

#[tokio::test]
async fn push_is_offered_where_browsers_allow_it() {
    let desk = Desk::open().await;
    let page = desk.get("/studio/telling").await;
    let key = page.between("data-push-key=\"", "\"").unwrap().to_owned();
    assert_eq!(key.len(), 87, "65 bytes in base64url");
    desk.get("/studio/telling").await.says(&key);
    let elsewhere = desk.get_from("192.168.1.20:8080", "/studio/telling").await;
    elsewhere.says("Browsers allow this only over a secure address").never_says("data-push-key");
}

#[tokio::test]
async fn a_device_subscribes_and_is_dropped() {
    let desk = Desk::open().await;
    let endpoint = "https://updates.push.example.org/wpush/v2/secret-part";
    let fields = [("endpoint", endpoint), ("p256dh", P256DH), ("auth", AUTH)];
    let saved = desk.post("/studio/telling/push", &fields).await;
    desk.follow(&saved).await.says("Through updates.push.example.org, since Wed 2 Sep, 18:10");
    desk.get("/studio").await.says("You are told on one device.");
    desk.post("/studio/telling", &[("do", "push-off"), ("endpoint", endpoint)]).await;
    assert_eq!(desk.store.push_subscriptions().await.unwrap(), []);

    for odd in [
        [("endpoint", "http://127.0.0.1/"), ("p256dh", P256DH), ("auth", AUTH)],
        [("endpoint", endpoint), ("p256dh", "AAAA"), ("auth", AUTH)],
    ] {
        let page = desk.post("/studio/telling/push", &odd).await;
        page.says("The browser's answer could not be used.");
    }
    assert_eq!(desk.store.push_subscriptions().await.unwrap(), []);
}

#[tokio::test]
async fn now_says_when_she_was_told_last_and_whether_it_went_out() {
    let desk = Desk::open().await;
    let at: Timestamp = "2026-09-02T07:00:00Z".parse().unwrap();
    let linh = Some("2026-09-03-linh");
    desk.store.remember_notice("k", "band_changed", linh, at, "Linh: <watch>").await.unwrap();
    desk.get("/").await.says("Wed 2 Sep, 17:00: Linh: &lt;watch&gt;").says("has not gone out");
    desk.store.note_delivery("k", "mail", at, Err("cannot reach it")).await.unwrap();
    desk.store.note_delivery("k", "push:abc", at, Ok(())).await.unwrap();
    let page = desk.get("/").await;
    page.says("By e-mail, Wed 2 Sep, 17:00: it did not go out (cannot reach it)");
    page.says("On a device, Wed 2 Sep, 17:00: it went out");
}
