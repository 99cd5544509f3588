//! Coordinates as they are written or copied.

use fairspell_ground::LatLon;

use super::{
    NotAPlace, point,
    tokens::{Comma, Token, Way, tokens},
};

/// Two coordinates, in any usual form.
pub(super) fn read(text: &str) -> Result<LatLon, NotAPlace> {
    // Where no number has a point, a comma between digits may be one. "-31,152" has only one, and
    // there it stands between the two numbers.
    if !has_between_digits(text, '.') && has_between_digits(text, ',') {
        let pieces = tokens(text, Comma::Point)?;
        if let Some(found) = both(&pieces).filter(|found| found.is_clear) {
            return found.position();
        }
    }
    both(&tokens(text, Comma::Break)?).ok_or(NotAPlace::Unreadable)?.position()
}

fn has_between_digits(text: &str, mark: char) -> bool {
    let chars: Vec<char> = text.chars().collect();
    chars
        .windows(3)
        .any(|three| three[1] == mark && three[0].is_ascii_digit() && three[2].is_ascii_digit())
}

/// One coordinate.
struct Coordinate {
    degrees: f64,
    way: Option<Way>,
    /// Degrees alone, with minutes, or with seconds too.
    parts: usize,
    /// Whether it was written with a fraction, a unit or a way: it is no mere whole number.
    is_clear: bool,
}

struct Both {
    lat: f64,
    lon: f64,
    is_clear: bool,
}

impl Both {
    fn position(&self) -> Result<LatLon, NotAPlace> {
        point(self.lat, self.lon)
    }
}

fn both(pieces: &[Token]) -> Option<Both> {
    let groups = groups(pieces)?;
    let [first, second] = groups.as_slice() else { return None };
    let (first, second) = (coordinate(first)?, coordinate(second)?);
    let is_clear = first.is_clear && second.is_clear;
    if !is_clear && first.parts != second.parts {
        return None;
    }
    let (lat, lon) = match (first.way.map(Way::is_lat), second.way.map(Way::is_lat)) {
        (None, None) | (Some(true), Some(false)) => (first.degrees, second.degrees),
        (Some(false), Some(true)) => (second.degrees, first.degrees),
        _ => return None,
    };
    Some(Both { lat, lon, is_clear })
}

/// Where one coordinate ends and the next begins: by sides, by axes, by marks, by degree signs, or
/// in the middle.
fn groups(pieces: &[Token]) -> Option<Vec<Vec<Token>>> {
    let way = |token: &Token| matches!(token, Token::Way(_));
    let side = |token: &Token| matches!(token, Token::Way(way) if way.is_side());
    let pieces = trimmed(pieces);
    let groups = if pieces.iter().any(side) {
        let first = pieces.iter().find(|token| !matches!(token, Token::Way(w) if !w.is_side()))?;
        let pieces = pieces.iter().filter(|token| !way(token) || side(token)).copied();
        if side(first) { cut_before(pieces, side) } else { cut_after(pieces, side) }
    } else if pieces.iter().any(way) {
        cut_before(pieces.iter().copied(), way)
    } else if pieces.contains(&Token::Break) {
        pieces.split(|token| *token == Token::Break).map(<[Token]>::to_vec).collect()
    } else if pieces.iter().filter(|token| **token == Token::Unit(0)).count() == 2 {
        let second = pieces.iter().rposition(|token| *token == Token::Unit(0))?.checked_sub(1)?;
        vec![pieces[..second].to_vec(), pieces[second..].to_vec()]
    } else {
        let (left, right) = pieces.split_at(pieces.len() / 2);
        vec![left.to_vec(), right.to_vec()]
            .into_iter()
            .filter(|_| left.len() == right.len())
            .collect()
    };
    let trimmed =
        groups.iter().map(|group| trimmed(group)).filter(|group| !group.is_empty()).collect();
    Some(trimmed)
}

fn cut_before(
    pieces: impl Iterator<Item = Token>,
    is_cut: impl Fn(&Token) -> bool,
) -> Vec<Vec<Token>> {
    pieces.fold(vec![Vec::new()], |mut groups, token| {
        if is_cut(&token) {
            groups.push(Vec::new());
        }
        if let Some(last) = groups.last_mut() {
            last.push(token);
        }
        groups
    })
}

fn cut_after(
    pieces: impl Iterator<Item = Token>,
    is_cut: impl Fn(&Token) -> bool,
) -> Vec<Vec<Token>> {
    pieces.fold(vec![Vec::new()], |mut groups, token| {
        if let Some(last) = groups.last_mut() {
            last.push(token);
        }
        if is_cut(&token) {
            groups.push(Vec::new());
        }
        groups
    })
}

/// Without the marks at its ends.
fn trimmed(group: &[Token]) -> Vec<Token> {
    let is_break = |token: &Token| *token == Token::Break;
    let from = group.iter().position(|token| !is_break(token)).unwrap_or(group.len());
    let to = group.iter().rposition(|token| !is_break(token)).map_or(from, |last| last + 1);
    group[from..to].to_vec()
}

/// Degrees, perhaps with minutes and seconds; only the last of them has a fraction.
fn coordinate(group: &[Token]) -> Option<Coordinate> {
    let (mut sizes, mut way, mut first_sign, mut is_clear) = ([0.0; 3], None, None, false);
    let (mut next, mut ended, mut last_had_unit) = (0, false, true);
    for token in group {
        match *token {
            Token::Number { size, sign, has_fraction } => {
                if next > 2 || ended || (next > 0 && (sign.is_some() || size >= 60.0)) {
                    return None;
                }
                sizes[next] = size;
                first_sign = first_sign.or(sign);
                (ended, last_had_unit, next) = (has_fraction, false, next + 1);
                is_clear |= has_fraction;
            }
            Token::Unit(unit) => {
                if last_had_unit || unit + 1 != next {
                    return None;
                }
                (last_had_unit, is_clear) = (true, true);
            }
            Token::Way(one) if way.is_none() => (way, is_clear) = (Some(one), true),
            Token::Way(_) | Token::Break => return None,
        }
    }
    let is_signed_twice = first_sign.is_some() && way.is_some_and(Way::is_side);
    if next == 0 || is_signed_twice {
        return None;
    }
    let sign = match way {
        Some(Way::South | Way::West) => -1.0,
        _ => first_sign.unwrap_or(1.0),
    };
    let degrees = sign * (sizes[0] + sizes[1] / 60.0 + sizes[2] / 3600.0);
    Some(Coordinate { degrees, way, parts: next, is_clear })
}
