use crate::desk::{Desk, moment};

#[tokio::test]
async fn a_backup_is_made_listed_with_its_seal_and_can_be_restored() {
    let desk = Desk::open().await;
    desk.get("/studio/backups").await.says("None has been made here yet.");
    let made = desk.post("/studio/backups", &[]).await;
    let page = desk.follow(&made).await;
    page.says("The backup is written.").says("Wed 2 Sep, 18:10: fairspell-2026-09-02-181000.tar");
    page.says("fairspell restore --from FILE --data NEW-FOLDER");
    let head = desk.store.journal_head().await.unwrap().unwrap().to_string();
    page.says(&format!("Seal: {head}"));
    desk.get("/studio").await.says("The newest was made Wed 2 Sep, 18:10");

    let file = desk.folder.path().join("backups/fairspell-2026-09-02-181000.tar");
    let restored = tempfile::tempdir().unwrap();
    let target = restored.path().join("studio");
    fairspell_store::restore(&file, &target, &mut |_, _| {}).await.unwrap();
    let store =
        fairspell_store::Store::open(&target, moment("2026-09-02T08:20:00Z")).await.unwrap();
    assert_eq!(store.sessions().await.unwrap().len(), 3);
}

#[tokio::test]
async fn a_file_that_was_put_there_by_hand_is_listed_without_a_seal() {
    let desk = Desk::open().await;
    let folder = desk.folder.path().join("backups");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("<old>.tar"), [0; 2048]).unwrap();
    let page = desk.get("/studio/backups").await;
    page.says("&lt;old&gt;.tar, 2 kB; not made on this page").never_says("Seal: ");
}

#[tokio::test]
async fn a_second_backup_within_the_second_does_not_touch_the_first() {
    let desk = Desk::open().await;
    desk.post("/studio/backups", &[]).await;
    let again = desk.post("/studio/backups", &[]).await;
    let page = desk.follow(&again).await;
    page.says("fairspell-2026-09-02-181000.tar").says("fairspell-2026-09-02-181000-2.tar");
}
