use axum::http::{Method, StatusCode};
use fairspell_web::{PassphraseRefused, replace_passphrase};

use crate::{
    desk::PASSPHRASE,
    served::{Answer, Browser, HOME, PUBLIC, PUBLIC_HOST, Served, Setup, it_is, later, machine},
};

const NEW: &str = "eight dry umbrellas";
const WRONG: &str = "That is not the passphrase.";

async fn tried(browser: &Browser, passphrase: &str) -> Answer {
    browser.post("/sign-in", &[("passphrase", passphrase)]).await
}

async fn is_signed_in(browser: &Browser) -> bool {
    browser.get("/season").await.status == StatusCode::OK
}

/// OWASP Password Storage Cheat Sheet, as published in 2024: Argon2id "with a minimum configuration
/// of 19 MiB of memory, an iteration count of 2, and 1 degree of parallelism". The string's form is
/// the PHC string format; version 19 is that of RFC 9106.
#[tokio::test]
async fn a_passphrase_is_kept_as_its_argon2id_hash_alone() {
    let served = Served::open().await;
    let mut hashes = Vec::new();
    for _ in 0..2 {
        replace_passphrase(&served.store, machine(), NEW).await.unwrap();
        hashes.push(served.store.setting::<String>("passphrase").await.unwrap().unwrap());
    }
    for hash in &hashes {
        let parts: Vec<&str> = hash.split('$').collect();
        let ["", "argon2id", "v=19", costs, salt, digest] = parts[..] else { panic!("{hash}") };
        let costs: Vec<(&str, u32)> = costs
            .split(',')
            .map(|cost| cost.split_once('=').unwrap())
            .map(|(name, cost)| (name, cost.parse().unwrap()))
            .collect();
        let [("m", memory_kib), ("t", passes), ("p", 1)] = costs[..] else { panic!("{hash}") };
        assert!(memory_kib >= 19 * 1024 && passes >= 2, "{hash}");
        // In base64 without padding: 16 bytes of salt, 32 of the hash.
        assert_eq!((salt.len(), digest.len()), (22, 43), "{hash}");
    }
    assert_ne!(hashes[0], hashes[1], "each has a salt of its own");
    let browser = served.browser(HOME);
    assert_eq!(tried(&browser, NEW).await.status, StatusCode::SEE_OTHER);
    tried(&served.browser(HOME).from("192.168.1.9"), PASSPHRASE).await.says(WRONG);
    let token = browser.cookies()["fairspell"].clone();
    for secret in [NEW, "eight+dry", &token] {
        assert!(!is_in_the_folder(&served, secret), "{secret} can be read in the folder");
    }
    assert!(is_in_the_folder(&served, &hashes[1]), "the search finds what is there");
}

fn is_in_the_folder(served: &Served, text: &str) -> bool {
    let files = std::fs::read_dir(served.folder.path()).unwrap();
    let mut files = files.map(|file| file.unwrap().path()).filter(|path| path.is_file());
    files.any(|file| {
        let bytes = std::fs::read(file).unwrap();
        bytes.windows(text.len()).any(|window| window == text.as_bytes())
    })
}

#[tokio::test]
async fn a_passphrase_has_a_length() {
    let served = Served::open().await;
    for wrong in ["", "nine char", &"x".repeat(501)] {
        let refused = replace_passphrase(&served.store, machine(), wrong).await;
        assert!(
            matches!(refused, Err(PassphraseRefused::Length { shortest: 10, longest: 500 })),
            "{wrong}"
        );
    }
    // Characters, not bytes: 500 of four bytes each are right.
    let long = "\u{1F302}".repeat(500);
    replace_passphrase(&served.store, machine(), &long).await.unwrap();
    assert_eq!(tried(&served.browser(HOME), &long).await.status, StatusCode::SEE_OTHER);
    let longer = served.browser(HOME).from("192.168.1.9");
    tried(&longer, &"\u{1F302}".repeat(501)).await.says(WRONG);
}

