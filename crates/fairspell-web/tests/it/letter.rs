use axum::http::StatusCode;
use fairspell_studio::{Answer, AnsweredBy, Choice, Person, person::Role};

use crate::{
    desk::{moment, person},
    readings::Readings,
    served::{Answer as Page, Browser, LINH, Served, Setup, it_is, now},
};

const DRAFT: &str = "/sessions/2026-09-03-linh/letter";

async fn under(readings: fn(&Readings)) -> (Served, Browser) {
    let served = Served::with(Setup { readings, ..Setup::default() }).await;
    let hers = served.hers().await;
    (served, hers)
}

/// Makes the draft as it stands the letter.
async fn send(hers: &Browser) -> Page {
    let page = hers.get(DRAFT).await;
    let sent = hers.submit(&page, DRAFT, &[("do", "use")]).await;
    assert!(sent.location().starts_with("/letters/"), "{}", sent.text);
    sent
}

fn text_of(page: &Page) -> String {
    fields_of(page).into_iter().find(|(name, _)| name == "body").unwrap().1
}

fn fields_of(page: &Page) -> Vec<(String, String)> {
    crate::forms::fields_of(&page.text, DRAFT)
}

fn with_text(page: &Page, add: &str) -> String {
    format!("{}\n\nP.S. {add}", text_of(page))
}

#[tokio::test]
async fn a_draft_is_kept_edited_and_started_anew() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    page.says("Your choice: Thu 3 Sep, 15:15").says("1: ").says("2: ").says("What it rests on");
    let drafted = text_of(&page);
    let edited = with_text(&page, "Bring <b>boots</b> & a \"brolly\".");
    let fields = [("do", "keep"), ("subject", "First\tline"), ("body", edited.as_str())];
    let kept = hers.submit(&page, DRAFT, &fields).await;
    let page = hers.follow(&kept).await;
    page.says("Your draft is kept.").says("&lt;b&gt;boots&lt;/b&gt;").never_says("<b>boots");
    assert_eq!(text_of(&page), edited);
    assert_eq!(served.store.letters_of(LINH).await.unwrap(), []);

    let fields = [("do", "anew"), ("subject", ""), ("body", "")];
    let anew = hers.submit(&page, DRAFT, &fields).await;
    assert_eq!(text_of(&hers.follow(&anew).await), drafted);
    assert_eq!(served.store.draft(LINH).await.unwrap(), None);
}

#[tokio::test]
async fn a_letter_needs_a_first_line_and_a_text_and_nothing_typed_is_lost() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    let mine = with_text(&page, "boots");
    for fields in [
        [("do", "use"), ("subject", " "), ("body", mine.as_str())],
        [("do", "use"), ("subject", "mine"), ("body", "\n")],
    ] {
        let page = hers.submit(&page, DRAFT, &fields).await;
        assert_eq!(page.status, StatusCode::OK);
        page.says("A letter needs a first line and a text.");
        page.says(if fields[2].1.contains("boots") { "boots" } else { "value=\"mine\"" });
    }
    assert_eq!(served.store.letters_of(LINH).await.unwrap(), []);
}

#[tokio::test]
async fn what_was_sent_is_kept_with_the_sky_that_stood_beside_it() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    let edited = with_text(&page, "boots");
    let fields = [("do", "use"), ("subject", "Rain or not"), ("body", edited.as_str())];
    let sent = hers.submit(&page, DRAFT, &fields).await;
    hers.follow(&sent).await.says("The letter is kept as you send it.").says("boots");
    let [letter] = &served.store.letters_of(LINH).await.unwrap()[..] else { panic!("one letter") };
    assert_eq!((letter.subject.as_str(), &letter.body), ("Rain or not", &edited));
    assert_eq!((letter.sent_at, letter.outlook.as_of), (now(), now()));
    for offer in &letter.offers {
        page.says(&offer.words);
    }
    assert_eq!(letter.offers.len(), 3);
    let kept = served.store.newest_ruling(LINH).await.unwrap().unwrap();
    assert_eq!((&letter.outlook, &letter.ruling), (&kept.outlook, &kept.ruling));
    // What the page said of the sky is what the snapshot says.
    let zone = jiff::tz::TimeZone::get("Australia/Sydney").unwrap();
    let spots = &crate::desk::studio().spots;
    for line in fairspell_words::the_sky(&letter.outlook, spots, &zone) {
        page.says(&line);
    }
    assert_eq!(served.store.draft(LINH).await.unwrap(), None, "the draft has become the letter");
}

