use std::collections::BTreeSet;

use axum::http::StatusCode;
use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use fairspell_store::Store;
use fairspell_studio::{
    Answer, AnsweredBy, Choice, Offer, SentLetter,
    journal::{Digest, HeadPlace},
};
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;

use crate::{
    desk::{self, moment},
    served::{Browser, EVENING_BEFORE, LINH, Served, Setup, it_is, now, serve},
};

/// 48 hours after the evening's last usable light, in whole seconds.
const ENDS: &str = "2026-09-05T08:00:00Z";

fn letter(id: &str) -> SentLetter {
    let offer = |choice, words: &str| Offer { choice, words: words.to_owned() };
    let sunday = Choice::MoveTo { start: "2026-09-06T15:15:00".parse().unwrap() };
    SentLetter {
        offers: vec![
            offer(Choice::Keep, "Keep it, with umbrellas; hair may get damp."),
            offer(sunday, "Move to Sun 6 Sep, 15:15."),
            offer(Choice::LaterDate, "A later date that we find together."),
        ],
        reply_by: Some(moment("2026-09-02T10:00:00Z")),
        ..desk::letter(id)
    }
}

async fn sent(id: &str) -> Served {
    let served = Served::open().await;
    served.store.send_letter(&letter(id)).await.unwrap();
    served
}

/// The token of a link, made here from the studio's key as `links.rs` says it: HMAC-SHA-256 over the
/// purpose and what the link says, of which 16 bytes stand in the link.
async fn token(served: &Served, letter: &str, ends: &str) -> String {
    #[derive(serde::Deserialize)]
    struct Keys {
        signing_key: [u8; 32],
    }
    let keys: Keys = served.store.setting("secrets").await.unwrap().unwrap();
    let said = format!("{letter}.{}", moment(ends).as_second());
    let mut mac = Hmac::<Sha256>::new_from_slice(&keys.signing_key).unwrap();
    mac.update(&[1]);
    mac.update(said.as_bytes());
    let signature = mac.finalize().into_bytes();
    format!("{said}.{}", URL_SAFE_NO_PAD.encode(&signature[..16]))
}

async fn link(served: &Served, letter: &str) -> String {
    format!("/f/{}", token(served, letter, ENDS).await)
}

/// A telephone somewhere that is not signed in.
fn phone(served: &Served) -> Browser {
    served.browser("localhost:8045").from("198.51.100.4")
}

async fn answers(served: &Served) -> Vec<Answer> {
    served.store.answers_of_session(LINH).await.unwrap()
}

const SEND: (&str, &str) = ("step", "send");

async fn choose(served: &Served, link: &str, who: &str, number: &str) -> crate::served::Answer {
    phone(served).post(link, &[("who", who), ("number", number), SEND]).await
}

#[tokio::test]
async fn the_page_shows_the_letter_its_figures_and_its_choices() {
    let served = Served::with(Setup { sessions: desk::sessions(), ..Setup::default() }).await;
    served.store.send_letter(&letter("a1")).await.unwrap();
    let page = phone(&served).get(&link(&served, "a1").await).await;
    assert_eq!(page.status, StatusCode::OK);
    page.says("For Linh and Quoc, from Ines Corrigan-Vale").says("We look forward to it.");
    page.says("1. Keep it, with umbrellas").says("2. Move to Sun 6 Sep").says("3. A later date");
    page.says("Once we begin, we finish").says("value=\"Linh\"").says("value=\"Quoc\"");
    // Nothing else of the studio.
    page.never_says("Soraya").never_says("<nav").never_says("href=\"/season\"");
    assert_eq!(page.header("cache-control"), "no-store");
}

