//! A scripted evening on a field sheet, tap by tap, and whether a log holds exactly these taps.

use std::time::Duration;

use anyhow::{Context, Result, ensure};
use fairspell_e2e::{Browser, Plain, Sight, Tools, attribute, faults};
use serde_json::{Map, Value, json};
use tokio::time::sleep;

use crate::world::LINH;

/// The showery afternoon, on the way there, as the demo's clock takes it and as the programs do.
pub(crate) const BEFORE: &str = "2026-09-03T14:50";
pub(crate) const BEFORE_UTC: &str = "2026-09-03T04:50:00Z";

/// How long the page may take for what does not need the studio.
pub(crate) const SOON: Duration = Duration::from_secs(10);

/// Two taps nearer than this are one wet finger to the page.
const BETWEEN_TAPS: Duration = Duration::from_millis(650);

const CARD: &str = "#field-card";

/// A phone on which taps are counted.
pub(crate) struct Phone<'a> {
    pub(crate) browser: &'a Browser,
    tools: &'a Tools,
    /// What was tapped, in order: kind, and what goes with it.
    pub(crate) taps: Vec<Value>,
    /// The pictures' names begin with it.
    name: &'static str,
}

impl<'a> Phone<'a> {
    pub(crate) fn new(browser: &'a Browser, tools: &'a Tools, name: &'static str) -> Phone<'a> {
        Phone { browser, tools, taps: Vec::new(), name }
    }

    /// Taps, and waits until the phone has noted just that.
    pub(crate) async fn tap(&mut self, selector: &str, expected: Value) -> Result<()> {
        sleep(BETWEEN_TAPS).await;
        self.touch(selector).await?;
        self.has_noted(expected).await
    }

    /// Taps what is not noted: a fold, or a button of the page's own.
    pub(crate) async fn touch(&self, selector: &str) -> Result<()> {
        self.browser.find(selector).await?;
        // The driver would leave it behind the bar; a person scrolls until she sees it.
        let quoted = Value::from(selector);
        let scroll =
            format!("document.querySelector({quoted}).scrollIntoView({{block: 'center'}})");
        self.browser.run(&scroll).await?;
        self.browser.tap(selector).await
    }

    async fn has_noted(&mut self, expected: Value) -> Result<()> {
        self.taps.push(expected);
        let noted = self.log().await?;
        same_taps(&noted, &self.taps)
    }

    /// The phone's own events, by number.
    pub(crate) async fn log(&self) -> Result<Vec<Value>> {
        let device = self.browser.run("return localStorage.getItem('fairspell-field-device')");
        let device = device.await?;
        let text = self.log_text().await?;
        let (_, log) =
            text.split_once('\n').context("the log is a line for people and one more")?;
        let log: Value = serde_json::from_str(log).context("read the log's text")?;
        ensure!(log["session"] == LINH.trim_start_matches("/sessions/"), "whose log: {log}");
        Ok(of_device(log["events"].as_array().context("there are no events")?, &device))
    }

    /// The text to be sent.
    pub(crate) async fn log_text(&self) -> Result<String> {
        let text = self.browser.run("return document.getElementById('field-log-text').value");
        Ok(text.await?.as_str().context("the log has no text")?.to_owned())
    }

    /// Whatever the page shows now is free of barriers; a picture of it.
    pub(crate) async fn look(&self, name: &str) -> Result<()> {
        self.browser.picture(&format!("{}-{name}", self.name)).await?;
        let found = faults(self.browser, self.tools, Sight::Barriers).await?;
        ensure!(found.is_empty(), "{name}: {}", found.join("\n"));
        Ok(())
    }

    /// The same with every fold open.
    pub(crate) async fn look_at_all(&self, name: &str) -> Result<()> {
        let fold = "document.querySelectorAll('details').forEach((it) => { it.open = ";
        self.browser.run(&format!("{fold} true; }})")).await?;
        self.look(name).await?;
        self.browser.run(&format!("{fold} false; }})")).await?;
        Ok(())
    }

    async fn data(&self, selector: &str, name: &str) -> Result<String> {
        self.browser.attribute(selector, &format!("data-{name}")).await
    }

    /// Starts what the card says; its heading.
    async fn start(&mut self) -> Result<String> {
        const START: &str = "nav [data-do=start].main";
        let heading = self.browser.text("#field-card .what").await?;
        let (set, form) = (self.data(START, "set").await?, self.data(START, "form").await?);
        self.tap(START, json!({"kind": "start", "set": set, "form": form})).await?;
        self.browser.wait_until_says(CARD, "Making now", SOON).await?;
        Ok(heading)
    }

    /// Starts what the card does not say: the first of the list of others; its look and spot.
    async fn start_another(&mut self) -> Result<String> {
        const ANOTHER: &str = "#field-others li:has([data-do=start])";
        let start = format!("{ANOTHER} [data-do=start]");
        self.touch("details[data-fold=others] summary").await?;
        let title = self.browser.text(&format!("{ANOTHER} p")).await?;
        let (set, form) = (self.data(&start, "set").await?, self.data(&start, "form").await?);
        self.tap(&start, json!({"kind": "start", "set": set, "form": form})).await?;
        self.browser.wait_until_says(CARD, "Making now", SOON).await?;
        Ok(title.split(", ").next().unwrap_or_default().to_owned())
    }

    /// The first half of the evening; the heading of what was made.
    pub(crate) async fn until_the_thunder(&mut self) -> Result<String> {
        self.tap("nav [data-do=arrived]", json!({"kind": "arrived"})).await?;
        let made = self.start().await?;
        self.tap("nav [data-rain='2']", json!({"kind": "rain", "class": 2})).await?;
        let budget = self.browser.text("#field-lines").await?;
        ensure!(budget.contains(" s more in the open"), "what hair still bears: {budget}");
        self.look("in-rain").await?;
        self.tap("nav [data-rain='3']", json!({"kind": "rain", "class": 3})).await?;
        self.tap("nav [data-rain='0']", json!({"kind": "rain", "class": 0})).await?;
        self.tap("nav [data-do=done]", json!({"kind": "done"})).await?;
        let next = self.browser.text("#field-card .what").await?;
        ensure!(next != made, "what was made is not next: {next}");
        self.look_at_all("made").await?;

        self.tap("nav .thunder-button", json!({"kind": "thunder"})).await?;
        let stop = self.browser.text(CARD).await?;
        for words in ["Stop. Thunder.", "Go to shop hall", "Stay until 15:2"] {
            ensure!(stop.contains(words), "at thunder it says \"{words}\": {stop}");
        }
        let starts = self.browser.run(
            "return [...document.querySelectorAll('[data-do=start]')]\
             .filter((button) => button.checkVisibility()).length",
        );
        ensure!(starts.await? == 0, "nothing can be begun while thunder is near");
        self.look("thunder").await?;
        let thunder = self.log().await?.pop().context("there is no thunder")?["id"].clone();
        // The first tap only says what the second will do.
        self.touch("nav [data-do=ask_undo]").await?;
        self.tap("nav [data-do=undo]", json!({"kind": "undo", "of": thunder})).await?;
        let again = self.browser.text(CARD).await?;
        ensure!(!again.contains("Thunder"), "the thunder is taken back: {again}");
        Ok(made)
    }

    /// After a reload: all is there, and taps are counted on.
    pub(crate) async fn is_as_before(&self) -> Result<()> {
        self.browser.find("nav button[data-do]").await?;
        same_taps(&self.log().await?, &self.taps)?;
        let log = "return document.getElementById('field-log').textContent";
        let log = self.browser.run(log).await?;
        ensure!(log.as_str().is_some_and(|log| log.contains("started")), "the list of taps: {log}");
        Ok(())
    }

    /// The second half; the heading of the second set.
    pub(crate) async fn after_the_thunder(&mut self) -> Result<String> {
        const CELL: &str = "#field-empty [data-do=cell]";
        for _ in 0..2 {
            let (look, cell) = (self.data(CELL, "look").await?, self.data(CELL, "cell").await?);
            let filled = json!({"kind": "cell", "look": look, "cell": cell, "filled": true});
            self.tap(CELL, filled).await?;
        }
        self.touch("details[data-fold=notes] summary").await?;
        let words = "A stain on the hem; “don't” & <b>";
        self.browser.find("#field-text-note").await?.send_keys(words).await?;
        self.touch("form[data-keep=note] button").await?;
        self.has_noted(json!({"kind": "note", "text": words})).await?;

        self.touch("details[data-fold=seen] summary").await?;
        let damp = "#field-seen [data-do=hair][data-state=damp]";
        self.tap(damp, json!({"kind": "hair", "state": "damp"})).await?;
        self.browser.wait_until_says("#field-lines", "Hair: damp", SOON).await?;
        self.look("seen").await?;
        self.tap("nav [data-do=hold]", json!({"kind": "hold"})).await?;
        self.browser.wait_until_says(CARD, "Waiting under cover", SOON).await?;
        self.look("held").await?;
        self.tap("nav [data-do=resume]", json!({"kind": "resume"})).await?;
        let second = self.start_another().await?;
        self.tap("nav [data-do=done]", json!({"kind": "done"})).await?;
        Ok(second)
    }
}

/// The events of one phone.
pub(crate) fn of_device(events: &[Value], device: &Value) -> Vec<Value> {
    events.iter().filter(|event| event["device"] == *device).cloned().collect()
}

/// Events are these taps and no others, in this order, numbered from 1. What the phone noted by itself,
/// out of the radar picture, was not tapped.
pub(crate) fn same_taps(events: &[Value], taps: &[Value]) -> Result<()> {
    let by_hand = events.iter().filter(|event| event["by"] != "picture");
    let said: Vec<Value> = by_hand.map(what).collect();
    ensure!(said == taps, "tapped {taps:?}, noted {said:?}");
    let mut before = "";
    for (event, n) in events.iter().zip(1_u64..) {
        let at = event["at"].as_str().context("an event has no time")?;
        ensure!(event["n"] == n && at >= before, "out of order: {events:?}");
        before = at;
    }
    Ok(())
}

/// An event without who, when and which.
fn what(event: &Value) -> Value {
    const OF_EVERY_EVENT: [&str; 4] = ["id", "device", "n", "at"];
    let members = event.as_object().into_iter().flatten();
    let rest = members.filter(|(name, _)| !OF_EVERY_EVENT.contains(&name.as_str()));
    Value::Object(rest.map(|(name, value)| (name.clone(), value.clone())).collect::<Map<_, _>>())
}

/// Events with their times written in one way: a phone writes all milliseconds, the studio only as
/// many digits as there are.
pub(crate) fn with_plain_times(events: &[Value]) -> Vec<Value> {
    let mut events = events.to_vec();
    for event in &mut events {
        let at = event["at"].as_str().unwrap_or_default().trim_end_matches('Z');
        let at = if at.contains('.') { at.trim_end_matches('0').trim_end_matches('.') } else { at };
        event["at"] = format!("{at}Z").into();
    }
    events
}

/// The session's log as the studio has it: the answer to a phone that hands in nothing.
pub(crate) async fn studios_log(plain: &Plain) -> Result<Vec<Value>> {
    let page = plain.get(&format!("{LINH}/field")).await?.page()?;
    let tag = page.split('<').find(|tag| tag.contains("name=\"field-online\""));
    let online = tag.and_then(|tag| attribute(tag, "content")).context("the page is not online")?;
    let online: Value = serde_json::from_str(&online)?;
    let nothing = json!({
        "form_word": online["form_word"],
        "sheet_digest": "",
        "sent_at": BEFORE_UTC,
        "events": [],
    });
    let log = online["log"].as_str().context("there is no address for the log")?;
    let answer: Value = serde_json::from_str(&plain.post_json(log, &nothing).await?.page()?)?;
    Ok(answer["events"].as_array().context("the studio has no events")?.clone())
}
