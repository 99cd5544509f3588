use std::sync::Mutex;

use fairspell_tell::{
    Channel, Delivery, Outcome, Went, deliver,
    deliver::{By, is_due},
    web_push::{Post, PushRequest},
};
use jiff::{SignedDuration, Timestamp};

use crate::{
    server::smtp,
    world::{NOON, at, mail_settings, message, sender, subscription, vapid_key},
};

/// A push service that answers as it was told to and remembers what it was asked.
struct Script {
    answer: Outcome,
    asked: Mutex<Vec<PushRequest>>,
}

impl Script {
    fn answering(answer: Outcome) -> Self {
        Script { answer, asked: Mutex::new(Vec::new()) }
    }

    fn asked(&self) -> usize {
        self.asked.lock().unwrap().len()
    }
}

impl Post for Script {
    async fn post(&self, request: &PushRequest, _: Timestamp) -> Outcome {
        self.asked.lock().unwrap().push(request.clone());
        self.answer
    }
}

fn push() -> Channel {
    Channel { id: "telephone".to_owned(), by: By::Push(subscription()) }
}

fn mail(port: u16) -> Channel {
    Channel { id: "mail".to_owned(), by: By::Mail(mail_settings(port)) }
}

fn tried(key: &str, channel: &str, minute: i64, went: Went) -> Delivery {
    let at = at(NOON) + SignedDuration::from_mins(minute);
    Delivery { key: key.to_owned(), channel: channel.to_owned(), at, went }
}

fn later(after_s: Option<i64>) -> Went {
    Went::TryLater { after_s, why: "busy".to_owned() }
}

async fn told(
    keys: &[&str],
    channels: &[Channel],
    record: &[Delivery],
    post: &Script,
) -> Vec<Delivery> {
    let messages: Vec<_> = keys.iter().map(|key| message(key)).collect();
    let mut draws = 0;
    let random = || {
        draws += 1;
        [draws; 48]
    };
    deliver(&messages, channels, record, &sender(&vapid_key()), post, random, at(NOON)).await
}

#[tokio::test]
async fn each_notice_goes_out_once_by_each_channel() {
    let server = smtp("", "");
    let post = Script::answering(Outcome::Delivered);
    let channels = [mail(server.port), push()];
    let first = told(&["one", "two"], &channels, &[], &post).await;
    let seen: Vec<_> = first.iter().map(|d| (d.channel.as_str(), d.key.as_str())).collect();
    let expected = [("telephone", "one"), ("telephone", "two"), ("mail", "one"), ("mail", "two")];
    assert_eq!(seen, expected);
    assert!(first.iter().all(|delivery| delivery.went == Went::Out && delivery.at == at(NOON)));

    let again = told(&["one", "two", "three"], &channels, &first, &post).await;
    assert!(again.iter().all(|delivery| delivery.key == "three"));
    assert_eq!(again.len(), 2);
    assert_eq!(post.asked(), 3);
}

#[tokio::test]
async fn each_push_message_has_random_bytes_of_its_own() {
    let post = Script::answering(Outcome::Delivered);
    told(&["one", "two"], &[push()], &[], &post).await;
    let asked = post.asked.lock().unwrap();
    assert_ne!(asked[0].body[..86], asked[1].body[..86]);
}

#[tokio::test]
async fn a_mail_server_that_refuses_does_not_hold_up_the_push() {
    let server = smtp("AUTH", "535 no");
    let post = Script::answering(Outcome::Delivered);
    let record = told(&["one"], &[mail(server.port), push()], &[], &post).await;
    assert_eq!(record[0].went, Went::Out);
    assert!(matches!(&record[1].went, Went::Refused { why } if why.starts_with("refused sign-in")));
}

#[tokio::test]
async fn each_outcome_of_a_push_stands_in_the_record() {
    let why = "the push service did not take it yet".to_owned();
    let refused = "the push service refused it with status 403".to_owned();
    for (outcome, expected) in [
        (Outcome::Delivered, Went::Out),
        (Outcome::Gone, Went::Gone),
        (
            Outcome::TryLater { after: Some(SignedDuration::from_secs(120)) },
            Went::TryLater { after_s: Some(120), why },
        ),
        (Outcome::Refused { status: 403 }, Went::Refused { why: refused }),
    ] {
        let record = told(&["one"], &[push()], &[], &Script::answering(outcome)).await;
        assert_eq!(record, [Delivery { at: at(NOON), ..tried("one", "telephone", 0, expected) }]);
    }
}

#[tokio::test]
async fn random_bytes_that_are_no_key_are_drawn_again_later() {
    let messages = [message("one")];
    let post = Script::answering(Outcome::Delivered);
    let key = vapid_key();
    let channels = [push()];
    let record =
        deliver(&messages, &channels, &[], &sender(&key), &post, || [0; 48], at(NOON)).await;
    assert!(matches!(record[0].went, Went::TryLater { .. }));
    assert_eq!(post.asked(), 0);
}

#[test]
fn a_try_is_due_when_its_time_has_come_and_not_before() {
    let failed = |minutes: &[i64], after_s| -> Vec<Delivery> {
        minutes.iter().map(|minute| tried("one", "mail", *minute, later(after_s))).collect()
    };
    for (record, due_from_min) in [
        (failed(&[0], None), Some(1)),
        (failed(&[0, 1], None), Some(3)),
        (failed(&[0, 1, 3, 8, 23, 53], None), Some(113)),
        (failed(&[0, 1, 3, 8, 23, 53, 113], None), None),
        // The other side asks for longer; what it asks for in less is not taken up.
        (failed(&[0], Some(600)), Some(10)),
        (failed(&[0, 1], Some(30)), Some(3)),
        (vec![tried("one", "mail", 0, Went::Out)], None),
        (vec![tried("one", "mail", 0, Went::Refused { why: String::new() })], None),
        (vec![tried("two", "mail", 0, Went::Gone)], None),
        (vec![tried("one", "telephone", 0, Went::Out)], Some(0)),
        (vec![tried("two", "mail", 0, Went::Out)], Some(0)),
        (vec![], Some(0)),
    ] {
        let due = |minute: i64| {
            is_due("one", "mail", &record, at(NOON) + SignedDuration::from_mins(minute))
        };
        let first = (0..=2000).find(|minute| due(*minute));
        assert_eq!(first, due_from_min, "{record:?}");
    }
}