#[tokio::test]
async fn a_sent_letter_stays_as_it_was_whatever_the_sky_does() {
    let (served, hers) = under(Readings::doubtful).await;
    let sent = send(&hers).await;
    let before = served.store.letters_of(LINH).await.unwrap();
    served.readings.forecast(moment("2026-09-02T12:00:00Z"), 90);
    it_is("2026-09-02T12:10:00Z");
    hers.press("/", "/look-again").await;
    hers.get(&format!("/sessions/{LINH}")).await.never_says("the family's choice");
    assert_eq!(served.store.letters_of(LINH).await.unwrap(), before);
    hers.follow(&sent).await.says("Kept Wed 2 Sep, 18:10");
    // Writing another one replaces it; nothing changes the first.
    send(&hers).await;
    let letters = served.store.letters_of(LINH).await.unwrap();
    assert_eq!((letters.len(), &letters[1]), (2, &before[0]));
    let page = hers.get(&format!("/letters/{}", before[0].id)).await;
    page.says("A newer letter has replaced this one.").never_says("mailto:");
}

#[tokio::test]
async fn a_draft_that_the_sky_has_overtaken_is_not_sent_however_often_it_is_tried() {
    for percent in [2, 90] {
        it_is(crate::served::EVENING_BEFORE);
        let (served, hers) = under(Readings::doubtful).await;
        let page = hers.get(DRAFT).await;
        let mine = with_text(&page, "boots");
        served.readings.forecast(moment("2026-09-02T12:00:00Z"), percent);
        it_is("2026-09-02T12:10:00Z");
        hers.press("/", "/look-again").await;
        let fields = [("do", "use"), ("body", mine.as_str())];
        let mut page = hers.submit(&page, DRAFT, &fields).await;
        for _ in 0..2 {
            page.says("The sky has changed since this was drafted").says("boots");
            page = hers.submit(&page, DRAFT, &[("do", "use")]).await;
            assert_eq!(page.status, StatusCode::OK, "{}", page.location());
        }
        assert_eq!(served.store.letters_of(LINH).await.unwrap(), []);
        let anew = hers.submit(&page, DRAFT, &[("do", "anew")]).await;
        assert_eq!(anew.location(), DRAFT);
        send(&hers).await;
        assert_eq!(served.store.letters_of(LINH).await.unwrap().len(), 1);
    }
}

#[tokio::test]
async fn a_kept_draft_that_the_sky_has_overtaken_is_not_sent_either() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    let mine = "We go, whatever comes.\n\nInes";
    hers.submit(&page, DRAFT, &[("do", "keep"), ("body", mine)]).await;
    served.readings.forecast(moment("2026-09-02T12:00:00Z"), 2);
    it_is("2026-09-02T12:10:00Z");
    hers.press("/", "/look-again").await;
    let page = hers.get(DRAFT).await;
    page.says("We go, whatever comes.");
    let refused = hers.submit(&page, DRAFT, &[("do", "use")]).await;
    refused.says("The sky has changed since this was drafted");
    assert_eq!(served.store.letters_of(LINH).await.unwrap(), []);
    // Keeping it once more does not make it younger.
    hers.submit(&refused, DRAFT, &[("do", "keep")]).await;
    let refused = hers.submit(&hers.get(DRAFT).await, DRAFT, &[("do", "use")]).await;
    refused.says("The sky has changed since this was drafted");
    assert_eq!(served.store.letters_of(LINH).await.unwrap(), []);
}

#[tokio::test]
async fn a_kept_draft_under_the_same_sky_goes_out() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    let mine = with_text(&page, "boots");
    hers.submit(&page, DRAFT, &[("do", "keep"), ("body", &mine)]).await;
    it_is("2026-09-02T08:40:00Z");
    hers.press("/", "/look-again").await;
    send(&hers).await;
    assert_eq!(served.store.letters_of(LINH).await.unwrap()[0].body, mine);
}

