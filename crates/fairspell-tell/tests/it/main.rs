//! Tests of `fairspell-tell`.