#[tokio::test]
async fn every_link_that_is_not_good_gets_the_same_page() {
    let served = sent("a1").await;
    served.store.send_letter(&letter("e2")).await.unwrap();
    let good = token(&served, "a1", ENDS).await;
    let [id, ends, signature] = good.split('.').collect::<Vec<_>>()[..] else { panic!("{good}") };
    let mut bad = BTreeSet::from([
        String::from("nothing"),
        String::from("a1"),
        String::from(".."),
        format!("{id}.{ends}"),
        format!("{id}.{ends}."),
        format!("{id}..{signature}"),
        format!(".{ends}.{signature}"),
        format!("{id}.{}.{signature}", ends.parse::<i64>().unwrap() + 1),
        format!("{id}.0{ends}.{signature}"),
        format!("{id}.+{ends}.{signature}"),
        format!("a2.{ends}.{signature}"),
        format!("A1.{ends}.{signature}"),
        format!("{LINH}.{ends}.{signature}"),
        format!("{good}="),
        format!("{good}A"),
        format!("{good}.{signature}"),
        good[..good.len() - 1].to_owned(),
        good.replace('.', "-"),
    ]);
    // Each character of the signature; the last one carries four bits that are not used.
    for (at, character) in signature.char_indices() {
        for other in ["A", "Q", "g", "w", "B"].into_iter().filter(|o| !o.starts_with(character)) {
            let mut altered = signature.to_owned();
            altered.replace_range(at..=at, other);
            bad.insert(format!("{id}.{ends}.{altered}"));
        }
    }
    // Signed, but over, to a letter that never was, and to one that was erased.
    bad.insert(token(&served, "a1", "2026-09-02T08:09:59Z").await);
    bad.insert(token(&served, "a1", EVENING_BEFORE).await);
    bad.insert(token(&served, "zz", ENDS).await);
    let erased = Served::open().await;
    erased.store.send_letter(&letter("e2")).await.unwrap();
    let of_erased = link(&erased, "e2").await;
    assert_eq!(phone(&erased).get(&of_erased).await.status, StatusCode::OK);
    erased.store.erase_family(&[LINH], &["linh", "quoc"], "erased", now()).await.unwrap();

    let plain = phone(&served).get("/f/nothing").await;
    plain.says("This link doesn't work").says("Nothing was noted.");
    for word in ["Linh", "Quoc", "Ines", "Sep", "a1", "Dune", "href=\"/\""] {
        plain.never_says(word);
    }
    let head = served.head().await;
    for (number, token) in bad.iter().enumerate() {
        // Each from an address of its own, so that nobody is slowed down.
        let from = format!("203.0.{}.{}", number / 250, number % 250);
        let phone = served.browser("localhost:8045").from(&from);
        let path = format!("/f/{token}");
        let fields = [("who", "Linh"), ("number", "1"), SEND];
        for answer in [phone.get(&path).await, phone.post(&path, &fields).await] {
            assert_eq!(answer.status, StatusCode::NOT_FOUND, "{token}");
            assert_eq!(answer.text, plain.text, "{token}");
        }
    }
    assert_eq!(served.head().await, head);
    let gone = phone(&erased).get(&of_erased).await;
    assert_eq!((gone.status, &gone.text), (StatusCode::NOT_FOUND, &plain.text));
    assert_eq!(phone(&served).get(&format!("/f/{good}")).await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_link_holds_to_its_last_second() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    for (at, status) in [("2026-09-05T07:59:59Z", 200), (ENDS, 404), ("2027-01-01T00:00:00Z", 404)]
    {
        it_is(at);
        assert_eq!(phone(&served).get(&link).await.status.as_u16(), status, "{at}");
    }
}

/// Mail programs and their scanners open links, some of them many times.
#[tokio::test]
async fn opening_a_link_a_hundred_times_records_nothing() {
    let served = sent("a1").await;
    let (link, head) = (link(&served, "a1").await, served.head().await);
    assert!(head.is_some());
    let phone = phone(&served);
    for _ in 0..50 {
        assert_eq!(phone.get(&link).await.status, StatusCode::OK);
        assert_eq!(phone.head(&link).await.status, StatusCode::OK);
        phone.get(&format!("{link}?who=Linh&number=1&step=send")).await;
    }
    assert_eq!(served.head().await, head);
    assert_eq!(answers(&served).await, []);
    choose(&served, &link, "Linh", "1").await;
    assert_ne!(served.head().await, head, "an answer moves it");
}

#[tokio::test]
async fn an_answer_is_read_once_more_before_it_counts() {
    let served = sent("a1").await;
    let (link, head) = (link(&served, "a1").await, served.head().await);
    let phone = phone(&served);
    let page = phone.get(&link).await;
    let checked = phone.submit(&page, &link, &[("who", "Linh"), ("number", "2")]).await;
    checked.says("Linh, you choose: Move to Sun 6 Sep, 15:15.").says("Nothing has been sent yet.");
    assert_eq!((served.head().await, answers(&served).await), (head, vec![]));

    let done = phone.submit(&checked, &link, &[]).await;
    done.says("Linh, you chose: Move to Sun 6 Sep, 15:15.").says("Noted at 18:10.");
    let [answer] = &answers(&served).await[..] else { panic!("one answer") };
    assert_eq!(answer.choice, letter("a1").offers[1].choice);
    assert_eq!(answer.words, letter("a1").offers[1].words);
    assert_eq!((answer.who.as_str(), answer.by), ("Linh", AnsweredBy::Page));
    assert_eq!((answer.answered_at, answer.is_late), (now(), false));
}

#[tokio::test]
async fn the_receipt_finds_its_place_in_the_journal() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    let done = choose(&served, &link, "Quoc", "1").await;
    let receipt = done.between("Your receipt: ", ";").unwrap().replace(' ', "");
    let head: Digest = receipt.parse().unwrap();
    assert_eq!(served.head().await, Some(head));
    choose(&served, &link, "Linh", "3").await;
    let verdict = served.store.journal_verify(Some(head)).await.unwrap();
    assert!(verdict.holds(), "{verdict:?}");
    assert!(matches!(verdict.expected, Some(place) if place != HeadPlace::NotPart), "{verdict:?}");
    let other = Digest::of(b"another receipt");
    assert!(!served.store.journal_verify(Some(other)).await.unwrap().holds());
}

