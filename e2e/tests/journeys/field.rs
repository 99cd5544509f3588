//! The field sheet on a phone whose signal goes and comes back.

use std::time::Duration;

use anyhow::{Result, ensure};
use fairspell_e2e::{Browser, Plain, Relay, Script, Sheet, Studio};
use serde_json::json;
use tokio::time::{Instant, sleep};

use crate::{
    evening::{BEFORE, Phone, SOON, of_device, same_taps, studios_log, with_plain_times},
    world::{LINH, World, set_clock},
};

/// The page hands in every half minute, and fetches a sheet every three.
const UNTIL_HANDED_IN: Duration = Duration::from_secs(45);

const STATE: &str = "#field-state";

pub(crate) async fn field(browser: &mut Browser, world: &World) -> Result<()> {
    let studio = Studio::demo()?;
    set_clock(&studio, BEFORE).await?;
    let relay = Relay::to(studio.base()).await?;
    let page = format!("{LINH}/field");

    // An assistant has a phone of her own, and her signal stays.
    let driver = world.driver()?;
    let hers = Browser::open(world.tools()?, driver, Script::On, Sheet::Phone).await?;
    hers.go(&studio.address(&page)).await?;
    hers.find("nav button[data-do]").await?;

    browser.go(&format!("{}{page}", relay.base())).await?;
    let card = browser.wait_until_says("#field-card", "Make next", SOON).await?;
    ensure!(card.contains("Sage satin at Cannery Arcade"), "delicate first: {card}");
    ensure!(card.contains("Under a roof"), "and under the roof: {card}");
    browser.wait_until_says(STATE, "opens again without a signal", SOON).await?;
    let mut phone = Phone::new(browser, world.tools()?, "field");
    phone.look("first").await?;

    relay.cut();
    let first = phone.until_the_thunder().await?;
    let state = browser.text(STATE).await?;
    for words in ["No signal", "8 taps are not yet handed in", "Taps are kept on this phone"] {
        ensure!(state.contains(words), "without a signal it says \"{words}\": {state}");
    }
    ensure!(studios_log(&Plain::new(studio.base())).await?.is_empty(), "nothing has come through");

    let mut assistant = Phone::new(&hers, world.tools()?, "field-assistant");
    assistant.touch("details[data-fold=seen] summary").await?;
    let spot = "#field-seen [data-spot=cannery_arcade]";
    assistant.tap(spot, json!({"kind": "spot", "spot": "cannery_arcade"})).await?;
    let dry = "#field-seen [data-do=hair][data-state=dry]";
    assistant.tap(dry, json!({"kind": "hair", "state": "dry"})).await?;
    hers.wait_until_says(STATE, "All handed in", UNTIL_HANDED_IN).await?;
    let assistants = assistant.log().await?;

    browser.client().refresh().await?;
    phone.is_as_before().await?;
    let second = phone.after_the_thunder().await?;
    only_the_signal_is_missed(browser).await?;

    relay.restore();
    browser.wait_until_says(STATE, "All handed in", UNTIL_HANDED_IN).await?;
    let tapped = phone.log().await?;
    same_taps(&tapped, &phone.taps)?;

    let all = studios_log(&Plain::new(studio.base())).await?;
    let of = |device| with_plain_times(&of_device(&all, device));
    ensure!(
        of(&tapped[0]["device"]) == with_plain_times(&tapped),
        "the studio's log is not what was tapped: {all:?}"
    );
    ensure!(
        of(&assistants[0]["device"]) == with_plain_times(&assistants),
        "the other phone's taps are not as they were: {all:?}"
    );
    ensure!(all.len() == tapped.len() + assistants.len(), "there are others: {all:?}");
    let times: Vec<_> = with_plain_times(&all).iter().map(|it| it["at"].to_string()).collect();
    ensure!(times.is_sorted(), "in order of time: {times:?}");
    has_them_too(&phone, &assistants).await?;
    phone.look("handed-in").await?;

    browser.go(&studio.address(LINH)).await?;
    let made = browser.text("section[aria-labelledby=made]").await?;
    for words in [first.as_str(), &second, "made", "Hair damp", "A stain on the hem"] {
        ensure!(made.contains(words), "the record names \"{words}\": {made}");
    }
    ensure!(!made.contains("not make as it is"), "the studio made that sheet: {made}");
    let said = hers.console().await?;
    ensure!(said.is_empty(), "the other phone's console says: {}", said.join("; "));
    hers.close().await
}

/// What others have tapped comes to this phone as well.
async fn has_them_too(phone: &Phone<'_>, others: &[serde_json::Value]) -> Result<()> {
    let patient_until = Instant::now() + UNTIL_HANDED_IN;
    loop {
        let text = phone.log_text().await?;
        let id = |event: &serde_json::Value| event["id"].to_string();
        if others.iter().all(|event| text.contains(&id(event))) {
            return Ok(());
        }
        ensure!(Instant::now() < patient_until, "the other phone's taps are not here: {text}");
        sleep(Duration::from_millis(100)).await;
    }
}

/// The browser says of every request that it had no answer; a page has no say in that.
async fn only_the_signal_is_missed(browser: &Browser) -> Result<()> {
    let said = browser.console().await?;
    let others: Vec<_> = said.iter().filter(|line| !line.contains("net::ERR_")).collect();
    ensure!(others.is_empty(), "the console says: {others:?}");
    Ok(())
}
