//! Taking a change back.

use axum::{
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_store::ChangeId;

use crate::{error::PageError, visit::Posted};

/// `POST /changes/{change}/undo`.
pub(crate) async fn undo(
    Path(change): Path<u64>,
    Posted { visit, .. }: Posted,
) -> Result<Response, PageError> {
    let app = &visit.app;
    app.store.undo(ChangeId(change), app.clock.real()).await?;
    app.look_again().await?;
    Ok(Redirect::to("/?done=undone").into_response())
}
