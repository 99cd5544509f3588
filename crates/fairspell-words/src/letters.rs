//! The ten letters to a family.
//!
//! Each begins with both names, says in its first sentence where we stand, then why in everyday
//! words, then what can be done, with real dates, by when to answer and what silence means, one
//! warm line, and the owner's name. They are shorter than a hundred and ten words, so that someone
//! reads them to the end at a bus stop; what matters least goes first where names are long.
//!
//! - `draft`: paragraphs, and what may be left out for brevity
//! - `told`: what all letters say alike: dates, odds, warnings, terms
//! - `options`: what a family can choose, each sentence with what it means
//! - `asked`: by when a letter asks for an answer, and what silence means
//! - `sending`: how the answer is asked for: by a link, or by a number in reply
//! - `short`: the letter in a message's length
//! - `still_on`, `your_choice`, `must_move`, `hold`: the letters, by what they ask of the family

mod asked;
mod draft;
mod hold;
mod must_move;
mod options;
mod sending;
mod short;
mod still_on;
mod told;
mod your_choice;

use fairspell_studio::{LetterFacts, LetterKind, Offer};
use jiff::civil::DateTime;

pub use asked::{Asked, Silence};
use draft::Draft;
pub use options::choice_phrase;
pub use sending::{AnswerBy, changed_choices, family_text};
pub use short::sms_text;
use told::Told;

/// A letter, ready to send.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letter {
    /// Its first glance: "Still on: Tue 18 Aug, 15:20".
    pub subject: String,
    /// From greeting to name, paragraphs apart by an empty line.
    pub body: String,
    /// What the family may answer. Where the letter asks, these are its numbered lines, in the order
    /// of their numbers, sentence for sentence; elsewhere its text does not list them.
    pub offers: Vec<Offer>,
    /// By when it asks for an answer and what silence means; `None` where it asks for nothing.
    pub asked: Option<Asked>,
    /// The sentences that say where we stand and why; the first says where.
    pub known: Vec<String>,
    /// The sentence that names a danger, where one is told.
    pub danger: Option<String>,
    /// The start of the session that it speaks of, by the studio's clock.
    pub start: DateTime,
    /// Who signs.
    pub owner: String,
}

/// The letter that the facts ask for.
///
/// - `facts`: already in the studio's clock. Evenings that have passed, and such as come too late
///   for the deadline, are not offered; a reply-by that has passed is not asked for.
///
/// Whatever is absent, the letter still says what is possible: without a reserve evening, pictures
/// under cover and a second part later, or a date to be found together. A warning in the facts is
/// always told, whichever the letter, and a silence never keeps a date that a danger speaks against.
///
/// On the day, once hair and make-up have begun (the next gate lies after the chair), a letter that
/// advises moving says that we do not go: by then money is sunk, and nothing is left to weigh.
///
/// # Examples
///
/// ```
/// use fairspell_studio::{LetterFacts, LetterKind, Question};
/// use fairspell_words::letter;
/// use jiff::civil::date;
///
/// let facts = LetterFacts {
///     kind: LetterKind::Settled,
///     sitter: "Amara".into(),
///     guardian: "Folake".into(),
///     owner: "Ines".into(),
///     question: Question::AnyRain,
///     as_of: date(2026, 8, 17).at(18, 0, 0, 0),
///     start: date(2026, 8, 18).at(15, 20, 0, 0),
///     end: date(2026, 8, 18).at(17, 10, 0, 0),
///     meeting_spot: "Lantern Steps".into(),
///     roofed_spot: None,
///     rain_percent: Some(8),
///     gap_percent: None,
///     gap_min: 25,
///     character: None,
///     danger: None,
///     wait_until: None,
///     spot_change: None,
///     reserves: vec![],
///     reply_by: None,
///     next_word: None,
///     artist: None,
///     deadline: None,
/// };
/// let letter = letter(&facts);
/// assert_eq!(letter.subject, "Still on: Tue 18 Aug, 15:20");
/// assert!(letter.body.starts_with("Dear Amara and Folake,\n\nWe are still on: Tue 18 Aug, 15:20"));
/// ```
///
/// # Source
///
/// What each says follows common practice: state, reason, choices, one message to both, no
/// per cent without its meaning. The wording is ours.
pub fn letter(facts: &LetterFacts) -> Letter {
    let told = Told::new(facts);
    let mut draft = Draft::new();
    draft.paragraph().must(told.greeting());
    let subject = match facts.kind {
        LetterKind::Settled => still_on::settled(&told, &mut draft),
        LetterKind::GreyButDry => still_on::grey_but_dry(&told, &mut draft),
        LetterKind::Watch => still_on::watch(&told, &mut draft),
        LetterKind::OtherSpot => still_on::other_spot(&told, &mut draft),
        LetterKind::FamilysChoice => your_choice::familys_choice(&told, &mut draft),
        LetterKind::AdviseMoving if told.chair_has_passed() => {
            your_choice::not_today(&told, &mut draft)
        }
        LetterKind::AdviseMoving => your_choice::advise_moving(&told, &mut draft),
        LetterKind::MustMoveStorm => must_move::storm(&told, &mut draft),
        LetterKind::MustMoveSystem => must_move::system(&told, &mut draft),
        LetterKind::HeatOrCold => must_move::heat_or_cold(&told, &mut draft),
        LetterKind::Hold => hold::hold(&told, &mut draft),
    };
    draft.paragraph().must(told.owner.clone());
    let draft::Written { body, offers, asked, known } = draft.finish();
    let danger = told.danger().filter(|danger| body.contains(danger.as_str()));
    Letter { subject, body, offers, asked, known, danger, start: facts.start, owner: told.owner }
}
