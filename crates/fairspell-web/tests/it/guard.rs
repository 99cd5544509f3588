use std::collections::{BTreeMap, BTreeSet, VecDeque};

use axum::http::{Method, StatusCode};

use crate::served::{Answer, Browser, HOME, LINH, PUBLIC, PUBLIC_HOST, Served, Setup};
use crate::{
    desk::{letter, sessions},
    readings::Readings,
};

async fn public() -> Served {
    Served::with(Setup { public_url: Some(PUBLIC), ..Setup::default() }).await
}

#[tokio::test]
async fn only_hosts_that_nobody_else_can_point_at_us_are_answered() {
    let served = public().await;
    for host in [
        "localhost:8045",
        "localhost",
        "127.0.0.1:8045",
        "192.168.1.20:8045",
        "[::1]:8045",
        "[fd00::2]",
        "studio.local:8045",
        PUBLIC_HOST,
        "Studio.Example.Org",
        "studio.example.org:443",
    ] {
        let answer = served.browser(host).get("/sign-in").await;
        assert_eq!(answer.status, StatusCode::OK, "{host}");
    }
    for host in [
        "evil.example",
        "evil.example:8045",
        "localhost.evil.example",
        "127.0.0.1.evil.example",
        "studio.example.org.evil.example",
        "evil.example:studio.example.org",
        "studio.example.org:8045",
        "local",
        ".evil",
        "",
    ] {
        let browser = served.browser(host);
        for answer in [browser.get("/sign-in").await, browser.get("/static/x").await] {
            assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST, "{host}");
            answer.never_says("Linh").never_says("passphrase");
        }
    }
}

#[tokio::test]
async fn without_a_public_address_its_name_is_refused() {
    let served = Served::open().await;
    let answer = served.browser(PUBLIC_HOST).get("/sign-in").await;
    assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST);
}

/// Fetch metadata where browsers send it, else the origin (Fetch standard, "append a request
/// `Origin` header"; Fetch Metadata Request Headers, section 2.3).
#[tokio::test]
async fn forms_are_taken_from_our_own_pages_only() {
    let served = public().await;
    let browser = served.hers().await;
    let page = browser.get("/people/new").await;
    let word = page.form_word().unwrap();
    let fields = [("name", "Ada"), ("role", "sitter"), ("form_word", word)];
    let same = [
        &[("sec-fetch-site", "same-origin")][..],
        // A browser that sends no metadata to an address that is not secure.
        &[("origin", "http://localhost:8045")],
        // By hand, from the address line.
        &[("sec-fetch-site", "none")],
        // Whatever the origin says, metadata cannot be forged by a page.
        &[("sec-fetch-site", "same-origin"), ("origin", "null")],
        // Programs send neither.
        &[],
    ];
    for headers in same {
        let answer = browser.post_with("/people", &fields, headers).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{headers:?}: {}", answer.text);
    }
    let people = served.store.people().await.unwrap().len();
    let other = [
        &[("sec-fetch-site", "cross-site")][..],
        &[("sec-fetch-site", "same-site")],
        &[("sec-fetch-site", "cross-site"), ("origin", "http://localhost:8045")],
        &[("origin", "https://evil.example")],
        &[("origin", "http://localhost:8046")],
        &[("origin", "http://localhost:8045.evil.example")],
        &[("origin", "null")],
    ];
    for headers in other {
        let answer = browser.post_with("/people", &fields, headers).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{headers:?}");
        answer.says("Nothing was changed.");
    }
    assert_eq!(served.store.people().await.unwrap().len(), people);
}

/// A browser names no origin with the form of a page whose referrer policy is `no-referrer`, not
/// even to the same host (Fetch standard, "append a request `Origin` header", step 3), and on the
/// home network, which is no secure context, it sends no metadata either: its forms would all be
/// refused. `same-origin` tells other sites as little (Referrer Policy, section 3.3).
#[tokio::test]
async fn browsers_on_the_home_network_may_name_our_origin_to_us_and_to_nobody_else() {
    let served = Served::open().await;
    let answer = served.browser("192.168.1.20:8045").get("/sign-in").await;
    assert_eq!(answer.header("referrer-policy"), "same-origin");
}

