use fairspell_studio::studio::Day;

use crate::desk::Desk;

#[tokio::test]
async fn days_are_shown_changed_and_undone() {
    let desk = Desk::open().await;
    let page = desk.get("/studio/week").await;
    page.says("value=\"tuesday\" checked").says("exams: 12 Oct 2026 to 6 Nov 2026");
    let fields = [("do", "days"), ("working", "friday"), ("reserve", "monday")];
    let saved = desk.post("/studio/week", &fields).await;
    let week = desk.studio().await.week;
    assert_eq!((week.working, week.reserve), (vec![Day::Friday], vec![Day::Monday]));
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await.week.working, [Day::Tuesday, Day::Thursday]);
}

#[tokio::test]
async fn a_day_cannot_be_sold_and_kept_empty() {
    let desk = Desk::open().await;
    let fields = [("working", "friday"), ("working", "sunday"), ("reserve", "friday")];
    let page = desk.post("/studio/week", &fields).await;
    page.says("Friday stands in both").says("id=\"working-sunday\" name=\"working\"");
    assert_eq!(desk.studio().await.week.working, [Day::Tuesday, Day::Thursday]);
}

#[tokio::test]
async fn dates_that_are_never_offered_come_and_go() {
    let desk = Desk::open().await;
    let fields =
        [("do", "add"), ("why", "\"x\" <b>"), ("from", "2026-09-20"), ("to", "2026-09-20")];
    let saved = desk.post("/studio/week", &fields).await;
    desk.follow(&saved).await.says("&quot;x&quot; &lt;b&gt;: 20 Sep 2026");
    assert_eq!(desk.studio().await.blackouts.len(), 3);
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await.blackouts.len(), 2);

    let line = "exams: 12 Oct 2026 to 6 Nov 2026";
    let stale = [("do", "remove"), ("index", "1"), ("line", line)];
    assert_eq!(desk.post("/studio/week", &stale).await.status, 200, "another page changed it");
    assert_eq!(desk.studio().await.blackouts.len(), 2);
    let removed =
        desk.post("/studio/week", &[("do", "remove"), ("index", "0"), ("line", line)]).await;
    assert_eq!(desk.studio().await.blackouts.len(), 1);
    desk.undo(&removed).await;
    assert_eq!(desk.studio().await.blackouts.len(), 2);
}

#[tokio::test]
async fn a_stretch_needs_a_reason_and_two_days_in_order() {
    let desk = Desk::open().await;
    for (why, from, to, field) in [
        ("", "2026-09-20", "2026-09-21", "why"),
        ("x", "20 Sep", "2026-09-21", "from"),
        ("x", "2026-09-20", "2026-02-30", "to"),
        ("x", "2026-09-20", "2026-09-19", "to"),
    ] {
        let fields = [("do", "add"), ("why", why), ("from", from), ("to", to)];
        let page = desk.post("/studio/week", &fields).await;
        page.says(&format!("id=\"{field}-wrong\"")).says(&format!("value=\"{from}\""));
        page.says("value=\"tuesday\" checked");
    }
    assert_eq!(desk.studio().await.blackouts.len(), 2);
}
