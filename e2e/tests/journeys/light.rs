//! A spot is noted, its skyline inferred from a sighting, evenings are searched and one is booked.

use anyhow::{Context, Result, ensure};
use fairspell_e2e::{Browser, Script, Studio};

const SAVE: &str = "main form button.main";

/// The key, as the standard for drivers of browsers codes it.
const ARROW_RIGHT: &str = "\u{e014}";

/// The spot's page, by the words of its link.
const SPOT: &str = "Signal Ledge";

pub(crate) async fn light(browser: &mut Browser, demo: &Studio, script: Script) -> Result<()> {
    browser.go(&demo.address("/places/new")).await?;
    browser.fill("name", SPOT).await?;
    browser.fill("position", "-31.7190, 152.7860").await?;
    browser.follow(SAVE).await?;
    let id = browser
        .run(&format!(
            "return [...document.querySelectorAll('main a')]\
             .find((link) => link.textContent.trim() === '{SPOT}')?.getAttribute('href')"
        ))
        .await?;
    let spot = id.as_str().context("the spot is in the list")?.to_owned();
    let light = format!("{spot}/light");

    // By the almanac the sun stays until it sets; somebody saw it go behind a hill.
    browser.go(&demo.address(&format!("{light}?date=2026-09-03"))).await?;
    let facts = browser.text("main").await?;
    ensure!(facts.contains("sunset 17:33"), "the almanac's sunset: {facts}");
    ensure!(facts.contains("to 17:3"), "the sun stays on an open spot: {facts}");
    browser.fill("on", "2026-09-03").await?;
    browser.fill("at", "16:48").await?;
    browser.follow(SAVE).await?;
    let facts = browser.text("main").await?;
    ensure!(facts.contains("to 16:4"), "the sun leaves when it was seen to leave: {facts}");
    browser.picture("light-year").await?;

    if script == Script::On {
        // A day on, by key.
        let body = browser.find("body").await?;
        let press = async { Ok(body.send_keys(ARROW_RIGHT).await?) };
        browser.leave_by("the right arrow key", press).await?;
        let address = browser.address().await?;
        ensure!(address.contains("date=2026-09-04"), "a day on: {address}");
    }

    // Which evenings suit a look there?
    browser.go(&demo.address("/season/offers")).await?;
    let place = spot.trim_start_matches("/places/").to_owned();
    browser
        .run(&format!(
            "document.querySelector('[name=place]').value = {}",
            serde_json::to_string(&place)?
        ))
        .await?;
    browser.fill("from", "2026-09-07").await?;
    // The demo's clock has a field of that name too.
    browser.run("document.querySelector('form.offers [name=to]').value = '2026-09-30'").await?;
    browser.fill("look-0-name", "Blue coat").await?;
    browser.run("document.querySelector('[name=\"look-0-wants\"]').value = 'backlight'").await?;
    browser.follow(SAVE).await?;
    let found = browser.text("#answers").await?;
    ensure!(found.contains("the sun leaves Signal Ledge"), "bounded by what was seen: {found}");
    ensure!(found.contains("Blue coat"), "the look is in the answer: {found}");
    browser.picture("light-offers").await?;

    browser.follow("#answers a.button.main").await?;
    browser.fill("sitter", "Oriel").await?;
    browser.fill("guardian", "Marit").await?;
    browser.follow(SAVE).await?;
    let heading = browser.text("h1").await?;
    ensure!(heading.contains("Oriel") && heading.contains("Sep"), "booked: {heading}");
    let plan = browser.text("main").await?;
    ensure!(
        plan.contains("Signal Ledge") && plan.contains("Begin with 1/"),
        "its light plan: {plan}"
    );

    // Left as it was found.
    let session = browser.address().await?.split('?').next().unwrap_or_default().to_owned();
    browser.go(&format!("{session}/edit")).await?;
    browser.follow("form[action$=\"/delete\"] button").await?;
    browser.go(&demo.address(&spot)).await?;
    browser.follow(&format!("form[action=\"{spot}/delete\"] button")).await
}
