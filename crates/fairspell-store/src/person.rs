//! People.

use fairspell_studio::Person;
use jiff::Timestamp;

use crate::{
    ChangeId, Store, StoreError,
    document::{Document, Noun},
};

impl Store {
    /// All people in the order of their names.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn people(&self) -> Result<Vec<Person>, StoreError> {
        self.documents(Noun::Person).await
    }

    /// The person of an id.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn person(&self, id: &str) -> Result<Option<Person>, StoreError> {
        self.document(Noun::Person, id).await
    }

    /// Saves a person under the id.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn save_person(
        &self,
        person: &Person,
        at: Timestamp,
    ) -> Result<ChangeId, StoreError> {
        self.save(Noun::Person, &person.id, Document::of_person(person)?, at).await
    }

    /// Deletes a person, so that it can be taken back; [`Store::erase_family`] is for good. `None` if
    /// there was nobody.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn delete_person(
        &self,
        id: &str,
        at: Timestamp,
    ) -> Result<Option<ChangeId>, StoreError> {
        self.delete(Noun::Person, id, at).await
    }
}
