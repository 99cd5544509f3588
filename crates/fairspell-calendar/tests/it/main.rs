//! Tests of `fairspell-calendar`.
