//! A strategy to carry: one JSON value that a phone can read without asking anybody.
//!
//! # How it is read
//!
//! `actions` is base64 of a zlib stream (RFC 1950). Inflated it holds `blocks` headers, one after
//! the other, and then the blocks' cells in the same order. A header is
//!
//! | bytes | what |
//! |---|---|
//! | 8 | the sets made, a bit for each, the first set the lowest bit; lowest byte first |
//! | one for each of `counted` | that look's pictures so far, as far as its `most` |
//! | 1 | the set made last; 255: nothing yet |
//! | 1 | the first slot `f` that the block has cells for |
//!
//! and its cells are one byte for each slot from `f` to `slots - 1`, within it for each class of
//! rain (4), within it for each hair level, within it for each wetness: `(slots - f) * cells`, with
//! `cells = 4 * hair_levels_g_m2.len() * cloths`, `cloths = c^(1 + kept_looks.len())` and `c` the
//! length of any look's `levels_g_m2` (all have the same).
//! Every cell is the exclusive or of the action's byte with that of the same cell one slot earlier
//! (of zero in the block's first slot): most actions last, and zeros pack well.
//!
//! To look an action up:
//!
//! 1. `made` and `last` from the sets made. For each of `counted`: the sum of `pictures` of the forms
//!    made of that look, at most `most`.
//! 2. Find the block with these. If there is none, or the slot is before its first or not below
//!    `slots`, the plan does not know this state.
//! 3. `h`: the hair level nearest the hair's dose, of two equally near the higher; a dose above the
//!    last level is at the last. Each look's wetness in the same way from its own levels and dose.
//! 4. `w`: the worn look's wetness, plus `c^(k + 1)` times the wetness of the `k`-th of `kept_looks`,
//!    counted from 0, where that look is off (0 where it is the worn one). The worn look is that of
//!    the set made last, or `look_at_start`; without one its wetness is 0.
//! 5. The cell is `((class * hair levels + h) * cloths) + w` of the slot.
//! 6. The byte: 0 finish, 1 wait a slot under cover, else `v = byte - 2`: set `v / 2` (rounded down),
//!    in full where `v` is even, short where it is odd.

use std::io::{Read, Write};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::read::ZlibDecoder;
use flate2::write::ZlibEncoder;
use serde::{Deserialize, Serialize};

use crate::action::Action;
use crate::strategy::{FieldState, Strategy};

/// What stands for "nothing made yet" in a header.
const NOTHING_YET: u8 = u8::MAX;

/// A strategy as one value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetTable {
    /// 1: this layout.
    pub version: u32,
    /// Minutes of a slot.
    pub slot_min: u32,
    /// Slots of the evening.
    pub slots: usize,
    /// The hair's levels, g/m².
    pub hair_levels_g_m2: Vec<f64>,
    /// The looks, as the problem lists them.
    pub looks: Vec<TableLook>,
    /// Looks whose wetness counts while they are off, by place.
    pub kept_looks: Vec<usize>,
    /// The look worn on arrival, by place.
    pub look_at_start: Option<usize>,
    /// The sets, as the problem lists them.
    pub sets: Vec<TableSet>,
    /// Looks whose pictures count.
    pub counted: Vec<TableCount>,
    /// How many blocks there are.
    pub blocks: usize,
    /// The actions, packed.
    pub actions: String,
}

/// A look in a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableLook {
    /// Its name.
    pub name: String,
    /// Its levels of wetness, g/m².
    pub levels_g_m2: Vec<f64>,
}

/// A set in a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableSet {
    /// Its name.
    pub name: String,
    /// Its look, by place.
    pub look: usize,
    /// Pictures in full, and in short where there is a short form.
    pub pictures: Vec<u32>,
}

/// A look whose pictures count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableCount {
    /// The look, by place.
    pub look: usize,
    /// As far as they count.
    pub most: u32,
}

/// A table that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TableError {
    /// It was written for another reader.
    #[error("expected a table of version 1, found {0}")]
    Version(u32),
    /// Its actions do not unpack, or not to what its lists say.
    #[error("the table's actions are damaged")]
    Damaged,
}

