use std::fs;

use axum::http::StatusCode;
use fairspell_studio::Session;

use crate::{
    desk::{moment, sessions},
    readings::Readings,
    served::{Browser, LINH, Served, Setup, it_is, later},
};

const HERE: &str = "/sessions/2026-09-03-linh";

async fn look_again(hers: &Browser) {
    assert_eq!(hers.press("/people/new", "/look-again").await.status, StatusCode::SEE_OTHER);
}

/// What a page says, without what is new at every request.
async fn said(hers: &Browser, path: &str) -> String {
    let page = hers.get(path).await;
    assert_eq!(page.status, StatusCode::OK, "{path}");
    let policy = page.header("content-security-policy");
    let nonce = policy.split_once("'nonce-").unwrap().1.split_once('\'').unwrap().0;
    page.text.replace(nonce, "")
}

#[tokio::test]
async fn pages_show_the_last_look_and_take_none_themselves() {
    let served = Served::open().await;
    let hers = served.hers().await;
    let pages = ["/", "/season", HERE, &format!("{HERE}/letter"), &format!("{HERE}/radar")];
    let mut before = Vec::new();
    for page in pages {
        before.push(said(&hers, page).await);
    }
    // Neither the readings nor the time that has passed show until somebody looks again.
    let away = served.folder.path().join("away");
    fs::rename(&served.readings.folder, &away).unwrap();
    later(5);
    for (page, before) in pages.iter().zip(&before) {
        assert_eq!(&said(&hers, page).await, before, "{page}");
    }
    look_again(&hers).await;
    hers.get("/").await.says("As of Wed 2 Sep, 18:15").says("Forecast: missing, so not known.");
    hers.get(HERE).await.says("not known");
    fs::rename(&away, &served.readings.folder).unwrap();
    look_again(&hers).await;
    hers.get("/").await.says("Forecast: fresh; Weather service (invented), as of");
}

#[tokio::test]
async fn what_was_fetched_later_is_not_known_yet() {
    let served = Served::open().await;
    let hers = served.hers().await;
    served.readings.forecast(moment("2026-09-02T08:20:00Z"), 90);
    look_again(&hers).await;
    hers.get(HERE).await.says("settled");
    it_is("2026-09-02T08:20:00Z");
    look_again(&hers).await;
    hers.get(HERE).await.never_says(">settled").says("90");
}

fn with_radar(readings: &Readings) {
    readings.dry();
    for minutes in 0..=6 {
        readings
            .radar(moment("2026-09-03T02:00:00Z") + jiff::SignedDuration::from_mins(10 * minutes));
    }
}

/// A picture that was decoded is not opened a second time: what stands in its file meanwhile, of the
/// same length and time of change, is not seen.
#[tokio::test]
async fn no_picture_is_decoded_twice() {
    it_is("2026-09-03T03:05:00Z");
    let served = Served::with(Setup { readings: with_radar, ..Setup::default() }).await;
    let hers = served.hers().await;
    hers.get("/").await.says("Radar: fresh; Radar (invented), as of");
    let folder = served.readings.folder.join("radar");
    for file in fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        let (bytes, changed) = (fs::read(&path).unwrap(), fs::metadata(&path).unwrap().modified());
        fs::write(&path, vec![0; bytes.len()]).unwrap();
        fs::File::options()
            .append(true)
            .open(&path)
            .unwrap()
            .set_modified(changed.unwrap())
            .unwrap();
    }
    later(5);
    look_again(&hers).await;
    hers.get("/")
        .await
        .says("As of Thu 3 Sep, 13:10")
        .says("Radar: fresh; Radar (invented), as of");
    // A new start has to decode, and finds nothing that is a picture.
    let again = served.again(Setup::default()).await.unwrap();
    let hers = Browser::new(&again, crate::served::HOME);
    hers.sign_in().await;
    hers.get("/").await.says("Radar: missing, so not known.");
}

