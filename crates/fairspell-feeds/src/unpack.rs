//! Files that are compressed as a whole.

use std::io::{self, Read};

use flate2::read::MultiGzDecoder;

/// What a compressed forecast or list of warnings may unpack to, bytes. The largest that we know, a
/// whole country's alerts, has 10 MB.
pub const UNPACKED_MAX: usize = 64 << 20;

/// The bytes themselves, or what they hold when they are a gzip file.
///
/// # Errors
///
/// A damaged file, one that unpacks to more than [`UNPACKED_MAX`] bytes, and a gzip file within a
/// gzip file.
pub fn unpacked(bytes: Vec<u8>) -> io::Result<Vec<u8>> {
    unpacked_within(bytes, UNPACKED_MAX)
}

/// [`unpacked`] with a bound of the caller's.
///
/// # Errors
///
/// As [`unpacked`].
pub fn unpacked_within(bytes: Vec<u8>, most: usize) -> io::Result<Vec<u8>> {
    if !is_gzip(&bytes) {
        return Ok(bytes);
    }
    let refuse = |cause: String| io::Error::new(io::ErrorKind::InvalidData, cause);
    let mut inside = Vec::new();
    MultiGzDecoder::new(bytes.as_slice()).take(most as u64 + 1).read_to_end(&mut inside)?;
    if inside.len() > most {
        return Err(refuse(format!("it unpacks to more than {most} bytes")));
    }
    if is_gzip(&inside) {
        return Err(refuse("a gzip file within a gzip file".to_owned()));
    }
    Ok(inside)
}

/// Whether bytes begin as a gzip file does (RFC 1952, section 2.3.1).
pub(crate) fn is_gzip(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0x1f, 0x8b])
}
