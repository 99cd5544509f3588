//! Tests of `fairspell-feeds`.