#[tokio::test]
async fn a_form_needs_the_word_of_its_own_sign_in() {
    let served = Served::open().await;
    let (browser, other) = (served.hers().await, served.hers().await);
    let of = async |browser: &Browser| {
        browser.get("/people/new").await.form_word().expect("a form").to_owned()
    };
    let (own, others) = (of(&browser).await, of(&other).await);
    assert_ne!(own, others);
    let mut altered = own.clone();
    altered.replace_range(..1, if own.starts_with('A') { "B" } else { "A" });
    let people = served.store.people().await.unwrap().len();
    for wrong in [None, Some(""), Some("x"), Some(&altered), Some(&own[..40]), Some(&others)] {
        let mut fields = vec![("name", "Ada"), ("role", "sitter")];
        fields.extend(wrong.map(|word| ("form_word", word)));
        let answer = browser.post("/people", &fields).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{wrong:?}");
    }
    assert_eq!(served.store.people().await.unwrap().len(), people);
    let fields = [("name", "Ada"), ("role", "sitter"), ("form_word", &own)];
    assert_eq!(browser.post("/people", &fields).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_sign_in_after_another_one_ended_has_a_word_of_its_own() {
    let served = Served::open().await;
    let browser = served.hers().await;
    let before = browser.get("/people/new").await.form_word().unwrap().to_owned();
    browser.press("/studio", "/sign-out").await;
    crate::served::later(1);
    browser.sign_in().await;
    let fields = [("name", "Ada"), ("role", "sitter"), ("form_word", before.as_str())];
    assert_eq!(browser.post("/people", &fields).await.status, StatusCode::FORBIDDEN);
}

/// An answer of each kind.
async fn kinds(served: &Served) -> Vec<(&'static str, Answer)> {
    let browser = served.hers().await;
    let guest = served.browser(HOME);
    let style = browser.get("/").await;
    let style = style.between("rel=\"stylesheet\" href=\"", "\"").unwrap().to_owned();
    let odd = [("content-type", "application/x-www-form-urlencoded")];
    let broken = browser.ask(Method::POST, "/sign-in", &odd, "%".to_owned() + "zz=%ff").await;
    let all = vec![
        ("page", browser.get("/").await),
        ("sign-in page", guest.get("/sign-in").await),
        ("first start", guest.get("/start").await),
        ("redirect", guest.get("/season").await),
        ("redirect after a form", browser.press("/", "/look-again").await),
        ("static", guest.get(&style).await),
        ("worker", guest.get("/worker.js").await),
        ("no such file", guest.get("/static/nothing.css").await),
        ("no such page", guest.get("/nothing").await),
        ("no such session", browser.get("/sessions/nothing").await),
        ("no such link", guest.get("/f/nothing").await),
        ("no such calendar", guest.get("/calendar/nothing").await),
        ("no own form", browser.post("/look-again", &[]).await),
        ("not by this method", browser.get("/look-again").await),
        ("a form that cannot be read", broken),
        ("another host", served.browser("evil.example").get("/").await),
        ("another site", guest.post_with("/sign-in", &[], &[("origin", "https://x.y")]).await),
        ("self-check", guest.get("/self-check/AAAAAAAAAAAAAAAAAAAAAA").await),
        ("no question", browser.get("/sessions/nothing/radar?frame=x").await),
    ];
    let is = |kind: &str, status: u16| {
        let (_, answer) = all.iter().find(|(known, _)| *known == kind).unwrap();
        assert_eq!(answer.status.as_u16(), status, "{kind}: {}", answer.text);
    };
    is("page", 200);
    is("redirect", 303);
    is("static", 200);
    is("no such file", 404);
    is("no such page", 404);
    is("no own form", 403);
    is("not by this method", 405);
    all
}

#[tokio::test]
async fn every_answer_carries_the_headers_that_keep_others_out() {
    let served = public().await;
    for (kind, answer) in kinds(&served).await {
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("x-frame-options", "DENY"),
            ("referrer-policy", "same-origin"),
            ("cross-origin-opener-policy", "same-origin"),
            ("cross-origin-resource-policy", "same-origin"),
            ("permissions-policy", "camera=(), geolocation=(), microphone=()"),
        ] {
            assert_eq!(answer.header(name), value, "{kind}: {name}");
        }
        let policy = policy_of(&answer);
        assert_eq!(policy["default-src"], ["'none'"], "{kind}");
        assert_eq!(policy["frame-ancestors"], ["'none'"], "{kind}");
        for (directive, sources) in &policy {
            let is_nonce = |source: &str| {
                *directive == "style-src"
                    && source.strip_prefix("'nonce-").is_some_and(|rest| rest.len() == 23)
            };
            for source in sources {
                let is_ours = ["'none'", "'self'"].contains(source)
                    || (*directive == "img-src" && *source == "data:")
                    || is_nonce(source);
                assert!(is_ours, "{kind}: {directive} {source}");
            }
        }
        let cached =
            if kind == "static" { "public, max-age=31536000, immutable" } else { "no-store" };
        assert_eq!(answer.header("cache-control"), cached, "{kind}");
        assert_eq!(answer.headers.get_all("content-security-policy").iter().count(), 1, "{kind}");
    }
}

fn policy_of(answer: &Answer) -> BTreeMap<&str, Vec<&str>> {
    let directives = answer.header("content-security-policy").split(';');
    let words = directives.map(|directive| directive.split_whitespace());
    words.filter_map(|mut words| Some((words.next()?, words.collect()))).collect()
}

/// HTTP Strict Transport Security (RFC 6797, section 7.2): not over a way that is not secure.
#[tokio::test]
async fn browsers_are_told_to_come_securely_only_where_they_did() {
    let served = public().await;
    let of = async |served: &Served, host: &str| {
        let answer = served.browser(host).get("/sign-in").await;
        answer.header("strict-transport-security").to_owned()
    };
    assert_eq!(of(&served, PUBLIC_HOST).await, "max-age=31536000");
    assert_eq!(of(&served, HOME).await, "");
    assert_eq!(of(&served, "192.168.1.20:8045").await, "");
    let setup = Setup { public_url: Some("http://studio.example.org"), ..Setup::default() };
    assert_eq!(of(&Served::with(setup).await, PUBLIC_HOST).await, "");
}

#[tokio::test]
async fn styles_of_a_page_are_known_by_a_word_of_that_request_alone() {
    let served = Served::open().await;
    let browser = served.hers().await;
    let mut words = BTreeSet::new();
    for _ in 0..5 {
        let page = browser.get(&format!("/sessions/{LINH}")).await;
        let policy = policy_of(&page);
        let nonces: Vec<&str> = policy["style-src"]
            .iter()
            .filter_map(|source| source.strip_prefix("'nonce-")?.strip_suffix('\''))
            .collect();
        let [nonce] = nonces[..] else { panic!("one word, not {nonces:?}") };
        let in_page: Vec<&str> = page.text.split("<style").skip(1).collect();
        assert!(!in_page.is_empty(), "the evening has styles of its own");
        for style in in_page {
            let tag = style.split('>').next().unwrap();
            assert!(tag.contains(&format!("nonce=\"{nonce}\"")), "<style{tag}>");
        }
        words.insert(nonce.to_owned());
    }
    assert_eq!(words.len(), 5);
}

/// Every page that can be reached from Now by links, once signed in.
async fn reachable(browser: &Browser) -> BTreeMap<String, Answer> {
    let mut pages = BTreeMap::new();
    let mut waiting = VecDeque::from(["/".to_owned()]);
    while let Some(path) = waiting.pop_front() {
        if pages.contains_key(&path) {
            continue;
        }
        let page = browser.get(&path).await;
        for link in page.text.split("<a ").skip(1) {
            let tag = link.split('>').next().unwrap();
            let Some(href) = tag.split_once("href=\"").and_then(|(_, rest)| rest.split_once('"'))
            else {
                continue;
            };
            let href = href.0.replace("&amp;", "&");
            let href = href.split('#').next().unwrap();
            // A date leads to the next one without end; the page without one stands for all.
            // The same for one session tried on every evening.
            let is_a_date = href.contains("/light?date=") || href.contains("/season/try?");
            if href.starts_with('/') && !is_a_date {
                waiting.push_back(href.to_owned());
            }
        }
        pages.insert(path, page);
    }
    pages
}

#[tokio::test]
async fn no_page_fetches_anything_from_elsewhere_or_needs_what_its_policy_forbids() {
    let setup = Setup { readings: Readings::doubtful, sessions: sessions(), ..Setup::default() };
    let served = Served::with(setup).await;
    served.store.send_letter(&letter("a1")).await.unwrap();
    let browser = served.hers().await;
    let pages = reachable(&browser).await;
    for needed in ["/season", "/places", "/studio/journal", &format!("/sessions/{LINH}/letter")] {
        assert!(pages.contains_key(needed), "{needed} cannot be reached");
    }
    assert!(pages.len() > 25, "only {} pages can be reached", pages.len());
    for (path, page) in &pages {
        assert_ne!(page.status, StatusCode::INTERNAL_SERVER_ERROR, "{path}");
        assert_ne!(page.status, StatusCode::NOT_FOUND, "{path}");
        // To be saved and opened elsewhere: no page of ours.
        if path.ends_with("/field/file") {
            continue;
        }
        for tag in page.text.split('<').skip(1) {
            let tag = tag.split('>').next().unwrap();
            let kind = tag.split_whitespace().next().unwrap_or_default();
            for attribute in tag.split("=\"").map(|part| part.rsplit(' ').next().unwrap()) {
                let is_handler = attribute.starts_with("on") && attribute.len() > 3;
                let is_forbidden = attribute == "style" || is_handler;
                assert!(
                    !(is_forbidden && tag.contains(&format!(" {attribute}=\""))),
                    "{path}: <{tag}>"
                );
            }
            // What a link leads to is only fetched by whoever follows it.
            for attribute in ["src", "href", "action", "srcset", "poster", "data", "formaction"] {
                if kind == "a" && attribute == "href" {
                    continue;
                }
                let Some((_, rest)) = tag.split_once(&format!(" {attribute}=\"")) else { continue };
                let value = rest.split('"').next().unwrap();
                let is_ours = (value.starts_with('/') && !value.starts_with("//"))
                    || value.starts_with('#')
                    || value.starts_with("data:image/");
                assert!(is_ours, "{path}: <{tag}>");
            }
            // The field sheet is one document; its script runs under the page's one-time word.
            let is_known = [" src=\"", " nonce=\"", "type=\"application/json\""];
            let is_known = is_known.iter().any(|part| tag.contains(part));
            assert!(kind != "script" || is_known, "{path}: <{tag}>");
            assert!(kind != "meta" || !tag.contains("http-equiv"), "{path}: <{tag}>");
        }
        page.never_says("url(http").never_says("@import");
    }
}
