//! Bytes of a foreign program become text.

use std::borrow::Cow;

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// The text of a file: by its byte order mark, else UTF-16 where every other byte is zero, else
/// UTF-8, else Windows-1252, in which spreadsheets of the West still save.
pub(crate) fn decoded(bytes: &[u8]) -> Cow<'_, str> {
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        return encoding.decode_without_bom_handling(&bytes[mark..]).0;
    }
    if let Some(encoding) = utf_16_without_mark(bytes) {
        return encoding.decode_without_bom_handling(bytes).0;
    }
    UTF_8
        .decode_without_bom_handling_and_without_replacement(bytes)
        .unwrap_or_else(|| WINDOWS_1252.decode_without_bom_handling(bytes).0)
}

/// A heading is of plain letters, so half of its bytes are zero in UTF-16.
fn utf_16_without_mark(bytes: &[u8]) -> Option<&'static Encoding> {
    let start = &bytes[..bytes.len().min(16)];
    let zeros = |offset| start.iter().skip(offset).step_by(2).all(|byte| *byte == 0);
    let letters = |offset| start.iter().skip(offset).step_by(2).all(|byte| *byte != 0);
    match start.len() {
        0..4 => None,
        _ if letters(0) && zeros(1) => Some(UTF_16LE),
        _ if zeros(0) && letters(1) => Some(UTF_16BE),
        _ => None,
    }
}
