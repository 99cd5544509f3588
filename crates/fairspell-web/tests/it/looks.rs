//! A session's looks with what to mind about them, and a spot's backdrops.

use fairspell_studio::{Session, site::Backdrop};
use fairspell_web::backdrops_input::{NotBackdrops, read_backdrops, written_backdrops};

use crate::{
    desk::{Desk, sessions, studio},
    forms::fields_of,
    readings::Readings,
    served::{LINH, Served, Setup},
};

fn backdrop(name: &str, months: &[i8]) -> Backdrop {
    Backdrop { name: name.to_owned(), months: months.to_vec() }
}

#[test]
fn backdrops_are_read_as_they_are_written() {
    let text = "sand\n\n dry grass : nov-feb, April\nblossom: Sep – Oct\n";
    let Err(wrong) = read_backdrops(text) else { panic!("a stretch has no blanks in it") };
    assert_eq!(wrong, NotBackdrops { line: 4, text: "blossom: Sep – Oct".to_owned() });
    let read = read_backdrops("sand\n\n dry grass : nov-feb, April\nblossom: Sep–Oct").unwrap();
    assert_eq!(
        read,
        [
            backdrop("sand", &[]),
            backdrop("dry grass", &[11, 12, 1, 2, 4]),
            backdrop("blossom", &[9, 10]),
        ]
    );
    let odd = [backdrop("wall: east", &[]), backdrop("wall: east", &[12, 12]), backdrop("a", &[1])];
    for backdrops in [&read[..], &odd, &[]] {
        assert_eq!(read_backdrops(&written_backdrops(backdrops)).unwrap(), backdrops);
    }
    for wrong in ["sand: Smarch", "sand: ju", ": May", "sand: Jan-", "sand: 13", &"x".repeat(201)] {
        assert_eq!(read_backdrops(wrong).unwrap_err().line, 1, "{wrong}");
    }
}

#[tokio::test]
async fn backdrops_go_through_a_spots_form() {
    let desk = Desk::open().await;
    let here = "/places/heron_walk";
    let page = desk.get(here).await;
    page.says("dry grass: May Jun Jul Aug Sep").says("Your table of looks knows grey sky.");
    let mut fields = fields_of(&page.text, here);
    let mut send = |text: &str| {
        fields.retain(|(name, _)| name != "backdrops");
        fields.push(("backdrops".to_owned(), text.to_owned()));
        fields.clone()
    };
    let sent = send("sand: June\nsea");
    let sent: Vec<(&str, &str)> = sent.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    let saved = desk.post(here, &sent).await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    let known = desk.studio().await.spots[0].site.backdrops.clone();
    assert_eq!(known, [backdrop("sand", &[6]), backdrop("sea", &[])]);
    let sent = send("sand: Smarch");
    let sent: Vec<(&str, &str)> = sent.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    let page = desk.post(here, &sent).await;
    page.says("id=\"backdrops-wrong\"").says("Line 1").says("sand: Smarch</textarea>");
}

#[tokio::test]
async fn a_sessions_page_says_of_each_look_what_there_is_to_say() {
    let desk = Desk::open().await;
    let page = desk.get("/sessions/2026-09-03-linh").await;
    // The white linen at Heron Walk: September, a grey sky behind, heels on boards.
    page.says("White vanishes against the grey sky.");
    page.says("Block heels catch between the boards");
    page.says("shows drops").says("water marks it for good");
    // Nothing is known of the sky: nothing is said of rain, and nothing of curls.
    page.never_says("Rain is possible").never_says("Curls drop");
    page.says("Where the colours go well").says("White linen: nothing against it at");
    let quiet: Vec<Session> = sessions()
        .into_iter()
        .map(|mut session| {
            session.looks.truncate(1);
            session.looks[0].colour = None;
            session.looks[0].shoes = None;
            session
        })
        .collect();
    let page = Desk::with(&studio(), &quiet).await.get("/sessions/2026-09-03-linh").await;
    page.never_says("Where the colours go well").never_says("vanishes").never_says("heels");
}

#[tokio::test]
async fn before_rain_a_look_that_minds_it_is_warned_of() {
    let here = format!("/sessions/{LINH}");
    let served = Served::with(Setup { readings: Readings::doubtful, ..Setup::default() }).await;
    let page = served.hers().await.get(&here).await;
    // The linen stands in the open, the satin under the arcade's roof; the denim minds nothing.
    page.says(
        "Rain is possible, and drops show on it until it has dried (about 30 minutes): make this \
         look first, or under a roof.",
    );
    page.says("Rain is possible, and water marks it for good: stay under the roof with it");
    assert_eq!(page.text.matches("Rain is possible").count(), 2);
    // The linen reaches the ankle: boards do not wet it there.
    page.never_says("The hem reaches");
}

#[tokio::test]
async fn under_a_dry_sky_nothing_is_said_of_rain() {
    let page = Served::open().await.hers().await.get(&format!("/sessions/{LINH}")).await;
    page.never_says("Rain is possible").says("shows drops");
}
