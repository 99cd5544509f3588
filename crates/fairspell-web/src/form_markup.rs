//! The pieces of a form: a field with its label, hint and mistake.
//!
//! A piece shows what was typed and what is wrong with it, so that a form that is shown again has
//! lost nothing. Browsers help with the right keyboard; what is right is decided by the server.

use fairspell_words::screens::shell;
use maud::{Markup, html};

use crate::fields::Fields;

/// What a one-line field holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Input<'a> {
    Text,
    /// A new passphrase; it is never shown again.
    NewPassphrase,
    Date,
    Time,
    Email,
    Phone,
    /// A number between two, in these steps.
    Number {
        from: f64,
        to: f64,
        step: f64,
    },
    /// A file of these kinds, as `accept` spells them.
    File(&'a str),
}

impl Input<'_> {
    fn kind(self) -> &'static str {
        match self {
            Input::Text => "text",
            Input::NewPassphrase => "password",
            Input::Date => "date",
            Input::Time => "time",
            Input::Email => "email",
            Input::Phone => "tel",
            Input::Number { .. } => "number",
            Input::File(_) => "file",
        }
    }

    /// Whether a page may show again what was typed.
    fn is_shown_again(self) -> bool {
        !matches!(self, Input::NewPassphrase | Input::File(_))
    }
}

/// One field of a form.
///
/// ```text
/// (Field::new(&fields, "sitter", words::SITTER).hint(words::SITTER_HINT).needed().input(Input::Text))
/// ```
#[derive(Debug, Clone, Copy)]
pub(crate) struct Field<'a> {
    fields: &'a Fields,
    name: &'a str,
    label: &'a str,
    hint: Option<&'a str>,
    value: Option<&'a str>,
    list: Option<&'a str>,
    is_needed: bool,
}

impl<'a> Field<'a> {
    /// A field by its name, which must be the only one of that name in the form.
    pub(crate) fn new(fields: &'a Fields, name: &'a str, label: &'a str) -> Self {
        Field { fields, name, label, hint: None, value: None, list: None, is_needed: false }
    }

    /// With a line below the label.
    pub(crate) fn hint(self, hint: &'a str) -> Self {
        Field { hint: Some(hint), ..self }
    }

    /// Must be filled in; browsers say so before the form is sent.
    pub(crate) fn needed(self) -> Self {
        Field { is_needed: true, ..self }
    }

    /// Shows this instead of what was typed.
    pub(crate) fn value(self, value: &'a str) -> Self {
        Field { value: Some(value), ..self }
    }

    /// With suggestions: the id of a [`datalist`] on the same page.
    pub(crate) fn list(self, id: &'a str) -> Self {
        Field { list: Some(id), ..self }
    }

