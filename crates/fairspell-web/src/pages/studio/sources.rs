//! Where forecasts, warnings and radar pictures come from.

mod form;

use axum::{extract::Query, response::Response};
use fairspell_feeds::{Feed, FeedState, FeedsState, From};
use fairspell_studio::studio::Expected;
use fairspell_words::screens::{shell, studio as studio_words, studio::sources as words};
use maud::{Markup, html};
use serde::Deserialize;

use form::{fields_of, form_page, new_fields, read};

use super::{about::contact, done, keep, part};
use crate::{
    app::Shared,
    error::PageError,
    fields::Fields,
    form_markup::Field,
    skies::House,
    visit::{Posted, Visit},
    watch::FEEDS,
};

/// Under which name feeds are kept that are not asked for now.
const PAUSED: &str = "paused_feeds";

/// The feeds, asked and paused.
struct Feeds {
    asked: Vec<Feed>,
    paused: Vec<Feed>,
}

impl Feeds {
    async fn load(app: &Shared) -> Result<Feeds, PageError> {
        Ok(Feeds {
            asked: app.store.setting(FEEDS).await?.unwrap_or_default(),
            paused: app.store.setting(PAUSED).await?.unwrap_or_default(),
        })
    }

    async fn keep(&self, app: &Shared) -> Result<(), PageError> {
        app.store.save_setting(FEEDS, &self.asked).await?;
        app.store.save_setting(PAUSED, &self.paused).await?;
        app.fetch_soon();
        Ok(())
    }

    fn all(&self) -> impl Iterator<Item = &Feed> {
        self.asked.iter().chain(&self.paused)
    }

    fn find(&self, id: &str) -> Option<&Feed> {
        self.all().find(|feed| feed.id == id)
    }

    /// Takes a feed out of whichever list has it.
    fn take(&mut self, id: &str) -> Option<Feed> {
        [&mut self.asked, &mut self.paused].into_iter().find_map(|feeds| {
            let at = feeds.iter().position(|feed| feed.id == id)?;
            Some(feeds.remove(at))
        })
    }

    /// Puts a feed where the one of its id stood, or at the end.
    fn put(&mut self, feed: Feed) {
        let known = self.asked.iter_mut().chain(&mut self.paused).find(|one| one.id == feed.id);
        match known {
            Some(known) => *known = feed,
            None => self.asked.push(feed),
        }
    }
}

/// How feeds did so far.
async fn state(app: &Shared) -> Result<FeedsState, PageError> {
    let readings = app.settings.data.join("readings");
    let loaded = tokio::task::spawn_blocking(move || FeedsState::load(&readings));
    loaded.await.map_err(PageError::ours)?.map_err(PageError::ours)
}

/// The sources in one line.
pub(super) async fn line(app: &Shared) -> Result<String, PageError> {
    let (feeds, state) = (Feeds::load(app).await?, state(app).await?);
    let is_failing =
        |feed: &&Feed| state.feeds.get(&feed.id).is_some_and(|known| known.failures > 0);
    let failing = feeds.asked.iter().filter(is_failing).count();
    Ok(studio_words::sources_line(feeds.all().count(), failing, feeds.paused.len()))
}

/// Which form the page opens.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Opened {
    /// A feed's id, or "new".
    feed: Option<String>,
}

/// `GET /studio/sources`.
pub(crate) async fn edit(
    visit: Visit,
    Query(opened): Query<Opened>,
) -> Result<Response, PageError> {
    match opened.feed.as_deref() {
        None => list_page(&visit).await,
        Some("new") => Ok(form_page(&visit, &new_fields())),
        Some(id) => {
            let feeds = Feeds::load(&visit.app).await?;
            let feed = feeds.find(id).ok_or(PageError::NotThere)?;
            Ok(form_page(&visit, &fields_of(feed)))
        }
    }
}

async fn list_page(visit: &Visit) -> Result<Response, PageError> {
    let app = &visit.app;
    let skies = app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let (feeds, state) = (Feeds::load(app).await?, state(app).await?);
    let contact = contact(app).await?;
    let body = html! {
        p { (words::MEANS) }
        @if app.settings.is_demo { p { (words::DEMO) } }
        @if contact.is_none() && !feeds.asked.is_empty() {
            p.wanting { (words::NO_CONTACT) }
        }
        @if feeds.all().next().is_none() {
            p { (words::NONE) }
        } @else {
            ul.lines {
                @for feed in &feeds.asked { li { (feed_markup(visit, house, &feeds, feed, &state)) } }
                @for feed in &feeds.paused {
                    li {
                        (feed_markup(visit, house, &feeds, feed, &state))
                        p.quiet { (words::PAUSED) }
                    }
                }
            }
        }
        p { a.button href="/studio/sources?feed=new" { (words::ADD) } }
        h2 { (words::COVERS) }
        p { (words::COVERS_MEANS) }
        (covers_form(visit, house))
    };
    Ok(part(visit, words::HEADING, &body))
}

