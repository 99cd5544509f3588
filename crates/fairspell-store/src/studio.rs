//! The studio, its spots and its policy: one document.

use fairspell_studio::Studio;
use jiff::Timestamp;

use crate::{
    ChangeId, Store, StoreError,
    document::{Document, Noun},
};

/// The studio is the only one of its kind.
const THE_STUDIO: &str = "studio";

impl Store {
    /// The studio; `None` before it was first saved.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn studio(&self) -> Result<Option<Studio>, StoreError> {
        self.document(Noun::Studio, THE_STUDIO).await
    }

    /// Saves the studio.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn save_studio(
        &self,
        studio: &Studio,
        at: Timestamp,
    ) -> Result<ChangeId, StoreError> {
        self.save(Noun::Studio, THE_STUDIO, Document::of_studio(studio)?, at).await
    }
}
