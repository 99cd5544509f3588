//! What colours and fabrics do at a backdrop and in the rain: the owner's own table.
//!
//! Rows are found in what was typed by whole words, whatever the capitals: a look of "Dusty Sage"
//! goes by the row "sage". Of several rows the one with more words counts, then the one that stands
//! later: "rust red" is a red. What no row names has nothing said of it.

use serde::{Deserialize, Serialize};

use crate::session::Look;

/// What water does to a fabric.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FabricRow {
    /// The fabric: "satin"; with its colour where that matters: "mid-grey cotton".
    pub name: String,
    /// Whether drops show on it.
    #[serde(default)]
    pub shows_drops: bool,
    /// Whether water marks it for good.
    #[serde(default)]
    pub marks_for_good: bool,
    /// Whether it loses its shape: tulle collapses, knit sags.
    #[serde(default)]
    pub collapses_wet: bool,
    /// How long drops take to dry on it, minutes; `None` where nobody has tried.
    #[serde(default)]
    pub dries_min: Option<u32>,
}

/// How a colour goes with a backdrop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Hardly to be told from it.
    SinksIn,
    /// As bright as it: no edge is left.
    Vanishes,
    /// Much brighter than it: the eye goes to the dress.
    Shines,
    /// Throws its colour on chin and neck.
    CastsColour,
    /// Goes well with it.
    Suits,
}

impl Verdict {
    /// All of them.
    pub const ALL: [Verdict; 5] = [
        Verdict::SinksIn,
        Verdict::Vanishes,
        Verdict::Shines,
        Verdict::CastsColour,
        Verdict::Suits,
    ];
}

/// A colour against a backdrop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pairing {
    /// The colour: "brown".
    pub colour: String,
    /// The backdrop: "sand"; `None` is whatever stands behind, unless a row names it.
    #[serde(default)]
    pub backdrop: Option<String>,
    /// How they go together.
    pub verdict: Verdict,
}

/// What colours and fabrics do at a backdrop and in the rain.
///
/// # Source
///
/// The default rows are common practice without a source; that linen and chambray dry within half
/// an hour, and the two figures for hair, are our estimates to start from. All of it is the owner's to
/// change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct LookTable {
    /// Fabrics.
    pub fabrics: Vec<FabricRow>,
    /// Colours against backdrops.
    pub pairings: Vec<Pairing>,
    /// Shoes that sink into soft ground and catch between boards: "heels".
    pub sinking_shoes: Vec<String>,
    /// Relative humidity from which curls drop, %.
    pub humid_from_percent: u32,
    /// Gust at the spot from which open hair gets in the face, km/h.
    pub hair_gust_from_km_h: u32,
}

impl Default for LookTable {
    fn default() -> Self {
        use Verdict::{CastsColour, Shines, SinksIn, Suits, Vanishes};
        let pair = |(colour, backdrop, verdict): &(&str, &str, Verdict)| Pairing {
            colour: (*colour).to_owned(),
            backdrop: Some((*backdrop).to_owned()).filter(|name| !name.is_empty()),
            verdict: *verdict,
        };
        // Name, shows drops, marks for good, loses its shape, minutes to dry.
        let fabrics: [(&str, bool, bool, bool, Option<u32>); 14] = [
            ("satin", true, true, false, None),
            ("silk", true, true, false, None),
            ("linen", true, false, false, Some(30)),
            ("chambray", true, false, false, Some(30)),
            ("mid-grey cotton", true, false, false, None),
            ("mid-grey jersey", true, false, false, None),
            ("black linen", false, false, false, None),
            ("tulle", true, false, true, None),
            ("knit", false, false, true, None),
            ("wool", false, false, false, None),
            ("denim", false, false, false, None),
            ("lace", false, false, false, None),
            ("print", false, false, false, None),
            ("sports jersey", false, false, false, None),
        ];
        let pairings = [
            ("brown", "sand", SinksIn),
            ("brown", "grass", SinksIn),
            ("dull orange", "sand", SinksIn),
            ("dull orange", "grass", SinksIn),
            ("green", "green wood", SinksIn),
            ("white", "green wood", Shines),
            ("white", "grey sky", Vanishes),
            ("light grey", "grey sky", Vanishes),
            ("red", "", CastsColour),
            ("neon", "", CastsColour),
            ("blue", "", Suits),
            ("rust", "", Suits),
            ("wine", "", Suits),
            ("cream", "", Suits),
            ("sage", "", Suits),
        ];
        LookTable {
            fabrics: fabrics
                .into_iter()
                .map(|(name, shows_drops, marks_for_good, collapses_wet, dries_min)| FabricRow {
                    name: name.to_owned(),
                    shows_drops,
                    marks_for_good,
                    collapses_wet,
                    dries_min,
                })
                .collect(),
            pairings: pairings.iter().map(pair).collect(),
            sinking_shoes: vec!["heels".to_owned(), "stilettos".to_owned()],
            humid_from_percent: 75,
            hair_gust_from_km_h: 25,
        }
    }
}

/// What can be wrong with a table that somebody wrote down.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LookTableError {
    /// A row without a name; nothing could ever be found by it.
    #[error("{0} without a name")]
    NoName(&'static str),
    /// Two rows would answer the same question.
    #[error("`{0}` is given twice")]
    Twice(String),
    /// A figure that cannot be.
    #[error("{what} cannot be {value}")]
    OutOfRange {
        /// Which figure.
        what: &'static str,
        /// Its value as written.
        value: u32,
    },
}

/// The longest that drops can be said to take to dry, minutes: a day.
pub const DRIES_MAX_MIN: u32 = 1440;

