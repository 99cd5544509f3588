//! The journeys that must never break, in a real Chromium, at desktop and telephone size, with and
//! without script.
//!
//! They need what `e2e/prepare.sh` installs. Without it every journey is reported as ignored, with the
//! reason; with `FAIRSPELL_E2E=required` it has failed. Screenshots lie in `target/e2e/screenshots`.

mod changes;
mod drag;
mod evening;
mod every_page;
mod field;
mod field_file;
mod first_start;
mod keyboard;
mod light;
mod links;
mod whole_path;
mod world;

use std::{env, process::ExitCode, sync::Arc};

use anyhow::{Result, ensure};
use fairspell_e2e::{Browser, Script, Sheet};
use libtest_mimic::{Arguments, Completion, Failed, Trial};

use world::{Turn, World};

/// With this set to `required`, a journey that cannot be made has failed.
const VARIABLE: &str = "FAIRSPELL_E2E";

/// The four ways in which a page is opened.
const WAYS: [(Script, Sheet, &str); 4] = [
    (Script::On, Sheet::Desktop, "on_a_desk"),
    (Script::Off, Sheet::Phone, "on_a_phone_without_script"),
    (Script::On, Sheet::Phone, "on_a_phone"),
    (Script::Off, Sheet::Desktop, "on_a_desk_without_script"),
];

fn main() -> ExitCode {
    let mut arguments = Arguments::from_args();
    // Each journey has a browser of its own, and a small computer bears two.
    arguments.test_threads = Some(arguments.test_threads.map_or(2, |threads| threads.min(2)));
    let world = match World::new() {
        Ok(world) => Arc::new(world),
        Err(error) => {
            let failed = move || Err(Failed::from(format!("{error:#}")));
            return libtest_mimic::run(&arguments, vec![Trial::test("runtime", failed)])
                .exit_code();
        }
    };
    let conclusion = libtest_mimic::run(&arguments, trials(&world));
    world.end();
    conclusion.exit_code()
}

fn trials(world: &Arc<World>) -> Vec<Trial> {
    let mut trials = Vec::new();
    // Journeys that wait for each other's turn stand beside others that do not.
    for (script, sheet, way) in WAYS {
        let name = format!("an_evening_from_now_to_the_familys_answers_{way}");
        let path = async move |browser: &mut Browser, world: &World| {
            whole_path::whole_path(browser, world.demo()?, script).await
        };
        trials.push(journey(world, name, script, sheet, Turn::Clock, path));
        // Forms hold no script, and each change has every sky looked at again: two ways are enough.
        if (script == Script::On) == (sheet == Sheet::Desktop) {
            let name = format!("sessions_places_and_people_are_made_changed_and_deleted_{way}");
            let path = async move |browser: &mut Browser, world: &World| {
                changes::changes(browser, world.demo()?).await
            };
            trials.push(journey(world, name, script, sheet, Turn::Changes, path));
            let name = format!("a_spot_is_noted_and_an_evening_there_booked_{way}");
            let path = async move |browser: &mut Browser, world: &World| {
                light::light(browser, world.demo()?, script).await
            };
            trials.push(journey(world, name, script, sheet, Turn::Changes, path));
        }
        let name = format!("an_empty_folder_shows_tonight_after_three_answers_{way}");
        let path = async move |browser: &mut Browser, world: &World| {
            first_start::first_start(browser, world.tools()?, script).await
        };
        trials.push(journey(world, name, script, sheet, Turn::Any, path));
    }
    for sheet in [Sheet::Desktop, Sheet::Phone] {
        let name = format!("the_letter_is_reached_by_keyboard_alone_{}", sheet.name());
        let path = async move |browser: &mut Browser, world: &World| {
            keyboard::keyboard(browser, world.demo()?).await
        };
        trials.push(journey(world, name, Script::On, sheet, Turn::LeaveBy, path));
    }
    let name = "a_session_is_dragged_to_another_evening_on_a_desk".to_owned();
    let path =
        async |browser: &mut Browser, world: &World| drag::drag(browser, world.demo()?).await;
    trials.push(journey(world, name, Script::On, Sheet::Desktop, Turn::LeaveBy, path));
    let name = "an_evening_in_the_field_without_a_signal_comes_home_tap_by_tap".to_owned();
    let path = async |browser: &mut Browser, world: &World| field::field(browser, world).await;
    trials.push(journey(world, name, Script::On, Sheet::Phone, Turn::Any, path));
    let name = "an_evening_in_the_field_from_a_file_comes_home_by_message".to_owned();
    let path =
        async |browser: &mut Browser, world: &World| field_file::field_file(browser, world).await;
    trials.push(journey(world, name, Script::On, Sheet::Phone, Turn::Any, path));
    for part in 0..every_page::PARTS {
        let name = format!("every_page_is_free_of_barriers_and_fits_{part}");
        let path = async move |browser: &mut Browser, world: &World| {
            every_page::look(browser, world, part).await
        };
        trials.push(journey(world, name, Script::On, Sheet::Phone, Turn::LeaveBy, path));
    }
    let name = "what_is_planted_in_a_page_is_found".to_owned();
    let path =
        async |browser: &mut Browser, world: &World| every_page::planted(browser, world).await;
    trials.push(journey(world, name, Script::On, Sheet::Phone, Turn::Any, path));
    trials.push(Trial::test("links_are_read_as_their_standards_say", || {
        links::examples().map_err(|error| format!("{error:#}").into())
    }));
    trials.push(plain(world, "every_page_is_right_by_the_standard_of_html", every_page::markup));
    trials.push(plain(world, "every_page_of_the_program_is_in_the_list", every_page::list));
    trials
}

