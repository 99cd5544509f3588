//! What is installed.

use std::{
    env, fs,
    path::{Path, PathBuf},
};

use anyhow::{Context, Result, bail};

/// What the browser tests need besides the program.
#[derive(Debug)]
pub struct Tools {
    /// Chromium.
    pub browser: PathBuf,
    /// Its driver.
    pub driver: PathBuf,
    /// The script of axe-core.
    pub axe: String,
    /// Java, which runs the checker.
    pub java: PathBuf,
    /// The Nu Html Checker.
    pub checker: PathBuf,
}

impl Tools {
    /// Finds them all.
    ///
    /// # Errors
    ///
    /// What is missing. `e2e/prepare.sh` installs it.
    pub fn find() -> Result<Tools> {
        let modules = home()?.join("node_modules");
        let file = |name: &str| {
            let path = modules.join(name);
            if path.is_file() { Ok(path) } else { bail!("needs {name}; run e2e/prepare.sh") }
        };
        let axe = file("axe-core/axe.min.js")?;
        Ok(Tools {
            browser: command("chromium")?,
            driver: command("chromedriver")?,
            axe: fs::read_to_string(&axe).with_context(|| format!("read {}", axe.display()))?,
            java: command("java")?,
            checker: file("vnu-jar/build/dist/vnu.jar")?,
        })
    }
}

fn command(name: &str) -> Result<PathBuf> {
    let folders = env::var_os("PATH").unwrap_or_default();
    env::split_paths(&folders)
        .map(|folder| folder.join(name))
        .find(|path| path.is_file())
        .with_context(|| format!("needs {name}; run e2e/prepare.sh"))
}

/// The folder of this build: `target/debug` or `target/release`.
pub(crate) fn profile_folder() -> Result<PathBuf> {
    let own = env::current_exe().context("find the running program")?;
    let folder = own.parent().and_then(Path::parent).context("find the build's folder")?;
    Ok(folder.to_owned())
}

/// Where the tests keep their things: `target/e2e`.
///
/// # Errors
///
/// The build's folder cannot be found.
pub(crate) fn home() -> Result<PathBuf> {
    let folder = profile_folder()?;
    Ok(folder.parent().context("find the target folder")?.join("e2e"))
}

/// A folder below [`home`], made if it is not there.
pub(crate) fn folder(name: &str) -> Result<PathBuf> {
    let folder = home()?.join(name);
    fs::create_dir_all(&folder).with_context(|| format!("make {}", folder.display()))?;
    Ok(folder)
}
