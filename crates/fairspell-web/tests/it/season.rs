use crate::desk::{Desk, sessions, studio};

const LIST: &str = "name,date,start,guardian,email\n\
                    Maya,2026-10-08,15:15,Ruth,ruth@example.org\n\
                    =cmd|' /C calc'!A0,2026-10-09,15:00,,\n\
                    Ruth,04/05/2026,16:00,,\n";

#[tokio::test]
async fn sessions_stand_by_month_with_what_they_were_moved_to() {
    let mut all = sessions();
    let mut moved = all[1].clone();
    moved.id = "2026-10-01-soraya".to_owned();
    moved.start = "2026-10-01T15:30:00".parse().unwrap();
    moved.moved_from = Some(all[1].id.clone());
    all.push(moved);
    let desk = Desk::with(&studio(), &all).await;
    let page = desk.get("/season").await;
    page.says("September 2026").says("October 2026");
    page.says("Thu 3 Sep, 15:15: Linh").says("evening-small").says("not known");
    page.says("Moved to").says("href=\"/sessions/2026-10-01-soraya\"");
    page.says("href=\"/season/import\"").says("href=\"/sessions/new\"");
}

#[tokio::test]
async fn reserve_evenings_that_are_still_free_are_listed() {
    let desk = Desk::open().await;
    let page = desk.get("/season").await;
    // Wednesdays and Sundays; from 12 October on are exams.
    page.says("<li>Sun 6 Sep</li>").says("<li>Sun 11 Oct</li>");
    page.never_says("<li>Thu 3 Sep</li>").never_says("<li>Wed 14 Oct</li>");
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
    desk.get("/season").await.says("No session is here yet.");
}
