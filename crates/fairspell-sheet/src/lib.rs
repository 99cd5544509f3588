//! What to make next, whatever the sky does: an evening in the field as a Markov decision process,
//! solved before leaving.
//!
//! A plan for showers is not a list but a rule: in this state of the sky, the hair and the dress,
//! with so much made and so much light left, do that. [`solve()`] finds the best rule for every
//! state that can be reached; a phone without a signal carries it ([`SheetTable`]).
//!
//! ```
//! use fairspell_sheet::{SheetBudget, SheetModel, SheetProblem, solve};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let problem: SheetProblem = serde_json::from_str(include_str!("../tests/fixtures/shower.json"))?;
//! let solved = solve(&SheetModel::new(&problem)?, SheetBudget::default())?;
//! assert!(solved.bound.is_none(), "no strategy is worth more");
//! assert!(solved.course.p_must_haves > 0.9);
//! # Ok(())
//! # }
//! ```
//!
//! # The state
//!
//! ```text
//! s = (M, i, t, r, h, w)
//! ```
//!
//! `M` the sets made (and, of looks with a promise whose forms bring different pictures, the
//! pictures so far), `i` the set made last, hence the spot and the look worn, `t` the slot, `r` the
//! class of rain in it (dry, drizzle below 1 mm/h, rain 1 to 4, heavy above), `h` the hair's level,
//! `w` the worn look's wetness (dry, damp, wet) with that of looks that may return. A look once taken
//! off is not put on again unless it may return; then its wetness is what it was.
//!
//! # The actions
//!
//! Make a set in full or short form; wait a slot under cover; finish. Making set `j` after `i` takes
//!
//! ```text
//! n = ceil((change + walk + setup + minutes) / slot)
//! ```
//!
//! slots: whole ones, so that what is left of the last is slack. It can begin in `t` when set-up and
//! set lie within one of the spot's open windows and before the last usable light, when no slot of
//! its minutes has light 0, and when it would be worth something now: rain, hair and cloth all leave
//! more than nothing of it. Waiting adds no water; nor does walking, unless `exposure.walking` says so.
//!
//! # Rain and water
//!
//! Rain is a chain `P_t(r, r')`, of its own for each slot. A slot of work in class `r` lays down
//!
//! ```text
//! D = rate(r) / 3.6 * (exposed seconds * share in this slot * exposure + walked seconds * walking)
//! ```
//!
//! g/m² on hair and worn look alike ([`dose_g_m2`]), exposed seconds being spread evenly over the set's
//! minutes. A dose that leads between two levels leads to both, in the shares of linear
//! interpolation, so that its expectation is kept: three bursts of 40 s cost exactly as much as one
//! of 120 s where worth falls evenly with the dose, as it does by default, and next to as much where
//! it doesn't. The highest level holds whatever is above it. Hair and look are placed apart. Neither
//! dries.
//!
//! # The worth
//!
//! Each slot `k` of a set's minutes brings
//!
//! ```text
//! g = worth_j * form * share_k * light_j(t + k) * rain_j(r) * hair(h) * cloth(w)
//! ```
//!
//! with `r`, `h`, `w` as they are at the slot's beginning. `hair` (for sets that want it dry) and
//! `cloth` are 1 when dry, the owner's factors when damp and wet, and straight between. Finishing costs
//! the penalties of what was missed: needed sets, must-have looks, pictures short of a promise.
//! A set that has been made counts as made, however wet it became on the way.
//!
//! # The recursion
//!
//! ```text
//! V(M, i, T, ..)      = F(M)
//! V(M, i, t, r, h, w) = max { F(M)                                                 finish
//!                             sum_r' P_t(r, r') V(M, i, t + 1, r', h, w)           wait
//!                             G_0(M + j, j, t, r, h, w~)  for each j and form      make }
//! G_k = g + sum_r' P_{t+k}(r, r') sum_(h', w') share(h') share(w') G_{k+1}(.., r', h', w')
//! G_n = V(M + j, j, t + n, ..)
//! ```
//!
//! with `F` the penalties as a value and `w~` the wetness after changing. Ties go to what is listed
//! first, and to finishing; waiting must be worth a millionth of all that is at stake. It is solved
//! backward over the number of sets made, over slots within it (`solve`), and the [`Course`] is then
//! carried forward along the strategy (`course`): the value a second time, and the chances that
//! everything needed is made.
//!
//! # Fewer states, the same answer
//!
//! Only states that can be reached are kept (`graph`): sets in slots before they can have been
//! made are not, nor orders that a taken-off look rules out. Of sets that are alike in all but their
//! names the first is made first. Hair is one level when no set wants it dry; cloth is one when
//! wetness takes nothing from any look. So thirty long sets, or thirty of three kinds, are solved
//! exactly. Where the states are still too many, the best part of the sets is solved and [`Bound`]
//! says how much better any strategy could be.
//!
//! # Source
//!
//! Backward induction: Bellman, "Dynamic Programming" (1957); Puterman, "Markov Decision Processes"
//! (1994), chapter 4. Interpolated continuous states: Davies, "Multidimensional triangulation and
//! interpolation for reinforcement learning", NIPS 9 (1996), 1005-1011. The bound: Held and Karp, "The
//! traveling-salesman problem and minimum spanning trees", Operations Research 18 (1970), 1138-1162;
//! Fisher, "The Lagrangian relaxation method for solving integer programming problems", Management
//! Science 27 (1981), 1-18. What damp and wet mean: trade practice, an estimate to start from.
//!
//! # Modules
//!
//! - [`problem`]: an evening as it is written down
//! - [`error`]: what can be wrong with it
//! - [`solve`](mod@solve): the best strategy
//! - [`strategy`]: what to do in a state
//! - [`action`]: what can be done
//! - [`course`]: what following it leads to
//! - [`outline`](mod@outline): a strategy in a few lines
//! - [`orders`]: what a fixed order would get
//! - [`consideration`]: delicate first, or the favourite in the best light
//! - [`simulate`]: evenings played with dice
//! - [`bound`]: how much better another strategy could be
//! - [`table`]: a strategy to carry, and how it is read
//! - [`dose`]: water on hair and cloth

pub mod action;
pub mod bound;
mod check;
pub mod consideration;
pub mod course;
pub mod dose;
pub mod error;
mod graph;
mod kernel;
mod model;
pub mod orders;
pub mod outline;
mod part;
pub mod problem;
mod progress;
pub mod simulate;
pub mod solve;
pub mod strategy;
pub mod table;
mod walks;

pub use action::{Action, FormKind};
pub use bound::Bound;
pub use consideration::{Considerations, RuleKept, Ruling, considerations};
pub use course::{Course, SetCourse};
pub use dose::{dose_g_m2, seconds_until_dose};
pub use error::{Closed, SheetError};
pub use model::SheetModel;
pub use orders::{OrderCourse, fixed_orders};
pub use outline::{OutlineStep, outline};
pub use problem::SheetProblem;
pub use simulate::{Played, play, play_orders};
pub use solve::{SheetBudget, Solved, solve};
pub use strategy::{FieldState, Strategy};
pub use table::{OpenTable, SheetTable, TableError};
