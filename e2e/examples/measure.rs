//! How fast the program answers, how much memory it takes, and when a page can be used on a slow
//! telephone: a table for a release build.
//!
//! `cargo run --release -p fairspell-e2e --example measure`, after `e2e/prepare.sh`; with `-- field` only
//! the field sheet on a slow telephone. It judges nothing: how fast a computer is that also does other
//! things says little about the program.

#![expect(clippy::print_stdout, reason = "the table is what it is for")]

use std::{env, fs, time::Duration};

use anyhow::{Context, Result};
use fairspell_e2e::{Browser, Driver, Plain, Relay, Script, Sheet, Studio, Tools, pages};
use serde_json::{Value, json};
use tokio::{
    runtime::Runtime,
    time::{Instant, sleep},
};

/// Each page is asked for so many times.
const TIMES: usize = 50;

const LINH: &str = "/sessions/2026-09-03-linh";
/// Gates between which the radar is read anew.
const GATES: [&str; 4] =
    ["2026-09-02T18:00", "2026-09-03T10:00", "2026-09-03T11:45", "2026-09-03T14:30"];

/// A telephone on a slow network: what a request waits for its answer, and how much comes through.
struct Network {
    name: &'static str,
    round_trip_ms: f64,
    kbit_s: f64,
}

/// The processor of a slow telephone is so many times slower than this computer's.
const SLOWER: f64 = 4.0;

const NETWORKS: [Network; 2] = [
    Network { name: "slow 4G", round_trip_ms: 150.0, kbit_s: 1600.0 },
    Network { name: "slow 3G", round_trip_ms: 400.0, kbit_s: 400.0 },
];

fn main() -> Result<()> {
    Runtime::new()?.block_on(async {
        let tools = Tools::find()?;
        let demo = Studio::demo()?;
        let plain = Plain::new(demo.base());
        if env::args().nth(1).is_some_and(|part| part == "field") {
            return field_sheet(&tools, &demo, &plain).await;
        }
        memory_while_decoding(&demo, &plain).await?;
        let family = send_letter(&plain).await?;
        server_times(&plain, &family).await?;
        slow_telephone(&tools, &demo, &family).await?;
        field_sheet(&tools, &demo, &plain).await?;
        cold_start(demo).await
    })
}

async fn set_clock(plain: &Plain, to: &str) -> Result<Duration> {
    let asked = Instant::now();
    plain.post("/clock", Some("/"), &[("to", to)]).await?;
    Ok(asked.elapsed())
}

async fn memory_while_decoding(demo: &Studio, plain: &Plain) -> Result<()> {
    // The peak of building the demo is not the peak of serving it.
    fs::write(format!("/proc/{}/clear_refs", demo.process()), "5").context("forget the peak")?;
    let mut longest = Duration::ZERO;
    for gate in GATES {
        longest = longest.max(set_clock(plain, gate).await?);
    }
    sleep(Duration::from_secs(3)).await;
    println!("memory, demo after its gates      {:>7.0} MB", megabytes(demo, "VmRSS")?);
    println!(
        "memory, peak while reading radar  {:>7.0} MB   target 400",
        megabytes(demo, "VmHWM")?
    );
    println!("setting the clock, at most        {:>7.0} ms", longest.as_secs_f64() * 1e3);
    Ok(())
}

/// A line of what the system knows of the program.
fn megabytes(studio: &Studio, line: &str) -> Result<f64> {
    let status = fs::read_to_string(format!("/proc/{}/status", studio.process()))?;
    let value = status.lines().find_map(|known| known.strip_prefix(line)?.strip_prefix(':'));
    let kilobytes: f64 = value
        .and_then(|value| value.trim().trim_end_matches("kB").trim().parse().ok())
        .with_context(|| format!("read {line}"))?;
    Ok(kilobytes / 1024.0)
}

async fn send_letter(plain: &Plain) -> Result<String> {
    let here = format!("{LINH}/letter");
    let fields = [("subject", "Still on"), ("body", "We are still on."), ("do", "use")];
    let sent = plain.post(&here, Some(&here), &fields).await?;
    let letter = sent.location.context("the letter was not kept")?;
    let page = plain.get(&letter).await?.page()?;
    let link = page.split('"').find(|part| part.starts_with("http://") && part.contains("/f/"));
    let link = link.context("there is no link for the family")?;
    let path = link.find("/f/").unwrap_or_default();
    println!("\nserver time of a page, median and longest of {TIMES}, target 30 ms");
    println!("{:<18}{:>9}{:>9}{:>9}{:>9}", "", "first ms", "median", "longest", "kB");
    server_time(plain, "letter-sent", &letter).await?;
    Ok(link[path..].to_owned())
}

