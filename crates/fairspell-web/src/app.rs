//! Everything that a request can reach: the store, the clock, the skies, the secrets.

use std::{
    collections::HashMap,
    net::SocketAddr,
    path::PathBuf,
    sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock},
};

use fairspell_store::Store;
use fairspell_tell::Delivery;
use jiff::Timestamp;
use tokio::sync::Notify;

use crate::{
    clock::{Clock, Machine},
    error::PageError,
    guesses::Guesses,
    notices,
    pages::radar,
    season_views::SeasonViews,
    secrets::Secrets,
    skies::{Looker, Skies, Sky},
    spot_years::SpotYears,
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
    pub(crate) spot_years: SpotYears,
    pub(crate) season_views: SeasonViews,
    /// When the public address last answered our own check.
    pub(crate) public_answered: RwLock<Option<Timestamp>>,
    /// Rung when the round should not wait.
    pub(crate) soon: Notify,
    /// Held by whoever reads, changes and keeps what has to be told: two at once would lose one.
    pub(crate) noting: tokio::sync::Mutex<()>,
    /// Held by whoever begins a studio: of two browsers at once only one may.
    pub(crate) starting: tokio::sync::Mutex<()>,
    /// Tries at telling her that could not be kept yet.
    unkept_tries: Mutex<Vec<Delivery>>,
    /// Held by whoever looks: an older look must not come after a newer one.
    looking: tokio::sync::Mutex<()>,
    skies: RwLock<Arc<Skies>>,
    /// Evenings that are over, as they were last asked for.
    looked_back: Mutex<HashMap<String, Arc<Sky>>>,
}

/// What handlers hold.
pub(crate) type Shared = Arc<App>;

/// So many evenings that are over are remembered at once.
const LOOKED_BACK_MOST: usize = 64;

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
            spot_years: SpotYears::default(),
            season_views: SeasonViews::default(),
            public_answered: RwLock::new(None),
            soon: Notify::new(),
            noting: tokio::sync::Mutex::default(),
            looking: tokio::sync::Mutex::default(),
            starting: tokio::sync::Mutex::default(),
            unkept_tries: Mutex::default(),
            skies: RwLock::new(Arc::new(Skies::default())),
            looked_back: Mutex::default(),
        });
        app.look_again().await?;
        Ok(app)
    }

    /// The skies as they were last looked at.
    pub(crate) fn skies(&self) -> Arc<Skies> {
        self.skies.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// A session's sky: as it was last looked at, or, when its evening is over, as it was seen last.
    pub(crate) async fn sky(self: &Arc<Self>, id: &str) -> Result<Arc<Sky>, PageError> {
        let skies = self.skies();
        if let Some(sky) = skies.of(id) {
            return Ok(sky.clone());
        }
        if skies.unseen(id).is_some() {
            return Err(PageError::Unseen { session: id.to_owned() });
        }
        let house = skies.house.clone().ok_or(PageError::NotThere)?;
        let session = house.sessions.iter().find(|session| session.id == id).cloned();
        let session = session.ok_or(PageError::NotThere)?;
        let known = self.looked_back().get(id).filter(|known| known.is_of(&house)).cloned();
        if let Some(known) = known {
            return Ok(known);
        }
        let kept = self.store.newest_ruling(id).await?;
        let app = self.clone();
        let looked =
            tokio::task::spawn_blocking(move || app.looker.look_back(&house, &session, kept));
        let sky = looked.await.map_err(PageError::ours)??;
        let mut looked_back = self.looked_back();
        if looked_back.len() >= LOOKED_BACK_MOST {
            looked_back.clear();
        }
        looked_back.insert(id.to_owned(), sky.clone());
        Ok(sky)
    }

    fn looked_back(&self) -> MutexGuard<'_, HashMap<String, Arc<Sky>>> {
        self.looked_back.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Tries at telling her that could not be kept yet.
    pub(crate) fn unkept_tries(&self) -> MutexGuard<'_, Vec<Delivery>> {
        self.unkept_tries.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Looks at every session's sky again: after a change, a new reading, or when time has passed.
    pub(crate) async fn look_again(self: &Arc<Self>) -> Result<Arc<Skies>, PageError> {
        let _looking = self.looking.lock().await;
        let Some(studio) = self.store.studio().await? else { return Ok(self.skies()) };
        let (sessions, people) = (self.store.sessions().await?, self.store.people().await?);
        let (app, now, before) = (self.clone(), self.clock.now(), self.skies());
        let looked = tokio::task::spawn_blocking(move || {
            app.looker.look(studio, sessions, people, now, &before)
        });
        let skies = Arc::new(looked.await.map_err(PageError::ours)??);
        *self.skies.write().unwrap_or_else(PoisonError::into_inner) = skies.clone();
        if let Err(error) = notices::note(self, &skies).await {
            // Whatever the look was for has happened and is kept; the next look notes it again.
            tracing::error!("what has to be told could not be noted: {error}");
        }
        let (app, drawn) = (self.clone(), skies.clone());
        // Nobody waits for it: a page that is quicker draws its loop itself.
        drop(tokio::task::spawn_blocking(move || radar::draw_loops(&drawn, &app.looker)));
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
        // A check that lies ahead was made before the clock was set back.
        let counts = (0..ANSWER_COUNTS_MIN).contains(&age_min);
        self.settings.public_url.as_deref().filter(|_| counts)
    }
}
