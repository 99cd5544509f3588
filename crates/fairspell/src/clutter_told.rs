//! Clutter that was taken out of the pictures, in words.

use fairspell_feeds::Mended;
use fairspell_words::{ClutterTold, clutter_line};

/// What is said of it among the remarks; nothing when there was none.
pub(crate) fn clutter_told(mended: &Mended) -> Option<String> {
    let pictures = mended.pictures.iter();
    clutter_line(&ClutterTold {
        pictures: pictures.map(|one| (one.valid_time, one.cells, one.not_measured)).collect(),
        largest_mm_h: f64::from(mended.largest_mm_h()),
    })
}