async fn server_times(plain: &Plain, family: &str) -> Result<()> {
    for page in pages("/", family) {
        if page.name != "letter-sent" {
            server_time(plain, page.name, &page.path).await?;
        }
    }
    Ok(())
}

async fn server_time(plain: &Plain, name: &str, path: &str) -> Result<()> {
    let (mut times_ms, mut kilobytes) = (Vec::new(), 0.0);
    for _ in 0..TIMES {
        let asked = Instant::now();
        let answer = plain.get(path).await?;
        times_ms.push(asked.elapsed().as_secs_f64() * 1e3);
        kilobytes = answer.text.len() as f64 / 1024.0;
    }
    let first_ms = times_ms[0];
    times_ms.sort_by(f64::total_cmp);
    let (median_ms, longest_ms) = (times_ms[TIMES / 2], times_ms[TIMES - 1]);
    println!("{name:<18}{first_ms:>9.1}{median_ms:>9.1}{longest_ms:>9.1}{kilobytes:>9.1}");
    Ok(())
}

async fn slow_telephone(tools: &Tools, demo: &Studio, family: &str) -> Result<()> {
    println!(
        "\nfirst visit on a telephone {SLOWER} times slower than this computer, target 1000 ms"
    );
    let heads = ["first paint", "largest", "DOM ready", "requests", "kB sent"];
    println!(
        "{:<28}{:>12}{:>9}{:>11}{:>10}{:>9}",
        "", heads[0], heads[1], heads[2], heads[3], heads[4]
    );
    let driver = Driver::start(tools)?;
    for network in &NETWORKS {
        for (name, path) in [("now", "/"), ("session", LINH), ("family", family)] {
            let browser = Browser::open(tools, &driver, Script::On, Sheet::Phone).await?;
            let seen = first_visit(&browser, network, &demo.address(path)).await;
            browser.close().await?;
            let seen = seen?;
            let figure = |key: &str| seen[key].as_f64().unwrap_or(f64::NAN);
            println!(
                "{:<28}{:>12.0}{:>9.0}{:>11.0}{:>10.0}{:>9.1}",
                format!("{}, {name}", network.name),
                figure("painted_ms"),
                figure("largest_ms"),
                figure("ready_ms"),
                figure("requests"),
                figure("bytes") / 1024.0,
            );
        }
        println!(
            "{:<28}{:>12.0}   two round trips: the page, then its style",
            format!("{}, the floor", network.name),
            2.0 * network.round_trip_ms
        );
    }
    driver.end().await;
    Ok(())
}

/// When the field sheet's first card and its buttons stand there, and how long a tap takes until the
/// page has found out what it means and painted it.
async fn field_sheet(tools: &Tools, demo: &Studio, plain: &Plain) -> Result<()> {
    set_clock(plain, "2026-09-03T15:05").await?;
    let relay = Relay::to(demo.base()).await?;
    let page = format!("{}{LINH}/field", relay.base());
    // The studio solves the evening once; whoever opens it first waits for that.
    plain.get(&format!("{LINH}/field")).await?.page()?;
    println!(
        "\nfield sheet on a telephone {SLOWER} times slower than this computer, target 1000 ms, 5 ms"
    );
    println!(
        "{:<28}{:>12}{:>12}{:>13}{:>9}",
        "", "can tap", "tap, median", "tap, longest", "kB sent"
    );
    let driver = Driver::start(tools)?;
    let fast = Network { name: "this computer", round_trip_ms: 0.0, kbit_s: 1e6 };
    for network in NETWORKS.iter().chain([&fast]) {
        let browser = Browser::open(tools, &driver, Script::On, Sheet::Phone).await?;
        // First from the studio; then as the phone keeps it, while nothing comes through.
        let mut rows =
            vec![(network.name.to_owned(), on_slow_phone(&browser, network, &page).await?)];
        let kept = "opens again without a signal";
        browser.wait_until_says("#field-state", kept, Duration::from_mins(1)).await?;
        if network.name == fast.name {
            relay.cut();
            rows.push((
                "no signal, kept".to_owned(),
                on_slow_phone(&browser, network, &page).await?,
            ));
        }
        browser.close().await?;
        for (name, seen) in rows {
            let figure = |key: &str| seen[key].as_f64().unwrap_or(f64::NAN);
            println!(
                "{:<28}{:>12.0}{:>12.1}{:>13.1}{:>9.1}",
                name,
                figure("ready_ms"),
                figure("tap_ms"),
                figure("longest_ms"),
                figure("bytes") / 1024.0,
            );
        }
    }
    driver.end().await;
    Ok(())
}

