//! What must hold on every page: no barriers, no mistakes, nothing asked of others, and it fits.

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
    let mut found = Vec::new();
    for page in all(world)?.into_iter().skip(part).step_by(PARTS) {
        browser.go(&demo.address(&page.path)).await?;
        for (sheet, scheme, sight) in SIGHTS {
            browser.resize(sheet).await?;
            browser.prefer(scheme).await?;
            let here = format!("{}-{}-{}", page.name, sheet.name(), scheme.name());
            let faults = faults(browser, tools, sight).await?;
            found.extend(faults.into_iter().map(|fault| format!("{here}: {fault}")));
            if sight == Sight::Barriers {
                browser.picture(&here).await?;
            }
        }
        // A page that is not there is said to be not there.
        let is_expected = |line: &String| page.route.is_empty() && line.contains("404");
        let said = browser.console().await?;
        let said = said.into_iter().filter(|line| !is_expected(line));
        found.extend(said.map(|line| format!("{}: the console says {line}", page.name)));
    }
    ensure!(found.is_empty(), "{} faults:\n{}", found.len(), found.join("\n"));
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
