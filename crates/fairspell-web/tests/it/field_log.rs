//! What comes back from the field: two phones, wrong clocks, pasted logs, and who may not.

use axum::http::{Method, StatusCode};
use fairspell_studio::journal::Digest;
use serde_json::{Value, json};

use crate::{
    desk::moment,
    served::{Answer, Browser, HOME, LINH, Served, Setup, it_is, later},
};

const LOG: &str = "/sessions/2026-09-03-linh/field/log";
const PASTE: &str = "/sessions/2026-09-03-linh/field/paste";
const PAGE: &str = "/sessions/2026-09-03-linh";
const SET: &str = "sage satin / cannery_arcade / cover";

/// An hour and a half into Linh's evening, with somebody signed in.
async fn evening() -> (Served, Browser) {
    it_is("2026-09-03T06:30:00Z");
    let served = Served::open().await;
    let browser = served.hers().await;
    (served, browser)
}

fn tap(device: &str, n: u64, at: &str, members: &Value) -> Value {
    let at = format!("2026-09-03T{at}Z");
    let mut tap = json!({"id": format!("{device}-{n}"), "device": device, "n": n, "at": at});
    for (name, value) in members.as_object().unwrap() {
        tap[name] = value.clone();
    }
    tap
}

fn start_and_done(device: &str) -> Vec<Value> {
    vec![
        tap(device, 1, "05:20:00", &json!({"kind": "start", "set": SET, "form": "full"})),
        tap(device, 2, "05:38:00", &json!({"kind": "done"})),
    ]
}

async fn word(browser: &Browser) -> String {
    browser.get("/people/new").await.form_word().unwrap().to_owned()
}

async fn send(browser: &Browser, path: &str, body: &Value) -> Answer {
    let json = [("content-type", "application/json")];
    browser.ask(Method::POST, path, &json, body.to_string()).await
}

/// Hands in, and reads the answer.
async fn hand_in(browser: &Browser, sent_at: &str, events: &[Value]) -> Value {
    let word = word(browser).await;
    let body = json!({"form_word": word, "sheet_digest": "", "sent_at": sent_at, "events": events});
    let answer = send(browser, LOG, &body).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    assert_eq!(answer.header("content-type"), "application/json");
    serde_json::from_str(&answer.text).unwrap()
}

fn ids(events: &Value) -> Vec<&str> {
    events
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["id"].as_str().unwrap_or_else(|| it.as_str().unwrap()))
        .collect()
}

#[track_caller]
fn says_why(answer: &Answer, status: StatusCode) {
    assert_eq!(answer.status, status, "{}", answer.text);
    assert_eq!(answer.header("content-type"), "application/json");
    let value: Value = serde_json::from_str(&answer.text).unwrap();
    let why = value["error"].as_str().unwrap();
    assert!(why.ends_with('.') && !why.contains("field/log"), "{why}");
}

#[tokio::test]
async fn two_phones_hand_in_and_each_gets_the_whole_evening() {
    let (served, browser) = evening().await;
    let now = "2026-09-03T06:29:57Z";
    let first = hand_in(&browser, now, &start_and_done("k3")).await;
    let kept: Vec<&str> =
        first["kept"].as_array().unwrap().iter().map(|id| id.as_str().unwrap()).collect();
    assert_eq!(kept, ["k3-1", "k3-2"]);
    assert_eq!((&first["refused"], &first["skew_s"]), (&json!([]), &json!(3.0)));
    assert_eq!(first["server_now"], "2026-09-03T06:30:00Z");
    let rain = [tap("p8", 1, "05:25:00", &json!({"kind": "rain", "class": 1}))];
    let second = hand_in(&browser, now, &rain).await;
    assert_eq!(ids(&second["events"]), ["k3-1", "p8-1", "k3-2"]);
    // The first phone hands in all it has once more, as after a lost answer.
    let before = served.head().await;
    let again = hand_in(&browser, now, &start_and_done("k3")).await;
    assert_eq!((&again["kept"], &again["refused"]), (&first["kept"], &json!([])));
    assert_eq!(again["events"], second["events"]);
    assert_eq!(served.head().await, before, "nothing new is nothing to record");
    assert!(served.store.journal_verify(None).await.unwrap().holds());
}