/// A test with a browser.
fn journey<F>(
    world: &Arc<World>,
    name: String,
    script: Script,
    sheet: Sheet,
    turn: Turn,
    path: F,
) -> Trial
where
    F: AsyncFn(&mut Browser, &World) -> Result<()> + Send + 'static,
{
    let world = world.clone();
    let called = name.clone();
    Trial::ignorable_test(name, move || {
        if let Some(ended) = cannot_start(&world) {
            return ended;
        }
        let gone = world.in_turn(turn, || {
            world.run(async {
                let driver = world.driver()?;
                let mut browser = Browser::open(world.tools()?, driver, script, sheet).await?;
                let mut gone = path(&mut browser, &world).await;
                if gone.is_ok() {
                    gone = nothing_was_said(&browser).await;
                }
                if let Err(error) = gone {
                    gone = Err(error.context(what_was_seen(&browser, &called).await));
                }
                browser.close().await?;
                gone
            })
        });
        completed(gone)
    })
}

/// A test without one.
fn plain(world: &Arc<World>, name: &str, test: fn(&World) -> Result<()>) -> Trial {
    let world = world.clone();
    Trial::ignorable_test(name, move || match cannot_start(&world) {
        Some(ended) => ended,
        None => completed(world.in_turn(Turn::LeaveBy, || test(&world))),
    })
}

/// How a test ends that cannot be made here.
fn cannot_start(world: &World) -> Option<Result<Completion, Failed>> {
    let missing = world.tools().err()?;
    if env::var(VARIABLE).is_ok_and(|value| value == "required") {
        return Some(Err(format!("{missing:#}").into()));
    }
    Some(Ok(Completion::ignored_with(format!("{missing:#}"))))
}

fn completed(gone: Result<()>) -> Result<Completion, Failed> {
    match gone {
        Ok(()) => Ok(Completion::Completed),
        Err(error) => Err(format!("{error:#}").into()),
    }
}

/// The console is silent: no error of a script, nothing that the content policy had to stop.
async fn nothing_was_said(browser: &Browser) -> Result<()> {
    let said = browser.console().await?;
    // A page that is not there is a journey's own wish.
    let said: Vec<_> = said.into_iter().filter(|line| !line.contains("status of 404")).collect();
    ensure!(said.is_empty(), "the console says: {}", said.join("; "));
    Ok(())
}

/// Where a journey broke off, with a picture of it.
async fn what_was_seen(browser: &Browser, name: &str) -> String {
    let address = browser.address().await.unwrap_or_else(|error| error.to_string());
    match browser.picture(&format!("broke-off-{name}")).await {
        Ok(picture) => format!("at {address}, see {}", picture.display()),
        Err(_) => format!("at {address}, of which there is no picture"),
    }
}
