use fairspell_studio::notice::Urgency;
use fairspell_tell::web_push::{Fresh, Push, PushRequest, push_request, topic};

use crate::world::{NOON, at, sender, subscription, vapid_key};

fn request(urgency: Urgency) -> PushRequest {
    let push = Push { payload: b"Linh: must move", ttl_s: 600, urgency, key: "must-move/linh" };
    let fresh = Fresh::from_random(&[9; 48]);
    push_request(&subscription(), &push, &sender(&vapid_key()), &fresh, at(NOON)).unwrap()
}

fn field(request: &PushRequest, name: &str) -> String {
    let found = request.headers.iter().find(|(field, _)| *field == name);
    found.map(|(_, value)| value.clone()).unwrap()
}

/// RFC 8030, section 5.3: very-low, low, normal, high.
#[test]
fn urgent_notices_may_wake_the_telephone_and_others_may_not() {
    assert_eq!(field(&request(Urgency::Now), "Urgency"), "high");
    assert_eq!(field(&request(Urgency::Soon), "Urgency"), "normal");
}

#[test]
fn a_request_says_how_it_is_encrypted_and_how_long_it_may_wait() {
    let request = request(Urgency::Now);
    assert_eq!(request.url, "https://push.example.net/push/JzLQ3raZJfFBR0aqvOMsLrt54w4rJUsV");
    assert_eq!(field(&request, "TTL"), "600");
    assert_eq!(field(&request, "Content-Encoding"), "aes128gcm");
    assert!(field(&request, "Authorization").starts_with("vapid t="));
}

/// RFC 8030, section 5.4: no more than 32 characters of base64url.
#[test]
fn a_topic_is_short_and_tells_nothing() {
    let key = "band/2026-09-03-linh/Settled/Watch/2026-09-03T02:00:00Z";
    let is_allowed = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    assert_eq!(topic(key).len(), 32);
    assert!(topic(key).chars().all(is_allowed));
    assert!(!topic(key).contains("linh"));
    assert_eq!(topic(key), topic(key));
    assert_ne!(topic(key), topic("another"));
}

#[test]
fn the_text_stands_nowhere_in_the_request() {
    let request = request(Urgency::Now);
    let inside = |needle: &[u8]| request.body.windows(needle.len()).any(|part| part == needle);
    assert!(!inside(b"Linh"));
    assert!(!format!("{:?}", request.headers).contains("Linh"));
}