#[tokio::test]
async fn an_event_comes_back_as_it_was_sent_whatever_its_kind() {
    let (_served, browser) = evening().await;
    let sent = tap("k3", 1, "05:20:00.12", &json!({"kind": "drone", "height_m": [30, null]}));
    let answer = hand_in(&browser, "2026-09-03T06:30:00Z", std::slice::from_ref(&sent)).await;
    assert_eq!(answer["events"], json!([sent]));
}

#[tokio::test]
async fn an_hour_off_is_corrected_and_the_future_refused() {
    let (_served, browser) = evening().await;
    let events = [
        tap("k3", 1, "06:20:00", &json!({"kind": "arrived"})),
        tap("k3", 2, "07:40:00", &json!({"kind": "thunder"})),
        tap("k3", 3, "06:25:00", &json!({"kind": "rain", "class": 9})),
    ];
    let answer = hand_in(&browser, "2026-09-03T07:30:00Z", &events).await;
    assert_eq!(answer["skew_s"], -3600.0);
    assert_eq!(answer["kept"], json!(["k3-1"]));
    assert_eq!(answer["events"][0]["at"], "2026-09-03T05:20:00Z");
    assert_eq!(ids(&answer["refused"]), ["k3-2", "k3-3"]);
    assert!(answer["refused"][0]["why"].as_str().unwrap().contains("future"));
    // The phone goes on sending its own times; what is known stays as it is known.
    let again = hand_in(&browser, "2026-09-03T06:30:00Z", &events[..1]).await;
    assert_eq!(again["events"], answer["events"]);
}

#[tokio::test]
async fn another_event_under_a_known_id_is_refused() {
    let (_served, browser) = evening().await;
    let now = "2026-09-03T06:30:00Z";
    hand_in(&browser, now, &start_and_done("k3")).await;
    let other = [tap("k3", 1, "05:20:00", &json!({"kind": "finish"}))];
    let answer = hand_in(&browser, now, &other).await;
    assert_eq!((&answer["kept"], ids(&answer["refused"])), (&json!([]), vec!["k3-1"]));
    assert_eq!(answer["events"][0]["kind"], "start");
}

