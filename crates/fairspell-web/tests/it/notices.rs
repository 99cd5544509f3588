use fairspell_store::Told;
use fairspell_studio::SentLetter;
use tokio::{
    io::{AsyncBufReadExt, AsyncWriteExt, BufReader},
    net::TcpListener,
};

use crate::{
    desk::{letter, moment},
    readings::Readings,
    running::{Running, until},
    served::{Browser, LINH, Served, Setup, it_is, later, now},
};

async fn at(text: &str, readings: fn(&Readings)) -> (Served, Browser) {
    it_is(text);
    let served = Served::with(Setup { readings, ..Setup::default() }).await;
    let hers = served.hers().await;
    (served, hers)
}

async fn look(hers: &Browser, text: &str) {
    it_is(text);
    hers.press("/people/new", "/look-again").await;
}

/// What she was told of Linh's session, the oldest first: kind and moment.
async fn told(served: &Served) -> Vec<String> {
    let mut told: Vec<Told> = served.store.told_about(LINH).await.unwrap();
    told.reverse();
    told.into_iter().map(|told| format!("{} {}", told.kind, told.at)).collect()
}

/// Dry until the evening before, then likely rain, and on the day a storm warning.
fn a_sky_that_turns(readings: &Readings) {
    for (fetched, percent) in [
        ("2026-09-02T06:00:00Z", 5),
        ("2026-09-02T12:00:00Z", 75),
        ("2026-09-02T18:00:00Z", 75),
        ("2026-09-03T00:00:00Z", 75),
    ] {
        readings.forecast(moment(fetched), percent);
    }
    readings.no_warnings();
    readings.storm_warning(moment("2026-09-03T01:00:00Z"));
}

#[tokio::test]
async fn each_change_is_told_once_however_often_the_clock_passes() {
    let (served, hers) = at("2026-09-02T08:10:00Z", a_sky_that_turns).await;
    assert!(told(&served).await.is_empty(), "what stood there at the first look is no news");
    hers.get("/").await.says("Nothing has had to be told yet.");
    look(&hers, "2026-09-02T11:59:00Z").await;
    assert!(told(&served).await.is_empty());
    look(&hers, "2026-09-02T12:00:00Z").await;
    let rain = "band_changed 2026-09-02T12:00:00Z";
    assert_eq!(told(&served).await, [rain]);
    for minutes in [1, 20, 60] {
        later(minutes);
        hers.press("/", "/look-again").await;
    }
    assert_eq!(told(&served).await, [rain]);
    look(&hers, "2026-09-03T01:00:00Z").await;
    let storm = "must_move 2026-09-03T01:00:00Z";
    assert_eq!(told(&served).await, [rain, storm]);
    hers.get("/").await.says("Thu 3 Sep, 11:00: Must move: Linh");
    look(&hers, "2026-09-03T01:20:00Z").await;
    look(&hers, "2026-09-03T01:30:00Z").await;
    assert_eq!(told(&served).await, [rain, storm]);
    // Nor after the program was started anew.
    let again = served.again(Setup::default()).await.unwrap();
    let hers = Browser::new(&again, crate::served::HOME);
    hers.sign_in().await;
    look(&hers, "2026-09-03T01:31:00Z").await;
    assert_eq!(told(&served).await, [rain, storm]);
}

#[tokio::test]
async fn many_looks_at_once_tell_nothing_twice() {
    let (served, hers) = at("2026-09-02T08:10:00Z", a_sky_that_turns).await;
    let word = hers.get("/").await.form_word().unwrap().to_owned();
    it_is("2026-09-02T12:00:00Z");
    let fields = [("form_word", word.as_str())];
    let posts: Vec<_> = (0..6).map(|_| hers.post("/look-again", &fields)).collect();
    for answer in futures_together(posts).await {
        assert_eq!(answer.status, 303);
    }
    assert_eq!(told(&served).await, ["band_changed 2026-09-02T12:00:00Z"]);
    // And nothing is lost of what has still to go out.
    let outbox: serde_json::Value = served.store.setting("outbox").await.unwrap().unwrap();
    assert_eq!(outbox["messages"].as_array().unwrap().len(), 1, "{outbox}");
}

/// Goes on with all of them in turn until each has ended.
async fn futures_together<F: Future>(futures: Vec<F>) -> Vec<F::Output> {
    let mut going: Vec<_> = futures.into_iter().map(|one| (Box::pin(one), None)).collect();
    std::future::poll_fn(|context| {
        for (one, done) in going.iter_mut().filter(|(_, done)| done.is_none()) {
            if let std::task::Poll::Ready(output) = one.as_mut().poll(context) {
                *done = Some(output);
            }
        }
        if going.iter().all(|(_, done)| done.is_some()) {
            std::task::Poll::Ready(())
        } else {
            std::task::Poll::Pending
        }
    })
    .await;
    going.into_iter().filter_map(|(_, done)| done).collect()
}