#[tokio::test]
async fn an_answer_that_cannot_be_kept_is_said_not_to_be_noted() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    let looking = Store::look(served.folder.path()).await.unwrap();
    let router = serve(served.folder.path(), looking, &Setup::default()).await.unwrap();
    let phone = Browser::new(&router, "localhost:8045");
    assert_eq!(phone.get(&link).await.status, StatusCode::OK);
    let page = phone.post(&link, &[("who", "Linh"), ("number", "1"), SEND]).await;
    assert!(page.status.is_server_error(), "{}", page.status);
    page.says("Your answer was not noted").says("phone Ines Corrigan-Vale");
    page.never_says("you chose").never_says("Your receipt").never_says("href=\"/\"");
    assert_eq!(answers(&served).await, []);
}

#[tokio::test]
async fn two_people_answer_and_both_see_where_they_differ() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    let first = choose(&served, &link, "Linh", "1").await;
    first.says("Linh chose: Keep it, with umbrellas");
    let second = choose(&served, &link, "Quoc", "2").await;
    let page = phone(&served).get(&link).await;
    for page in [&second, &page] {
        page.says("Linh chose: Keep it, with umbrellas").says("Quoc chose: Move to Sun 6 Sep");
    }
    let hers = served.hers().await;
    for place in ["/", "/letters/a1", &format!("/sessions/{LINH}")] {
        let page = hers.get(place).await;
        page.says("They differ; phone them both.");
        page.says("Linh answers 1: keep Thu 3 Sep, 15:15");
        page.says("Quoc answers 2: move to Sun 6 Sep, 15:15");
    }
    // One of them thinks again: the newest counts, and every answer stays in the record.
    choose(&served, &link, "Linh", "2").await;
    let page = hers.get("/letters/a1").await;
    page.says("Linh and Quoc both answer 2: move to Sun 6 Sep, 15:15.").never_says("They differ");
    assert_eq!(answers(&served).await.len(), 3);
}

#[tokio::test]
async fn a_late_answer_is_kept_and_marked() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    it_is("2026-09-02T10:00:00Z");
    choose(&served, &link, "Linh", "1").await.never_says("late");
    it_is("2026-09-02T10:00:01Z");
    let page = phone(&served).get(&link).await;
    page.says("The time to answer passed on Wed 2 Sep, 20:00.").says("You can still answer");
    choose(&served, &link, "Quoc", "1").await.says("is noted as late");
    let late: Vec<bool> = answers(&served).await.iter().map(|answer| answer.is_late).collect();
    assert_eq!(late, [false, true]);
    let record = served.hers().await.get("/letters/a1").await;
    assert_eq!(record.text.matches(", late.").count(), 1, "{}", record.text);
}

