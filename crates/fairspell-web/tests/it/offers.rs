use fairspell_studio::{LightWish, Session, Studio, site::TideLimits, spot::Spot, studio::Day};
use jiff::civil::{Date, date};

use crate::{
    desk::{Desk, Page, sessions, studio},
    forms::fields_of,
};

type Query = Vec<(&'static str, String)>;

/// Two looks in September, anywhere, on working evenings.
fn asked() -> Query {
    [
        ("place", ""),
        ("from", "2026-09-03"),
        ("to", "2026-09-30"),
        ("drive", "20"),
        ("look-0-name", "Linen"),
        ("look-0-wants", "backlight"),
        ("look-0-minutes", "25"),
        ("look-0-spot", ""),
        ("look-1-name", "Blue <b>silk</b>"),
        ("look-1-wants", "open_shade"),
        ("look-1-minutes", "20"),
        ("look-1-spot", "cannery_arcade"),
    ]
    .map(|(name, value)| (name, value.to_owned()))
    .into()
}

fn with(mut query: Query, name: &'static str, value: &str) -> Query {
    query.retain(|(known, _)| *known != name);
    query.push((name, value.to_owned()));
    query
}

fn address(query: &Query) -> String {
    format!("/season/offers?{}", serde_urlencoded::to_string(query).unwrap())
}

/// The addresses behind "Book this", as a browser would follow them.
fn books(page: &Page) -> Vec<String> {
    let links = page.text.split("href=\"/sessions/new?").skip(1);
    let path = |rest: &str| format!("/sessions/new?{}", &rest[..rest.find('"').unwrap()]);
    links.map(|rest| path(rest).replace("&amp;", "&")).collect()
}

fn dates(page: &Page) -> Vec<Date> {
    let date = |book: &String| book.split_once("date=").unwrap().1[..10].parse().unwrap();
    books(page).iter().map(date).collect()
}

async fn found(desk: &Desk, query: &Query) -> Page {
    let page = desk.get(&address(query)).await;
    page.says("The evenings that suit best").says("Book this");
    page
}

#[tokio::test]
async fn the_question_is_linked_from_the_season_and_stands_empty() {
    let desk = Desk::open().await;
    desk.get("/season").await.says("href=\"/season/offers\"");
    let page = desk.get("/season/offers").await;
    page.says("<form class=\"offers\" action=\"/season/offers#answers\">")
        .says("value=\"2026-09-03\"");
    page.never_says("Book this").never_says("class=\"wrong\"");
    // The latest session of the example has this drive.
    let drive = sessions().last().unwrap().drive.minutes;
    let fields = fields_of(&page.text, "/season/offers#answers");
    assert!(fields.contains(&("drive".to_owned(), drive.to_string())), "{fields:?}");
    assert_eq!(page.text.matches("<fieldset class=\"look\">").count(), 6);
    assert!(desk.get_as_guest("/season/offers").await.location.starts_with("/sign-in"));
}

#[tokio::test]
async fn what_is_offered_lies_within_the_dates_and_is_nobodys() {
    let desk = Desk::open().await;
    let page = found(&desk, &asked()).await;
    let offered = dates(&page);
    assert!((3..=5).contains(&offered.len()), "{offered:?}");
    let all = sessions();
    let gave_back = |it: &&Session| all.iter().any(|one| one.moved_from.as_ref() == Some(&it.id));
    let taken = all.iter().filter(|session| !gave_back(session));
    let taken: Vec<Date> = taken.map(|session| session.start.date()).collect();
    assert!(!taken.is_empty());
    let working = studio().week.working;
    for (index, day) in offered.iter().enumerate() {
        assert!((date(2026, 9, 3)..=date(2026, 9, 30)).contains(day), "{day}");
        assert!(!taken.contains(day), "{day} is taken");
        assert!(working.contains(&Day::from(day.weekday())), "{day} is not sold");
        assert!(!offered[..index].contains(day), "{day} twice");
    }
    page.says("a working evening").says("Leave home").says("last light to work by");
    page.never_says("a reserve evening");
    page.never_says("<b>silk").says("Blue &lt;b&gt;silk&lt;/b&gt;, Cannery Arcade");
    page.says("open shade under the roof");
}

#[tokio::test]
async fn a_date_that_is_booked_is_offered_no_more_and_one_moved_away_from_is_again() {
    let query = with(with(asked(), "from", "2026-09-10"), "to", "2026-09-10");
    let desk = Desk::with(&studio(), &[]).await;
    assert_eq!(dates(&found(&desk, &query).await), [date(2026, 9, 10)]);

    let mut booked = Session { id: "booked".to_owned(), ..sessions()[0].clone() };
    booked.start = "2026-09-10T15:15".parse().unwrap();
    let desk = Desk::with(&studio(), std::slice::from_ref(&booked)).await;
    let page = desk.get(&address(&query)).await;
    page.says("No evening found").says("Ask for a longer time").never_says("Book this");

    let later = "2026-09-17T15:15".parse().unwrap();
    let moved = Session {
        id: "moved".to_owned(),
        start: later,
        moved_from: Some("booked".to_owned()),
        ..booked.clone()
    };
    let desk = Desk::with(&studio(), &[booked, moved]).await;
    assert_eq!(dates(&found(&desk, &query).await), [date(2026, 9, 10)]);
}

#[tokio::test]
async fn reserve_evenings_come_when_they_are_asked_for() {
    let desk = Desk::open().await;
    // A Sunday, kept free.
    let query = with(with(asked(), "from", "2026-09-06"), "to", "2026-09-06");
    desk.get(&address(&query)).await.says("allow reserve evenings");
    let page = found(&desk, &with(query, "reserve", "yes")).await;
    page.says("a reserve evening").says("Sunday 6 September");
}

#[tokio::test]
async fn an_offer_becomes_a_session_by_one_press_on_save() {
    let desk = Desk::open().await;
    let page = found(&desk, &with(asked(), "in_order", "yes")).await;
    let before = desk.store.sessions().await.unwrap().len();
    let form = desk.get(&books(&page)[0]).await;
    assert_eq!(desk.store.sessions().await.unwrap().len(), before, "looking books nothing");
    let mut fields = fields_of(&form.text, "/sessions");
    let day = dates(&page)[0].to_string();
    assert!(fields.contains(&("date".to_owned(), day.clone())));
    // Who it is for is all that is still to be said.
    fields.retain(|(name, _)| name != "sitter");
    fields.push(("sitter".to_owned(), "Amara".to_owned()));
    let sent: Vec<(&str, &str)> =
        fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    let saved = desk.post("/sessions", &sent).await;
    assert!(saved.location.contains("?saved="), "{}", saved.text);
    let made = desk.store.session(&format!("{day}-amara")).await.unwrap().unwrap();
    let hours = page.between("<h3>", "</p>").unwrap();
    let start = made.start.time().strftime("%H:%M").to_string();
    assert!(hours.contains(&format!("<p>{start} to ")), "{hours}");
    assert_eq!(made.drive.minutes, 20);
    let looks: Vec<_> = made.looks.iter().map(|look| (look.name.as_str(), look.wants)).collect();
    assert_eq!(
        looks,
        [("Linen", LightWish::Backlight), ("Blue <b>silk</b>", LightWish::OpenShade)]
    );
    assert_eq!(made.looks[1].spot, "cannery_arcade");
    // Greeting, looks, one change and slack.
    assert!(made.duration_min >= 10 + 25 + 8 + 20 + 10, "{}", made.duration_min);
    assert!(!dates(&desk.get(&address(&asked())).await).contains(&made.start.date()));
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields_and_nothing_typed_is_lost() {
    let desk = Desk::open().await;
    for (name, typed, said) in [
        ("place", "nowhere", "That spot is not there any more."),
        ("place", "long_dune", "id=\"look-1-spot-wrong\""),
        ("from", "next week", "year-month-day"),
        ("from", "2026-09-01", "lies behind us"),
        ("to", "", "year-month-day"),
        ("to", "2026-09-02", "before the first"),
        ("to", "2027-09-30", "more than 100 days"),
        ("drive", "far", "whole minutes"),
        ("look-0-minutes", "4", "from 5 to 240"),
        ("look-0-minutes", "", "from 5 to 240"),
        ("look-1-spot", "nowhere", "That spot is not there any more."),
    ] {
        let query = with(asked(), name, typed);
        let page = desk.get(&address(&query)).await;
        page.says(said).never_says("Book this");
        assert_eq!(page.text.matches("aria-invalid=\"true\"").count(), 1, "{name}={typed}");
        let again = fields_of(&page.text, "/season/offers#answers");
        for (known, value) in query.iter().filter(|(known, _)| *known != name) {
            assert!(again.iter().any(|(n, v)| n == known && v == value), "{known} after {name}");
        }
    }
    let mut nothing = asked();
    nothing.retain(|(name, _)| !name.ends_with("-name"));
    desk.get(&address(&nothing)).await.says("id=\"look-0-name-wrong\"");
}

#[tokio::test]
async fn why_there_is_none_is_said_with_what_to_change() {
    let limits = TideLimits { usable_to_m: Some(0.8), ..TideLimits::default() };
    let wet = |spot: &Spot| {
        let mut spot = spot.clone();
        spot.site.tide = Some(limits);
        spot
    };
    let shore = Studio { spots: studio().spots.iter().map(wet).collect(), ..studio() };
    let desk = Desk::with(&shore, &[]).await;
    desk.get(&address(&asked())).await.says("the tide of these dates is not known");

    let desk = Desk::open().await;
    let long = ["look-0-minutes", "look-1-minutes"].into_iter();
    let long = long.fold(asked(), |query, name| with(query, name, "240"));
    desk.get(&address(&long)).await.says("Take a look out, shorten one");

    let desk = Desk::with(&Studio { spots: Vec::new(), ..studio() }, &[]).await;
    desk.get("/season/offers").await.says("href=\"/places/new\"");
    desk.get(&address(&asked())).await.says("id=\"place-wrong\"");
}
