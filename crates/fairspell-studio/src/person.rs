//! The people of a session, and how to reach them.

use serde::{Deserialize, Serialize};

/// What a person is to a session.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Who is portrayed.
    Sitter,
    /// The adult who consents and pays.
    Guardian,
    /// Who comes along.
    Companion,
}

/// Somebody whom the studio writes to or meets.
///
/// As little as the work needs: no birthday, no health, no address.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// What the person is called in files: short, without blanks.
    pub id: String,
    /// The name by which letters call her or him.
    pub name: String,
    /// What the person is to the session.
    pub role: Role,
    /// Where letters go by e-mail.
    #[serde(default)]
    pub email: Option<String>,
    /// Where messages go by telephone.
    #[serde(default)]
    pub phone: Option<String>,
}
