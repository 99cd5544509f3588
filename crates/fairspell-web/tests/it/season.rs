use std::fmt::Write;

use fairspell_studio::RadarFigure;
use jiff::ToSpan;

use crate::desk::{Desk, sessions, studio};

const LIST: &str = "name,date,start,guardian,email\n\
                    Maya,2026-10-08,15:15,Ruth,ruth@example.org\n\
                    =cmd|' /C calc'!A0,2026-10-09,15:00,,\n\
                    Ruth,04/05/2026,16:00,,\n";

#[tokio::test]
async fn weeks_are_rows_of_evenings_with_what_a_session_was_moved_to() {
    let mut all = sessions();
    let mut moved = all[1].clone();
    moved.id = "2026-10-01-soraya".to_owned();
    moved.start = "2026-10-01T15:30:00".parse().unwrap();
    moved.moved_from = Some(all[1].id.clone());
    all.push(moved);
    let desk = Desk::with(&studio(), &all).await;
    let page = desk.get("/season").await;
    page.says("Week of Mon 31 Aug").says("Week of Mon 28 Sep");
    page.says("Thu 3 Sep, 15:15: Linh").says("evening-small").says("not known");
    page.says("Moved to").says("href=\"/sessions/2026-10-01-soraya\"");
    page.says("href=\"/season/import\"").says("href=\"/sessions/new\"");
    // The date that was moved away from is free again.
    page.says("Tue 15 Sep <span class=\"kind\">free</span>");
}

#[tokio::test]
async fn reserve_evenings_stand_among_the_weeks_and_never_in_a_blackout() {
    let desk = Desk::open().await;
    let page = desk.get("/season").await;
    // Wednesdays and Sundays; from 12 October on are exams.
    page.says("Sun 6 Sep <span class=\"kind\">reserve</span>");
    page.says("Sun 11 Oct <span class=\"kind\">reserve</span>");
    page.never_says("Wed 14 Oct").never_says("Thu 3 Sep <span class=\"kind\">");
}

#[tokio::test]
async fn the_season_says_how_it_stands_and_on_what_that_rests() {
    let desk = Desk::open().await;
    let page = desk.get("/season").await;
    page.says("at least one frame in time in")
        .says("of 100 such seasons")
        .says("which is our estimate");
    page.says("At the latest on").says("of 100; about 0.2 moves");
}

#[tokio::test]
async fn a_session_is_tried_on_another_evening_before_anything_is_saved() {
    let desk = Desk::open().await;
    let id = &sessions()[0].id;
    let choice = desk.get(&format!("/season?moving={id}")).await;
    choice.says("Another evening for Linh").says(&format!("/season/try?session={id}&amp;date="));
    let tried = desk.get(&format!("/season/try?session={id}&date=2026-09-09")).await;
    tried
        .says("Linh on Wed 9 Sep?")
        .says("Expected to cost")
        .says("Everybody with a frame in time:");
    tried.says("Move to Wed 9 Sep");
    assert_eq!(desk.store.sessions().await.unwrap().len(), sessions().len(), "nothing is saved");
    let never = desk.get(&format!("/season/try?session={id}&date=2026-10-14")).await;
    never.says("That evening cannot be: never offered (exams).").never_says("name=\"start\"");
    let past = desk.get(&format!("/season/try?session={id}&date=2026-08-09")).await;
    past.says("That evening cannot be: it lies behind.");
    let no_day = desk.get(&format!("/season/try?session={id}&date=soon")).await;
    no_day.says("Please give a date that is in the calendar");
}

#[tokio::test]
async fn a_plan_is_shown_changed_and_accepted_as_a_whole() {
    let desk = Desk::open().await;
    let id = &sessions()[0].id;
    desk.get("/season/plan").await.says("Which sessions have to move?");
    desk.get("/season/plan?ask=yes").await.says("Please tick at least one session.");
    let unknown = desk.get("/season/plan?ask=yes&session=nobody").await;
    unknown.says("One of these sessions is not there any more.");
    let asked = format!("/season/plan?ask=yes&session={id}");
    let plan = desk.get(&asked).await;
    plan.says("No plan costs less; that is proven").says("Another evening for this family");
    let fixed = desk.get(&format!("{asked}&on-{id}=2026-09-09")).await;
    fixed.says("Linh: Wed 9 Sep").says("Accept: move 1 session");
    let start = fixed.between("name=\"start\" value=\"", "\"").unwrap();
    let done = desk.post("/season/plan", &[("session", id.as_str()), ("start", start)]).await;
    assert_eq!(done.location, "/season?done=planned", "{}", done.text);
    let all = desk.store.sessions().await.unwrap();
    let moved = all.iter().find(|one| one.moved_from.as_ref() == Some(id)).unwrap();
    assert_eq!(moved.start.date(), "2026-09-09".parse().unwrap());
}

