//! The evening of Thu 3 Sep, from Now to the family's answers in the record.

use std::fs;

use anyhow::{Context, Result, ensure};
use fairspell_e2e::{Browser, Plain, Script, Studio};
use serde_json::{Value, json};

use crate::{
    links::message,
    world::{EVE, LINH, set_clock},
};

pub(crate) async fn whole_path(browser: &mut Browser, demo: &Studio, script: Script) -> Result<()> {
    set_clock(demo, EVE).await?;
    the_ruling_changes(browser, demo).await?;
    the_radar_contradicts(browser, script).await?;
    let letter = the_letter_goes_out(browser, demo, script).await?;
    the_family_answers(browser, demo, &letter).await?;
    if script == Script::On {
        // Only in two of the four ways: an address that tries more links is asked to wait.
        an_altered_link_tells_nothing(browser, &letter).await?;
    }
    Ok(())
}

/// From Now to the evening, and on to its gates.
async fn the_ruling_changes(browser: &Browser, demo: &Studio) -> Result<()> {
    browser.go(&demo.address("/")).await?;
    browser.follow(&format!("main h2 a[href=\"{LINH}\"]")).await?;
    let eve = browser.text("main p.large").await?;
    let rain_percent = percent_after(&eve, "").context("no chance of rain")?;
    ensure!(rain_percent <= 15, "on the eve the forecast is dry: {eve}");
    let stands = browser.text("section[aria-labelledby=\"stands\"]").await?;
    ensure!(stands.contains(&format!("{rain_percent} %")), "why we stand there: {stands}");
    let sky = browser.text("section[aria-labelledby=\"sky\"]").await?;
    ensure!(sky.contains("Saltern Bight weather service"), "the sky names its source: {sky}");
    let drawn = browser.run(
        "return [...document.querySelectorAll('figure.evening svg')]\
         .filter((svg) => svg.checkVisibility()).length",
    );
    ensure!(drawn.await? == json!(1), "the evening is drawn once");

    let mut rulings = vec![eve];
    for clock in ["Thu 3 Sep, 10:00", "Thu 3 Sep, 11:45", "Thu 3 Sep, 14:30"] {
        let next = browser.text(".demo-clock button").await?;
        ensure!(next.contains(clock), "the next gate is {next} instead of {clock}");
        browser.follow(".demo-clock button").await?;
        let now = browser.text(".demo-clock strong").await?;
        ensure!(now.contains(clock), "the clock says {now}");
        rulings.push(browser.text("main p.large").await?);
    }
    let (chair, leave_by) = (&rulings[2], &rulings[3]);
    ensure!(rulings[0] != *chair, "the question changes once hair is being made: {chair}");
    let wet_percent = percent_after(leave_by, "").context("no chance of rain")?;
    ensure!(wet_percent >= 50, "the radar sees rain coming: {leave_by}");
    let sky = browser.text("section[aria-labelledby=\"sky\"]").await?;
    let forecast = percent_after(&sky, "Chance of any rain").context("no chance of rain")?;
    ensure!(forecast == rain_percent, "the forecast says what it said: {forecast} %");
    Ok(())
}

/// The number before the first per cent sign after some words.
fn percent_after(text: &str, words: &str) -> Option<u32> {
    let (_, rest) = text.split_once(words)?;
    let (number, _) = rest.split_once(" %")?;
    number.rsplit(' ').next()?.parse().ok()
}

async fn the_radar_contradicts(browser: &Browser, script: Script) -> Result<()> {
    browser.follow(&format!("main a[href=\"{LINH}/radar\"]")).await?;
    let rainy = browser.run(
        "const svg = [...document.querySelectorAll('.rain-loop svg')]\
         .find((svg) => svg.checkVisibility());\
         const shown = [...svg.querySelectorAll('[data-frame]:not([data-off])')];\
         return [shown.length, shown[0].querySelectorAll('g[class^=r] path').length]",
    );
    let rainy = rainy.await?;
    let (frames, areas) = (rainy[0].as_u64(), rainy[1].as_u64());
    ensure!(frames == Some(1) && areas > Some(0), "one picture, with rain in it: {rainy}");
    if script == Script::On {
        let play = "button[data-play]";
        ensure!(browser.find(play).await?.is_displayed().await?, "the loop can be stopped");
        if browser.text(play).await? == browser.attribute(play, "data-stop").await? {
            browser.tap(play).await?;
        }
    }
    browser.tap(".frames li:last-child a").await?;
    browser.find(".frames li:last-child a[aria-current]").await?;
    let shown = browser
        .run("return document.querySelector('[data-frame]:not([data-off])').dataset.frame")
        .await?;
    ensure!(shown != "0", "the last picture is shown: {shown}");
    browser.follow(&format!("main p > a[href=\"{LINH}\"]")).await
}