#[tokio::test]
async fn an_erased_family_leaves_no_draft() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    hers.submit(&page, DRAFT, &[("do", "keep"), ("body", "Dear Linh")]).await;
    let erase = "/people/linh/erase";
    let page = hers.get(erase).await;
    let erased = hers.submit(&page, erase, &[("sure", "yes")]).await;
    assert!(erased.location().contains("done=erased"), "{}", erased.text);
    let begun_for: serde_json::Value =
        served.store.setting("drafts_begun_for").await.unwrap().unwrap();
    assert_eq!(begun_for, serde_json::json!({}));
}

#[tokio::test]
async fn a_sky_that_is_no_longer_known_lets_no_letter_out() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    let mine = with_text(&page, "boots");
    // The forecasts go; what is left is not known, and never dry.
    std::fs::remove_dir_all(served.readings.folder.join("forecasts")).unwrap();
    it_is("2026-09-02T08:20:00Z");
    hers.press("/", "/look-again").await;
    hers.get(&format!("/sessions/{LINH}")).await.never_says("Read and send the letter");
    let refused = hers.submit(&page, DRAFT, &[("do", "use"), ("body", &mine)]).await;
    refused.says("The sky has changed since this was drafted").says("boots");
    assert_eq!(served.store.letters_of(LINH).await.unwrap(), []);
}

#[tokio::test]
async fn a_choice_is_not_edited_by_hand_where_the_letter_asks() {
    let (served, hers) = under(Readings::doubtful).await;
    let page = hers.get(DRAFT).await;
    let text = text_of(&page);
    let second = text.lines().find(|line| line.starts_with("2: ")).unwrap();
    for edited in [
        text.replace(second, "2: Come whenever you like."),
        text.replace(second, ""),
        text.replace("2: ", "3: "),
        "We go.\n\nInes".to_owned(),
    ] {
        let refused = hers.submit(&page, DRAFT, &[("do", "use"), ("body", &edited)]).await;
        refused.says(" no longer reads &quot;").says(edited.lines().last().unwrap());
    }
    assert_eq!(served.store.letters_of(LINH).await.unwrap(), []);
    // Everything else is hers to word.
    let mine = text.replace("Dear Linh and Quoc", "Hello you two");
    assert_ne!(mine, text);
    let sent = hers.submit(&page, DRAFT, &[("do", "use"), ("body", &mine)]).await;
    assert!(sent.location().starts_with("/letters/"), "{}", sent.text);
}

#[tokio::test]
async fn a_letter_that_asks_for_nothing_may_be_worded_freely() {
    let (served, hers) = under(Readings::dry).await;
    let page = hers.get(DRAFT).await;
    page.says("Still on: Thu 3 Sep, 15:15");
    let mine = "See you tomorrow!\n\nInes";
    let sent = hers.submit(&page, DRAFT, &[("do", "use"), ("body", mine)]).await;
    assert!(sent.location().starts_with("/letters/"), "{}", sent.text);
    let letters = served.store.letters_of(LINH).await.unwrap();
    assert_eq!((letters[0].body.as_str(), letters[0].reply_by), (mine, None));
}

/// The characters and the escapes of an address, as bytes.
fn unescaped(text: &str, may_stand: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        if let Some(escape) = rest.strip_prefix('%') {
            bytes.push(u8::from_str_radix(&escape[..2], 16).unwrap());
            rest = &escape[2..];
        } else {
            let stands = first.is_ascii_alphanumeric() || may_stand.contains(first);
            assert!(stands, "`{first}` must be escaped in {text}");
            bytes.push(u8::try_from(first).unwrap());
            rest = &rest[1..];
        }
    }
    String::from_utf8(bytes).unwrap()
}

/// RFC 3986, section 2.3.
const UNRESERVED: &str = "-._~";
/// RFC 6068, section 2: what else may stand in a field's value, `some-delims`.
const MAIL_VALUE: &str = "-._~!$'()*+,;:@";

fn link_of(page: &Page, scheme: &str) -> String {
    let href = page.between(&format!("href=\"{scheme}:"), "\"").expect("the link is there");
    href.replace("&amp;", "&")
}

async fn with_people(people: &[Person]) -> (Served, Browser) {
    let (served, hers) = under(Readings::doubtful).await;
    for person in people {
        served.store.save_person(person, now()).await.unwrap();
    }
    let mut session = served.store.session(LINH).await.unwrap().unwrap();
    session.people = people.iter().map(|person| person.id.clone()).collect();
    served.store.save_session(&session, now()).await.unwrap();
    hers.press("/", "/look-again").await;
    (served, hers)
}

