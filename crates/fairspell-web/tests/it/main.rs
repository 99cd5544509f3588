//! Tests of `fairspell-web`.