fn asking(id: &str) -> SentLetter {
    SentLetter { reply_by: Some(moment("2026-09-02T23:00:00Z")), ..letter(id) }
}

#[tokio::test]
async fn a_missing_answer_is_told_an_hour_before_each_decision() {
    let (served, hers) = at("2026-09-02T08:10:00Z", Readings::dry).await;
    served.store.send_letter(&asking("a1")).await.unwrap();
    // The reading on the morning of the day is at 10:00, which is midnight UTC.
    look(&hers, "2026-09-02T22:59:00Z").await;
    assert!(told(&served).await.is_empty());
    look(&hers, "2026-09-02T23:00:00Z").await;
    let first = "answer_missing 2026-09-02T23:00:00Z";
    assert_eq!(told(&served).await, [first]);
    look(&hers, "2026-09-02T23:30:00Z").await;
    assert_eq!(told(&served).await, [first]);
    // The next gate, the chair, is at 11:45.
    look(&hers, "2026-09-03T00:45:00Z").await;
    assert_eq!(told(&served).await, [first, "answer_missing 2026-09-03T00:45:00Z"]);
}

#[tokio::test]
async fn an_answer_that_came_is_not_missed_and_two_that_differ_are_told() {
    let (served, hers) = at("2026-09-02T08:10:00Z", Readings::dry).await;
    let letter = asking("a1");
    served.store.send_letter(&letter).await.unwrap();
    let quoc = crate::desk::answer(&letter, "Quoc");
    served.store.record_answer(&quoc).await.unwrap();
    look(&hers, "2026-09-02T23:10:00Z").await;
    assert!(told(&served).await.is_empty());
    let mut linh = crate::desk::answer(&letter, "Linh");
    (linh.choice, linh.words) = (letter.offers[1].choice.clone(), letter.offers[1].words.clone());
    served.store.record_answer(&linh).await.unwrap();
    look(&hers, "2026-09-02T23:20:00Z").await;
    assert_eq!(told(&served).await, ["answers_differ 2026-09-02T23:20:00Z"]);
}

/// Forecasts count for twelve hours, warnings for one, by the example's policy.
#[tokio::test]
async fn a_source_that_has_gone_silent_is_told_once() {
    let only_one = |readings: &Readings| {
        readings.forecast(moment("2026-09-02T08:00:00Z"), 5);
        readings.no_warnings();
    };
    let (served, hers) = at("2026-09-02T08:10:00Z", only_one).await;
    look(&hers, "2026-09-02T19:30:00Z").await;
    assert!(told(&served).await.is_empty());
    look(&hers, "2026-09-02T19:31:00Z").await;
    look(&hers, "2026-09-02T19:40:00Z").await;
    // Its silence makes the ruling unknown, and it is that change which is told.
    assert_eq!(told(&served).await, ["band_changed 2026-09-02T19:31:00Z"]);
    hers.get("/").await.says("now not known");
}

#[tokio::test]
async fn now_says_when_she_was_told_and_by_which_way_it_went_out() {
    let (served, hers) = at("2026-09-02T08:10:00Z", a_sky_that_turns).await;
    hers.get("/").await.says("No way of telling you is set up yet; you would only see it here.");
    look(&hers, "2026-09-02T12:00:00Z").await;
    let page = hers.get("/").await;
    page.says("Wed 2 Sep, 22:00: Linh, Thu 3 Sep: now").says("It has not gone out by any way");
    let key = served.store.last_told().await.unwrap().unwrap().key;
    served.store.note_delivery(&key, "mail", now(), Err("refused & <gone>")).await.unwrap();
    served.store.note_delivery(&key, "push:x", now(), Ok(())).await.unwrap();
    let page = hers.get("/").await;
    page.says("By e-mail, Wed 2 Sep, 22:00: it did not go out (refused &amp; &lt;gone&gt;)");
    page.says("On a device, Wed 2 Sep, 22:00: it went out").never_says("not gone out by any");
}

