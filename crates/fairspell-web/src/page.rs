//! The shell around every page.

use axum::{
    http::{HeaderValue, header},
    response::{IntoResponse, Response},
};
use fairspell_words::screens::shell;
use maud::{DOCTYPE, Markup, html};

use crate::{assets, visit::Visit};

/// The pages in the navigation, in its order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Section {
    /// What needs her today.
    Now,
    /// All sessions.
    Season,
    /// Spots.
    Places,
    /// Families.
    People,
    /// Pattern, policy, sources, backups.
    Studio,
}

impl Section {
    const ALL: [Section; 5] =
        [Section::Now, Section::Season, Section::Places, Section::People, Section::Studio];

    fn address(self) -> &'static str {
        match self {
            Section::Now => "/",
            Section::Season => "/season",
            Section::Places => "/places",
            Section::People => "/people",
            Section::Studio => "/studio",
        }
    }

    fn name(self) -> &'static str {
        match self {
            Section::Now => shell::NOW,
            Section::Season => shell::SEASON,
            Section::Places => shell::PLACES,
            Section::People => shell::PEOPLE,
            Section::Studio => shell::STUDIO,
        }
    }
}

/// A page of the studio, for whoever is signed in.
pub(crate) fn page(
    visit: &Visit,
    section: Option<Section>,
    title: &str,
    body: &Markup,
) -> Response {
    let invented = visit.app.skies().house.as_ref().is_some_and(|house| house.studio.invented);
    let markup = document(
        title,
        &html! {
            header.top {
                a.skip href="#main" { (shell::SKIP) }
                nav aria-label=(shell::NAVIGATION) {
                    @for one in Section::ALL {
                        a href=(one.address()) aria-current=[(section == Some(one)).then_some("page")] {
                            (one.name())
                        }
                    }
                }
            }
            @if visit.app.settings.is_demo { (crate::pages::demo_clock::bar(visit)) }
            main #main {
                @if let Some(notice) = &visit.notice { (notice.markup(visit)) }
                (body)
            }
            @if invented { footer { p.quiet { (fairspell_words::INVENTED) } } }
        },
    );
    with_policy(markup.into_response(), Some(&visit.nonce))
}

/// A page without navigation: signing in, first start, errors, the family's page.
pub(crate) fn bare_page(title: &str, body: &Markup) -> Response {
    with_policy(bare_document(title, body).into_response(), None)
}

/// The same with figures in it, whose styles are known by a one-time word.
pub(crate) fn bare_page_with_figures(title: &str, body: &Markup, nonce: &str) -> Response {
    with_policy(bare_document(title, body).into_response(), Some(nonce))
}

fn bare_document(title: &str, body: &Markup) -> Markup {
    document(title, &html! { main #main.bare { (body) } })
}

fn document(title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { (title) }
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="robots" content="noindex, nofollow";
                link rel="stylesheet" href=(assets::STYLE.address);
                link rel="icon" type="image/svg+xml" href=(assets::ICON.address);
                link rel="manifest" href=(assets::MANIFEST.address);
                script type="module" src=(assets::SCRIPT.address) {}
            }
            body { (body) }
        }
    }
}

/// What a page may load: its own files, and styles that we wrote into it under this one-time word.
fn with_policy(mut response: Response, nonce: Option<&str>) -> Response {
    let styles = nonce.map_or_else(String::new, |nonce| format!(" 'nonce-{nonce}'"));
    let policy = format!(
        "default-src 'none'; style-src 'self'{styles}; script-src 'self'; img-src 'self' data:; \
         font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    );
    if let Ok(value) = HeaderValue::from_str(&policy) {
        response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, value);
    }
    response
}
