//! The field sheet: the page that the phone keeps, the newest sheet by itself, and the file.

use axum::http::{Method, StatusCode};
use fairspell_sheet::SheetTable;
use fairspell_studio::journal::Digest;
use fairspell_words::avoided_words;
use serde_json::Value;

use crate::served::{Answer, Browser, HOME, LINH, Served, it_is};

fn page() -> String {
    format!("/sessions/{LINH}/field")
}

/// The afternoon of Linh's session, with somebody signed in.
async fn afternoon() -> (Served, Browser) {
    it_is("2026-09-03T04:40:00Z");
    let served = Served::open().await;
    let browser = served.hers().await;
    (served, browser)
}

/// The sheet's text as it stands in a document.
fn embedded(answer: &Answer) -> &str {
    let rest = answer.text.split_once("id=\"field-sheet\">").unwrap().1;
    rest.split_once("</script>").unwrap().0
}

fn digest(answer: &Answer) -> &str {
    let rest = answer.text.split_once("name=\"field-digest\" content=\"").unwrap().1;
    rest.split_once('"').unwrap().0
}

/// Every text of a JSON value.
fn texts(value: &Value) -> Vec<&str> {
    match value {
        Value::String(text) => vec![text],
        Value::Array(items) => items.iter().flat_map(texts).collect(),
        Value::Object(members) => members.values().flat_map(texts).collect(),
        _ => Vec::new(),
    }
}

#[tokio::test]
async fn the_page_carries_a_sheet_that_can_be_read_and_may_load_nothing_else() {
    let (_served, browser) = afternoon().await;
    let answer = browser.get(&page()).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    assert_eq!(Digest::of(embedded(&answer).as_bytes()).to_string(), digest(&answer));
    let sheet: Value = serde_json::from_str(embedded(&answer)).unwrap();
    assert_eq!(sheet["session"], LINH);
    let table: SheetTable = serde_json::from_value(sheet["table"].clone()).unwrap();
    table.open().expect("the table can be opened");
    assert_eq!(table.sets.len(), sheet["sets"].as_array().unwrap().len());
    assert_eq!(sheet["light"].as_array().unwrap().len(), table.slots);
    assert_eq!(sheet["grid"]["core"].as_array().unwrap().len(), 12);
    for set in sheet["sets"].as_array().unwrap() {
        let spot = &set["spot"];
        let is_there = |it: &Value| it["id"] == *spot;
        assert!(sheet["spots"].as_array().unwrap().iter().any(is_there), "{spot}");
    }
    let policy = answer.header("content-security-policy");
    for part in ["default-src 'none'", "script-src 'nonce-", "connect-src 'self'"] {
        assert!(policy.contains(part), "{policy}");
    }
    assert!(!policy.contains("unsafe"), "{policy}");
}

#[tokio::test]
async fn no_text_of_a_sheet_has_a_word_that_nobody_should_read() {
    let (_served, browser) = afternoon().await;
    let answer = browser.get(&page()).await;
    let sheet: Value = serde_json::from_str(embedded(&answer)).unwrap();
    for part in ["sets", "light", "outline", "rule", "cautions", "warnings", "grid", "prompts"] {
        for text in texts(&sheet[part]) {
            assert_eq!(avoided_words(text), Vec::<&str>::new(), "{part}: {text}");
            assert!(!text.contains('!'), "{part}: {text}");
        }
    }
}

#[tokio::test]
async fn the_newest_sheet_comes_by_itself_under_its_digest() {
    let (_served, browser) = afternoon().await;
    let answer = browser.get(&format!("{}/sheet", page())).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(answer.header("content-type"), "application/json");
    let told = answer.header("x-field-digest");
    assert_eq!(Digest::of(answer.text.as_bytes()).to_string(), told);
    let sheet: Value = serde_json::from_str(&answer.text).unwrap();
    assert_eq!(sheet["version"], 1);
}

#[tokio::test]
async fn the_file_is_the_same_sheet_without_an_address_of_the_studio() {
    let (_served, browser) = afternoon().await;
    let answer = browser.get(&format!("{}/file", page())).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert!(answer.header("content-disposition").starts_with("attachment"));
    assert!(!answer.text.contains("name=\"field-online\""));
    let served = browser.get(&page()).await;
    assert_eq!(embedded(&answer), embedded(&served));
    assert!(served.text.contains("name=\"field-online\""));
}

#[tokio::test]
async fn nobody_else_gets_a_sheet_and_no_session_has_none() {
    let (served, browser) = afternoon().await;
    let guest = served.browser(HOME);
    for address in [page(), format!("{}/sheet", page()), format!("{}/file", page())] {
        let answer = guest.get(&address).await;
        assert!(answer.header("location").starts_with("/sign-in"), "{address}");
    }
    assert_eq!(browser.get("/sessions/nobody/field").await.status, StatusCode::NOT_FOUND);
    let post = browser.ask(Method::POST, &page(), &[], String::new()).await;
    assert_eq!(post.status, StatusCode::METHOD_NOT_ALLOWED);
}

#[tokio::test]
async fn the_session_leads_to_its_sheet() {
    let (_served, browser) = afternoon().await;
    let answer = browser.get(&format!("/sessions/{LINH}")).await;
    for address in [page(), format!("{}/file", page())] {
        assert!(answer.text.contains(&format!("href=\"{address}\"")), "{address}");
    }
}
