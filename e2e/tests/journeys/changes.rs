//! A session, a place, a person: made, changed, deleted, and back again.

use anyhow::{Context, Result, ensure};
use fairspell_e2e::{Browser, Studio};

pub(crate) async fn changes(browser: &mut Browser, demo: &Studio) -> Result<()> {
    place(browser, demo).await?;
    person(browser, demo).await?;
    session(browser, demo).await
}

/// Sends the page's form, which fits the form's own button, not the demo's clock.
const SAVE: &str = "main form button.main";
const UNDO: &str = "main .notice form button";

/// A name in a script that the fonts of the page do not have, and longer than a line.
const NAME: &str = "Nguyễn Thị Ánh Tuyết of the long way round by the old harbour road";

async fn place(browser: &Browser, demo: &Studio) -> Result<()> {
    browser.go(&demo.address("/places")).await?;
    browser.follow("main a[href=\"/places/new\"]").await?;
    browser.fill("name", "Pilot Hill").await?;
    browser.fill("position", "200, 300").await?;
    browser.follow(SAVE).await?;
    let wrong = browser.attribute("[name=position]", "aria-invalid").await?;
    ensure!(wrong == "true", "no such place on earth, and it was taken");
    let kept = browser.attribute("[name=name]", "value").await?;
    ensure!(kept == "Pilot Hill", "what was typed is lost: {kept}");
    browser.fill("position", "-31.4312, 152.9121").await?;
    browser.follow(SAVE).await?;
    let path = link_to(browser, "Pilot Hill").await?;
    browser.go(&demo.address(&path)).await?;
    browser.fill("name", "Pilot Hill, north side").await?;
    browser.follow(SAVE).await?;
    link_to(browser, "Pilot Hill, north side").await?;
    browser.go(&demo.address(&path)).await?;
    browser.follow(&delete_of(&path)).await?;
    ensure!(!is_linked(browser, "Pilot Hill, north side").await?, "the spot is still there");
    browser.follow(UNDO).await?;
    browser.go(&demo.address("/places")).await?;
    link_to(browser, "Pilot Hill, north side").await?;
    browser.go(&demo.address(&path)).await?;
    browser.follow(&delete_of(&path)).await
}

async fn person(browser: &Browser, demo: &Studio) -> Result<()> {
    browser.go(&demo.address("/people/new")).await?;
    browser.fill("name", NAME).await?;
    browser.fill("email", "tuyet@example.org").await?;
    browser.follow(SAVE).await?;
    let saved = browser.address().await?;
    let path = saved.split('?').next().unwrap_or_default().to_owned();
    ensure!(browser.text("h1").await? == NAME, "the person's page: {saved}");
    browser.fill("phone", "+61 491 570 159").await?;
    browser.follow(SAVE).await?;
    let kept = browser.attribute("[name=phone]", "value").await?;
    ensure!(kept.contains("570"), "the number is kept: {kept}");
    browser.follow(UNDO).await?;
    browser.go(&path).await?;
    let kept = browser.attribute("[name=phone]", "value").await.unwrap_or_default();
    ensure!(kept.is_empty(), "the number is gone again: {kept}");
    browser.follow("form[action$=\"/delete\"] button").await?;
    ensure!(!is_linked(browser, NAME).await?, "the person is still there");
    browser.follow(UNDO).await?;
    browser.go(&demo.address("/people")).await?;
    link_to(browser, NAME).await?;
    browser.go(&path).await?;
    browser.follow("form[action$=\"/delete\"] button").await
}

async fn session(browser: &Browser, demo: &Studio) -> Result<()> {
    browser.go(&demo.address("/season")).await?;
    browser.follow("main a[href=\"/sessions/new\"]").await?;
    browser.fill("sitter", "Wren").await?;
    browser.fill("guardian", "Marit").await?;
    browser.fill("date", "2026-09-04").await?;
    browser.fill("start", "15:30").await?;
    browser.fill("look-0-name", "Blue coat").await?;
    browser.follow(SAVE).await?;
    ensure!(browser.text("h1").await?.contains("Wren"), "the session's page");
    let path = browser.address().await?.split('?').next().unwrap_or_default().to_owned();
    ensure!(browser.has("figure.evening svg").await?, "its evening is drawn at once");
    browser.follow("main a[href$=\"/edit\"]").await?;
    browser.fill("start", "16:00").await?;
    browser.follow(SAVE).await?;
    ensure!(browser.text("h1").await?.contains("16:00"), "the session starts later");
    browser.follow(UNDO).await?;
    browser.go(&path).await?;
    ensure!(browser.text("h1").await?.contains("15:30"), "the session starts as before");
    browser.go(&format!("{path}/edit")).await?;
    browser.follow("form[action$=\"/delete\"] button").await?;
    ensure!(!browser.text("main").await?.contains("Wren"), "the session is still there");
    browser.follow(UNDO).await?;
    browser.go(&path).await?;
    ensure!(browser.text("h1").await?.contains("Wren"), "the session is back");
    browser.go(&format!("{path}/edit")).await?;
    browser.follow("form[action$=\"/delete\"] button").await
}

fn delete_of(path: &str) -> String {
    format!("form[action=\"{path}/delete\"] button")
}

/// The path behind a link, by its words.
async fn link_to(browser: &Browser, words: &str) -> Result<String> {
    let wanted = serde_json::to_string(words)?;
    let found = browser
        .run(&format!(
            "return [...document.querySelectorAll('main a')]\
             .find((link) => link.textContent.trim() === {wanted})?.getAttribute('href')"
        ))
        .await?;
    Ok(found.as_str().with_context(|| format!("there is no link \"{words}\""))?.to_owned())
}

async fn is_linked(browser: &Browser, words: &str) -> Result<bool> {
    Ok(link_to(browser, words).await.is_ok())
}
