//! How many different pictures a look has.
//!
//! The grid of a look is crop x pose family x expression x orientation: 168 cells, which nobody fills
//! in an evening. Twelve of them are the core: with those a gallery has something for everybody. She
//! taps them in the field, and later the frames themselves can fill any of the 168.
//!
//! ```
//! use fairspell_studio::variety::{CORE, Cell, Coverage};
//!
//! assert_eq!((Cell::all().count(), CORE.len()), (168, 12));
//! let mut coverage = Coverage::default();
//! coverage.tap("close-smile", true);
//! assert_eq!(coverage.core_filled(), 1);
//! assert_eq!(coverage.next_prompts(5)[0].core.map(|core| core.id), Some("close-soft"));
//! ```

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

/// How much of the body is in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Crop {
    /// Head and shoulders, or a detail.
    Close,
    /// To the waist or the knee.
    Half,
    /// Head to foot.
    Full,
}

/// What the body does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pose {
    /// Stands.
    Stand,
    /// Leans on something.
    Lean,
    /// Sits.
    Sit,
    /// Walks.
    Walk,
    /// Looks back over a shoulder.
    OverShoulder,
    /// Turns, twirls or moves otherwise.
    Turn,
    /// Hands and hair.
    Hands,
}

/// What the face does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Expression {
    /// Smiles.
    Smile,
    /// Rests, without a smile.
    Soft,
    /// Laughs.
    Laugh,
    /// Looks away.
    Away,
}

/// How the picture stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Orientation {
    /// Higher than wide.
    Upright,
    /// Wider than high.
    Wide,
}

impl Crop {
    /// All of them.
    pub const ALL: [Crop; 3] = [Crop::Close, Crop::Half, Crop::Full];
}

impl Pose {
    /// All of them.
    pub const ALL: [Pose; 7] = [
        Pose::Stand,
        Pose::Lean,
        Pose::Sit,
        Pose::Walk,
        Pose::OverShoulder,
        Pose::Turn,
        Pose::Hands,
    ];
}

impl Expression {
    /// All of them.
    pub const ALL: [Expression; 4] =
        [Expression::Smile, Expression::Soft, Expression::Laugh, Expression::Away];
}

impl Orientation {
    /// Both of them.
    pub const ALL: [Orientation; 2] = [Orientation::Upright, Orientation::Wide];
}

/// One cell of the grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Cell {
    /// How much of the body.
    pub crop: Crop,
    /// What the body does.
    pub pose: Pose,
    /// What the face does.
    pub expression: Expression,
    /// How the picture stands.
    pub orientation: Orientation,
}

impl Cell {
    const fn new(crop: Crop, pose: Pose, expression: Expression, orientation: Orientation) -> Cell {
        Cell { crop, pose, expression, orientation }
    }

    /// All 168, in the grid's order.
    pub fn all() -> impl Iterator<Item = Cell> {
        Crop::ALL.into_iter().flat_map(|crop| {
            Pose::ALL.into_iter().flat_map(move |pose| {
                Expression::ALL.into_iter().flat_map(move |expression| {
                    let cell = move |orientation| Cell::new(crop, pose, expression, orientation);
                    Orientation::ALL.into_iter().map(cell)
                })
            })
        })
    }

    /// In how many of the four it differs from another.
    pub fn distance(self, other: Cell) -> u32 {
        u32::from(self.crop != other.crop)
            + u32::from(self.pose != other.pose)
            + u32::from(self.expression != other.expression)
            + u32::from(self.orientation != other.orientation)
    }

    /// The one of the core twelve that a picture of this cell stands for, if any. What the core asks
    /// for is looser than its own cell: a close picture with a smile is "close-smile" also when the
    /// sitter leans. Hands go before crops, and a wide full picture is the one with space around.
    pub fn core(self) -> Option<&'static CoreCell> {
        let id = match (self.crop, self.pose, self.expression, self.orientation) {
            (_, Pose::Hands, _, _) => "hands-detail",
            (Crop::Close, _, Expression::Smile, _) => "close-smile",
            (Crop::Close, _, Expression::Soft, _) => "close-soft",
            (Crop::Close, _, Expression::Laugh, _) => "close-laugh",
            (Crop::Half, Pose::Sit, _, _) => "half-sit",
            (Crop::Half, Pose::Lean, Expression::Smile, _) => "half-smile-lean",
            (Crop::Half, _, Expression::Away, _) => "half-away",
            (Crop::Full, _, _, Orientation::Wide) => "wide-space",
            (Crop::Full, Pose::Stand, _, _) => "full-stand",
            (Crop::Full, Pose::Walk, _, _) => "full-walk",
            (Crop::Full, Pose::OverShoulder, _, _) => "full-over-shoulder",
            (Crop::Full, Pose::Turn, _, _) => "full-turn",
            _ => return None,
        };
        core_cell(id)
    }
}

/// One of the core twelve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct CoreCell {
    /// How it is called in logs; never changed.
    pub id: &'static str,
    /// Its place in the grid.
    pub cell: Cell,
}

const fn core_of(
    id: &'static str,
    crop: Crop,
    pose: Pose,
    expression: Expression,
    orientation: Orientation,
) -> CoreCell {
    CoreCell { id, cell: Cell::new(crop, pose, expression, orientation) }
}

