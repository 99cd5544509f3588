//! Tests of `fairspell-store`.