/// Reads the letter, makes it the one, and looks at every way in which it can go out.
async fn the_letter_goes_out(browser: &Browser, demo: &Studio, script: Script) -> Result<Letter> {
    browser.follow(&format!("main a.main[href=\"{LINH}/letter\"]")).await?;
    let draft = browser.find("textarea[name=body]").await?;
    let drafted = draft.prop("value").await?.unwrap_or_default();
    ensure!(drafted.starts_with("Dear Linh and Quoc,"), "the draft: {drafted}");
    // A letter word for word like the last one would be that one.
    let own_words = format!("P.S. Written {} script, {}.", script.name(), browser.sheet().name());
    draft.send_keys(&format!("\n\n{own_words}")).await?;
    let subject = browser.attribute("input[name=subject]", "value").await?;
    browser.follow("button[name=do][value=use]").await?;
    let text = browser.run("return document.querySelector('#letter-text').textContent").await?;
    let text = text.as_str().context("there is no letter")?.to_owned();
    ensure!(text.contains(&own_words), "the letter as it was edited: {text}");
    let link = browser.attribute("main a[target=_blank]", "href").await?;
    ensure!(text.contains(&link), "the letter holds the family's link: {text}");

    let people = people(demo)?;
    let mail = message(&browser.attribute("a[href^=\"mailto:\"]", "href").await?, "mailto:")?;
    ensure!(mail.to == known(&people, "email")?, "to whom the mail goes: {:?}", mail.to);
    ensure!(mail.subject.as_deref() == Some(&subject), "the mail's subject: {:?}", mail.subject);
    ensure!(mail.body == text.replace('\n', "\r\n"), "the mail's text: {:?}", mail.body);
    let sms = message(&browser.attribute("a[href^=\"sms:\"]", "href").await?, "sms:")?;
    let phones: Vec<String> =
        known(&people, "phone")?.iter().map(|number| number.replace(' ', "")).collect();
    ensure!(sms.to == phones, "to whom the message goes: {:?}", sms.to);
    ensure!(sms.body.contains(&link), "the message holds the family's link: {}", sms.body);

    let copy = "button[data-copy]";
    let is_shown = browser.find(copy).await?.is_displayed().await?;
    ensure!(is_shown == (script == Script::On), "the copy button is there only with script");
    if script == Script::On {
        let granted = json!({ "origin": demo.base(), "permissions": ["clipboardReadWrite", "clipboardSanitizedWrite"] });
        browser.devtools("Browser.grantPermissions", granted).await?;
        browser.tap(copy).await?;
        let said = browser.attribute(copy, "data-copied").await?;
        browser.wait_for_text(copy, &said).await?;
        let copied = "const done = arguments[arguments.length - 1];\
                      navigator.clipboard.readText().then(done, (error) => done(`${error}`))";
        let copied = browser.client().execute_async(copied, Vec::new()).await?;
        ensure!(copied == Value::String(text), "what was copied: {copied}");
    }
    Ok(Letter { page: browser.address().await?, link })
}

/// A letter that has gone out.
struct Letter {
    page: String,
    link: String,
}

/// The people of the invented studio, as its folder lists them.
fn people(demo: &Studio) -> Result<Vec<Value>> {
    let text = fs::read_to_string(demo.folder().join("people.json")).context("read the people")?;
    Ok(serde_json::from_str(&text)?)
}

/// What is known of Linh and her guardian.
fn known(people: &[Value], what: &str) -> Result<Vec<String>> {
    let of = |id: &str| {
        let person = people.iter().find(|person| person["id"] == id)?;
        Some(person[what].as_str()?.to_owned())
    };
    ["linh", "linh-family"].into_iter().map(of).collect::<Option<_>>().context("who Linh is")
}

