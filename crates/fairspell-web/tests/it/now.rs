use crate::{
    desk::{answer, letter, moment, sessions},
    readings::Readings,
    served::{LINH, Served, Setup, it_is, now},
};

#[tokio::test]
async fn the_next_evening_stands_first_with_what_to_decide_by_when() {
    let served = Served::with(Setup { sessions: sessions(), ..Setup::default() }).await;
    let page = served.hers().await.get("/").await;
    page.says("As of Wed 2 Sep, 18:10").says("Thu 3 Sep, 15:15: Linh").says("settled:");
    page.says("By Thu 3 Sep, 10:00 (reading on the morning of the day): Linh, settled");
    // The other one is farther away than two days, and the one it was moved from is no more.
    page.says("After that").says("Thu 17 Sep, 15:45: Soraya").never_says("Tue 15 Sep");
    page.never_says("): Soraya");
    assert_eq!(page.text.matches("By Thu").count(), 1);
}

#[tokio::test]
async fn decisions_within_two_days_stand_in_order_and_no_others() {
    let early = |id: &str, sitter: &str, start: &str| {
        let mut session = sessions()[0].clone();
        (session.id, session.sitter) = (id.to_owned(), sitter.to_owned());
        session.start = start.parse().unwrap();
        session
    };
    let sessions = vec![
        early("b", "Bao", "2026-09-04T15:15:00"),
        early("a", "Ada", "2026-09-03T15:15:00"),
        early("c", "Cem", "2026-09-12T15:15:00"),
    ];
    let served = Served::with(Setup { sessions, ..Setup::default() }).await;
    let page = served.hers().await.get("/").await;
    let decide = page.between("To decide", "</ul>").unwrap().to_owned();
    let at = |name: &str| decide.find(name);
    assert!(at("): Ada").unwrap() < at("): Bao").unwrap(), "{decide}");
    assert_eq!(at("): Cem"), None, "{decide}");
}

#[tokio::test]
async fn answers_that_are_waited_for_or_differ_are_a_link_away() {
    let served = Served::open().await;
    let hers = served.hers().await;
    let mut asking = letter("a1");
    asking.reply_by = Some(moment("2026-09-02T23:00:00Z"));
    served.store.send_letter(&asking).await.unwrap();
    hers.get("/").await.says("href=\"/letters/a1\"").says("Nobody has answered yet");
    served.store.record_answer(&answer(&asking, "Linh")).await.unwrap();
    hers.get("/").await.says("Linh answers 1").says("Quoc has not answered yet");
    served.store.record_answer(&answer(&asking, "Quoc")).await.unwrap();
    hers.get("/").await.never_says("/letters/a1");
    // A letter that asks for nothing is waited for by nobody.
    served.store.send_letter(&letter("b2")).await.unwrap();
    hers.get("/").await.never_says("/letters/b2");
}

#[tokio::test]
async fn a_source_that_is_missing_or_old_is_said_to_be_so_and_never_dry() {
    let served = Served::with(Setup { readings: Readings::none, ..Setup::default() }).await;
    let page = served.hers().await.get("/").await;
    page.says("Forecast: missing, so not known.").says("Official warnings: missing, so not known.");
    page.says("not known").never_says("settled");
    let old: fn(&Readings) = |readings| {
        readings.forecast(moment("2026-09-01T00:00:00Z"), 5);
        readings.no_warnings();
    };
    let served = Served::with(Setup { readings: old, ..Setup::default() }).await;
    let page = served.hers().await.get("/").await;
    page.says("class=\"wanting\">Forecast: ").never_says("settled");
}

#[tokio::test]
async fn without_a_session_it_says_so_and_how_to_make_one() {
    let served = Served::with(Setup { sessions: Vec::new(), ..Setup::default() }).await;
    let hers = served.hers().await;
    hers.get("/").await.says("No session is to come.").says("href=\"/sessions/new\"");
    // The last one is over.
    it_is("2026-09-03T10:00:00Z");
    let served = Served::with(Setup { sessions: vec![sessions()[0].clone()], ..Setup::default() });
    let page = served.await.hers().await.get("/").await;
    page.says("No session is to come.").never_says(LINH);
}

#[tokio::test]
async fn names_are_shown_as_they_are_and_never_run() {
    let mut sessions = sessions();
    sessions[0].sitter = "<img src=x onerror=alert(1)>".repeat(7);
    assert!(sessions[0].sitter.chars().count() > 190);
    let served = Served::with(Setup { sessions, ..Setup::default() }).await;
    let hers = served.hers().await;
    for path in [
        "/",
        "/season",
        "/people",
        &format!("/sessions/{LINH}"),
        "/sessions/2026-09-03-linh/letter",
    ] {
        hers.get(path).await.says("&lt;img src=x onerror=alert(1)&gt;").never_says("<img src=x");
    }
    assert_eq!(now(), moment(crate::served::EVENING_BEFORE));
}
