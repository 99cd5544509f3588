//! The keyboard alone: past the navigation, and on to the letter.

use anyhow::{Result, bail, ensure};
use fairspell_e2e::{Browser, Studio};
use fantoccini::{
    actions::{InputSource, KeyAction, KeyActions},
    key::Key,
};
use serde_json::Value;

use crate::world::LINH;

/// No page has so many links and buttons before its letter.
const STEPS_MOST: usize = 60;

pub(crate) async fn keyboard(browser: &mut Browser, demo: &Studio) -> Result<()> {
    browser.go(&demo.address(LINH)).await?;
    press(browser, Key::Tab).await?;
    let first = focused(browser).await?;
    ensure!(first["href"] == "#main", "the first step leads past the navigation: {first}");
    ensure!(first["is_seen"] == true, "where one is can be seen: {first}");
    press(browser, Key::Enter).await?;
    for _ in 0..STEPS_MOST {
        press(browser, Key::Tab).await?;
        let here = focused(browser).await?;
        ensure!(here["is_seen"] == true, "where one is can be seen: {here}");
        ensure!(here["is_in_main"] == true, "the skip link leads into the page: {here}");
        if here["href"] == format!("{LINH}/letter") {
            browser.leave_by("the letter", press(browser, Key::Enter)).await?;
            browser.find("textarea[name=body]").await?;
            return Ok(());
        }
    }
    bail!("the letter is not reached in {STEPS_MOST} steps")
}

async fn press(browser: &Browser, key: Key) -> Result<()> {
    let value = key.into();
    let keys = KeyActions::new("keyboard".to_owned())
        .then(KeyAction::Down { value })
        .then(KeyAction::Up { value });
    Ok(browser.client().perform_actions(keys).await?)
}

/// Where the keyboard is, and whether that can be seen.
async fn focused(browser: &Browser) -> Result<Value> {
    browser
        .run(
            "const here = document.activeElement;\
             const box = here.getBoundingClientRect();\
             const style = getComputedStyle(here);\
             return {\
               tag: here.localName,\
               href: here.getAttribute('href'),\
               is_in_main: here.closest('main') !== null,\
               is_seen: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2\
                 && box.width > 0 && box.right > 0 && box.left < innerWidth,\
             }",
        )
        .await
}
