//! The pieces of a written position.

use super::NotAPlace;

/// The side of the globe, or its axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    North,
    South,
    East,
    West,
    /// "Latitude", without a side.
    Lat,
    /// "Longitude", without a side.
    Lon,
}

impl Way {
    pub(super) fn is_side(self) -> bool {
        !matches!(self, Way::Lat | Way::Lon)
    }

    pub(super) fn is_lat(self) -> bool {
        matches!(self, Way::North | Way::South | Way::Lat)
    }
}

/// A piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Token {
    Number {
        size: f64,
        sign: Option<f64>,
        has_fraction: bool,
    },
    /// Degrees (0), minutes (1), seconds (2).
    Unit(usize),
    Way(Way),
    /// Something between two positions.
    Break,
}

/// What a comma between two digits is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Comma {
    Point,
    Break,
}

/// Cuts a text into its pieces.
pub(super) fn tokens(text: &str, comma: Comma) -> Result<Vec<Token>, NotAPlace> {
    let chars: Vec<char> = text.chars().collect();
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(&c) = chars.get(at) {
        let rest = &chars[at..];
        let (token, length) = match c {
            '0'..='9' | '.' => number(rest, None, comma)?,
            '+' => number(&rest[1..], Some(1.0), comma).map(one_longer)?,
            // Hyphen, minus and the dashes that word processors make of them.
            '-' | '\u{2212}' | '\u{2010}'..='\u{2013}' => {
                number(&rest[1..], Some(-1.0), comma).map(one_longer)?
            }
            '°' | 'º' | '˚' => (Some(Token::Unit(0)), 1),
            c if is_minute(c) && rest.get(1).is_some_and(|c| is_minute(*c)) => {
                (Some(Token::Unit(2)), 2)
            }
            c if is_minute(c) => (Some(Token::Unit(1)), 1),
            '"' | '″' | '”' | '“' | 'ʺ' => (Some(Token::Unit(2)), 1),
            ',' | ';' | '/' | '|' | '\n' => (Some(Token::Break), 1),
            c if c.is_alphabetic() => word(rest)?,
            c if c.is_whitespace() || "()[]:=".contains(c) => (None, 1),
            _ => return Err(NotAPlace::Unreadable),
        };
        tokens.extend(token);
        at += length;
    }
    Ok(tokens)
}

fn is_minute(c: char) -> bool {
    matches!(c, '\'' | '′' | '’' | '‘' | '´' | '`' | 'ʹ')
}

fn one_longer((token, length): (Option<Token>, usize)) -> (Option<Token>, usize) {
    (token, length + 1)
}

fn number(
    chars: &[char],
    sign: Option<f64>,
    comma: Comma,
) -> Result<(Option<Token>, usize), NotAPlace> {
    let digit = |at: usize| chars.get(at).is_some_and(char::is_ascii_digit);
    let (mut text, mut has_fraction, mut at) = (String::new(), false, 0);
    loop {
        match chars.get(at) {
            Some(c) if c.is_ascii_digit() => text.push(*c),
            Some('.') if !has_fraction => {
                has_fraction = true;
                text.push('.');
            }
            Some(',') if comma == Comma::Point && !has_fraction && at > 0 && digit(at + 1) => {
                has_fraction = true;
                text.push('.');
            }
            _ => break,
        }
        at += 1;
    }
    let size: f64 = text.parse().map_err(|_| NotAPlace::Unreadable)?;
    // "31." is a whole number at the end of a sentence.
    let has_fraction = has_fraction && !text.ends_with('.');
    Ok((Some(Token::Number { size, sign, has_fraction }), at))
}

fn word(chars: &[char]) -> Result<(Option<Token>, usize), NotAPlace> {
    let word: String = chars.iter().take_while(|c| c.is_alphabetic()).collect();
    let token = match word.to_lowercase().as_str() {
        "n" | "north" => Token::Way(Way::North),
        "s" | "south" => Token::Way(Way::South),
        "e" | "east" => Token::Way(Way::East),
        "w" | "west" => Token::Way(Way::West),
        "lat" | "latitude" => Token::Way(Way::Lat),
        "lon" | "lng" | "long" | "longitude" => Token::Way(Way::Lon),
        "deg" | "degrees" => Token::Unit(0),
        "min" | "minutes" => Token::Unit(1),
        "sec" | "seconds" => Token::Unit(2),
        // Among them the O that is east in one language and west in another.
        _ => return Err(NotAPlace::Unreadable),
    };
    Ok((Some(token), word.chars().count()))
}
