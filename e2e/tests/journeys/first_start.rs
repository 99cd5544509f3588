//! An empty folder: a place, tonight's hours, a passphrase; then the evening.

use anyhow::{Result, ensure};
use fairspell_e2e::{Browser, Scheme, Script, Sight, Studio, Tools, faults};

const PASSPHRASE: &str = "lantern heron sage linen";

pub(crate) async fn first_start(
    browser: &mut Browser,
    tools: &Tools,
    script: Script,
) -> Result<()> {
    let studio = Studio::empty()?;
    browser.go(&studio.address("/")).await?;
    look(browser, tools, script, "start-place").await?;
    browser.fill("position", "31.4312 S, 152.9121 E").await?;
    browser.follow("form[action=\"/start\"] button.main").await?;
    let hours = browser.text("main").await?;
    ensure!(hours.contains("Australia/Sydney"), "whose clocks count there: {hours}");
    look(browser, tools, script, "start-tonight").await?;
    browser.fill("passphrase", PASSPHRASE).await?;
    browser.follow("main form button.main").await?;

    let evening = browser.address().await?;
    ensure!(evening.contains("/sessions/"), "the evening comes: {evening}");
    ensure!(browser.has("figure.evening svg").await?, "the evening is drawn");
    let stands = browser.text("section[aria-labelledby=\"stands\"]").await?;
    ensure!(!stands.contains("settled."), "nothing is known yet, so nothing is settled: {stands}");
    look(browser, tools, script, "start-evening").await?;

    browser.go(&studio.address("/studio")).await?;
    browser.follow("form[action=\"/sign-out\"] button").await?;
    browser.go(&evening).await?;
    ensure!(browser.address().await?.contains("/sign-in"), "signed out, the studio is closed");
    browser.fill("passphrase", "not the passphrase").await?;
    browser.follow("main form button.main").await?;
    let wrong = browser.text("[role=alert]").await?;
    ensure!(wrong == fairspell_words::screens::sign_in::WRONG, "what a wrong one gets: {wrong}");
    look(browser, tools, script, "sign-in").await?;
    browser.fill("passphrase", PASSPHRASE).await?;
    browser.follow("main form button.main").await?;
    ensure!(browser.address().await? == evening, "signed in, where she wanted to go");
    Ok(())
}

/// Looks at a page that only this journey comes past.
async fn look(browser: &Browser, tools: &Tools, script: Script, name: &str) -> Result<()> {
    let sheet = browser.sheet().name();
    for scheme in [Scheme::Light, Scheme::Dark] {
        browser.prefer(scheme).await?;
        if script == Script::On {
            let found = faults(browser, tools, Sight::Barriers).await?;
            ensure!(found.is_empty(), "{name}, {sheet}, {}:\n{}", scheme.name(), found.join("\n"));
            browser.picture(&format!("{name}-{sheet}-{}", scheme.name())).await?;
        }
    }
    Ok(())
}
