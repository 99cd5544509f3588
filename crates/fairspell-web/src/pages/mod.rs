//! The pages: one file each, with its handlers and markup.

pub(crate) mod calendar;
pub(crate) mod changes;
pub(crate) mod demo_clock;
pub(crate) mod family;
pub(crate) mod field;
pub(crate) mod field_log;
pub(crate) mod first_start;
pub(crate) mod letter;
pub(crate) mod now;
pub(crate) mod offers;
pub(crate) mod people;
pub(crate) mod places;
pub(crate) mod radar;
pub(crate) mod season;
pub(crate) mod session;
pub(crate) mod session_edit;
pub(crate) mod sign_in;
pub(crate) mod studio;