fn feed_markup(
    visit: &Visit,
    house: &House,
    feeds: &Feeds,
    feed: &Feed,
    state: &FeedsState,
) -> Markup {
    let never = FeedState::default();
    let state = state.feeds.get(&feed.id).unwrap_or(&never);
    let is_paused = feeds.paused.iter().any(|paused| paused.id == feed.id);
    let decimals = (!matches!(feed.from, From::Folder(_))).then_some(feed.decimals);
    let stands_in_for = feed.stands_in_for.as_deref().and_then(|id| feeds.find(id));
    let zone = &house.zone;
    let name = words::source(feed.kind, &feed.source);
    let label = |word: &str| format!("{word}: {name}");
    html! {
        h2 { (name) }
        p { code { (fields_of(feed).text("from")) } }
        p {
            (words::terms(feed.every_min, decimals)) ". "
            @if let Some(other) = stands_in_for { (words::stands_in_for(&other.source)) ". " }
            (words::last_fetched(state.last_ok_at, zone)) ". "
            @if let Some(next) = state.next_at { (words::next_try(next, zone)) "." }
        }
        @if let Some(error) = &state.last_error {
            @let is_over = state.failures == 0;
            p.wanting[!is_over].quiet[is_over] {
                (words::last_error(error.at, &error.why.to_string(), is_over, zone))
            }
        }
        div.buttons {
            a.button href=(format!("/studio/sources?feed={}", feed.id))
                aria-label=(label(shell::EDIT)) { (shell::EDIT) }
            form method="post" action="/studio/sources" {
                (visit.form_field())
                input type="hidden" name="id" value=(feed.id);
                @if is_paused {
                    button name="do" value="resume" aria-label=(label(words::RESUME)) {
                        (words::RESUME)
                    }
                } @else {
                    button name="do" value="pause" aria-label=(label(words::PAUSE)) {
                        (words::PAUSE)
                    }
                }
            }
        }
        details {
            summary { (words::REMOVE) }
            p { (words::REMOVE_MEANS) }
            form method="post" action="/studio/sources" {
                (visit.form_field())
                input type="hidden" name="id" value=(feed.id);
                button name="do" value="remove" aria-label=(label(words::REMOVE_YES)) {
                    (words::REMOVE_YES)
                }
            }
        }
    }
}

fn covers_form(visit: &Visit, house: &House) -> Markup {
    let value = |expected| if expected == Expected::Yes { "yes" } else { "" };
    let sources = &house.studio.sources;
    let fields =
        Fields::of([("warnings", value(sources.warnings)), ("radar", value(sources.radar))]);
    html! {
        form method="post" action="/studio/sources" {
            (visit.form_field())
            input type="hidden" name="do" value="covers";
            (Field::new(&fields, "warnings", words::COVERS_WARNINGS).tick())
            (Field::new(&fields, "radar", words::COVERS_RADAR).tick())
            div.buttons { button.main { (shell::SAVE) } }
        }
    }
}

/// `POST /studio/sources`.
pub(crate) async fn save(Posted { visit, mut fields }: Posted) -> Result<Response, PageError> {
    let app = &visit.app;
    let mut feeds = Feeds::load(app).await?;
    let id = fields.text("id").to_owned();
    match fields.text("do") {
        "covers" => {
            let expected = |ticked| if ticked { Expected::Yes } else { Expected::NoneHere };
            let mut studio = app.store.studio().await?.ok_or(PageError::NotThere)?;
            studio.sources.warnings = expected(fields.ticked("warnings"));
            studio.sources.radar = expected(fields.ticked("radar"));
            return keep(app, &studio, "sources").await;
        }
        "pause" => {
            let feed = feeds.take(&id).ok_or(PageError::NotThere)?;
            feeds.paused.push(feed);
        }
        "resume" => {
            let feed = feeds.take(&id).ok_or(PageError::NotThere)?;
            feeds.asked.push(feed);
        }
        "remove" => {
            feeds.take(&id).ok_or(PageError::NotThere)?;
        }
        _ => match read(&mut fields, &feeds) {
            Some(feed) => feeds.put(feed),
            None => return Ok(form_page(&visit, &fields)),
        },
    }
    feeds.keep(app).await?;
    Ok(done("sources", "kept"))
}