#[tokio::test]
async fn a_plan_onto_an_evening_that_was_taken_meanwhile_saves_nothing() {
    let desk = Desk::open().await;
    let all = sessions();
    let taken = all[2].start.to_string();
    let sent = [("session", all[0].id.as_str()), ("start", taken.as_str())];
    let refused = desk.post("/season/plan", &sent).await;
    assert!(refused.status.is_client_error(), "{}", refused.status);
    assert_eq!(desk.store.sessions().await.unwrap().len(), all.len());
}

#[tokio::test]
async fn past_evenings_are_counted_from_a_file_and_a_bad_one_changes_nothing() {
    let desk = Desk::open().await;
    desk.get("/season/climate").await.says("No record of past evenings is here");
    let bad = desk.upload("/season/climate", "x.csv", "nothing,of,use\n1,2,3\n").await;
    bad.says("This file cannot be used");
    let mut hours = "time,rain_amount_mm\n".to_owned();
    for day in 1..=28 {
        for hour in 0..24 {
            writeln!(hours, "2026-02-{day:02}T{hour:02}:00:00Z,0.0").unwrap();
        }
    }
    let done = desk.upload("/season/climate", "jetty.csv", &hours).await;
    // 27 whole evenings: the last day ends with Greenwich's, in the middle of an evening there.
    done.says("past evenings at jetty").says("Read: jetty, 672 hours with an amount");
    // Another file that names no station is another station; the one that she lets speak does.
    let other = desk.upload("/season/climate", "pier.csv", &hours.replace(",0.0", ",2.0")).await;
    other.says("Read: pier").says("jetty").says("Let it speak");
    let speak = [("do", "speak"), ("station", "pier")];
    desk.follow(&desk.post("/season/climate", &speak).await).await.says("past evenings at pier");
    assert_eq!(desk.studio().await.season.rain_station.as_deref(), Some("pier"));
    let remove = [("do", "remove"), ("station", "pier")];
    desk.follow(&desk.post("/season/climate", &remove).await).await.says("past evenings at jetty");
}

#[tokio::test]
async fn what_radar_saw_speaks_where_its_owner_lets_it() {
    let desk = Desk::open().await;
    let spot = desk.studio().await.spots[0].id.clone();
    // Every ten minutes from 15:00 to 19:00 of eight February afternoons there, rain on two of them.
    let first: jiff::Timestamp = "2026-02-01T04:00:00Z".parse().unwrap();
    let figure = |day: i64, step: i64| RadarFigure {
        spot: spot.clone(),
        source: "a radar".to_owned(),
        valid_time: first + (24 * 60 * day + 10 * step).minutes(),
        fetched_at: first,
        rain_rate_mm_h: Some(if day < 2 { 2.0 } else { 0.0 }),
        rain_rate_max_nearby_mm_h: None,
        wet_share: None,
        coverage: 1.0,
    };
    let figures: Vec<_> = (0..8)
        .flat_map(|day| (0..=36).map(move |step| (day, step)))
        .map(|(d, s)| figure(d, s))
        .collect();
    desk.store.keep_radar_figures(&figures).await.unwrap();
    let page = desk.get("/season/climate").await;
    page.says("radar over").says("48 hours").says("No record of past evenings is here");
    let station = format!("radar:{spot}");
    let speak = [("do", "speak"), ("station", station.as_str())];
    let page = desk.follow(&desk.post("/season/climate", &speak).await).await;
    page.says("past evenings at radar over").says("2 of 8 evenings");
    page.never_says(&format!("Remove: {station}"));
}

#[tokio::test]
async fn the_terms_of_a_season_are_kept_and_wrong_ones_refused() {
    let desk = Desk::open().await;
    let page = desk.get("/studio/season").await;
    page.says("Exceptions from the week").says("What is at stake");
    let added = desk
        .post(
            "/studio/season",
            &[
                ("do", "add"),
                ("name", "holidays"),
                ("kind", "working"),
                ("days", "sunday"),
                ("weeks", "2"),
                ("from", "2026-11-01"),
                ("to", "2026-11-30"),
            ],
        )
        .await;
    desk.follow(&added).await.says("holidays: working");
    let season = desk.studio().await.season;
    assert!(season.exceptions[0].rule.contains("FREQ=WEEKLY;INTERVAL=2;BYDAY=SU"));
    let rule = ("rule", "RRULE:FREQ=HOURLY");
    let odd = [("do", "add"), ("name", "odd"), ("kind", "never"), rule];
    desk.post("/studio/season", &odd).await.says("That rule cannot be used");
    assert_eq!(desk.studio().await.season.exceptions.len(), 1);
    let terms = [("do", "terms"), ("sold_a_week", "many")];
    desk.post("/studio/season", &terms).await.says("Please give a number from 0 to 14.");
}

