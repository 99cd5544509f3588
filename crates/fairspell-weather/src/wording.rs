//! What a service's own words and symbols say of thunder and of how it rains.

use fairspell_chance::Character;

/// What the words or the symbol of a period say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Wording {
    pub(crate) thunder: bool,
    pub(crate) rain_character: Option<Character>,
}

impl Wording {
    /// Two wordings for the same period; showers count before steady rain, since they leave gaps.
    pub(crate) fn and(self, other: Wording) -> Wording {
        let showery =
            [self, other].iter().any(|wording| wording.rain_character == Some(Character::Showery));
        Wording {
            thunder: self.thunder || other.thunder,
            rain_character: if showery {
                Some(Character::Showery)
            } else {
                self.rain_character.or(other.rain_character)
            },
        }
    }
}

/// The US service's weather words: a grid layer's (`rain_showers`) or a short forecast's ("Chance
/// Showers And Thunderstorms").
///
/// Thunderstorms come as showers, also where no shower is named.
pub(crate) fn nws_words(words: &str) -> Wording {
    let words = words.to_lowercase();
    let thunder = words.contains("thunder");
    let rain_character = if thunder || words.contains("shower") || words.contains("flurries") {
        Some(Character::Showery)
    } else if ["rain", "drizzle", "snow", "sleet", "ice_pellets", "ice pellets"]
        .iter()
        .any(|word| words.contains(word))
        && !words.contains("blowing")
    {
        Some(Character::Steady)
    } else {
        None
    };
    Wording { thunder, rain_character }
}

/// The Norwegian service's symbol codes, such as `lightrainshowersandthunder_day`.
///
/// There thunder is said apart from the kind of rain: `rainandthunder` is steady.
pub(crate) fn met_symbol(code: &str) -> Wording {
    let rain_character = if code.contains("showers") {
        Some(Character::Showery)
    } else if ["rain", "sleet", "snow"].iter().any(|word| code.contains(word)) {
        Some(Character::Steady)
    } else {
        None
    };
    Wording { thunder: code.contains("thunder"), rain_character }
}
