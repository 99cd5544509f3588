//! What must hold on every page: no barriers, no mistakes, nothing asked of others, and it fits.

use std::collections::BTreeMap;

use anyhow::{Context, Result, ensure};
use fairspell_e2e::{
    Browser, Markup, Page, Plain, Scheme, Sheet, Sight, check_markup, faults, pages,
    routes_of_pages,
};

use crate::world::World;

/// The pages are looked at in so many parts, each in a browser of its own.
pub(crate) const PARTS: usize = 2;

/// The sizes and colours in which a page is looked at.
const SIGHTS: [(Sheet, Scheme, Sight); 5] = [
    (Sheet::Phone, Scheme::Light, Sight::Barriers),
    (Sheet::Phone, Scheme::Dark, Sight::Barriers),
    (Sheet::Narrow, Scheme::Light, Sight::Fit),
    (Sheet::Desktop, Scheme::Dark, Sight::Barriers),
    (Sheet::Desktop, Scheme::Light, Sight::Barriers),
];

fn all(world: &World) -> Result<Vec<Page>> {
    let sent = world.sent()?;
    Ok(pages(&sent.letter, &sent.family))
}

/// Looks at every second page, in all sizes and colours.
pub(crate) async fn look(browser: &mut Browser, world: &World, part: usize) -> Result<()> {
    let (demo, tools) = (world.demo()?, world.tools()?);
    // A fault is told once for each page, with the sizes and colours in which it is seen.
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for page in all(world)?.into_iter().skip(part).step_by(PARTS) {
        browser.go(&demo.address(&page.path)).await?;
        for (sheet, scheme, sight) in SIGHTS {
            browser.resize(sheet).await?;
            browser.prefer(scheme).await?;
            let here = format!("{}-{}", sheet.name(), scheme.name());
            for fault in faults(browser, tools, sight).await? {
                found.entry(format!("{}: {fault}", page.name)).or_default().push(here.clone());
            }
            if sight == Sight::Barriers {
                browser.picture(&format!("{}-{here}", page.name)).await?;
            }
        }
        // A page that is not there is said to be not there.
        let is_expected = |line: &String| page.route.is_empty() && line.contains("404");
        let said = browser.console().await?;
        for line in said.into_iter().filter(|line| !is_expected(line)) {
            found.entry(format!("{}: the console says {line}", page.name)).or_default();
        }
    }
    let told = found.iter().map(|(fault, seen)| format!("{fault} ({})", seen.join(", ")));
    ensure!(found.is_empty(), "{} faults:\n{}", found.len(), told.collect::<Vec<_>>().join("\n"));
    Ok(())
}

/// What is planted in a good page is found: a look that sees nothing would praise every page.
pub(crate) async fn planted(browser: &mut Browser, world: &World) -> Result<()> {
    const PLANTED: [(&str, &str); 6] = [
        ("document.querySelector('h1').style.width = '2000px'", "scrolls sideways"),
        (
            "document.querySelector('main button').style = 'min-height: 0; padding: 0; height: 20px'",
            "20 px high",
        ),
        ("document.querySelector('main label').remove()", "label ("),
        ("document.querySelector('main label').style.color = '#d0ccc4'", "color-contrast ("),
        ("document.documentElement.lang = ''", "html-has-lang ("),
        (
            "document.querySelector('h1').outerHTML = '<h4>no first heading</h4>'",
            "page-has-heading-one (",
        ),
    ];
    let tools = world.tools()?;
    let address = world.demo()?.address("/people/new");
    for (plant, expected) in PLANTED {
        browser.go(&address).await?;
        browser.run(plant).await?;
        let found = faults(browser, tools, Sight::Barriers).await?.join("\n");
        ensure!(found.contains(expected), "{expected} is not found: {found}");
    }
    browser.go(&address).await?;
    browser
        .run("document.body.insertAdjacentHTML('beforeend', '<p style=\"color: red\">red</p>')")
        .await?;
    let said = browser.console().await?.join("\n");
    ensure!(said.contains("Content Security Policy"), "the policy stopped nothing: {said}");
    let text = "<!DOCTYPE html><html lang=\"en\"><title>x</title><p><table></p></html>".to_owned();
    let found = check_markup(tools, &[Markup { name: "planted".to_owned(), text }])?;
    ensure!(!found.is_empty(), "the checker finds nothing");
    Ok(())
}

/// Every page's source through the checker, forms with mistakes and the family's steps as well.
pub(crate) fn markup(world: &World) -> Result<()> {
    let plain = Plain::new(world.demo()?.base());
    let sent = world.sent()?;
    let family = sent.family.as_str();
    let pages = all(world)?;
    let markup = world.run(async {
        let mut markup = Vec::new();
        for page in &pages {
            let text = plain.get(&page.path).await?.text;
            markup.push(Markup { name: page.name.to_owned(), text });
        }
        let wrong = [("name", "\"<&>"), ("position", "x"), ("email", "x")];
        for (name, path, from) in [
            ("session-mistakes", "/sessions", Some("/sessions/new")),
            ("place-mistakes", "/places", Some("/places/new")),
            ("person-mistakes", "/people", Some("/people/new")),
            ("about-mistakes", "/studio/about", Some("/studio/about")),
            ("week-mistakes", "/studio/week", Some("/studio/week")),
            ("policy-mistakes", "/studio/policy", Some("/studio/policy")),
            ("sources-mistakes", "/studio/sources", Some("/studio/sources")),
            ("telling-mistakes", "/studio/telling", Some("/studio/telling")),
            ("family-mistakes", family, None),
            ("not-our-form", "/sessions", None),
        ] {
            let text = plain.post(path, from, &wrong).await?.text;
            if !text.is_empty() {
                markup.push(Markup { name: name.to_owned(), text });
            }
        }
        let mut chosen = vec![("number", "1"), ("who", "Linh")];
        let text = plain.post(family, None, &chosen).await?.text;
        markup.push(Markup { name: "family-check".to_owned(), text });
        chosen.push(("step", "send"));
        let text = plain.post(family, None, &chosen).await?.text;
        markup.push(Markup { name: "family-receipt".to_owned(), text });
        let text = plain.get(&format!("{family}x")).await?.text;
        markup.push(Markup { name: "family-bad-link".to_owned(), text });
        anyhow::Ok(markup)
    });
    let markup = markup.context("ask for the pages")?;
    let found = check_markup(world.tools()?, &markup)?;
    ensure!(found.is_empty(), "{} faults:\n{}", found.len(), found.join("\n"));
    Ok(())
}

/// A page that nobody looks at would not be missed.
pub(crate) fn list(world: &World) -> Result<()> {
    /// Pages that only a first start comes past; that journey looks at them.
    const OF_FIRST_START: [&str; 2] = ["/sign-in", "/start"];
    let listed = all(world)?;
    let routes = routes_of_pages()?;
    ensure!(routes.len() > 20, "only {} routes were found", routes.len());
    for route in routes {
        let is_listed = listed.iter().any(|page| page.route == route);
        ensure!(
            is_listed || OF_FIRST_START.contains(&route.as_str()),
            "{route} is a page, but not in the list of pages"
        );
    }
    Ok(())
}