#[tokio::test]
async fn a_session_says_what_else_could_be_done_with_it() {
    let desk = Desk::open().await;
    let id = &sessions()[0].id;
    desk.get(&format!("/sessions/{id}")).await.says("Another hour, in two parts");
    let page = desk.get(&format!("/sessions/{id}/alternatives")).await;
    page.says("Beside the policy: what moving costs").says("Another hour").says("In two parts");
    page.says("only a closed building or car is safe in thunder");
}

#[tokio::test]
async fn an_import_shows_what_it_makes_and_saves_only_when_confirmed() {
    let desk = Desk::open().await;
    desk.get("/season/import").await.says("enctype=\"multipart/form-data\"");
    let preview = desk.upload("/season/import", "bookings.csv", LIST).await;
    preview.says("Thu 8 Oct 2026, 15:15, 110 minutes: Maya, with Ruth");
    preview.says("row 4, left out").says("can be read as two days");
    let before = desk.store.sessions().await.unwrap().len();
    assert_eq!(before, 3, "nothing is saved yet");

    let piece = preview.between("name=\"piece\" value=\"", "\"").unwrap();
    let done = desk.post("/season/import", &[("step", "confirm"), ("piece", piece)]).await;
    desk.follow(&done).await.says("The bookings are in.").says("Maya");
    let people = desk.store.people().await.unwrap();
    assert!(people.iter().any(|one| one.email.as_deref() == Some("ruth@example.org")));

    let again = desk.upload("/season/import", "bookings.csv", LIST).await;
    again.says("it is there already").never_says("name=\"piece\"");
}

#[tokio::test]
async fn a_file_of_several_pieces_comes_in_whole() {
    let desk = Desk::open().await;
    let looks = "лён ".repeat(45);
    let row = |day| format!("Zoë Ł {day},2027-02-{day:02},15:00,{looks};{looks}\n");
    let list: Vec<String> =
        std::iter::once("name,date,start,looks\n".to_owned()).chain((1..=28).map(row)).collect();
    let list = list.concat();
    let preview = desk.upload("/season/import", "bookings.csv", &list).await;
    let mut fields = vec![("step", "confirm")];
    let pieces = preview.text.split("name=\"piece\" value=\"").skip(1);
    fields.extend(pieces.map(|rest| ("piece", rest.split('"').next().unwrap())));
    assert!(fields.len() > 2);
    let done = desk.post("/season/import", &fields).await;
    assert_eq!(done.location, "/season?done=imported", "{}", done.text);
    assert_eq!(desk.store.sessions().await.unwrap().len(), 31);
}

#[tokio::test]
async fn a_calendar_comes_in_as_well() {
    let desk = Desk::open().await;
    let calendar = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nUID:1\r\nSUMMARY:Jonah\r\n\
                    DTSTART;TZID=Australia/Sydney:20261110T172000\r\nDTEND;TZID=Australia/Sydney:\
                    20261110T190000\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
    let preview = desk.upload("/season/import", "bookings.ics", calendar).await;
    preview.says("Tue 10 Nov 2026, 17:20, 100 minutes: Jonah");
}

#[tokio::test]
async fn what_cannot_be_read_is_said_and_nothing_is_saved() {
    let desk = Desk::open().await;
    for (content, said) in [
        ("", "Please choose a file."),
        ("colour,size\nred,2\n", "This file cannot be used"),
        ("\u{0}\u{1}\u{2}PNG", "This file cannot be used"),
    ] {
        desk.upload("/season/import", "x", content).await.says(said).says("id=\"file-wrong\"");
    }
    let altered = desk.post("/season/import", &[("step", "confirm"), ("piece", "!!")]).await;
    altered.says("Please choose a file.");
    assert_eq!(desk.store.sessions().await.unwrap().len(), 3);
}

#[tokio::test]
async fn without_a_spot_there_is_nowhere_to_put_sessions() {
    let desk = Desk::with(&fairspell_studio::Studio { spots: Vec::new(), ..studio() }, &[]).await;
    desk.upload("/season/import", "x.csv", LIST).await.says("Sessions need a spot");
    desk.get("/season").await.says("No session lies ahead.");
}