#[tokio::test]
async fn a_replaced_letter_takes_no_answer_and_offers_the_newer_one() {
    let served = sent("a1").await;
    let old = link(&served, "a1").await;
    choose(&served, &old, "Linh", "1").await.says("you chose");
    let newer = SentLetter { sent_at: now(), subject: "Newer".into(), ..letter("b2") };
    served.store.send_letter(&newer).await.unwrap();
    let head = served.head().await;
    let phone = phone(&served);
    for page in [phone.get(&old).await, choose(&served, &old, "Quoc", "2").await] {
        page.says("has written again since, on Wed 2 Sep, 18:10.").never_says("name=\"number\"");
        let to_newer = page.between("class=\"button main\" href=\"", "\"").unwrap();
        assert_eq!(to_newer, link(&served, "b2").await, "good for as long as the old one");
        phone.get(to_newer).await.says("name=\"number\"").never_says("you chose");
    }
    assert_eq!(served.head().await, head);
}

#[tokio::test]
async fn once_the_session_has_begun_there_is_nothing_to_choose() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    it_is("2026-09-03T05:15:00Z");
    phone(&served).get(&link).await.says("name=\"number\"");
    let head = served.head().await;
    it_is("2026-09-03T05:15:01Z");
    for page in [phone(&served).get(&link).await, choose(&served, &link, "Linh", "1").await] {
        page.says("This session began on Thu 3 Sep, 15:15.").never_says("name=\"number\"");
    }
    assert_eq!(served.head().await, head);
}

#[tokio::test]
async fn a_link_to_a_session_that_was_deleted_leads_nowhere_until_it_is_back() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    let hers = served.hers().await;
    let here = format!("/sessions/{LINH}");
    let deleted = hers.press(&format!("{here}/edit"), &format!("{here}/delete")).await;
    let plain = phone(&served).get("/f/nothing").await;
    let page = phone(&served).get(&link).await;
    assert_eq!((page.status, page.text), (StatusCode::NOT_FOUND, plain.text));
    let change = deleted.location().split_once("saved=").unwrap().1;
    hers.press(deleted.location(), &format!("/changes/{change}/undo")).await;
    phone(&served).get(&link).await.says("name=\"number\"");
}

#[tokio::test]
async fn a_session_with_a_new_date_has_nothing_left_to_choose() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    let hers = served.hers().await;
    let page = hers.get(&format!("/sessions/{LINH}")).await;
    page.never_says("/move\"");
    let tapped = choose(&served, &link, "Quoc", "2").await;
    tapped.says("Quoc chose: Move to Sun 6 Sep");
    let (here, action) = (format!("/sessions/{LINH}"), format!("/sessions/{LINH}/move"));
    hers.submit(&hers.get(&here).await, &action, &[]).await;
    let head = served.head().await;
    for page in [phone(&served).get(&link).await, choose(&served, &link, "Linh", "1").await] {
        page.says("This session has a new date: Sun 6 Sep, 15:15.").says("Quoc chose");
        page.never_says("name=\"number\"");
    }
    assert_eq!(served.head().await, head);
}

#[tokio::test]
async fn a_session_that_is_over_has_begun() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    it_is("2026-09-04T05:15:00Z");
    served.hers().await.press("/", "/look-again").await;
    phone(&served).get(&link).await.says("This session began").never_says("name=\"number\"");
}

#[tokio::test]
async fn only_the_letters_people_and_numbers_count() {
    let served = sent("a1").await;
    let (link, head) = (link(&served, "a1").await, served.head().await);
    for (who, number) in [
        ("Mallory", "1"),
        ("linh", "1"),
        ("Linh and Quoc", "1"),
        ("", "1"),
        ("Linh", ""),
        ("Linh", "0"),
        ("Linh", "4"),
        ("Linh", "-1"),
        ("Linh", "1.0"),
        ("Linh", "one"),
        ("Linh", "18446744073709551617"),
        ("Linh\u{202e}", "1"),
    ] {
        let page = choose(&served, &link, who, number).await;
        assert_eq!(page.status, StatusCode::OK);
        page.says("name=\"number\"").never_says("you chose");
    }
    let nothing = phone(&served).post(&link, &[]).await;
    nothing.says("Please choose one of these first.").says("Please say which of you is answering.");
    assert_eq!(served.head().await, head);
}