#[tokio::test]
async fn an_evening_that_is_over_stays_as_it_stood_last() {
    it_is("2026-09-03T04:30:00Z");
    let served = Served::open().await;
    let hers = served.hers().await;
    later(20);
    look_again(&hers).await;
    let sky = |page: String| {
        let (_, sky) = page.split_once("id=\"sky\"").expect("the sky is shown");
        sky.split_once("</section>").unwrap().0.to_owned()
    };
    it_is("2026-09-03T22:00:00Z");
    look_again(&hers).await;
    let over = said(&hers, HERE).await;
    assert!(over.contains("This evening is over."), "{over}");
    let last = sky(over);
    let kept = served.store.newest_ruling(LINH).await.unwrap().unwrap();
    let zone = jiff::tz::TimeZone::get("Australia/Sydney").unwrap();
    let as_of = fairspell_words::clock::moment(kept.outlook.as_of, &zone);
    assert!(last.contains(&format!("The sky, as of {as_of}.")), "{last}");
    hers.get("/").await.never_says("Linh</a>");
    // Whatever comes in afterwards, and even once the readings are gone.
    served.readings.forecast(moment("2026-09-03T05:00:00Z"), 95);
    look_again(&hers).await;
    assert_eq!(sky(said(&hers, HERE).await), last);
    fs::remove_dir_all(&served.readings.folder).unwrap();
    look_again(&hers).await;
    assert_eq!(sky(said(&hers, HERE).await), last);
    let again = served.again(Setup::default()).await.unwrap();
    let hers = Browser::new(&again, crate::served::HOME);
    hers.sign_in().await;
    assert_eq!(sky(said(&hers, HERE).await), last);
}

/// Iana time zone database, Australia/Sydney: on 4 Oct 2026 the clocks skip from 2:00 to 3:00.
fn in_the_skipped_hour() -> Session {
    let start = "2026-10-04T02:30:00".parse().unwrap();
    let ruth = "Ruth".to_owned();
    Session { id: "2026-10-04-ruth".into(), sitter: ruth, start, ..sessions()[0].clone() }
}

#[tokio::test]
async fn one_session_that_cannot_be_looked_at_takes_no_other_away() {
    let sessions = [sessions(), vec![in_the_skipped_hour()]].concat();
    let served = Served::with(Setup { sessions, ..Setup::default() }).await;
    let hers = served.hers().await;
    hers.get("/").await.says("Thu 3 Sep, 15:15: Linh").says("Ruth").says("cannot be looked at");
    hers.get(HERE).await.says("settled");
    hers.get("/season").await.says("Ruth");
    // It says why, and the way to mend it is there.
    let page = hers.get("/sessions/2026-10-04-ruth").await;
    assert_eq!(page.status, StatusCode::OK);
    page.says("cannot be looked at").says("href=\"/sessions/2026-10-04-ruth/edit\"");
    page.says("skip");
    for path in ["letter", "radar"] {
        let answer = hers.get(&format!("/sessions/2026-10-04-ruth/{path}")).await;
        hers.follow(&answer).await.says("cannot be looked at");
    }
    assert_eq!(hers.get("/sessions/2026-10-04-ruth/edit").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_list_of_readings_that_cannot_be_read_is_named_and_the_pages_stay() {
    let served = Served::open().await;
    let hers = served.hers().await;
    let list = served.readings.folder.join("received.csv");
    let good = fs::read(&list).unwrap();
    fs::write(&list, "file,fetched_at,source\n../../elsewhere,2026-09-01T00:00:00Z,x\n").unwrap();
    let page = hers.follow(&hers.press("/", "/look-again").await).await;
    page.says("cannot be looked at").says("received.csv");
    hers.get(HERE).await.says("cannot be looked at");
    assert_eq!(hers.get(&format!("/letters/{LINH}")).await.status, StatusCode::NOT_FOUND);
    fs::write(&list, good).unwrap();
    hers.follow(&hers.press("/people/new", "/look-again").await).await.never_says("cannot be");
    hers.get(HERE).await.says("settled");
}