impl SheetTable {
    /// A strategy, packed.
    ///
    /// # Panics
    ///
    /// Never: a checked problem has few sets, looks and slots.
    pub fn pack(strategy: &Strategy) -> Self {
        let model = strategy.model();
        let problem = model.problem();
        let cells = model.space.cells();
        let (mut headers, mut bodies) = (Vec::new(), Vec::new());
        let mut blocks = 0;
        for layer in &strategy.graph().layers {
            for node in &layer.nodes {
                for block in &node.blocks {
                    blocks += 1;
                    headers.extend(node.progress.made.to_le_bytes());
                    headers.extend(
                        model.counted_looks.iter().map(|look| node.progress.count_byte(*look)),
                    );
                    headers.push(if block.last == model.nothing_yet() {
                        NOTHING_YET
                    } else {
                        byte(block.last)
                    });
                    headers.push(byte(block.first_slot));
                    let at = layer.first_cell + block.at;
                    let size = (problem.slots - block.first_slot) * cells;
                    let codes = &strategy.codes()[at..at + size];
                    let before = std::iter::repeat_n(&0, cells).chain(codes);
                    bodies.extend(codes.iter().zip(before).map(|(code, before)| code ^ before));
                }
            }
        }
        headers.append(&mut bodies);
        let mut packer = ZlibEncoder::new(Vec::new(), Compression::best());
        packer.write_all(&headers).expect("memory takes everything");
        let packed = packer.finish().expect("memory takes everything");
        let levels = |levels: &crate::dose::Levels| {
            (0..levels.len()).map(|level| levels.dose_g_m2(level)).collect()
        };
        let looks = problem.looks.iter().zip(&model.cloth);
        let counted = |look: &usize| TableCount {
            look: *look,
            most: problem.looks[*look].promise.map_or(0, |promise| promise.pictures),
        };
        let sets = problem.sets.iter().zip(&model.sets);
        SheetTable {
            version: 1,
            slot_min: problem.slot_min,
            slots: problem.slots,
            hair_levels_g_m2: levels(&model.hair),
            looks: looks
                .map(|(look, cloth)| TableLook {
                    name: look.name.clone(),
                    levels_g_m2: levels(cloth),
                })
                .collect(),
            kept_looks: model.space.kept_looks.clone(),
            look_at_start: model.look_at_start,
            sets: sets
                .map(|(spec, set)| TableSet {
                    name: spec.name.clone(),
                    look: set.look,
                    pictures: set.forms.iter().map(|form| form.pictures).collect(),
                })
                .collect(),
            counted: model.counted_looks.iter().map(counted).collect(),
            blocks,
            actions: STANDARD.encode(packed),
        }
    }

    /// Unpacks the actions.
    ///
    /// # Errors
    ///
    /// [`TableError`] for a table of another version, or one that was damaged on its way.
    pub fn open(&self) -> Result<OpenTable<'_>, TableError> {
        if self.version != 1 {
            return Err(TableError::Version(self.version));
        }
        let packed = STANDARD.decode(&self.actions).map_err(|_| TableError::Damaged)?;
        let mut bytes = Vec::new();
        let most = u64::from(u32::MAX);
        let unpacked = ZlibDecoder::new(packed.as_slice()).take(most).read_to_end(&mut bytes);
        unpacked.map_err(|_| TableError::Damaged)?;
        let open = OpenTable { table: self, bytes };
        open.is_sound().then_some(open).ok_or(TableError::Damaged)
    }
}

fn byte(value: usize) -> u8 {
    u8::try_from(value).expect("sets and slots are few")
}

/// A table, unpacked: the reader that others are written after. It knows the table alone.
#[derive(Debug)]
pub struct OpenTable<'a> {
    table: &'a SheetTable,
    bytes: Vec<u8>,
}

