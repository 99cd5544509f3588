//! What can be done next.

/// What to do next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// Make a set, by its place in the problem.
    Make {
        /// Which set.
        set: usize,
        /// In its full or its short form.
        form: FormKind,
    },
    /// Wait under cover for a slot.
    Wait,
    /// End the session.
    Finish,
}

/// How a set is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FormKind {
    /// As planned.
    Full,
    /// The least that counts.
    Short,
}

impl FormKind {
    pub(crate) fn index(self) -> usize {
        match self {
            FormKind::Full => 0,
            FormKind::Short => 1,
        }
    }
}

impl Action {
    /// The byte that stands for it in a table: 0 finish, 1 wait, then two for each set.
    ///
    /// ```
    /// use fairspell_sheet::{Action, FormKind};
    ///
    /// let short = Action::Make { set: 3, form: FormKind::Short };
    /// assert_eq!(short.code(), 9);
    /// assert_eq!(Action::from_code(9), short);
    /// ```
    ///
    /// # Panics
    ///
    /// For a set beyond the 127th; a checked problem has fewer.
    pub fn code(self) -> u8 {
        match self {
            Action::Finish => 0,
            Action::Wait => 1,
            Action::Make { set, form } => {
                u8::try_from(2 + 2 * set + form.index()).expect("sets are few")
            }
        }
    }

    /// The action that a byte stands for.
    pub fn from_code(code: u8) -> Self {
        match code {
            0 => Action::Finish,
            1 => Action::Wait,
            make => {
                let form = if make % 2 == 0 { FormKind::Full } else { FormKind::Short };
                Action::Make { set: usize::from(make / 2 - 1), form }
            }
        }
    }
}