/// A mail server (RFC 5321) that keeps the first message waiting until it is let go.
async fn slow_mail_server(let_go: std::sync::Arc<tokio::sync::Notify>) -> (u16, Mails) {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    let mails = Mails::default();
    let kept = mails.clone();
    tokio::spawn(async move {
        while let Ok((stream, _)) = listener.accept().await {
            let (kept, let_go) = (kept.clone(), let_go.clone());
            tokio::spawn(async move {
                let mut stream = BufReader::new(stream);
                stream.write_all(b"220 invented\r\n").await?;
                let (mut line, mut text) = (String::new(), None);
                while stream.read_line(&mut line).await? > 0 {
                    let said = std::mem::take(&mut line);
                    let answer = match (&mut text, said.as_str()) {
                        (Some(mail), ".\r\n") => {
                            kept.lock().unwrap().push(std::mem::take(mail));
                            if kept.lock().unwrap().len() == 1 {
                                let_go.notified().await;
                            }
                            text = None;
                            "250 kept\r\n"
                        }
                        (Some(mail), _) => {
                            mail.push_str(&said);
                            continue;
                        }
                        (None, "DATA\r\n") => {
                            text = Some(String::new());
                            "354 go on\r\n"
                        }
                        (None, "QUIT\r\n") => "221 bye\r\n",
                        (None, _) => "250 ok\r\n",
                    };
                    stream.write_all(answer.as_bytes()).await?;
                }
                std::io::Result::Ok(())
            });
        }
    });
    (port, mails)
}

type Mails = std::sync::Arc<std::sync::Mutex<Vec<String>>>;

#[tokio::test]
async fn what_comes_while_a_message_is_under_way_goes_out_as_well_and_each_goes_once() {
    it_is("2026-09-02T08:10:00Z");
    let running = Running::start(a_sky_that_turns, None).await;
    let let_go = std::sync::Arc::new(tokio::sync::Notify::new());
    let (port, mails) = slow_mail_server(let_go.clone()).await;
    let her = serde_json::json!({ "name": "Ines", "address": "ines@example.org" });
    let mail = serde_json::json!({ "host": "127.0.0.1", "port": port, "security": "none",
        "from": her, "to": her });
    running.store.save_setting("mail", &mail).await.unwrap();
    // The chair is at 1:45, and nobody has answered.
    running.store.send_letter(&asking("a1")).await.unwrap();

    it_is("2026-09-02T12:00:00Z");
    running.look_again().await;
    until(async || (mails.lock().unwrap().len() == 1).then_some(())).await;
    it_is("2026-09-03T01:00:00Z");
    running.look_again().await;
    let_go.notify_one();
    until(async || (mails.lock().unwrap().len() == 3).then_some(())).await;
    let is_out = async || {
        let told = running.store.told_about(LINH).await.unwrap();
        let are_out = told.iter().all(|told| {
            matches!(&told.deliveries[..], [one] if one.channel == "mail" && one.failure.is_none())
        });
        (told.len() == 3 && are_out).then_some(())
    };
    until(is_out).await;
    for _ in 0..3 {
        later(1);
        running.look_again().await;
        tokio::time::sleep(std::time::Duration::from_millis(200)).await;
    }
    let mails = mails.lock().unwrap().clone();
    let subjects = ["Linh, Thu 3 Sep: now", "Must move: Linh", "No answer yet: Linh"];
    for subject in subjects {
        let of = mails.iter().filter(|mail| mail.contains(&format!("Subject: {subject}")));
        assert_eq!(of.count(), 1, "{subject}: {mails:?}");
    }
    assert_eq!(mails.len(), subjects.len());
    let page = running.get("/").await;
    assert!(page.contains("By e-mail, Thu 3 Sep, 11:00: it went out"), "{page}");
}

#[tokio::test]
async fn nothing_is_told_of_evenings_that_are_over_moved_or_deleted() {
    let (served, hers) = at("2026-09-02T08:10:00Z", a_sky_that_turns).await;
    let mut moved = served.store.session(LINH).await.unwrap().unwrap();
    moved.id = "2026-09-06-linh".to_owned();
    moved.start = "2026-09-06T15:15:00".parse().unwrap();
    moved.moved_from = Some(LINH.to_owned());
    served.store.save_session(&moved, now()).await.unwrap();
    look(&hers, "2026-09-02T12:00:00Z").await;
    look(&hers, "2026-09-03T01:00:00Z").await;
    assert!(told(&served).await.is_empty());
}

#[tokio::test]
async fn the_record_of_what_was_told_is_part_of_the_journal() {
    let (served, hers) = at("2026-09-02T08:10:00Z", a_sky_that_turns).await;
    let before = served.head().await;
    look(&hers, "2026-09-02T12:00:00Z").await;
    assert_ne!(served.head().await, before);
    assert!(served.store.journal_verify(served.head().await).await.unwrap().holds());
    hers.get("/studio/journal").await.says("Linh, Thu 3 Sep: now");
}
