//! Every page, with an address at which it can be looked at.

use std::{fs, path::Path};

use anyhow::{Context, Result};

/// A page of the studio, or of a family.
#[derive(Debug, Clone)]
pub struct Page {
    /// A name for files and messages.
    pub name: &'static str,
    /// Its route, as the program knows it.
    pub route: &'static str,
    /// Where it is shown in the invented studio.
    pub path: String,
}

/// The hardest evening's session.
const LINH: &str = "/sessions/2026-09-03-linh";

/// All pages of the invented studio.
///
/// - `letter`: the path of a letter that has gone out; `family`: of its family's page.
pub fn pages(letter: &str, family: &str) -> Vec<Page> {
    let page = |name, route, path: &str| Page { name, route, path: path.to_owned() };
    let at = |name, route| page(name, route, route);
    let linhs = |name, route, rest: &str| page(name, route, &format!("{LINH}{rest}"));
    vec![
        at("now", "/"),
        at("season", "/season"),
        at("season-import", "/season/import"),
        at("season-offers", "/season/offers"),
        page("season-moving", "/season", "/season?moving=2026-09-08-callum"),
        page("season-try", "/season/try", "/season/try?session=2026-09-08-callum&date=2026-09-13"),
        page("season-plan", "/season/plan", "/season/plan?ask=yes&session=2026-09-08-callum"),
        at("season-climate", "/season/climate"),
        at("session-new", "/sessions/new"),
        linhs("session", "/sessions/{id}", ""),
        linhs("session-edit", "/sessions/{id}/edit", "/edit"),
        linhs("letter-draft", "/sessions/{id}/letter", "/letter"),
        linhs("session-light", "/sessions/{id}/light", "/light"),
        linhs("field", "/sessions/{id}/field", "/field"),
        linhs("radar", "/sessions/{id}/radar", "/radar"),
        linhs("leave", "/sessions/{id}/leave", "/leave"),
        linhs("alternatives", "/sessions/{id}/alternatives", "/alternatives"),
        page("session-over", "/sessions/{id}", "/sessions/2026-08-18-amara"),
        page("session-must-move", "/sessions/{id}", "/sessions/2026-09-15-soraya"),
        page("letter-sent", "/letters/{id}", letter),
        at("places", "/places"),
        at("place-new", "/places/new"),
        page("place", "/places/{id}", "/places/heron_walk"),
        page("place-light", "/places/{id}/light", "/places/long_dune/light?date=2026-09-03"),
        at("people", "/people"),
        at("person-new", "/people/new"),
        page("person", "/people/{id}", "/people/linh"),
        page("person-erase", "/people/{id}/erase", "/people/linh/erase"),
        page("family-erase", "/people/{id}/erase", "/people/2026-09-03-linh/erase"),
        at("studio", "/studio"),
        at("studio-about", "/studio/about"),
        at("studio-week", "/studio/week"),
        at("studio-season", "/studio/season"),
        at("studio-looks", "/studio/looks"),
        at("studio-tide", "/studio/tide"),
        at("studio-policy", "/studio/policy"),
        at("studio-sources", "/studio/sources"),
        at("studio-telling", "/studio/telling"),
        at("studio-sign-ins", "/studio/sign-ins"),
        at("studio-backups", "/studio/backups"),
        at("studio-journal", "/studio/journal"),
        page("family", "/f/{token}", family),
        page("nothing-here", "", "/nothing-is-here"),
    ]
}

/// The routes of the program at which a page can be asked for.
///
/// # Errors
///
/// The program's list of routes cannot be read.
pub fn routes_of_pages() -> Result<Vec<String>> {
    /// Answers that are no pages.
    const NO_PAGES: [&str; 6] = [
        "/calendar/{token}",
        "/self-check/{word}",
        "/sessions/{id}/field/file",
        "/sessions/{id}/field/sheet",
        "/static/{name}",
        "/worker.js",
    ];
    let list = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/fairspell-web/src/routes.rs");
    let text = fs::read_to_string(&list).with_context(|| format!("read {}", list.display()))?;
    let routes = text.lines().filter_map(|line| {
        let (_, rest) = line.split_once(".route(\"")?;
        let (route, handlers) = rest.split_once("\", ")?;
        handlers.starts_with("get(").then(|| route.to_owned())
    });
    Ok(routes.filter(|route| !NO_PAGES.contains(&route.as_str())).collect())
}
