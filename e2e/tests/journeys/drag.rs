//! A session dragged to another evening of the season: what would change is shown, nothing is saved.

use std::time::Duration;

use anyhow::{Result, ensure};
use fairspell_e2e::{Browser, Studio};
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};

/// Callum's session, and a Sunday that is kept in reserve in the same weeks.
const SOLD: &str = "[data-session=\"2026-09-08-callum\"]";
const RESERVE: &str = "[data-date=\"2026-09-13\"]:not([data-session])";

pub(crate) async fn drag(browser: &mut Browser, demo: &Studio) -> Result<()> {
    browser.go(&demo.address("/season")).await?;
    let scroll = format!("document.querySelector('{SOLD}').scrollIntoView({{ block: 'center' }})");
    browser.run(&scroll).await?;
    browser.leave_by("the evening it is dropped on", drop_on(browser)).await?;
    let address = browser.address().await?;
    let wanted = "/season/try?session=2026-09-08-callum&date=2026-09-13";
    ensure!(address.ends_with(wanted), "the drop leads to {address}");
    let heading = browser.text("h1").await?;
    ensure!(heading == "Callum on Sun 13 Sep?", "the page says {heading}");
    browser.go(&demo.address("/season")).await?;
    ensure!(browser.has(SOLD).await?, "nothing was saved, and yet Callum moved");
    Ok(())
}

async fn drop_on(browser: &Browser) -> Result<()> {
    let (sold, evening) = (browser.find(SOLD).await?, browser.find(RESERVE).await?);
    let duration = Some(Duration::from_millis(200));
    let over = |element, x: f64| PointerAction::MoveToElement { element, duration, x, y: 0.0 };
    let hand = MouseActions::new("hand".to_owned())
        .then(over(sold, 0.0))
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(over(evening.clone(), 5.0))
        .then(over(evening, 0.0))
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    Ok(browser.client().perform_actions(hand).await?)
}
