//! The words on the studio's pages.
//!
//! One file a page. What a page shows of a session's sky comes from `sky`, `reasons` and `labels`
//! beside this folder.

pub mod alternatives;
pub mod demo_clock;
pub mod field;
pub mod first_start;
pub mod forms;
pub mod leave;
pub mod letter;
pub mod light_plan;
pub mod now;
pub mod offers;
pub mod people;
pub mod places;
pub mod problem;
pub mod radar;
pub mod season;
pub mod session;
pub mod session_edit;
pub mod shell;
pub mod sign_in;
pub mod site;
pub mod spot_light;
pub mod studio;
pub mod telling;
