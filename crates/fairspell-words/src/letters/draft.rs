//! Paragraphs, and what may be left out for brevity.

use fairspell_studio::Offer;

use super::asked::Asked;
use crate::text::count_words;

/// The most words a letter has: fewer than a hundred and ten.
const WORDS_MAX: usize = 109;

/// How readily a sentence goes when names are long: the last of these first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Weight {
    /// Never.
    Needed,
    /// When nothing else is left; mostly for sentences that give way to a shorter one.
    Wanted,
    /// Why, in more words than the first sentence has.
    Reason,
    /// Others' terms and dates that nobody has to act upon now.
    Terms,
    /// Pleasant to read.
    Nicety,
}

#[derive(Debug)]
struct Sentence {
    text: String,
    weight: Weight,
    /// What stands there instead once it has gone.
    instead: Option<String>,
}

/// A paragraph; options stand on lines of their own.
#[derive(Debug)]
pub(super) struct Paragraph {
    between: &'static str,
    sentences: Vec<Sentence>,
}

impl Paragraph {
    /// Adds a sentence that the letter cannot do without.
    pub(super) fn must(&mut self, text: impl Into<String>) -> &mut Self {
        self.may(Weight::Needed, Some(text.into()))
    }

    /// Adds a sentence, where there is one; of one weight the last goes first.
    pub(super) fn may(&mut self, weight: Weight, text: Option<String>) -> &mut Self {
        self.sentences.extend(text.map(|text| Sentence { text, weight, instead: None }));
        self
    }

    /// Adds a sentence that gives way to a shorter one when the letter gets too long.
    pub(super) fn or(&mut self, text: impl Into<String>, shorter: impl Into<String>) -> &mut Self {
        self.sentences.push(Sentence {
            text: text.into(),
            weight: Weight::Wanted,
            instead: Some(shorter.into()),
        });
        self
    }
}

/// A letter in the making.
#[derive(Debug)]
pub(super) struct Draft {
    paragraphs: Vec<Paragraph>,
    offers: Vec<Offer>,
    asked: Option<Asked>,
    also_known: Vec<String>,
}

/// A letter cut to length, with what the family may answer.
#[derive(Debug)]
pub(super) struct Written {
    pub(super) body: String,
    pub(super) offers: Vec<Offer>,
    pub(super) asked: Option<Asked>,
    /// The sentences that say where we stand and why.
    pub(super) known: Vec<String>,
}

/// Greeting first, then where we stand and why.
const WHERE_WE_STAND: usize = 1;

impl Draft {
    pub(super) fn new() -> Self {
        Draft { paragraphs: Vec::new(), offers: Vec::new(), asked: None, also_known: Vec::new() }
    }

    /// Begins a paragraph.
    pub(super) fn paragraph(&mut self) -> &mut Paragraph {
        self.begin(" ")
    }

    /// Adds a list of options, each on its line under its number, and begins a paragraph that asks
    /// for one of them.
    pub(super) fn ask(&mut self, mut offers: Vec<Offer>, asked: Asked) -> &mut Paragraph {
        offers.truncate(LABELS.len());
        let list = self.begin("\n");
        for (label, offer) in LABELS.iter().zip(&offers) {
            list.must(format!("{label}: {}", offer.words));
        }
        let sentence = asked.sentence(offers.len());
        self.offers = offers;
        self.asked = Some(asked);
        self.paragraph().must(sentence)
    }

    /// What may be answered although the letter does not ask.
    pub(super) fn unasked(&mut self, offers: Vec<Offer>) {
        self.offers = offers;
    }

    /// A sentence that belongs to what is known although it stands further down.
    pub(super) fn also_known(&mut self, sentence: &str) {
        self.also_known.push(sentence.to_owned());
    }

    fn begin(&mut self, between: &'static str) -> &mut Paragraph {
        self.paragraphs.push(Paragraph { between, sentences: Vec::new() });
        self.paragraphs.last_mut().expect("one was just added")
    }

    /// The whole letter, cut to length.
    pub(super) fn finish(mut self) -> Written {
        while count_words(&self.text()) > WORDS_MAX && self.leave_one_out() {}
        let stand = self.paragraphs.get(WHERE_WE_STAND).into_iter();
        let known = stand.flat_map(|paragraph| paragraph.sentences.iter().map(|s| s.text.clone()));
        let known = known.chain(std::mem::take(&mut self.also_known)).collect();
        Written { body: self.text(), offers: self.offers, asked: self.asked, known }
    }

    fn leave_one_out(&mut self) -> bool {
        let Some((paragraph, sentence, _)) = self
            .paragraphs
            .iter()
            .enumerate()
            .flat_map(|(at, paragraph)| {
                let sentences = paragraph.sentences.iter().enumerate();
                sentences.map(move |(sentence, it)| (at, sentence, it.weight))
            })
            .filter(|(_, _, weight)| *weight > Weight::Needed)
            .max_by_key(|(_, _, weight)| *weight)
        else {
            return false;
        };
        let gone = self.paragraphs[paragraph].sentences.remove(sentence);
        if let Some(text) = gone.instead {
            let shorter = Sentence { text, weight: Weight::Needed, instead: None };
            self.paragraphs[paragraph].sentences.insert(sentence, shorter);
        }
        true
    }

    fn text(&self) -> String {
        let paragraphs: Vec<String> = self
            .paragraphs
            .iter()
            .filter(|paragraph| !paragraph.sentences.is_empty())
            .map(|paragraph| {
                let texts: Vec<&str> =
                    paragraph.sentences.iter().map(|s| s.text.as_str()).collect();
                texts.join(paragraph.between)
            })
            .collect();
        paragraphs.join("\n\n")
    }
}

/// By what the family answers.
pub(super) const LABELS: [&str; 3] = ["1", "2", "3"];
