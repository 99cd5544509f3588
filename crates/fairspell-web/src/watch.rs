//! The round that never ends: fetch what is due, keep what it said, look again, tell.

use std::{path::PathBuf, sync::Arc, time::Duration};

use fairspell_feeds::{
    Feed, FeedsError, Fetched, Fetcher, From, Identity, Limits, Reach, Retention, due,
    frames::read_frames, prune, span_of, unpack::unpacked,
};
use fairspell_ground::LatLon;
use fairspell_nowcast::ZR;
use fairspell_plan::{
    SeenForecast,
    record::{forecast_figures, radar_figures},
};
use fairspell_studio::{Session, Span, outlook::SourceKind};
use fairspell_weather::read_forecast;
use jiff::{SignedDuration, Timestamp};

use crate::{app::Shared, error::PageError, notices, self_check, skies::House};

/// Between two rounds, when nobody rings.
const ROUND: Duration = Duration::from_mins(1);
/// Between two checks of the public address.
const SELF_CHECK_EVERY: SignedDuration = SignedDuration::from_mins(5);
/// Between two prunings.
const PRUNE_EVERY: SignedDuration = SignedDuration::from_hours(12);

/// Places nearer than this share one forecast, km: half a grid square or two.
const SAME_FORECAST_KM: f64 = 6.0;

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
        // In a task of its own: what goes wrong in one round must not end the next ones.
        let (of_round, pruned) = (app.clone(), last.pruned);
        match tokio::spawn(async move { round(&of_round, pruned).await }).await {
            Ok(pruned) => last.pruned = pruned,
            Err(error) => tracing::error!("a round broke off: {error}"),
        }
        tokio::select! {
            () = tokio::time::sleep(ROUND) => {}
            () = app.soon.notified() => {}
        }
    }
}

/// Whether something is to be done again. What was done in the future was done before the clock was
/// set back.
fn is_due(last: Option<Timestamp>, every: SignedDuration, app: &Shared) -> bool {
    last.is_none_or(|last| {
        let age = app.clock.real().duration_since(last);
        age >= every || age.is_negative()
    })
}

/// One round, each step whatever became of the one before; when readings were last thrown away.
///
/// With a clock that was set nothing is fetched or thrown away: it would not be of then.
async fn round(app: &Shared, pruned: Option<Timestamp>) -> Option<Timestamp> {
    let failed = |what: &str, error: &dyn std::fmt::Display| tracing::error!("{what}: {error}");
    let mut pruned = pruned;
    let house = app.skies().house.clone();
    if let (Some(house), false) = (house, app.clock.is_set()) {
        if let Err(error) = fetch(app, &house).await {
            failed("readings could not be fetched", &error);
        }
        if is_due(pruned, PRUNE_EVERY, app) {
            pruned = Some(app.clock.real());
            let (readings, now) = (app.settings.data.join("readings"), app.clock.now());
            let done =
                tokio::task::spawn_blocking(move || prune(&readings, now, Retention::default()));
            match done.await {
                Ok(Ok(_)) => {}
                Ok(Err(error)) => failed("old readings could not be thrown away", &error),
                Err(error) => failed("old readings could not be thrown away", &error),
            }
        }
    }
    if !app.clock.is_set()
        && let Err(error) = app.look_again().await
    {
        failed("the skies could not be looked at", &error);
    }
    if let Err(error) = notices::send_out(app).await {
        failed("what has to be told could not be sent", &error);
    }
    pruned
}

/// Asks the feeds that are due, and keeps what each says of every spot and session for good.
async fn fetch(app: &Shared, house: &Arc<House>) -> Result<(), PageError> {
    let feeds: Vec<Feed> = app.store.setting(FEEDS).await?.unwrap_or_default();
    if feeds.is_empty() {
        return Ok(());
    }
    let now = app.clock.now();
    let fetcher = fetcher(app).await?;
    for group in groups(house, now) {
        let feeds: Vec<Feed> = feeds.iter().filter_map(|feed| group.feed(feed)).collect();
        for feed in due(&feeds, &fetcher.state(), &group.spans, now, false) {
            fetch_one(app, house, &fetcher, feed, group.place).await?;
        }
    }
    Ok(())
}

/// Sessions ahead that one forecast serves.
struct Group {
    place: LatLon,
    /// Whether it is the one around home, or the only one: whose readings bear the feeds' own names.
    is_first: bool,
    spans: Vec<Span>,
}

impl Group {
    /// A feed as it is asked for this group's place; `None` where it is the same for every place.
    fn feed(&self, feed: &Feed) -> Option<Feed> {
        let is_of_a_place = match &feed.from {
            From::Web(address) | From::Through { address, .. } => address.contains("{lat}"),
            From::Folder(_) => false,
        };
        if self.is_first {
            return Some(feed.clone());
        }
        let here = |id: &str| {
            let (lat, lon) = (self.place.lat_deg() * 100.0, self.place.lon_deg() * 100.0);
            format!("{id}-{:.0}-{:.0}", lat + 9000.0, lon + 18000.0)
        };
        is_of_a_place.then(|| Feed {
            id: here(&feed.id),
            stands_in_for: feed.stands_in_for.as_deref().map(here),
            ..feed.clone()
        })
    }
}

/// The sessions ahead, by places that one forecast serves; the group around home first.
fn groups(house: &House, now: Timestamp) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let stays = |session: &&Session| house.moved_to(session).is_none() && !session.is_erased();
    for session in house.sessions.iter().filter(stays) {
        let Ok(span) = span_of(&house.studio, &house.zone, session) else { continue };
        if span.to <= now {
            continue;
        }
        let spot = session.looks.first().and_then(|look| house.studio.spot(&look.spot));
        let place = spot.map_or(house.studio.home, |spot| spot.position);
        match groups.iter_mut().find(|group| group.place.distance_km(place) <= SAME_FORECAST_KM) {
            Some(group) => group.spans.push(span),
            None => groups.push(Group { place, is_first: false, spans: vec![span] }),
        }
    }
    groups.sort_by(|a, b| {
        let away = |group: &Group| group.place.distance_km(house.studio.home);
        away(a).total_cmp(&away(b))
    });
    if let Some(first) = groups.first_mut() {
        first.is_first = true;
    }
    groups
}

async fn fetch_one(
    app: &Shared,
    house: &Arc<House>,
    fetcher: &Fetcher,
    feed: &Feed,
    place: LatLon,
) -> Result<(), PageError> {
    let now = app.clock.now();
    let jitter = f64::from(app.machine.random_bytes::<1>()[0]) / 255.0;
    match fetcher.fetch(feed, place, now, jitter).await {
        Ok(Fetched::New { files, .. }) => {
            let readings = app.settings.data.join("readings");
            let files = files.iter().map(|file| readings.join(file)).collect();
            keep_figures(app, house, feed, files, now).await
        }
        Ok(Fetched::Failed { .. }) => {
            // Why stands under Sources; an address may hold coordinates, which no log needs.
            tracing::warn!(feed = feed.id, "a feed could not be read");
            Ok(())
        }
        Ok(_) => Ok(()),
        Err(error @ (FeedsError::DiskFull { .. } | FeedsError::ReadOnly { .. })) => {
            Err(PageError::ours(error))
        }
        Err(error) => {
            tracing::error!(feed = feed.id, "a feed could not be kept: {error}");
            Ok(())
        }
    }
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
                    let bytes = unpacked(std::fs::read(file).ok()?).ok()?;
                    let forecast = read_forecast(&bytes).ok()?.value;
                    let seen =
                        SeenForecast { forecast, earlier: Vec::new(), source: source.clone() };
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