#[tokio::test]
async fn what_is_wrong_with_a_choice_is_said_beside_it() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    choose(&served, &link, "Mallory", "1").await.says("id=\"who-wrong\"");
    choose(&served, &link, "Linh", "9").await.says("id=\"number-wrong\"");
}

#[tokio::test]
async fn names_in_any_script_and_of_any_length_are_shown_and_found_again() {
    let long = "लिन्ह-".repeat(33);
    assert!(long.chars().count() >= 190);
    for (sitter, guardian) in [
        ("<script>alert(1)</script>", "\"' onfocus=alert(1) x='"),
        (long.as_str(), "محمد الأمين"),
        ("凜", "Zoë & Søn"),
        ("لِين\u{200d}", "👩\u{200d}👧"),
        ("O'Neill", "a  b"),
    ] {
        let served = Served::open().await;
        let mut named = letter("a1");
        named.facts.sitter = sitter.to_owned();
        named.facts.guardian = guardian.to_owned();
        named.offers[0].words = format!("Keep it, {guardian}.");
        served.store.send_letter(&named).await.unwrap();
        let link = link(&served, "a1").await;
        let phone = phone(&served);
        for who in [sitter, guardian] {
            let page = phone.get(&link).await;
            let values: Vec<String> = page
                .text
                .split("name=\"who\" value=\"")
                .skip(1)
                .map(|rest| rest.split('"').next().unwrap().to_owned())
                .collect();
            assert_eq!(values.len(), 2, "{}", page.text);
            let checked = phone.submit(&page, &link, &[("who", who), ("number", "1")]).await;
            let done = phone.submit(&checked, &link, &[]).await;
            for page in [&page, &checked, &done] {
                page.never_says("<script>alert").never_says("\"' onfocus");
            }
            done.says("Your receipt: ");
        }
        let answered: Vec<String> = answers(&served).await.into_iter().map(|a| a.who).collect();
        assert_eq!(answered, [sitter, guardian]);
        let record = served.hers().await.get("/letters/a1").await;
        record.never_says("<script>alert").says("both answer 1");
    }
}

#[tokio::test]
async fn one_person_who_is_both_has_one_name_to_choose() {
    let served = Served::open().await;
    let mut alone = letter("a1");
    alone.facts.guardian.clone_from(&alone.facts.sitter);
    served.store.send_letter(&alone).await.unwrap();
    let link = link(&served, "a1").await;
    let page = phone(&served).get(&link).await;
    assert_eq!(page.text.matches("name=\"who\"").count(), 1);
    page.says("checked");
    let done = choose(&served, &link, "Linh", "1").await;
    done.says("you chose");
    served.hers().await.get("/letters/a1").await.says("Linh answers 1");
}

#[tokio::test]
async fn guessing_links_is_slowed_down_and_a_right_link_opens_all_the_same() {
    let served = sent("a1").await;
    let link = link(&served, "a1").await;
    let guesser = phone(&served);
    let mut statuses = Vec::new();
    for number in 0..7 {
        let path = format!("/f/a1.1788595200.{number:022}");
        statuses.push(guesser.get(&path).await.status.as_u16());
    }
    assert_eq!(statuses, [404, 404, 404, 404, 404, 429, 429]);
    let other = served.browser("localhost:8045").from("192.0.2.77");
    assert_eq!(other.get(&link).await.status, StatusCode::OK);
    // Behind a tunnel or a proxy all families come from one address.
    assert_eq!(guesser.get(&link).await.status, StatusCode::OK);
    assert_eq!(guesser.get("/f/nothing").await.status, StatusCode::TOO_MANY_REQUESTS);
    // Guessing links does not keep her from signing in.
    served.browser("localhost:8045").from("198.51.100.4").sign_in().await;
}