/// draft-ietf-httpbis-rfc6265bis, sections 4.1.2 and 4.1.3.2: the attributes, and what the prefix
/// `__Host-` asks for: Secure, Path=/, no Domain.
#[tokio::test]
async fn the_cookie_stays_with_this_host_and_away_from_scripts() {
    let served = Served::with(Setup { public_url: Some(PUBLIC), ..Setup::default() }).await;
    let cookie_of = async |host: &str| {
        let answer = tried(&served.browser(host), PASSPHRASE).await;
        let cookies: Vec<_> = answer.headers.get_all("set-cookie").iter().collect();
        let [cookie] = cookies[..] else { panic!("one cookie, not {cookies:?}") };
        let mut parts = cookie.to_str().unwrap().split("; ").map(str::to_owned);
        let (name, token) = parts.next().unwrap().split_once('=').map(own).unwrap();
        // 32 bytes in base64url.
        assert_eq!(token.len(), 43);
        let mut attributes: Vec<String> = parts.collect();
        attributes.sort();
        (name, attributes.join("; "))
    };
    let thirty_days = 30 * 24 * 60 * 60;
    let everywhere = format!("HttpOnly; Max-Age={thirty_days}; Path=/; SameSite=Lax");
    let (name, attributes) = cookie_of(PUBLIC_HOST).await;
    assert_eq!((name.as_str(), attributes), ("__Host-fairspell", format!("{everywhere}; Secure")));
    for host in [HOME, "192.168.1.20:8045"] {
        let (name, attributes) = cookie_of(host).await;
        assert_eq!((name.as_str(), &attributes), ("fairspell", &everywhere), "{host}");
    }
}

fn own((name, value): (&str, &str)) -> (String, String) {
    (name.to_owned(), value.to_owned())
}

#[tokio::test]
async fn an_old_cookie_of_the_home_network_does_not_hide_the_secure_one() {
    let served = Served::with(Setup { public_url: Some(PUBLIC), ..Setup::default() }).await;
    let browser = served.browser(PUBLIC_HOST);
    browser.sign_in().await;
    assert!(is_signed_in(&browser).await);
    let token = &browser.cookies()["__Host-fairspell"];
    for cookies in [
        format!("fairspell=old; __Host-fairspell={token}"),
        format!("__Host-fairspell={token}; fairspell=old"),
    ] {
        let bare = served.browser(PUBLIC_HOST);
        let headers = [("cookie", cookies.as_str())];
        let answer = bare.ask(Method::GET, "/season", &headers, String::new()).await;
        assert_eq!(answer.status, StatusCode::OK, "{cookies}");
    }
}

#[tokio::test]
async fn a_sign_in_ends_after_thirty_days() {
    it_is("2026-08-01T12:00:00Z");
    let served = Served::open().await;
    let browser = served.hers().await;
    later(30 * 24 * 60 - 1);
    assert!(is_signed_in(&browser).await);
    later(1);
    let answer = browser.get("/people/new?x=1&y=2").await;
    assert_eq!(answer.location(), "/sign-in?next=%2Fpeople%2Fnew%3Fx%3D1%26y%3D2");
    let page = browser.follow(&answer).await;
    let entered = browser.submit(&page, "/sign-in", &[("passphrase", PASSPHRASE)]).await;
    assert_eq!(entered.location(), "/people/new?x=1&y=2");
    assert_eq!(browser.follow(&entered).await.status, StatusCode::OK);
}

#[tokio::test]
async fn who_signs_out_or_is_signed_out_cannot_come_back_with_the_old_cookie() {
    let served = Served::open().await;
    let [leaving, staying] = [served.hers().await, served.hers().await];
    let before = leaving.cookies();
    let left = leaving.press("/studio", "/sign-out").await;
    assert_eq!(left.location(), "/sign-in");
    assert!(leaving.cookies().is_empty(), "the browser drops it");
    leaving.keep(&format!("fairspell={}", before["fairspell"]));
    assert!(!is_signed_in(&leaving).await, "and the studio does not know it any more");
    assert!(is_signed_in(&staying).await);
    replace_passphrase(&served.store, machine(), NEW).await.unwrap();
    assert!(!is_signed_in(&staying).await, "a new passphrase ends every sign-in");
}

