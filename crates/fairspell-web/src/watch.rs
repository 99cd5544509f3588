//! The round that never ends: fetch what is due, keep what it said, look again, tell.

use std::{path::PathBuf, sync::Arc, time::Duration};

use fairspell_feeds::{
    Feed, FeedsError, Fetched, Fetcher, Identity, Limits, Reach, Retention, due,
    frames::read_frames, prune, span_of,
};
use fairspell_nowcast::ZR;
use fairspell_plan::{
    SeenForecast,
    record::{forecast_figures, radar_figures},
};
use fairspell_studio::outlook::SourceKind;
use fairspell_weather::read_forecast;
use jiff::{SignedDuration, Timestamp};

use crate::{app::Shared, error::PageError, notices, self_check, skies::House};

/// Between two rounds, when nobody rings.
const ROUND: Duration = Duration::from_mins(1);
/// Between two checks of the public address.
const SELF_CHECK_EVERY: SignedDuration = SignedDuration::from_mins(5);
/// Between two prunings.
const PRUNE_EVERY: SignedDuration = SignedDuration::from_hours(12);

/// Under which name the feeds are kept.
pub(crate) const FEEDS: &str = "feeds";
/// Under which name her contact for the services is kept.
pub(crate) const CONTACT: &str = "contact";

/// When what was last done.
#[derive(Debug, Default)]
struct Last {
    self_check: Option<Timestamp>,
    pruned: Option<Timestamp>,
}

/// Goes round until it is dropped.
pub(crate) async fn run(app: Shared) {
    if rustls::crypto::CryptoProvider::get_default().is_none() {
        // That somebody else was quicker is as good.
        let _ = rustls::crypto::ring::default_provider().install_default();
    }
    let client = reqwest::Client::builder().redirect(reqwest::redirect::Policy::none()).build();
    let mut last = Last::default();
    loop {
        if let Ok(client) = &client
            && is_due(last.self_check, SELF_CHECK_EVERY, &app)
        {
            self_check::ask(&app, client).await;
            last.self_check = Some(app.clock.real());
        }
        if let Err(error) = round(&app, &mut last).await {
            tracing::error!("a round broke off: {error}");
        }
        tokio::select! {
            () = tokio::time::sleep(ROUND) => {}
            () = app.soon.notified() => {}
        }
    }
}

fn is_due(last: Option<Timestamp>, every: SignedDuration, app: &Shared) -> bool {
    last.is_none_or(|last| app.clock.real().duration_since(last) >= every)
}

/// One round. With a clock that was set nothing is fetched or thrown away: it would not be of then.
async fn round(app: &Shared, last: &mut Last) -> Result<(), PageError> {
    if app.clock.is_set() {
        return Ok(notices::send_out(app).await?);
    }
    if let Some(house) = app.skies().house.clone() {
        fetch(app, &house).await?;
        if is_due(last.pruned, PRUNE_EVERY, app) {
            let (readings, now) = (app.settings.data.join("readings"), app.clock.now());
            let pruned =
                tokio::task::spawn_blocking(move || prune(&readings, now, Retention::default()));
            pruned.await.map_err(PageError::ours)?.map_err(PageError::ours)?;
            last.pruned = Some(app.clock.real());
        }
    }
    app.look_again().await?;
    Ok(notices::send_out(app).await?)
}

/// Asks the feeds that are due, and keeps what each says of every spot and session for good.
async fn fetch(app: &Shared, house: &Arc<House>) -> Result<(), PageError> {
    let feeds: Vec<Feed> = app.store.setting(FEEDS).await?.unwrap_or_default();
    if feeds.is_empty() {
        return Ok(());
    }
    let now = app.clock.now();
    let fetcher = fetcher(app).await?;
    let spans: Vec<_> = house
        .sessions
        .iter()
        .filter(|session| house.moved_to(session).is_none())
        .filter_map(|session| span_of(&house.studio, &house.zone, session).ok())
        .collect();
    let place = house
        .sessions
        .iter()
        .filter(|session| span_of(&house.studio, &house.zone, session).is_ok_and(|s| s.to > now))
        .find_map(|session| house.studio.spot(&session.looks.first()?.spot))
        .map_or(house.studio.home, |spot| spot.position);
    for feed in due(&feeds, &fetcher.state(), &spans, now, false) {
        let jitter = f64::from(app.machine.random_bytes::<1>()[0]) / 255.0;
        match fetcher.fetch(feed, place, now, jitter).await {
            Ok(Fetched::New { files, .. }) => {
                let readings = app.settings.data.join("readings");
                let files = files.iter().map(|file| readings.join(file)).collect();
                keep_figures(app, house, feed, files, now).await?;
            }
            Ok(Fetched::Failed { why, .. }) => {
                tracing::warn!(feed = feed.id, "a feed could not be read: {why}");
            }
            Ok(_) => {}
            Err(error @ (FeedsError::DiskFull { .. } | FeedsError::ReadOnly { .. })) => {
                return Err(PageError::ours(error));
            }
            Err(error) => tracing::error!(feed = feed.id, "a feed could not be kept: {error}"),
        }
    }
    Ok(())
}

/// The fetcher, with her contact in its one header.
async fn fetcher(app: &Shared) -> Result<Fetcher, PageError> {
    let contact: Option<String> = app.store.setting(CONTACT).await?;
    let identity =
        Identity { product: concat!("fairspell/", env!("CARGO_PKG_VERSION")).to_owned(), contact };
    Fetcher::new(
        &app.settings.data.join("readings"),
        &identity,
        Limits::default(),
        Reach::default(),
    )
    .map_err(PageError::ours)
}

async fn keep_figures(
    app: &Shared,
    house: &Arc<House>,
    feed: &Feed,
    files: Vec<PathBuf>,
    now: Timestamp,
) -> Result<(), PageError> {
    let (house, source, kind) = (house.clone(), feed.source.clone(), feed.kind);
    match kind {
        SourceKind::Radar => {
            let places: Vec<_> = house.studio.spots.iter().map(|spot| spot.position).collect();
            let figures = tokio::task::spawn_blocking(move || {
                let frames = read_frames(&files, now, &places, ZR::default());
                let of = |field| radar_figures(field, &house.studio.spots, &source, now);
                frames.fields.iter().flat_map(of).collect::<Vec<_>>()
            });
            let figures = figures.await.map_err(PageError::ours)?;
            app.store.keep_radar_figures(&figures).await?;
        }
        SourceKind::Forecast => {
            let figures = tokio::task::spawn_blocking(move || {
                let House { studio, zone, sessions, .. } = &*house;
                let of = |file: &PathBuf| {
                    let forecast = read_forecast(&std::fs::read(file).ok()?).ok()?.value;
                    let seen = SeenForecast { forecast, source: source.clone() };
                    Some(forecast_figures(studio, zone, sessions, &seen, now))
                };
                files.iter().filter_map(of).flatten().collect::<Vec<_>>()
            });
            let figures = figures.await.map_err(PageError::ours)?;
            app.store.keep_forecast_figures(&figures).await?;
        }
        SourceKind::Warnings => {}
    }
    Ok(())
}
