//! Waiting for what the store and the server do.

use std::future::Future;

use anyhow::{Context, Result};

/// Does it to its end.
pub(crate) fn wait_for<T>(doing: impl Future<Output = Result<T>>) -> Result<T> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("start the program's threads")?;
    runtime.block_on(doing)
}
