//! Links and values as they stand in a page.

use anyhow::{Context, Result, ensure};
use percent_encoding::percent_decode_str;

/// A `mailto:` or `sms:` link, taken apart.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Message {
    /// To whom.
    pub(crate) to: Vec<String>,
    /// The subject, where there is one.
    pub(crate) subject: Option<String>,
    /// The text.
    pub(crate) body: String,
}

/// Takes a link apart by RFC 6068 (`mailto`) or RFC 5724 (`sms`), and refuses what they do not allow.
pub(crate) fn message(link: &str, scheme: &str) -> Result<Message> {
    let rest = link.strip_prefix(scheme).with_context(|| format!("no {scheme} link: {link}"))?;
    let (to, fields) = rest.split_once('?').unwrap_or((rest, ""));
    let to = to.split(',').filter(|one| !one.is_empty()).map(decoded).collect::<Result<_>>()?;
    let mut message = Message { to, subject: None, body: String::new() };
    for field in fields.split('&').filter(|field| !field.is_empty()) {
        let (name, value) = field.split_once('=').with_context(|| format!("no field: {field}"))?;
        match name {
            "subject" if scheme == "mailto:" => message.subject = Some(decoded(value)?),
            "body" => message.body = decoded(value)?,
            _ => anyhow::bail!("a field that no program knows: {name}"),
        }
    }
    Ok(message)
}

/// The examples of RFC 6068 (section 6) and RFC 5724 (section 2.5), and what neither allows.
pub(crate) fn examples() -> Result<()> {
    let body = "send current-issue\r\nsend index";
    for (link, scheme, to, subject, body) in [
        (
            "mailto:infobot@example.com?body=send%20current-issue%0D%0Asend%20index",
            "mailto:",
            "infobot@example.com",
            None,
            body,
        ),
        ("mailto:gorby%25kremvax@example.com", "mailto:", "gorby%kremvax@example.com", None, ""),
        (
            "mailto:user@example.org?subject=caf%C3%A9&body=caf%C3%A9",
            "mailto:",
            "user@example.org",
            Some("café"),
            "café",
        ),
        ("sms:+15105550101?body=hello%20there", "sms:", "+15105550101", None, "hello there"),
    ] {
        let read = message(link, scheme)?;
        let subject = subject.map(str::to_owned);
        let expected = Message { to: vec![to.to_owned()], subject, body: body.to_owned() };
        ensure!(read == expected, "{link} is read as {read:?}");
    }
    for wrong in [
        "mailto:user@example.org?body=two words",
        "mailto:user@example.org?subject=café",
        "mailto:user@example.org?body=50%",
        "mailto:user@example.org?body=Ann & Ben",
        "mailto:user@example.org?body=%C3",
        "mailto:user@example.org?text=hello",
    ] {
        ensure!(message(wrong, "mailto:").is_err(), "{wrong} is taken");
    }
    Ok(())
}

/// One part of a link, decoded.
///
/// RFC 6068 allows in it unreserved characters, `!$'()*+,;:@`, and everything else percent-encoded;
/// RFC 5724 allows the same in its body. A plus is a plus: it stands for no blank.
fn decoded(part: &str) -> Result<String> {
    let is_allowed = |c: char| c.is_ascii_alphanumeric() || "-._~!$'()*+,;:@%".contains(c);
    ensure!(part.chars().all(is_allowed), "characters that a link may not hold: {part}");
    let mut rest = part;
    while let Some((_, after)) = rest.split_once('%') {
        let is_hex = after.get(..2).is_some_and(|hex| hex.bytes().all(|b| b.is_ascii_hexdigit()));
        ensure!(is_hex, "a percent sign that encodes nothing: {part}");
        rest = &after[2..];
    }
    Ok(percent_decode_str(part).decode_utf8().context("read a link's text")?.into_owned())
}

/// The path of the family's page that a letter's page links to.
pub(crate) fn family_link(page: &str) -> Option<String> {
    let (_, rest) = page.split_once("href=\"http://127.0.0.1:")?;
    let (address, _) = rest.split_once('"')?;
    let path = address.find("/f/")?;
    Some(address[path..].to_owned())
}
