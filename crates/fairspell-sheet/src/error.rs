//! What can be wrong with a problem, by name.

/// A problem that cannot be solved as it stands; each says what to put right.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// There is nothing to make.
    #[error("there are no sets")]
    NoSets,
    /// There are no looks, spots, slots or rain levels to work with.
    #[error("there are no {what}")]
    Nothing {
        /// What there must be at least one of.
        what: &'static str,
    },
    /// There are more than can be told apart.
    #[error("there are {count} {what}, and {most} are the most")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        most: usize,
    },
    /// A name stands twice.
    #[error("the {what} `{name}` stands twice")]
    Twice {
        /// What it names.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A name that is not in its list.
    #[error("{place} names the {what} `{name}`, which is not there")]
    Unknown {
        /// Where it is named.
        place: String,
        /// What it should be.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A number outside its range, or none at all.
    #[error("{place}: {value} is not {range}")]
    Number {
        /// Where it stands.
        place: String,
        /// What stands there.
        value: f64,
        /// What it must be.
        range: &'static str,
    },
    /// A list of the wrong length.
    #[error("{place} has {count} entries, expected {expected}")]
    Length {
        /// Where it stands.
        place: String,
        /// How many it has.
        count: usize,
        /// How many it must have.
        expected: usize,
    },
    /// The rain's chances do not sum to one.
    #[error("{place} sums to {sum}, not to one")]
    Row {
        /// Which row.
        place: String,
        /// Its sum.
        sum: f64,
    },
    /// Nobody says how far it is.
    #[error("no walk between `{from}` and `{to}`")]
    NoWalk {
        /// One end.
        from: String,
        /// The other.
        to: String,
    },
    /// A detour is shorter than the way.
    #[error(
        "`{from}` to `{to}` takes {direct_min} min, but only {detour_min} min over `{over}`: a walk \
         cannot be longer than a detour"
    )]
    Triangle {
        /// One end.
        from: String,
        /// The other.
        to: String,
        /// Between them.
        over: String,
        /// The way as given.
        direct_min: u32,
        /// The detour.
        detour_min: u32,
    },
    /// A set that can never be made: its spot is closed, its light gone, its minutes too many.
    #[error("the set `{set}` can never be made: {why}")]
    NeverOpen {
        /// The set.
        set: String,
        /// Why not.
        why: Closed,
    },
    /// An evening too long or wide to keep in memory, even for a part of its sets.
    #[error("the smallest part of this problem needs {cells} states, and {most} are allowed")]
    TooLarge {
        /// States it needs.
        cells: usize,
        /// States allowed.
        most: usize,
    },
}

/// Why a set can never be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Closed {
    /// Its spot is never open long enough.
    Spot,
    /// There is never light enough for long enough.
    Light,
    /// It takes longer than the evening, or than what is left of it once one gets there.
    Time,
    /// In no class of rain is it worth anything.
    Rain,
}

impl std::fmt::Display for Closed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Closed::Spot => "its spot is never open long enough",
            Closed::Light => "there is never light enough for it",
            Closed::Time => "the evening is too short for it",
            Closed::Rain => "it is worth nothing in any rain, dry included",
        })
    }
}