#[tokio::test]
async fn a_made_up_cookie_opens_nothing() {
    let served = Served::open().await;
    let known = served.hers().await.cookies()["fairspell"].clone();
    for token in ["", "x", "0", &known[1..], &known.to_lowercase(), &format!("{known}A")] {
        let browser = served.browser(HOME);
        browser.keep(&format!("fairspell={token}"));
        assert!(!is_signed_in(&browser).await, "{token}");
    }
}

#[tokio::test]
async fn a_form_that_came_too_late_leads_on_to_a_page_that_is_there() {
    let served = Served::open().await;
    let guest = served.browser(HOME);
    let answer = guest.post("/letters/a1/answers", &[("number", "1")]).await;
    let page = guest.follow(&answer).await;
    let entered = guest.submit(&page, "/sign-in", &[("passphrase", PASSPHRASE)]).await;
    assert_eq!(guest.follow(&entered).await.status, StatusCode::OK);
}

#[tokio::test]
async fn wrong_tries_slow_down_and_a_right_one_starts_anew() {
    let served = Served::open().await;
    let browser = served.browser(HOME).from("203.0.113.7");
    for _ in 0..5 {
        tried(&browser, "guess").await.says(WRONG);
    }
    let mut waits = Vec::new();
    for _ in 0..10 {
        let refused = tried(&browser, PASSPHRASE).await;
        assert_eq!(refused.status, StatusCode::TOO_MANY_REQUESTS, "not even the right one");
        let mut waited = 0;
        while tried(&browser, "guess").await.status == StatusCode::TOO_MANY_REQUESTS {
            crate::served::seconds_later(1);
            waited += 1;
        }
        waits.push(waited);
    }
    assert_eq!(waits, [5, 10, 20, 40, 80, 160, 320, 640, 900, 900]);
    // Others are not kept waiting.
    for elsewhere in ["203.0.113.8", "2001:db8::7"] {
        let answer = tried(&served.browser(HOME).from(elsewhere), PASSPHRASE).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
    }
    later(15);
    assert_eq!(tried(&browser, PASSPHRASE).await.status, StatusCode::SEE_OTHER);
    for _ in 0..5 {
        tried(&browser, "guess").await.says(WRONG);
    }
}

/// One household may draw on 2^64 addresses of IPv6 (RFC 6177), and an IPv4 address comes in two
/// spellings (RFC 4291, section 2.5.5.2).
#[tokio::test]
async fn another_address_of_the_same_household_is_the_same_guesser() {
    let served = Served::open().await;
    for (first, second, is_same) in [
        ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9", true),
        ("2001:db8:1:2::1", "2001:db8:1:3::1", false),
        ("203.0.113.7", "::ffff:203.0.113.7", true),
        ("203.0.113.7", "203.0.113.8", false),
    ] {
        let served = if is_same { &served } else { &Served::open().await };
        for _ in 0..5 {
            tried(&served.browser(HOME).from(first), "guess").await;
        }
        let answer = tried(&served.browser(HOME).from(second), "guess").await;
        let is_slowed = answer.status == StatusCode::TOO_MANY_REQUESTS;
        assert_eq!(is_slowed, is_same, "{first} and {second}");
    }
}