/// RFC 6068, section 6: the addresses of 6.1 and 6.2 and the subject of 6.3, as they are written there.
#[tokio::test]
async fn the_mail_link_is_written_as_the_standard_writes_it() {
    for (address, written) in [
        ("gorby%kremvax@example.com", "gorby%25kremvax@example.com"),
        ("unlikely?address@example.com", "unlikely%3Faddress@example.com"),
        ("Mike&family@example.org", "Mike%26family@example.org"),
    ] {
        let mail = Person { email: Some(address.into()), ..person("quoc", "Quoc", Role::Guardian) };
        let (_served, hers) = with_people(&[mail]).await;
        let page = hers.get(DRAFT).await;
        let sent = hers.submit(&page, DRAFT, &[("do", "use"), ("subject", "caf\u{e9}")]).await;
        let link = link_of(&hers.follow(&sent).await, "mailto");
        assert!(link.starts_with(&format!("{written}?subject=caf%C3%A9&body=")), "{link}");
    }
}

/// RFC 6068, section 5: a line break in a body is %0D%0A, and all of it comes back as it was.
#[tokio::test]
async fn the_mail_link_carries_the_text_back_whole() {
    let linh =
        Person { email: Some("linh@example.org".into()), ..person("linh", "Linh", Role::Sitter) };
    let quoc =
        Person { email: Some("q@example.org".into()), ..person("quoc", "Quoc", Role::Guardian) };
    let (served, hers) = with_people(&[linh, quoc]).await;
    let page = hers.get(DRAFT).await;
    let odd = with_text(&page, "1 + 1 = 2 & 50 % \u{1F302}; why? #rain \"quoted\" <tag>");
    let fields = [("do", "use"), ("subject", "A&B?c=d #1 + 100 %"), ("body", odd.as_str())];
    let sent = hers.submit(&page, DRAFT, &fields).await;
    let page = hers.follow(&sent).await;
    let link = link_of(&page, "mailto");
    let (to, fields) = link.split_once('?').unwrap();
    assert_eq!(to, "linh@example.org,q@example.org");
    let [subject, body] = fields.split('&').collect::<Vec<_>>()[..] else { panic!("{fields}") };
    let subject = subject.strip_prefix("subject=").unwrap();
    assert_eq!(unescaped(subject, MAIL_VALUE), "A&B?c=d #1 + 100 %");
    let body = body.strip_prefix("body=").unwrap();
    assert!(body.contains("%0D%0A%0D%0A"), "{body}");
    // Whoever takes a plus for a blank reads the same.
    assert!(!body.contains('+') && !subject.contains('+'));
    let read = unescaped(body, MAIL_VALUE);
    assert!(!read.replace("\r\n", "").contains(['\r', '\n']));
    let letter = &served.store.letters_of(LINH).await.unwrap()[0];
    let as_text = fairspell_words::letters::family_text(
        &letter.body,
        fairspell_words::letters::AnswerBy::Number,
    );
    assert_eq!(read.replace("\r\n", "\n"), as_text);
    // The same text stands there to be copied.
    let copied = page.between("id=\"letter-text\"", "</pre>").unwrap();
    assert!(
        copied.contains("50 % \u{1F302}; why? #rain &quot;quoted&quot; &lt;tag&gt;"),
        "{copied}"
    );
}

/// RFC 5724, section 2.2: numbers apart by commas, and in the text nothing but unreserved characters
/// and escapes.
#[tokio::test]
async fn the_message_link_is_read_back_as_the_short_letter() {
    let linh =
        Person { phone: Some("+61 2 5550-0101".into()), ..person("linh", "Linh", Role::Sitter) };
    let quoc =
        Person { phone: Some("(02) 5550 0102".into()), ..person("quoc", "Quoc", Role::Guardian) };
    let aunt = Person { phone: Some("999".into()), ..person("aunt", "Aunt", Role::Companion) };
    let (served, hers) = with_people(&[linh, quoc, aunt]).await;
    let mut studio = served.store.studio().await.unwrap().unwrap();
    studio.owner = "In@s \u{1F302} & Co.".to_owned();
    served.store.save_studio(&studio, now()).await.unwrap();
    hers.press("/", "/look-again").await;
    let sent = send(&hers).await;
    let link = link_of(&hers.follow(&sent).await, "sms");
    let (to, body) = link.split_once("?body=").unwrap();
    assert_eq!(to, "+61255500101,0255500102");
    let letter = &served.store.letters_of(LINH).await.unwrap()[0];
    let short = fairspell_words::letters::sms_text(
        &fairspell_words::letter(&letter.facts),
        fairspell_words::letters::AnswerBy::Number,
    );
    assert!(short.contains("In@s"), "{short}");
    assert_eq!(unescaped(body, UNRESERVED), short);
}

