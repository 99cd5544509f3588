//! What the journeys share: one driver, one invented studio, and whose turn it is.

use std::sync::{Mutex, OnceLock, PoisonError, RwLock, RwLockWriteGuard};

use anyhow::{Context, Error, Result, ensure};
use fairspell_e2e::{Driver, Plain, Studio, Tools, attribute, unescaped};
use tokio::runtime::Runtime;

use crate::links::family_link;

/// The hardest evening's session.
pub(crate) const LINH: &str = "/sessions/2026-09-03-linh";

/// The reading on the evening before, as the demo's clock takes it.
pub(crate) const EVE: &str = "2026-09-02T18:00";
/// The time to leave.
const LEAVE_BY: &str = "2026-09-03T14:30";

/// What a journey needs for itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Turn {
    /// Nothing.
    Any,
    /// The demo's clock.
    Clock,
    /// The demo's clock standing at the time to leave, which others may want as well.
    LeaveBy,
    /// The demo's records.
    Changes,
}

/// A thing that is started once, when the first journey asks for it.
type Once<T> = OnceLock<Result<T, String>>;

/// A letter of the demo that has gone out.
#[derive(Debug, Clone)]
pub(crate) struct Sent {
    /// The path of its page.
    pub(crate) letter: String,
    /// The path of the family's page.
    pub(crate) family: String,
}

pub(crate) struct World {
    runtime: Runtime,
    tools: Once<Tools>,
    driver: Once<Driver>,
    demo: Once<Studio>,
    sent: Once<Sent>,
    clock: RwLock<()>,
    changes: Mutex<()>,
}

impl World {
    pub(crate) fn new() -> Result<World> {
        Ok(World {
            runtime: Runtime::new().context("start a runtime")?,
            tools: Once::new(),
            driver: Once::new(),
            demo: Once::new(),
            sent: Once::new(),
            clock: RwLock::new(()),
            changes: Mutex::new(()),
        })
    }

    pub(crate) fn tools(&self) -> Result<&Tools> {
        once(&self.tools, Tools::find)
    }

    pub(crate) fn driver(&self) -> Result<&Driver> {
        once(&self.driver, || Driver::start(self.tools()?))
    }

    pub(crate) fn demo(&self) -> Result<&Studio> {
        once(&self.demo, Studio::demo)
    }

    /// A letter of the demo, for who holds [`Turn::LeaveBy`].
    pub(crate) fn sent(&self) -> Result<&Sent> {
        once(&self.sent, || self.run(send_letter(self.demo()?)))
    }

    /// Waits for a future. Not to be called within one.
    pub(crate) fn run<T>(&self, future: impl Future<Output = T>) -> T {
        self.runtime.block_on(future)
    }

    /// Does something when it has its turn.
    pub(crate) fn in_turn(&self, turn: Turn, act: impl FnOnce() -> Result<()>) -> Result<()> {
        match turn {
            Turn::Any => act(),
            Turn::Changes => {
                let _turn = self.changes.lock().unwrap_or_else(PoisonError::into_inner);
                act()
            }
            Turn::Clock => {
                let _turn = self.clock.write().unwrap_or_else(PoisonError::into_inner);
                act()
            }
            Turn::LeaveBy => {
                let turn = self.clock.write().unwrap_or_else(PoisonError::into_inner);
                self.run(set_clock(self.demo()?, LEAVE_BY))?;
                self.sent()?;
                let _turn = RwLockWriteGuard::downgrade(turn);
                act()
            }
        }
    }

    /// Ends what would go on without us.
    pub(crate) fn end(&self) {
        if let Some(Ok(driver)) = self.driver.get() {
            self.run(driver.end());
        }
    }
}

fn once<T>(cell: &Once<T>, start: impl FnOnce() -> Result<T>) -> Result<&T> {
    let started = cell.get_or_init(|| start().map_err(|error| format!("{error:#}")));
    started.as_ref().map_err(|error| Error::msg(error.clone()))
}

/// Sets the demo's clock to a local time.
pub(crate) async fn set_clock(demo: &Studio, to: &str) -> Result<()> {
    let answer = Plain::new(demo.base()).post("/clock", Some("/"), &[("to", to)]).await?;
    ensure!(answer.status.is_redirection(), "the clock stays: {}", answer.status);
    Ok(())
}

/// Uses the letter that the evening asks for, as the buttons do.
async fn send_letter(demo: &Studio) -> Result<Sent> {
    let plain = Plain::new(demo.base());
    let here = format!("{LINH}/letter");
    let draft = plain.get(&here).await?.page()?;
    let subject = draft.split('<').find(|tag| tag.contains("name=\"subject\""));
    let subject = subject.and_then(|tag| attribute(tag, "value")).context("no subject")?;
    let (_, body) = draft.split_once("<textarea").context("no text")?;
    let (_, body) = body.split_once('>').context("no text")?;
    let (body, _) = body.split_once("</textarea>").context("no text")?;
    let body = unescaped(body.trim_start_matches('\n'));
    let fields = [("subject", subject.as_str()), ("body", body.as_str()), ("do", "use")];
    let answer = plain.post(&here, Some(&here), &fields).await?;
    let letter = answer.location.context("the letter was not kept")?;
    let page = plain.get(&letter).await?.page()?;
    let link = family_link(&page).context("there is no link for the family")?;
    Ok(Sent { letter, family: link })
}
