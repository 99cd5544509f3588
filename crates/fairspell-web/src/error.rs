//! What goes wrong on a page: what happened, whether anything was lost, where to go from here.

use axum::{
    http::StatusCode,
    response::{IntoResponse, Redirect, Response},
};
use fairspell_store::StoreError;
use fairspell_words::screens::problem::{self, Problem};
use maud::html;

use crate::page::bare_page;

/// An error that becomes a page.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// There is nothing at this address.
    #[error("nothing is at this address")]
    NotThere,
    /// A form that did not come from our own page, or too late.
    #[error("a form did not come from our own page")]
    NotOurForm,
    /// Too many wrong tries.
    #[error("too many wrong tries; wait {wait_s} s")]
    Wait {
        /// How long to wait, seconds.
        wait_s: i64,
    },
    /// The request cannot be understood.
    #[error("the request cannot be understood: {0}")]
    BadRequest(String),
    /// What was typed cannot be understood; the sentence says what would be.
    #[error("what was typed cannot be understood")]
    Typed(&'static str),
    /// An evening that another session has.
    #[error("another session has this evening")]
    Taken {
        /// Whose, as letters call the sitter.
        by: String,
    },
    /// The request names a host that is not ours.
    #[error("the request is for another host")]
    OtherHost,
    /// The store could not do it.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The sky could not be looked at.
    #[error("look at the sky: {0}")]
    Sky(String),
    /// A session's sky could not be looked at; the session's page says why.
    #[error("the sky cannot be looked at")]
    Unseen {
        /// The session, by id.
        session: String,
    },
    /// A mistake of ours.
    #[error("{0}")]
    Ours(String),
}

impl PageError {
    /// A mistake of ours, from its cause.
    pub(crate) fn ours(cause: impl std::fmt::Display) -> Self {
        PageError::Ours(cause.to_string())
    }

    /// The same in one line, for a program that asks.
    pub(crate) fn in_short(&self) -> (StatusCode, String) {
        let (status, problem) = self.problem();
        if status.is_server_error() {
            tracing::error!(reference = reference_of(self), "a request failed: {self}");
        }
        let words = problem::told(&problem);
        (status, format!("{}. {}", words.heading, words.lines.join(" ")))
    }

    fn problem(&self) -> (StatusCode, Problem) {
        match self {
            PageError::NotThere => (StatusCode::NOT_FOUND, Problem::NotThere),
            PageError::NotOurForm => (StatusCode::FORBIDDEN, Problem::NotOurForm),
            PageError::Wait { wait_s } => {
                (StatusCode::TOO_MANY_REQUESTS, Problem::Wait { wait_s: *wait_s })
            }
            PageError::BadRequest(_) | PageError::Typed(_) => {
                (StatusCode::BAD_REQUEST, Problem::BadRequest)
            }
            PageError::OtherHost => (StatusCode::MISDIRECTED_REQUEST, Problem::NotThere),
            PageError::Store(StoreError::DiskFull) => {
                (StatusCode::INSUFFICIENT_STORAGE, Problem::DiskFull)
            }
            PageError::Store(StoreError::ReadOnly) => {
                (StatusCode::INTERNAL_SERVER_ERROR, Problem::ReadOnly)
            }
            PageError::Taken { by } => (StatusCode::CONFLICT, Problem::Taken { by: by.clone() }),
            PageError::Store(StoreError::Conflict { .. }) => {
                (StatusCode::CONFLICT, Problem::Conflict)
            }
            PageError::Store(_)
            | PageError::Sky(_)
            | PageError::Unseen { .. }
            | PageError::Ours(_) => (StatusCode::INTERNAL_SERVER_ERROR, Problem::Ours),
        }
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        if let PageError::Unseen { session } = &self {
            return Redirect::to(&format!("/sessions/{session}")).into_response();
        }
        let (status, problem) = self.problem();
        // Under this reference the cause stands in the log.
        let reference = reference_of(&self);
        if status.is_server_error() {
            tracing::error!(reference, "a request failed: {self}");
        }
        let words = problem::told(&problem);
        let body = html! {
            h1 { (words.heading) }
            @for line in &words.lines { p { (line) } }
            @if let PageError::Typed(instead) = &self { p { (instead) } }
            @if status.is_server_error() { p.quiet { (problem::reference(&reference)) } }
            p { a href="/" { (problem::TO_NOW) } }
        };
        (status, bare_page(&words.heading, &body)).into_response()
    }
}

/// Eight characters that name a cause.
fn reference_of(error: &PageError) -> String {
    use std::hash::{DefaultHasher, Hash, Hasher};
    let mut hasher = DefaultHasher::new();
    error.to_string().hash(&mut hasher);
    format!("{:08x}", hasher.finish() & 0xffff_ffff)
}