#[tokio::test]
async fn without_an_address_the_letter_can_be_sent_all_the_same() {
    let (_served, hers) = under(Readings::doubtful).await;
    let sent = send(&hers).await;
    let page = hers.follow(&sent).await;
    page.says("href=\"mailto:?subject=").says("href=\"sms:?body=").says("id=\"letter-text\"");
    page.says("No e-mail address of theirs is known")
        .says("No telephone number of theirs is known");
    page.says("Please answer 1, 2 or 3").never_says("/f/");
}

#[tokio::test]
async fn an_answer_by_message_is_recorded_in_one_tap_with_the_same_snapshot() {
    let (served, hers) = under(Readings::doubtful).await;
    let sent = send(&hers).await;
    let page = hers.follow(&sent).await;
    let letter = served.store.newest_letter(LINH).await.unwrap().unwrap();
    let action = format!("/letters/{}/answers", letter.id);
    assert_eq!(page.text.matches(&format!("action=\"{action}\"")).count(), 2);
    for number in ["1", "2", "3"] {
        page.says(&format!("name=\"number\" value=\"{number}\""));
    }
    let word = page.form_word().unwrap();
    for (who, number) in [("Mallory", "1"), ("Linh", "4"), ("Linh", "0"), ("", "1")] {
        let fields = [("who", who), ("number", number), ("form_word", word)];
        assert_eq!(hers.post(&action, &fields).await.status, StatusCode::BAD_REQUEST);
    }
    let tapped = hers.submit(&page, &action, &[("who", "Quoc"), ("number", "2")]).await;
    hers.follow(&tapped).await.says("The answer is kept.").says("Quoc answers 2");
    let [answer]: [Answer; 1] =
        served.store.answers_of_letter(&letter.id).await.unwrap().try_into().unwrap();
    assert_eq!((answer.by, answer.who.as_str()), (AnsweredBy::Owner, "Quoc"));
    assert!(matches!(answer.choice, Choice::MoveTo { .. }), "{answer:?}");
    assert_eq!(answer.words, letter.offers[1].words);
    let record = hers.get(&format!("/sessions/{LINH}")).await;
    record.says("by a message or a call, noted by Ines Corrigan-Vale");
    record.says("Shown in the letter of Wed 2 Sep, 18:10: Any rain (at least");
    assert!(served.store.journal_verify(None).await.unwrap().holds());
}

#[tokio::test]
async fn a_chosen_date_is_one_tap_away() {
    let (served, hers) = under(Readings::doubtful).await;
    let sent = send(&hers).await;
    let page = hers.follow(&sent).await;
    let letter = served.store.newest_letter(LINH).await.unwrap().unwrap();
    let Choice::MoveTo { start } = letter.offers[1].choice else { panic!("{:?}", letter.offers) };
    let action = format!("/letters/{}/answers", letter.id);
    hers.submit(&page, &action, &[("who", "Quoc"), ("number", "2")]).await;
    let here = format!("/sessions/{LINH}");
    let page = hers.get(&here).await;
    page.says(&format!("Move the session to {}", fairspell_words::clock::date_and_clock(start)));
    let action = format!("{here}/move");
    let moved = hers.submit(&page, &action, &[]).await;
    let again = hers.submit(&page, &action, &[]).await;
    hers.follow(&moved).await.says("To the date it was moved from");
    assert_eq!(
        moved.location().split('?').next(),
        Some(again.location()),
        "a second tap moves nothing"
    );
    let sessions = served.store.sessions().await.unwrap();
    let [new] =
        &sessions.iter().filter(|s| s.moved_from.as_deref() == Some(LINH)).collect::<Vec<_>>()[..]
    else {
        panic!("one new date")
    };
    assert_eq!((new.start, new.sitter.as_str()), (start, "Linh"));
    hers.get(&here).await.says("This session was moved.").never_says("Move the session to");
}
