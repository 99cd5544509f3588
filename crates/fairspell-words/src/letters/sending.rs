//! How the answer is asked for: by a link, or by a number in reply.

use fairspell_studio::Offer;

use super::{asked::numbers, draft::LABELS};
use crate::text::{count_words, one_line};

/// How a family answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnswerBy<'a> {
    /// On their page, under this address.
    Link(&'a str),
    /// By a number in reply, where the studio has no address that they can reach.
    Number,
}

/// Most words of a closing such as "Warmly, Ines"; what is longer is a paragraph of the letter.
const SIGN_OFF_WORDS_MAX: usize = 12;

/// A letter's text, perhaps edited by hand, with the line that says how to answer.
///
/// - `body`: the text as she left it; line ends of any kind.
///
/// The line stands before the name at the end where there is one, else at the end. What the text
/// says already is not said again: a link that stands in it, numbers that it asks for. Numbers are
/// asked for only where the text lists choices under them.
///
/// # Examples
///
/// ```
/// use fairspell_words::letters::{AnswerBy, family_text};
///
/// let edited = "Hello you two,\n\n1: Keep it.\n2: Move to Sunday.\n\nWarmly,\nInes";
/// assert_eq!(
///     family_text(edited, AnswerBy::Number),
///     "Hello you two,\n\n1: Keep it.\n2: Move to Sunday.\n\nReply with 1 or 2.\n\nWarmly,\nInes"
/// );
/// ```
pub fn family_text(body: &str, by: AnswerBy<'_>) -> String {
    let body = body.replace("\r\n", "\n").replace('\r', "\n");
    let body = body.trim_end();
    match by {
        AnswerBy::Link(link) if contains_link(body, link) => body.to_owned(),
        AnswerBy::Link(link) => before_sign_off(body, &link_line(body, link)),
        AnswerBy::Number => {
            let listed = listed(body);
            if listed < 2 || asks_for_numbers(body, listed) {
                return body.to_owned();
            }
            before_sign_off(body, &format!("Reply with {}.", numbers(listed)))
        }
    }
}

/// The numbers of choices that a text no longer lists word for word, counted from 1.
///
/// A family's answer is recorded with the sentence that stood before them, so a choice that was
/// edited by hand must not go out under its old meaning. Only for letters that ask; where nothing is
/// asked the text lists no choices.
pub fn changed_choices(body: &str, offers: &[Offer]) -> Vec<usize> {
    let lines: Vec<String> = body.lines().map(one_line).collect();
    let is_listed = |number: usize, offer: &Offer| {
        let line = format!("{number}: {}", one_line(&offer.words));
        lines.contains(&line)
    };
    let numbered = (1..).zip(offers);
    numbered
        .filter(|(number, offer)| !is_listed(*number, offer))
        .map(|(number, _)| number)
        .collect()
}

fn link_line(body: &str, link: &str) -> String {
    let greeting = body.lines().next().unwrap_or_default();
    let both = if greeting.contains(" and ") { ", both of you" } else { "" };
    format!("You can answer here{both}: {}", one_line(link))
}

/// Whether the address stands in the text as a whole, not as the beginning of a longer one.
fn contains_link(body: &str, link: &str) -> bool {
    let link = one_line(link);
    body.split_whitespace().any(|word| word.trim_end_matches(['.', ',', ';', ')']) == link)
}

/// How many choices a text lists, each on its line under the next number.
fn listed(body: &str) -> usize {
    let mut count = 0;
    for line in body.lines() {
        let Some(label) = LABELS.get(count) else { break };
        let rest = line.trim_start().strip_prefix(label);
        if rest.is_some_and(|rest| rest.starts_with([':', '.', ')'])) {
            count += 1;
        }
    }
    count
}

fn asks_for_numbers(body: &str, listed: usize) -> bool {
    let body = one_line(body).to_lowercase();
    let numbers = numbers(listed);
    ["answer", "answer with", "reply", "reply with"]
        .iter()
        .any(|asks| body.contains(&format!("{asks} {numbers}")))
}

fn before_sign_off(body: &str, line: &str) -> String {
    match body.rsplit_once("\n\n") {
        Some((text, last)) if is_sign_off(last) => {
            format!("{}\n\n{line}\n\n{last}", text.trim_end())
        }
        _ if body.is_empty() => line.to_owned(),
        _ => format!("{body}\n\n{line}"),
    }
}

/// Whether a last paragraph is a closing and a name rather than a sentence or a choice.
fn is_sign_off(paragraph: &str) -> bool {
    count_words(paragraph) <= SIGN_OFF_WORDS_MAX
        && !paragraph.trim_end().ends_with(['.', '?', '!', ':', ';'])
        && listed(paragraph) == 0
        && !paragraph.contains("://")
}