/// Follows the link in another window; both answer, and differently.
async fn the_family_answers(browser: &mut Browser, demo: &Studio, letter: &Letter) -> Result<()> {
    let path = letter.link.strip_prefix(demo.base()).context("the link leads elsewhere")?;
    let plain = Plain::new(demo.base());
    let record = letter.page.strip_prefix(demo.base()).context("the letter is elsewhere")?;
    let before = plain.get(record).await?.page()?;
    for _ in 0..3 {
        plain.get(path).await?.page()?;
        plain.get(&format!("{path}?step=send&who=Linh&number=1")).await?.page()?;
    }
    let after = plain.get(record).await?.page()?;
    ensure!(answers_of(&before)? == answers_of(&after)?, "opening a link recorded something");

    browser.tap("main a[target=_blank]").await?;
    let hers = browser.follow_into_new_window().await?;
    ensure!(browser.address().await? == letter.link, "the family's page is open");
    let kept = choose(browser, 1, "Linh").await?;
    let receipt = browser.text("main").await?;
    ensure!(receipt.contains(&kept), "the receipt says what was chosen: {receipt}");

    browser.go(&letter.link).await?;
    let other = choose(browser, 2, "Quoc").await?;
    let told = browser.text("main .notice").await?;
    for words in [&kept, &other] {
        ensure!(told.contains(words.as_str()), "both are told of \"{words}\": {told}");
    }
    browser.go(&letter.link).await?;
    let told = browser.text("main .notice").await?;
    ensure!(told.contains(&kept) && told.contains(&other), "Linh is told as well: {told}");
    browser.close_window(hers).await?;

    browser.go(&demo.address(LINH)).await?;
    let record = browser.text("article.letter-sent").await?;
    for (who, words) in [("Linh", &kept), ("Quoc", &other)] {
        let line = record.lines().find(|line| line.contains(who) && line.contains(words.as_str()));
        let line =
            line.with_context(|| format!("{who}'s answer is not in the record: {record}"))?;
        ensure!(line.contains(" %"), "the record says what {who} had been shown: {line}");
    }
    browser.go(&letter.page).await?;
    let answers = browser.text("main").await?;
    ensure!(answers.contains("They differ"), "she is told that they differ: {answers}");
    Ok(())
}

/// Chooses, says who, reads it once more and confirms; the words of the choice.
async fn choose(browser: &Browser, number: usize, who: &str) -> Result<String> {
    let choice = format!("input[name=number][value=\"{number}\"]");
    let words = browser
        .run(&format!("return document.querySelector('{choice}').labels[0].innerText"))
        .await?;
    let words = words.as_str().and_then(|words| words.trim().split_once(". "));
    let words = words.context("a choice has no words")?.1.trim_end_matches('.').to_owned();
    browser.tap(&choice).await?;
    browser.tap(&format!("input[name=who][value=\"{who}\"]")).await?;
    browser.follow("form button.main").await?;
    let asked = browser.text("h1").await?;
    ensure!(asked.contains(who), "asks once more: {asked}");
    browser.follow("form button.main").await?;
    Ok(words)
}

/// What a letter's page says of its answers. The seal below them also moves with other records.
fn answers_of(page: &str) -> Result<&str> {
    let (_, rest) =
        page.split_once(fairspell_words::screens::letter::ANSWERS).context("answers")?;
    let (answers, _) = rest.split_once("<section").context("the end of the answers")?;
    ensure!(answers.contains("Nobody has answered yet"), "somebody has answered: {answers}");
    Ok(answers)
}

async fn an_altered_link_tells_nothing(browser: &Browser, letter: &Letter) -> Result<()> {
    let (rest, last) = letter.link.split_at(letter.link.len() - 1);
    let other = if last == "A" { "Q" } else { "A" };
    browser.go(&format!("{rest}{other}")).await?;
    let page = browser.text("body").await?;
    ensure!(page.contains(fairspell_words::family::BAD_LINK_TITLE), "a plain page: {page}");
    for name in ["Linh", "Quoc", "Ines", "Heron Walk"] {
        ensure!(!page.contains(name), "an altered link tells of {name}: {page}");
    }
    Ok(())
}
