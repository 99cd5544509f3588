use crate::desk::{Desk, answer, letter, moment};

#[tokio::test]
async fn entries_are_told_in_words_with_the_seal_and_the_check() {
    let desk = Desk::open().await;
    let sent = letter("l1");
    desk.store.send_letter(&sent).await.unwrap();
    desk.store.record_answer(&answer(&sent, "Quoc")).await.unwrap();
    desk.post("/people/linh/delete", &[]).await;
    let page = desk.get("/studio/journal").await;
    page.says("letter kept as sent: Linh: Thursday with Linh").says("answer recorded: Quoc: ");
    page.says("person changed: Linh").says("session changed: Linh: Thu 3 Sep, 15:15");
    page.says("studio changed").says("hold together");
    let head = desk.store.journal_head().await.unwrap().unwrap().to_string();
    page.says(&head);
}

#[tokio::test]
async fn older_entries_are_a_page_away() {
    let desk = Desk::open().await;
    let at = moment("2026-09-02T08:00:00Z");
    for number in 0..60 {
        let key = format!("k{number}");
        desk.store
            .remember_notice(&key, "x", None, at, &format!("notice {number}."))
            .await
            .unwrap();
    }
    let page = desk.get("/studio/journal").await;
    page.says("notice 59.").never_says("notice 3.").says("/studio/journal?after=50");
    let older = desk.get("/studio/journal?after=50").await;
    older.says("notice 3.").never_says("notice 59.").says("/studio/journal?after=0");
    assert_eq!(desk.get("/studio/journal?after=-1").await.status, 400);
}
