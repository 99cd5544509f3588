//! What the browser tests and the measurements are made with.
//!
//! The tests start the built program as a person would, drive a real Chromium through its driver,
//! and look at what stands on the pages. They need what `prepare.sh` installs; without it they are
//! reported as ignored, with the reason.
//!
//! ```no_run
//! # async fn look() -> anyhow::Result<()> {
//! use fairspell_e2e::{Browser, Driver, Script, Sheet, Studio, Tools};
//!
//! let tools = Tools::find()?;
//! let (studio, driver) = (Studio::demo()?, Driver::start(&tools)?);
//! let browser = Browser::open(&tools, &driver, Script::On, Sheet::Phone).await?;
//! browser.go(&studio.address("/season")).await?;
//! println!("{}", browser.text("h1").await?);
//! browser.close().await
//! # }
//! ```
//!
//! - `tools`, `program`: what is installed, and the program itself, built if it has to be
//! - `studio`: the program, serving a studio
//! - `driver`, `browser`, `sheet`: Chromium, and how pages are opened in it
//! - `hand`: what a person does with a page
//! - `plain`: pages asked for without a browser
//! - `relay`: the signal between a phone and the studio, which can be cut
//! - `pages`: every page, with an address at which it can be looked at
//! - `sight`: what must hold on every page, whatever it shows
//! - `checker`: whether a page is right by the standard of HTML

mod browser;
mod checker;
mod driver;
mod hand;
mod pages;
mod plain;
mod program;
mod relay;
mod sheet;
mod sight;
mod studio;
mod tools;

pub use browser::Browser;
pub use checker::{Markup, check_markup};
pub use driver::Driver;
pub use pages::{Page, pages, routes_of_pages};
pub use plain::{Answer, Plain, attribute, unescaped};
pub use relay::Relay;
pub use sheet::{Scheme, Script, Sheet};
pub use sight::{Sight, faults};
pub use studio::Studio;
pub use tools::Tools;