async fn on_slow_phone(browser: &Browser, network: &Network, address: &str) -> Result<Value> {
    const WATCH: &str = "new MutationObserver((_, observer) => {\
        if (document.querySelector('#field-card .what') && document.querySelector('nav [data-do]')) {\
          window.readyMs = performance.now();\
          observer.disconnect();\
        }\
      }).observe(document, { childList: true, subtree: true })";
    // Farther apart than those of a wet finger, or the page takes two taps for one.
    const TAPS: &str = "const done = arguments[arguments.length - 1];\
        const taps = [];\
        const tap = () => {\
          const rain = taps.length % 4;\
          const before = performance.now();\
          document.querySelector(`nav [data-rain='${rain}']`).click();\
          taps.push(performance.now() - before);\
          if (taps.length < 12) return setTimeout(tap, 650);\
          const sorted = taps.slice().sort((a, b) => a - b);\
          const [visit] = performance.getEntriesByType('navigation');\
          done({\
            ready_ms: window.readyMs,\
            tap_ms: sorted[sorted.length / 2],\
            longest_ms: sorted.at(-1),\
            bytes: visit.transferSize,\
          });\
        };\
        tap()";
    slow_down(browser, network).await?;
    browser.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": WATCH })).await?;
    browser.go(address).await?;
    browser.find("nav button[data-do]").await?;
    let seen = browser.client().execute_async(TAPS, Vec::new()).await;
    seen.context("read the page's times")
}

async fn first_visit(browser: &Browser, network: &Network, address: &str) -> Result<Value> {
    slow_down(browser, network).await?;
    browser.go(address).await?;
    let figures = "const done = arguments[arguments.length - 1];\
        new PerformanceObserver((list) => {\
          const [visit] = performance.getEntriesByType('navigation');\
          const files = [visit, ...performance.getEntriesByType('resource')];\
          const [paint] = performance.getEntriesByName('first-contentful-paint');\
          done({\
            painted_ms: paint.startTime,\
            largest_ms: list.getEntries().at(-1).startTime,\
            ready_ms: visit.domContentLoadedEventEnd,\
            requests: files.length,\
            bytes: files.reduce((sum, file) => sum + file.transferSize, 0),\
          });\
        }).observe({ type: 'largest-contentful-paint', buffered: true })";
    let seen = browser.client().execute_async(figures, Vec::new()).await;
    seen.context("read the page's times")
}

async fn slow_down(browser: &Browser, network: &Network) -> Result<()> {
    let bytes_s = network.kbit_s * 1000.0 / 8.0;
    let conditions = json!({
        "offline": false,
        "latency": network.round_trip_ms,
        "downloadThroughput": bytes_s,
        "uploadThroughput": bytes_s,
    });
    browser.devtools("Network.enable", json!({})).await?;
    browser.devtools("Network.emulateNetworkConditions", conditions).await?;
    browser.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": SLOWER })).await?;
    Ok(())
}

/// The studio's own command on the demo's folder, from its start to its first page.
async fn cold_start(demo: Studio) -> Result<()> {
    const STARTS: usize = 5;
    let (mut folder, mut starts_ms, mut idle_mb) = (demo.end(), Vec::new(), 0.0);
    for _ in 0..STARTS {
        let started = Instant::now();
        let studio = Studio::serve(folder)?;
        Plain::new(studio.base()).get("/start").await?.page()?;
        starts_ms.push(started.elapsed().as_secs_f64() * 1e3);
        sleep(Duration::from_secs(2)).await;
        idle_mb = megabytes(&studio, "VmRSS")?;
        folder = studio.end();
    }
    starts_ms.sort_by(f64::total_cmp);
    let (median_ms, longest_ms) = (starts_ms[STARTS / 2], starts_ms[STARTS - 1]);
    println!("\ncold start to the first page      {median_ms:>7.0} ms   target 1000");
    println!("the longest of {STARTS}                  {longest_ms:>7.0} ms");
    println!("memory, idle                      {idle_mb:>7.0} MB   target 120");
    Ok(())
}