    fn shown(&self) -> &'a str {
        self.value.unwrap_or_else(|| self.fields.text(self.name))
    }

    fn wrong(&self) -> Option<&'a str> {
        self.fields.wrong(self.name)
    }

    /// The ids of what describes the field.
    fn described_by(&self) -> Option<String> {
        let hint = self.hint.map(|_| format!("{}-hint", self.name));
        let wrong = self.wrong().map(|_| format!("{}-wrong", self.name));
        let ids: Vec<String> = hint.into_iter().chain(wrong).collect();
        (!ids.is_empty()).then(|| ids.join(" "))
    }

    fn is_invalid(&self) -> Option<&'static str> {
        self.wrong().map(|_| "true")
    }

    fn around(&self, control: &Markup) -> Markup {
        html! {
            div.field {
                label for=(self.name) { (self.label) }
                (self.hint_line())
                (control)
                (self.wrong_line())
            }
        }
    }

    fn hint_line(&self) -> Markup {
        html! {
            @if let Some(hint) = self.hint { p.hint id=(format!("{}-hint", self.name)) { (hint) } }
        }
    }

    fn wrong_line(&self) -> Markup {
        html! {
            @if let Some(wrong) = self.wrong() {
                p.wrong id=(format!("{}-wrong", self.name)) { (wrong) }
            }
        }
    }

    /// One line.
    pub(crate) fn input(self, input: Input<'_>) -> Markup {
        let value = Some(self.shown()).filter(|_| input.is_shown_again());
        let (min, max, step) = match input {
            Input::Number { from, to, step } => (Some(from), Some(to), Some(step)),
            _ => (None, None, None),
        };
        let accept = match input {
            Input::File(kinds) => Some(kinds),
            _ => None,
        };
        let autocomplete = match input {
            Input::NewPassphrase => Some("new-password"),
            Input::File(_) => None,
            // Where nothing is to be filled in, some browsers suggest nothing either.
            _ if self.list.is_some() => None,
            // What a browser remembers of other people's forms has no place here.
            _ => Some("off"),
        };
        self.around(&html! {
            input id=(self.name) name=(self.name) type=(input.kind()) value=[value]
                min=[min] max=[max] step=[step] accept=[accept]
                list=[self.list] autocomplete=[autocomplete]
                required[self.is_needed] aria-describedby=[self.described_by()]
                aria-invalid=[self.is_invalid()];
        })
    }

    /// Several lines.
    pub(crate) fn text_area(self, rows: u32) -> Markup {
        self.around(&html! {
            textarea id=(self.name) name=(self.name) rows=(rows) required[self.is_needed]
                aria-describedby=[self.described_by()] aria-invalid=[self.is_invalid()] {
                // A parser drops the first line break of a text area.
                "\n" (self.shown())
            }
        })
    }

    /// One of several, by value and words.
    pub(crate) fn select<V: AsRef<str>, W: AsRef<str>>(self, options: &[(V, W)]) -> Markup {
        let shown = self.shown();
        // Without an empty first choice something is always chosen, and nothing has to be required.
        let can_be_empty = options.first().is_some_and(|(value, _)| value.as_ref().is_empty());
        self.around(&html! {
            select id=(self.name) name=(self.name) required[self.is_needed && can_be_empty]
                aria-describedby=[self.described_by()] aria-invalid=[self.is_invalid()] {
                @for (value, words) in options {
                    option value=(value.as_ref()) selected[value.as_ref() == shown] {
                        (words.as_ref())
                    }
                }
            }
        })
    }

    /// A box to tick; ticked when the field is filled in.
    pub(crate) fn tick(self) -> Markup {
        html! {
            div.field.tick {
                input id=(self.name) name=(self.name) type="checkbox" value="yes"
                    checked[!self.shown().is_empty()] aria-describedby=[self.described_by()]
                    aria-invalid=[self.is_invalid()];
                label for=(self.name) { (self.label) }
                (self.hint_line())
                (self.wrong_line())
            }
        }
    }
}

/// Boxes of one name, of which any number may be ticked, by value and words.
pub(crate) fn ticks<V: AsRef<str>, W: AsRef<str>>(
    fields: &Fields,
    name: &str,
    legend: &str,
    options: &[(V, W)],
) -> Markup {
    html! {
        fieldset {
            legend { (legend) }
            @for (value, words) in options {
                @let id = format!("{name}-{}", value.as_ref());
                div.field.tick {
                    input id=(id) name=(name) type="checkbox" value=(value.as_ref())
                        checked[fields.all(name).any(|one| one == value.as_ref())];
                    label for=(id) { (words.as_ref()) }
                }
            }
            @if let Some(wrong) = fields.wrong(name) { p.wrong { (wrong) } }
        }
    }
}

/// Suggestions for the fields that name its id.
pub(crate) fn datalist(id: &str, options: &[&str]) -> Markup {
    html! { datalist id=(id) { @for option in options { option value=(option) {} } } }
}

/// Said over a form in which something is wrong.
pub(crate) fn mistakes(fields: &Fields) -> Markup {
    html! { @if !fields.is_right() { p.wrong role="alert" { (shell::LOOK_AGAIN) } } }
}

/// The end of a form: send it, or go back to where one came from.
pub(crate) fn save_or_back(back: &str) -> Markup {
    html! {
        div.buttons {
            button.main { (shell::SAVE) }
            a.button.plain href=(back) { (shell::BACK) }
        }
    }
}
