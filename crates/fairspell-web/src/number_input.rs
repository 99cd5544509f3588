//! Numbers as people type them.

/// A decimal number between two, itself included; a comma may be its point.
pub(crate) fn decimal(text: &str, (from, to): (f64, f64)) -> Option<f64> {
    let text = text.replace(',', ".");
    // Neither "inf" nor powers of ten are meant.
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.' || byte == b'-');
    let value: f64 = if is_plain { text.parse().ok()? } else { return None };
    (from..=to).contains(&value).then_some(value)
}

/// A whole number between two, themselves included.
pub(crate) fn whole(text: &str, (from, to): (u32, u32)) -> Option<u32> {
    let value: u32 = text.parse().ok()?;
    (from..=to).contains(&value).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::{decimal, whole};

    #[test]
    fn numbers_are_read_within_their_range_only() {
        assert_eq!(decimal("1,3", (0.1, 5.0)), Some(1.3));
        assert_eq!(decimal("5", (0.1, 5.0)), Some(5.0));
        for odd in ["5.01", "0", "-1", "", "inf", "NaN", "1e0", "one", "1.2.3"] {
            assert_eq!(decimal(odd, (0.1, 5.0)), None, "{odd}");
        }
        assert_eq!(whole("0", (0, 1440)), Some(0));
        for odd in ["1441", "-1", "1.5", "", "99999999999"] {
            assert_eq!(whole(odd, (0, 1440)), None, "{odd}");
        }
    }
}