/// What every look ought to have, in the order in which it is easiest asked for.
///
/// # Source
///
/// Our choice, from how outdoor portrait photographers describe a complete set of one outfit; where a
/// picture could stand in several cells (what a sitting face does), the commonest.
pub const CORE: [CoreCell; 12] = {
    use Crop::{Close, Full, Half};
    use Expression::{Away, Laugh, Smile, Soft};
    use Orientation::{Upright, Wide};
    [
        core_of("close-smile", Close, Pose::Stand, Smile, Upright),
        core_of("close-soft", Close, Pose::Stand, Soft, Upright),
        core_of("close-laugh", Close, Pose::Stand, Laugh, Upright),
        core_of("half-smile-lean", Half, Pose::Lean, Smile, Upright),
        core_of("half-away", Half, Pose::Stand, Away, Upright),
        core_of("half-sit", Half, Pose::Sit, Soft, Upright),
        core_of("full-stand", Full, Pose::Stand, Soft, Upright),
        core_of("full-walk", Full, Pose::Walk, Laugh, Upright),
        core_of("full-over-shoulder", Full, Pose::OverShoulder, Smile, Upright),
        core_of("full-turn", Full, Pose::Turn, Laugh, Upright),
        core_of("wide-space", Full, Pose::Stand, Away, Wide),
        core_of("hands-detail", Close, Pose::Hands, Soft, Upright),
    ]
};

/// The core cell of an id.
pub fn core_cell(id: &str) -> Option<&'static CoreCell> {
    CORE.iter().find(|core| core.id == id)
}

/// What of the grid a look has.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Coverage {
    filled: BTreeSet<Cell>,
}

/// Values of the grid that no picture has.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Missing {
    /// Crops.
    pub crops: Vec<Crop>,
    /// Pose families.
    pub poses: Vec<Pose>,
    /// Expressions.
    pub expressions: Vec<Expression>,
    /// Orientations.
    pub orientations: Vec<Orientation>,
}

/// A picture to make next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Prompt {
    /// Its cell.
    pub cell: Cell,
    /// The one of the core twelve that it is.
    pub core: Option<&'static CoreCell>,
    /// The how manieth prompt of that cell, from 0: a core cell has two.
    pub turn: usize,
}

impl Coverage {
    /// A tap on one of the core twelve. Ids that we do not know (of a newer sheet) do nothing.
    pub fn tap(&mut self, id: &str, filled: bool) {
        let Some(core) = core_cell(id) else { return };
        if filled {
            self.filled.insert(core.cell);
        } else {
            self.filled.remove(&core.cell);
        }
    }

    /// A picture of any cell is there.
    pub fn fill(&mut self, cell: Cell) {
        self.filled.insert(cell);
    }

    /// The cells that are filled, in the grid's order.
    pub fn filled(&self) -> impl Iterator<Item = Cell> {
        self.filled.iter().copied()
    }

    /// Whether one of the core twelve is there, by a tap or by a picture that stands for it.
    pub fn has(&self, core: &CoreCell) -> bool {
        self.filled.iter().filter_map(|cell| cell.core()).any(|has| has.id == core.id)
    }

    /// How many of the core twelve are there.
    pub fn core_filled(&self) -> usize {
        CORE.iter().filter(|core| self.has(core)).count()
    }

    /// Those of the core twelve that are not.
    pub fn core_empty(&self) -> Vec<&'static CoreCell> {
        CORE.iter().filter(|core| !self.has(core)).collect()
    }

    /// What no picture has.
    pub fn missing(&self) -> Missing {
        fn absent<T: Copy + PartialEq>(
            all: &[T],
            filled: &BTreeSet<Cell>,
            of: fn(&Cell) -> T,
        ) -> Vec<T> {
            let is_absent = |value: &&T| filled.iter().all(|cell| of(cell) != **value);
            all.iter().filter(is_absent).copied().collect()
        }
        Missing {
            crops: absent(&Crop::ALL, &self.filled, |cell| cell.crop),
            poses: absent(&Pose::ALL, &self.filled, |cell| cell.pose),
            expressions: absent(&Expression::ALL, &self.filled, |cell| cell.expression),
            orientations: absent(&Orientation::ALL, &self.filled, |cell| cell.orientation),
        }
    }

    /// Up to so many pictures to make next. What the core lacks comes first, each once, then each
    /// with its second prompt; a look with a whole core gets the cells that differ most from all that
    /// it has.
    pub fn next_prompts(&self, count: usize) -> Vec<Prompt> {
        let empty = self.core_empty();
        if !empty.is_empty() {
            let asked = |turn| {
                empty.iter().map(move |core| Prompt { cell: core.cell, core: Some(*core), turn })
            };
            return asked(0).chain(asked(1)).take(count).collect();
        }
        let mut have = self.clone();
        let mut prompts = Vec::new();
        while prompts.len() < count {
            let Some(cell) = have.farthest() else { break };
            have.fill(cell);
            prompts.push(Prompt { cell, core: None, turn: 0 });
        }
        prompts
    }

    /// The empty cell that differs most from every filled one; of equals, the first of the grid.
    fn farthest(&self) -> Option<Cell> {
        let nearest = |cell: Cell| self.filled.iter().map(|has| has.distance(cell)).min();
        let mut best: Option<(u32, Cell)> = None;
        for cell in Cell::all().filter(|cell| !self.filled.contains(cell)) {
            let far = nearest(cell).unwrap_or(u32::MAX);
            if best.is_none_or(|(farthest, _)| far > farthest) {
                best = Some((far, cell));
            }
        }
        best.map(|(_, cell)| cell)
    }
}
