//! The field sheet's words, by the list of words that nobody should have to read.

use fairspell_words::{avoided_words, field::FIELD_WORDS_JSON};

#[test]
fn the_words_of_the_field_sheet_are_plain_and_calm() {
    let avoided = avoided_words(FIELD_WORDS_JSON);
    assert!(avoided.is_empty(), "{avoided:?}");
    assert!(!FIELD_WORDS_JSON.contains('!'), "nobody calls out");
}