/// A web server of our own hands on who asks; what was written before its own entry anybody may have
/// written.
#[tokio::test]
async fn through_a_web_server_on_this_computer_its_own_word_counts_and_nobody_elses() {
    let guesses = async |served: &Served, from: &str, said: &str| {
        let browser = served.browser(HOME).from(from);
        let headers = [("x-forwarded-for", said)];
        let mut statuses = Vec::new();
        for number in 0..7 {
            let said = headers[0].1.replace('N', &number.to_string());
            let headers = [("x-forwarded-for", said.as_str())];
            let answer = browser.post_with("/sign-in", &[("passphrase", "guess")], &headers).await;
            statuses.push(answer.status.as_u16());
        }
        statuses.iter().filter(|status| **status == 429).count()
    };
    let public =
        async || Served::with(Setup { public_url: Some(PUBLIC), ..Setup::default() }).await;
    for (from, said, slowed) in [
        ("127.0.0.1", "203.0.113.7", 2),
        ("127.0.0.1", "203.0.113.N", 0),
        ("127.0.0.1", "198.51.100.N, 203.0.113.7", 2),
        ("127.0.0.1", "no address N", 2),
        // From elsewhere nobody's word counts.
        ("203.0.113.9", "198.51.100.N", 2),
    ] {
        assert_eq!(guesses(&public().await, from, said).await, slowed, "{from}: {said}");
    }
    // Nor where there is no public address, and so no web server before us.
    assert_eq!(guesses(&Served::open().await, "127.0.0.1", "203.0.113.N").await, 2);
}

#[tokio::test]
async fn many_tries_at_once_gain_nothing() {
    let served = Served::open().await;
    let browser = served.browser(HOME);
    let mut at_once = tokio::task::JoinSet::new();
    for number in 0..40 {
        let browser = Browser::new(&served.router, HOME);
        // The right one is among those that come too late.
        let passphrase = if number == 30 { PASSPHRASE } else { "guess" };
        at_once.spawn(async move { tried(&browser, passphrase).await.status.as_u16() });
    }
    let statuses = at_once.join_all().await;
    let looked_at = statuses.iter().filter(|status| **status != 429).count();
    assert_eq!(looked_at, 5, "{statuses:?}");
    assert!(!is_signed_in(&browser).await);
}

#[tokio::test]
async fn signing_in_leads_on_to_our_own_pages_only() {
    let served = Served::open().await;
    for (next, leads_to) in [
        ("/season", "/season"),
        ("/sessions/2026-09-03-linh?x=1&y=%2F", "/sessions/2026-09-03-linh?x=1&y=%2F"),
        ("", "/"),
        ("season", "/"),
        ("//evil.example", "/"),
        (" //evil.example", "/"),
        ("///evil.example", "/"),
        ("/\\evil.example", "/"),
        ("\\\\evil.example", "/"),
        ("https://evil.example", "/"),
        ("https:evil.example", "/"),
        ("javascript:alert(1)", "/"),
        ("/\t/evil.example", "/"),
        ("/\n/evil.example", "/"),
        ("\u{0}//evil.example", "/"),
        ("/x\r\nset-cookie: a=b", "/"),
        // Nothing that an address can hold.
        ("/\u{fc}ber", "/"),
    ] {
        let browser = served.browser(HOME);
        let fields = [("passphrase", PASSPHRASE), ("next", next)];
        let answer = browser.post("/sign-in", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{next:?}");
        let location = answer.location();
        assert!(is_on_this_host(location), "{next:?} leads to {location}");
        if !next.contains(char::is_control) {
            assert_eq!(location, leads_to, "{next:?}");
        }
        let asked = serde_urlencoded::to_string([("next", next)]).unwrap();
        let page = browser.get(&format!("/sign-in?{asked}")).await;
        let carried = page.between("name=\"next\" value=\"", "\"").unwrap().replace("&amp;", "&");
        assert!(is_on_this_host(&carried), "{next:?} carries {carried}");
    }
}

/// As browsers read an address (URL standard): a tab or a line end counts for nothing, and a
/// backslash is a slash.
fn is_on_this_host(address: &str) -> bool {
    let read: String = address.chars().filter(|c| !c.is_control()).collect();
    let read = read.replace('\\', "/");
    read.starts_with('/') && !read.starts_with("//")
}

#[tokio::test]
async fn the_passphrase_is_never_shown_again() {
    let served = Served::open().await;
    let browser = served.browser(HOME);
    for (typed, next) in [("one wrong passphrase", "/season"), ("<b>bold</b>", "/\"><b>")] {
        let fields = [("passphrase", typed), ("next", next)];
        let page = browser.post("/sign-in", &fields).await;
        page.says(WRONG).never_says(typed).never_says("<b>");
    }
}
