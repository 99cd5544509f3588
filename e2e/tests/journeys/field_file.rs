//! The field sheet as one file, opened from the phone's own memory: it has no studio to talk to.

use std::{fs, path::Path, time::Duration};

use anyhow::{Context, Result, ensure};
use fairspell_e2e::{Browser, Plain, Script, Sheet, Studio};
use serde_json::json;
use tempfile::TempDir;

use crate::{
    evening::{
        BEFORE, BEFORE_UTC, Phone, SOON, of_device, same_taps, studios_log, with_plain_times,
    },
    world::{LINH, World, set_clock},
};

pub(crate) async fn field_file(browser: &mut Browser, world: &World) -> Result<()> {
    let studio = Studio::demo()?;
    set_clock(&studio, BEFORE).await?;
    let folder = TempDir::with_prefix("fairspell-file-").context("make a folder")?;
    let sheet = folder.path().join("sheet.html");
    let session = LINH.trim_start_matches("/sessions/");
    let out = sheet.to_str().context("name the file")?;
    let more = ["--session", session, "--as-of", BEFORE_UTC, "--out", out];
    studio.command(&["sheet", "pack"], &more)?;

    browser.go(&file_address(&sheet)).await?;
    let card = browser.wait_until_says("#field-card", "Make next", SOON).await?;
    ensure!(card.contains("Sage satin at Cannery Arcade"), "delicate first: {card}");
    let state = browser.text("#field-state").await?;
    for words in ["hands nothing in by itself", "Taps are kept on this phone"] {
        ensure!(state.contains(words), "a file says \"{words}\": {state}");
    }
    let mut phone = Phone::new(browser, world.tools()?, "field-file");
    let first = phone.until_the_thunder().await?;
    browser.client().refresh().await?;
    phone.is_as_before().await?;
    let second = phone.after_the_thunder().await?;
    let (tapped, text) = (phone.log().await?, phone.log_text().await?);
    same_taps(&tapped, &phone.taps)?;
    nothing_is_asked_for(browser).await?;

    // A message goes out and comes to the studio's page, twice.
    for _ in 0..2 {
        browser.go(&studio.address(LINH)).await?;
        browser.tap("section[aria-labelledby=made] summary").await?;
        let field = browser.find("#field_log, [name=field_log]").await?;
        let paste = "arguments[0].value = arguments[1]";
        let arguments = vec![serde_json::to_value(&field)?, text.as_str().into()];
        browser.client().execute(paste, arguments).await?;
        browser.follow("form[action$='/field/paste'] button").await?;
    }
    let all = studios_log(&Plain::new(studio.base())).await?;
    ensure!(
        with_plain_times(&all) == with_plain_times(&of_device(&tapped, &tapped[0]["device"])),
        "the studio's log is not what was tapped: {all:?}"
    );
    browser.go(&studio.address(LINH)).await?;
    let made = browser.text("section[aria-labelledby=made]").await?;
    for words in [first.as_str(), &second, "made", "Hair damp", "A stain on the hem"] {
        ensure!(made.contains(words), "the record names \"{words}\": {made}");
    }

    tampered(browser, world, &sheet).await
}

/// One byte of the sheet is another: a phone that kept the sound one goes by that, and any other
/// advises nothing and still counts taps.
async fn tampered(browser: &Browser, world: &World, sheet: &Path) -> Result<()> {
    let text = fs::read_to_string(sheet).context("read the file")?;
    let (head, body) = text.split_once("id=\"field-sheet\">").context("there is no sheet in it")?;
    let changed = body.replacen("\"wait_min\":30", "\"wait_min\":20", 1);
    ensure!(changed != body, "there is nothing to change");
    let file = sheet.with_file_name("changed.html");
    fs::write(&file, format!("{head}id=\"field-sheet\">{changed}"))?;
    let address = file_address(&file);

    browser.go(&address).await?;
    let kept = "the one that this phone kept";
    browser.wait_until_says("#field-alerts", kept, SOON).await?;

    let driver = world.driver()?;
    let other = Browser::open(world.tools()?, driver, Script::On, Sheet::Phone).await?;
    other.go(&address).await?;
    other.wait_until_says("#field-alerts", "changed or damaged", SOON).await?;
    let page = other.text("#field").await?;
    for words in ["Make next", "If it stays like this", "Rain to come", "light until", "picture"] {
        ensure!(!page.contains(words), "a changed sheet advises \"{words}\": {page}");
    }
    let mut phone = Phone::new(&other, world.tools()?, "field-changed");
    phone.look("first").await?;
    phone.tap("nav [data-rain='2']", json!({"kind": "rain", "class": 2})).await?;
    phone.tap("nav .thunder-button", json!({"kind": "thunder"})).await?;
    let stop = other.text("#field-card").await?;
    ensure!(stop.contains("Stop. Thunder."), "thunder counts whatever the sheet says: {stop}");
    ensure!(!stop.contains("shop hall"), "no refuge by a changed sheet: {stop}");
    ensure!(stop.contains("30 minutes from the last rumble"), "no shorter wait by it: {stop}");
    other.client().refresh().await?;
    other.wait_until_says("#field-alerts", "changed or damaged", Duration::from_secs(10)).await?;
    same_taps(&phone.log().await?, &phone.taps)?;
    nothing_is_asked_for(&other).await?;
    other.close().await
}

fn file_address(file: &Path) -> String {
    format!("file://{}", file.display())
}

/// The file needs nothing from anywhere.
async fn nothing_is_asked_for(browser: &Browser) -> Result<()> {
    let asked = browser
        .run(
            "return performance.getEntriesByType('resource').map((entry) => entry.name)\
             .filter((name) => !name.startsWith('data:'))",
        )
        .await?;
    ensure!(asked == json!([]), "the file asks for {asked}");
    Ok(())
}
