//! Everything that a request can reach: the store, the clock, the skies, the secrets.

use std::{
    net::SocketAddr,
    path::PathBuf,
    sync::{Arc, PoisonError, RwLock},
};

use fairspell_store::Store;
use jiff::Timestamp;
use tokio::sync::Notify;

use crate::{
    clock::{Clock, Machine},
    error::PageError,
    guesses::Guesses,
    notices,
    secrets::Secrets,
    skies::{Looker, Skies},
};

/// How a studio is served.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The studio's folder.
    pub data: PathBuf,
    /// Where to listen.
    pub listen: SocketAddr,
    /// The address under which families reach it, without a slash at its end.
    pub public_url: Option<String>,
    /// The invented studio: its clock can be set, nobody has to sign in, nothing is fetched.
    pub is_demo: bool,
    /// The moment at which the clock stands; without it, the real one.
    pub clock: Option<Timestamp>,
}

/// The running studio.
#[derive(Debug)]
pub struct App {
    pub(crate) settings: Settings,
    pub(crate) machine: Machine,
    pub(crate) clock: Clock,
    pub(crate) store: Store,
    pub(crate) secrets: Secrets,
    pub(crate) guesses: Guesses,
    pub(crate) looker: Looker,
    /// When the public address last answered our own check.
    pub(crate) public_answered: RwLock<Option<Timestamp>>,
    /// Rung when the round should not wait.
    pub(crate) soon: Notify,
    skies: RwLock<Arc<Skies>>,
}

/// What handlers hold.
pub(crate) type Shared = Arc<App>;

/// For how long one answer of the public address counts, minutes.
const ANSWER_COUNTS_MIN: i64 = 15;

impl App {
    /// Opens a studio and looks at its skies once.
    ///
    /// - `store`: the studio's, opened for writing.
    ///
    /// # Errors
    ///
    /// What the store says: it cannot be read or written.
    pub async fn open(
        settings: Settings,
        machine: Machine,
        store: Store,
    ) -> Result<Arc<App>, PageError> {
        let clock = Clock::new(machine, settings.clock);
        let secrets = Secrets::load(&store, &machine).await?;
        let looker = Looker::new(settings.data.clone());
        let app = Arc::new(App {
            settings,
            machine,
            clock,
            store,
            secrets,
            guesses: Guesses::default(),
            looker,
            public_answered: RwLock::new(None),
            soon: Notify::new(),
            skies: RwLock::new(Arc::new(Skies::default())),
        });
        app.look_again().await?;
        Ok(app)
    }

    /// The skies as they were last looked at.
    pub(crate) fn skies(&self) -> Arc<Skies> {
        self.skies.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Looks at every session's sky again: after a change, a new reading, or when time has passed.
    pub(crate) async fn look_again(self: &Arc<Self>) -> Result<Arc<Skies>, PageError> {
        let Some(studio) = self.store.studio().await? else { return Ok(self.skies()) };
        let (sessions, people) = (self.store.sessions().await?, self.store.people().await?);
        let (app, now, before) = (self.clone(), self.clock.now(), self.skies());
        let looked = tokio::task::spawn_blocking(move || {
            app.looker.look(studio, sessions, people, now, &before)
        });
        let skies = Arc::new(looked.await.map_err(PageError::ours)??);
        *self.skies.write().unwrap_or_else(PoisonError::into_inner) = skies.clone();
        notices::note(self, &skies).await?;
        Ok(skies)
    }

    /// Has the round go once more without waiting: something is to be fetched or told.
    pub(crate) fn fetch_soon(&self) {
        self.soon.notify_one();
    }

    /// The public address, while it answers.
    pub(crate) fn public_url(&self) -> Option<&str> {
        let answered = *self.public_answered.read().unwrap_or_else(PoisonError::into_inner);
        let age_min = self.clock.real().duration_since(answered?).as_mins();
        self.settings.public_url.as_deref().filter(|_| age_min < ANSWER_COUNTS_MIN)
    }
}