#[tokio::test]
async fn whoever_may_not_is_told_in_json_and_nothing_is_kept() {
    let (served, browser) = evening().await;
    let (word, sent_at) = (word(&browser).await, "2026-09-03T06:30:00Z");
    let body = |word: &str, events: Value| json!({"form_word": word, "sheet_digest": "", "sent_at": sent_at, "events": events});
    let good = body(&word, json!(start_and_done("k3")));
    let guest = served.browser(HOME);
    says_why(&send(&guest, LOG, &good).await, StatusCode::UNAUTHORIZED);
    for wrong in ["", "x", &word[1..]] {
        let wrong = body(wrong, json!(start_and_done("k3")));
        says_why(&send(&browser, LOG, &wrong).await, StatusCode::FORBIDDEN);
    }
    let other = send(&browser, "/sessions/nobody/field/log", &good).await;
    says_why(&other, StatusCode::NOT_FOUND);
    for garbled in ["", "[]", "{\"form_word\": 1}", "{\"events\": []}"] {
        let json = [("content-type", "application/json; charset=utf-8")];
        let answer = browser.ask(Method::POST, LOG, &json, garbled.to_owned()).await;
        says_why(&answer, StatusCode::BAD_REQUEST);
    }
    let plain = [("content-type", "text/plain")];
    let answer = browser.ask(Method::POST, LOG, &plain, good.to_string()).await;
    says_why(&answer, StatusCode::UNSUPPORTED_MEDIA_TYPE);
    let long = body(&word, json!(["x".repeat(5 << 20)]));
    says_why(&send(&browser, LOG, &long).await, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(served.store.field_events(LINH).await.unwrap(), []);
    assert_eq!(served.store.field_events("nobody").await.unwrap(), []);
    // With all of it right it goes through.
    assert_eq!(send(&browser, LOG, &good).await.status, StatusCode::OK);
}

/// In the demo nobody signs in, and the clock stands; a phone that was handed its time goes on.
#[tokio::test]
async fn in_the_demo_a_phone_carries_the_standing_clock_on() {
    it_is("2026-11-27T12:00:00Z");
    let clock = Some("2026-09-03T05:15:00Z");
    let served = Served::with(Setup { is_demo: true, clock, ..Setup::default() }).await;
    let browser = served.browser(HOME);
    let answer = hand_in(&browser, "2026-09-03T05:45:00Z", &start_and_done("k3")).await;
    assert_eq!((&answer["skew_s"], &answer["refused"]), (&json!(0.0), &json!([])));
    assert_eq!(answer["events"][1]["at"], "2026-09-03T05:38:00Z");
    // One that keeps its own time is put right as everywhere.
    let own = [json!({"id": "p8-1", "device": "p8", "n": 1, "kind": "thunder",
                      "at": "2026-11-27T11:59:00Z"})];
    let answer = hand_in(&browser, "2026-11-27T12:00:00Z", &own).await;
    assert_eq!(answer["events"][0]["at"], "2026-09-03T05:14:00Z");
}

#[tokio::test]
async fn the_sessions_page_tells_what_was_made() {
    let (served, browser) = evening().await;
    browser.get(PAGE).await.says("Nothing has been handed in from the field.");
    let mut events = start_and_done("k3");
    events.extend([
        tap("k3", 3, "05:39:00", &json!({"kind": "thunder"})),
        tap("k3", 4, "05:40:00", &json!({"kind": "note", "text": "<b>mud</b> & rain"})),
        tap(
            "k3",
            5,
            "05:41:00",
            &json!({"kind": "cell", "look": "sage satin", "cell": "close-smile", "filled": true}),
        ),
        tap("k3", 6, "05:42:00", &json!({"kind": "truth", "rain": "much"})),
    ]);
    hand_in(&browser, "2026-09-03T06:30:00Z", &events).await;
    let page = browser.get(PAGE).await;
    page.says("What was made")
        .says("under the roof: 15:20 to 15:38, in full, made.")
        .says("Thunder at 15:39; nobody out again before 16:09, 30 minutes after the last.")
        .says("&lt;b&gt;mud&lt;/b&gt; &amp; rain")
        .never_says("<b>mud")
        .says("Sage satin: 1 of the 12")
        .says("The evening's rain, as you saw it: much.")
        .says("Made with a sheet that this studio did not make as it is.")
        .never_says("Nothing has been handed in");
    // The journal says that there was a batch.
    browser.get("/studio/journal").await.says("field log handed in: 6 taps");
    let events = served.store.field_log(LINH).await.unwrap();
    assert!(events.altered.is_empty());
}

#[tokio::test]
async fn a_sheet_that_the_studio_handed_out_is_no_foreign_one() {
    let (served, browser) = evening().await;
    let digest = Digest::of(b"the sheet").to_string();
    served.store.remember_field_sheet(LINH, &digest, moment("2026-09-03T04:50:00Z")).await.unwrap();
    let word = word(&browser).await;
    let body = json!({"form_word": word, "sheet_digest": digest, "sent_at": "2026-09-03T06:30:00Z",
                      "events": start_and_done("k3")});
    assert_eq!(send(&browser, LOG, &body).await.status, StatusCode::OK);
    browser.get(PAGE).await.says("What was made").never_says("did not make as it is");
}

fn text(session: &str, written_at: &str, events: &[Value]) -> String {
    let log = json!({"fairspell_field_log": 1, "session": session, "sheet_digest": "",
                     "written_at": written_at, "events": events});
    format!("Field log of Linh, {} taps\n{log}", events.len())
}

#[tokio::test]
async fn a_log_as_text_is_taken_in_from_the_page() {
    let (served, browser) = evening().await;
    later(60 * 24);
    let page = browser.get(PAGE).await;
    let log = text(LINH, "2026-09-03T06:31:00Z", &start_and_done("k3"));
    let answer = browser.submit(&page, PASTE, &[("field_log", &log)]).await;
    let after = browser.follow(&answer).await;
    after.says("The log is in.").says("15:20 to 15:38, in full, made.");
    let events = served.store.field_events(LINH).await.unwrap();
    assert_eq!(events[0].at, moment("2026-09-03T05:20:00Z"), "a day on its way is no wrong clock");
    browser.submit(&page, PASTE, &[("field_log", &log)]).await;
    assert_eq!(served.store.field_events(LINH).await.unwrap().len(), 2);
    let odd = [tap("k3", 3, "05:50:00", &json!({"kind": "rain", "class": 9}))];
    let odd = text(LINH, "2026-09-03T06:31:00Z", &odd);
    let answer = browser.submit(&page, PASTE, &[("field_log", &odd)]).await;
    answer.says("k3-3: There is no such rain").says("1 was not taken in");
}

/// Longer than any other field of a form.
#[tokio::test]
async fn a_long_log_as_text_comes_through_whole() {
    let (served, browser) = evening().await;
    let page = browser.get(PAGE).await;
    let note = |n| tap("k3", n, "05:50:00", &json!({"kind": "note", "text": "é".repeat(1000)}));
    let notes: Vec<Value> = (1..=300).map(note).collect();
    let log = text(LINH, "2026-09-03T06:31:00Z", &notes);
    let answer = browser.submit(&page, PASTE, &[("field_log", &log)]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert_eq!(served.store.field_events(LINH).await.unwrap().len(), 300);
}

#[tokio::test]
async fn a_log_that_cannot_be_taken_says_why_and_keeps_what_was_pasted() {
    let (served, browser) = evening().await;
    let page = browser.get(PAGE).await;
    let whole = text(LINH, "2026-09-03T06:31:00Z", &start_and_done("k3"));
    let newer = whole.replace("field_log\":1", "field_log\":7");
    for (log, why) in [
        ("how was it?", "There is no field log in this text."),
        (&whole[..whole.len() - 9], "This log is cut off"),
        (
            &text("2026-09-10-mai", "2026-09-03T06:31:00Z", &[]),
            "of another session: 2026-09-10-mai",
        ),
        (&newer, "This log is of version 7"),
    ] {
        let answer = browser.submit(&page, PASTE, &[("field_log", log)]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        answer.says(why).says("</textarea>").says(&log[..8]);
    }
    let bare = browser.post(PASTE, &[("field_log", &whole)]).await;
    assert_eq!(bare.status, StatusCode::FORBIDDEN);
    assert_eq!(served.store.field_events(LINH).await.unwrap(), []);
}

#[tokio::test]
async fn an_erased_family_gets_no_new_log() {
    let (served, browser) = evening().await;
    hand_in(&browser, "2026-09-03T06:30:00Z", &start_and_done("k3")).await;
    served
        .store
        .erase_family(&[LINH], &["linh"], "N. N.", moment("2026-09-03T06:31:00Z"))
        .await
        .unwrap();
    let left = served.store.sessions().await.unwrap().remove(0).id;
    let word = word(&browser).await;
    // A phone sends while it happens: the pages do not know yet.
    let sent = json!({"form_word": word, "sent_at": "2026-09-03T06:30:00Z", "events": start_and_done("p8")});
    says_why(&send(&browser, LOG, &sent).await, StatusCode::NOT_FOUND);
    assert_eq!(served.store.field_events(LINH).await.unwrap(), []);
    browser.press("/", "/look-again").await;
    let body = json!({"form_word": word, "sent_at": "2026-09-03T06:30:00Z", "events": start_and_done("k3")});
    let address = format!("/sessions/{left}/field/log");
    says_why(&send(&browser, &address, &body).await, StatusCode::NOT_FOUND);
    says_why(&send(&browser, LOG, &body).await, StatusCode::NOT_FOUND);
    browser.get(&format!("/sessions/{left}")).await.never_says("field/paste");
}