impl OpenTable<'_> {
    /// What to do in a state; `None` where the plan does not know it.
    pub fn action(&self, state: &FieldState) -> Option<Action> {
        let table = self.table;
        let mut made = 0_u64;
        let mut counts = vec![0_u32; table.counted.len()];
        for (set, form) in &state.made {
            let spec = table.sets.get(*set)?;
            let pictures = spec.pictures.get(form.index())?;
            if made & (1 << set) != 0 {
                return None;
            }
            made |= 1 << set;
            for (count, counted) in counts.iter_mut().zip(&table.counted) {
                if counted.look == spec.look {
                    *count = (*count + pictures).min(counted.most);
                }
            }
        }
        let last = state.made.last();
        let (first_slot, body) =
            self.block(made, &counts, last.map_or(NOTHING_YET, |(set, _)| byte(*set)))?;
        if state.slot < first_slot || state.slot >= table.slots || state.rain_class >= 4 {
            return None;
        }
        let worn = last.map_or(table.look_at_start, |(set, _)| Some(table.sets[*set].look));
        let wetness = |look: usize| {
            let dose = state.look_doses_g_m2.get(look).copied().unwrap_or(0.0);
            nearest(&table.looks[look].levels_g_m2, dose)
        };
        let cloth_levels = self.cloth_levels();
        let mut cloth = worn.map_or(0, wetness);
        let mut weight = cloth_levels;
        for look in &table.kept_looks {
            cloth += if worn == Some(*look) { 0 } else { weight * wetness(*look) };
            weight *= cloth_levels;
        }
        let hair = nearest(&table.hair_levels_g_m2, state.hair_dose_g_m2);
        let levels = table.hair_levels_g_m2.len();
        let cell = (state.rain_class * levels + hair) * self.cloths() + cloth;
        let steps = 0..=state.slot - first_slot;
        let code = steps.fold(0, |code, step| code ^ self.bytes[body + step * self.cells() + cell]);
        Some(Action::from_code(code))
    }

    /// A block's first slot, and where its cells begin.
    fn block(&self, made: u64, counts: &[u32], last: u8) -> Option<(usize, usize)> {
        let mut body = self.table.blocks * self.header_bytes();
        for header in self.headers() {
            let first_slot = usize::from(header[header.len() - 1]);
            let is_it = header[..8] == made.to_le_bytes()
                && header[8..].iter().zip(counts).all(|(byte, count)| u32::from(*byte) == *count)
                && header[header.len() - 2] == last;
            if is_it {
                return Some((first_slot, body));
            }
            body += (self.table.slots - first_slot) * self.cells();
        }
        None
    }

    fn headers(&self) -> impl Iterator<Item = &[u8]> {
        self.bytes.chunks_exact(self.header_bytes()).take(self.table.blocks)
    }

    fn header_bytes(&self) -> usize {
        8 + self.table.counted.len() + 2
    }

    fn cloth_levels(&self) -> usize {
        self.table.looks.first().map_or(1, |look| look.levels_g_m2.len())
    }

    fn cloths(&self) -> usize {
        let kept = u32::try_from(self.table.kept_looks.len()).unwrap_or(u32::MAX);
        self.cloth_levels().saturating_pow(1_u32.saturating_add(kept))
    }

    fn cells(&self) -> usize {
        4_usize.saturating_mul(self.table.hair_levels_g_m2.len()).saturating_mul(self.cloths())
    }

    /// Whether everything that the lists speak of is there, and nothing else.
    fn is_sound(&self) -> bool {
        let table = self.table;
        let looks = table.looks.len();
        let levels = self.cloth_levels();
        let lists = levels > 0
            && !table.hair_levels_g_m2.is_empty()
            && table.sets.len() <= 64
            && table.looks.iter().all(|look| look.levels_g_m2.len() == levels)
            && table.sets.iter().all(|set| set.look < looks)
            && table.kept_looks.iter().chain(&table.look_at_start).all(|look| *look < looks);
        let Some(headers) = table.blocks.checked_mul(self.header_bytes()) else { return false };
        if !lists || headers > self.bytes.len() {
            return false;
        }
        let mut size = headers;
        for header in self.headers() {
            let first_slot = usize::from(header[header.len() - 1]);
            if first_slot >= table.slots {
                return false;
            }
            size = size.saturating_add((table.slots - first_slot).saturating_mul(self.cells()));
        }
        size == self.bytes.len()
    }
}

/// The level nearest a dose, of two equally near the higher.
fn nearest(levels: &[f64], dose: f64) -> usize {
    let middles = levels.windows(2).map(|pair| f64::midpoint(pair[0], pair[1]));
    middles.filter(|middle| *middle <= dose).count()
}
