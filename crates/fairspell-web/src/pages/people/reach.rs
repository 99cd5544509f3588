//! Names, addresses and numbers as people type them.

/// The longest name that is kept, characters.
const LONGEST_NAME: usize = 200;

/// A name on one line, without marks that turn the direction of the sentence it stands in.
pub(crate) fn plain_name(text: &str) -> Option<String> {
    let turns_direction = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let shown: String = text.chars().filter(|c| !turns_direction(*c)).collect();
    let name = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    (!name.is_empty() && name.chars().count() <= LONGEST_NAME).then_some(name)
}

/// An e-mail address: a name, one @, a host with a dot in it, nothing that ends it in a mail header.
pub(crate) fn email_address(text: &str) -> Option<String> {
    let is_odd = |c: char| c.is_whitespace() || c.is_control() || ",;:<>()[]\"'\\".contains(c);
    let (name, host) = text.split_once('@')?;
    let is_host =
        host.contains('.') && !host.contains('@') && host.split('.').all(|label| !label.is_empty());
    let fits = text.len() <= 254 && !name.is_empty() && is_host && !text.contains(is_odd);
    fits.then(|| text.to_owned())
}

/// A telephone number: digits, and what people put between them.
pub(super) fn phone_number(text: &str) -> Option<String> {
    let number = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let digits = number.chars().filter(char::is_ascii_digit).count();
    let fits = (3..=20).contains(&digits)
        && number.chars().count() <= 40
        && number
            .chars()
            .all(|c| c.is_ascii_digit() || "+-./() \u{2010}\u{2011}\u{2013}".contains(c));
    fits.then_some(number)
}