impl LookTable {
    /// Checks that every row has a name of its own and every figure can be.
    ///
    /// # Errors
    ///
    /// The first [`LookTableError`] found.
    pub fn check(&self) -> Result<(), LookTableError> {
        let fabrics = self.fabrics.iter().map(|row| ("a fabric", row.name.clone()));
        let shoes = self.sinking_shoes.iter().map(|name| ("a kind of shoe", name.clone()));
        unique(fabrics)?;
        unique(shoes)?;
        for row in &self.pairings {
            let backdrop = row.backdrop.as_deref();
            if words(&row.colour).is_empty() || backdrop.is_some_and(|name| words(name).is_empty())
            {
                return Err(LookTableError::NoName("a pairing"));
            }
        }
        unique(self.pairings.iter().map(|row| {
            let backdrop = row.backdrop.as_ref();
            let both = backdrop.map(|backdrop| format!("{} against {backdrop}", row.colour));
            ("a pairing", both.unwrap_or_else(|| row.colour.clone()))
        }))?;
        let dries = self.fabrics.iter().filter_map(|row| row.dries_min);
        let figures = [
            ("the humidity from which curls drop", self.humid_from_percent, 100),
            ("the gust for open hair", self.hair_gust_from_km_h, 120),
        ];
        let figures =
            dries.map(|minutes| ("the minutes to dry", minutes, DRIES_MAX_MIN)).chain(figures);
        for (what, value, most) in figures {
            if value > most {
                return Err(LookTableError::OutOfRange { what, value });
            }
        }
        Ok(())
    }

    /// The colours that rows name, each once.
    pub fn colours(&self) -> Vec<&str> {
        once(self.pairings.iter().map(|row| row.colour.as_str()))
    }

    /// The backdrops that rows name, each once.
    pub fn backdrops(&self) -> Vec<&str> {
        once(self.pairings.iter().filter_map(|row| row.backdrop.as_deref()))
    }

    /// The row of a look's fabric; `None` where no row names it.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_studio::{LookTable, session::Look};
    ///
    /// let sage = Look {
    ///     colour: Some("sage".into()),
    ///     fabric: Some("Silk satin".into()),
    ///     ..Look::default()
    /// };
    /// let row = LookTable::default().fabric(&sage).cloned().expect("satin has a row");
    /// assert!(row.name == "satin" && row.marks_for_good);
    /// ```
    pub fn fabric(&self, look: &Look) -> Option<&FabricRow> {
        let colour = words(look.colour.as_deref().unwrap_or_default());
        let fabric = words(look.fabric.as_deref()?);
        let both = [colour.as_slice(), &fabric].concat();
        // A colour called "silk white" makes no silk of it: a row ends in the fabric's words.
        let rank =
            |row: &FabricRow| rank(&words(&row.name), &both).filter(|(_, end)| *end > colour.len());
        best(&self.fabrics, rank)
    }

    /// Whether drops show on a look: by its own word or its fabric's.
    pub fn shows_drops(&self, look: &Look) -> bool {
        look.shows_drops || self.fabric(look).is_some_and(|row| row.shows_drops)
    }

    /// Whether water marks a look for good: by its own word or its fabric's.
    pub fn marks_for_good(&self, look: &Look) -> bool {
        look.marks_for_good || self.fabric(look).is_some_and(|row| row.marks_for_good)
    }

    /// How a colour goes with a backdrop, both in anybody's words; `None` where no row names them.
    ///
    /// A row for this very backdrop counts before one for any.
    pub fn pairing(&self, colour: &str, backdrop: Option<&str>) -> Option<&Pairing> {
        let colour = words(colour);
        let backdrop = backdrop.map(words).unwrap_or_default();
        let behind = |row: &Pairing| match &row.backdrop {
            None => Some((0, 0)),
            Some(name) => rank(&words(name), &backdrop),
        };
        best(&self.pairings, |row| {
            let (length, end) = rank(&words(&row.colour), &colour)?;
            let (behind_length, behind_end) = behind(row)?;
            Some((behind_length > 0, length, end, behind_length, behind_end))
        })
    }

    /// Whether shoes, in anybody's words, are such as sink into soft ground.
    pub fn sinks(&self, shoes: &str) -> bool {
        let shoes = words(shoes);
        self.sinking_shoes.iter().any(|name| rank(&words(name), &shoes).is_some())
    }
}

fn once<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut seen = std::collections::HashSet::new();
    names.filter(|name| seen.insert(name.to_lowercase())).collect()
}

/// The best row by its rank, the first of equals.
fn best<T, R: Ord>(rows: &[T], rank: impl Fn(&T) -> Option<R>) -> Option<&T> {
    let ranked = rows.iter().filter_map(|row| Some((rank(row)?, row)));
    ranked.reduce(|best, row| if row.0 > best.0 { row } else { best }).map(|(_, row)| row)
}

/// The words of a name in small letters.
fn words(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect()
}

/// How well a row's words name what was written: how many they are, and where they end the last
/// time they stand in it, one after another.
fn rank(row: &[String], written: &[String]) -> Option<(usize, usize)> {
    if row.is_empty() {
        return None;
    }
    let start = written.windows(row.len()).rposition(|window| window == row)?;
    Some((row.len(), start + row.len()))
}

fn unique(names: impl Iterator<Item = (&'static str, String)>) -> Result<(), LookTableError> {
    let mut seen = std::collections::HashSet::new();
    for (what, name) in names {
        let words = words(&name);
        if words.is_empty() {
            return Err(LookTableError::NoName(what));
        }
        if !seen.insert(words) {
            return Err(LookTableError::Twice(name));
        }
    }
    Ok(())
}
