//! How values stand in the tables: times as milliseconds, documents as JSON, digests as hexadecimal.

use std::fmt::Write;

use fairspell_studio::journal::Digest;
use jiff::Timestamp;
use serde::{Serialize, de::DeserializeOwned};

use crate::StoreError;

/// A time as the tables hold it.
pub(crate) fn millis(at: Timestamp) -> i64 {
    at.as_millisecond()
}

/// A time out of a table.
pub(crate) fn timestamp(millis: i64) -> Result<Timestamp, StoreError> {
    Timestamp::from_millisecond(millis)
        .map_err(|_| StoreError::damaged(format!("{millis} is no time")))
}

/// A number of a row out of a table.
pub(crate) fn number(number: i64) -> Result<u64, StoreError> {
    u64::try_from(number).map_err(|_| StoreError::damaged(format!("{number} numbers no row")))
}

/// A number of a row as the tables hold it. Beyond what they can hold it is no row's number.
pub(crate) fn row_number(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

/// A value as JSON.
pub(crate) fn to_json<T: Serialize + ?Sized>(value: &T) -> Result<String, StoreError> {
    serde_json::to_string(value).map_err(|error| StoreError::Other(error.into()))
}

/// A value out of JSON. The error says where it was found and never repeats what stands there.
pub(crate) fn from_json<T: DeserializeOwned>(found_in: &str, text: &str) -> Result<T, StoreError> {
    serde_json::from_str(text).map_err(|error| {
        let (line, column) = (error.line(), error.column());
        StoreError::damaged(format!("{found_in} is not what we write, at {line}:{column}"))
    })
}

/// A digest out of a table.
pub(crate) fn digest(text: &str) -> Result<Digest, StoreError> {
    text.parse().map_err(|_| StoreError::damaged("a digest is not 64 hexadecimal digits"))
}

/// A salt as the tables hold it.
pub(crate) fn salt_to_hex(salt: [u8; 16]) -> String {
    salt.iter().fold(String::with_capacity(32), |mut hex, byte| {
        write!(hex, "{byte:02x}").expect("a string takes what is written to it");
        hex
    })
}

/// A salt out of a table.
pub(crate) fn salt_from_hex(hex: &str) -> Result<[u8; 16], StoreError> {
    let bits = Some(hex).filter(|hex| hex.len() == 32);
    let bits = bits.and_then(|hex| u128::from_str_radix(hex, 16).ok());
    bits.map(u128::to_be_bytes).ok_or_else(|| StoreError::damaged("a salt is not 32 digits"))
}
