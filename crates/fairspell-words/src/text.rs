//! Small things that sentences are made of.

/// "a", "a and b", "a, b and c".
pub(crate) fn and_list<S: AsRef<str>>(items: &[S]) -> String {
    joined(items, "and")
}

/// "A", "A or B", "A, B or C".
pub(crate) fn or_list<S: AsRef<str>>(items: &[S]) -> String {
    joined(items, "or")
}

fn joined<S: AsRef<str>>(items: &[S], word: &str) -> String {
    let items: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
    match items.as_slice() {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [first @ .., last] => format!("{} {word} {last}", first.join(", ")),
    }
}

/// With a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// On one line, without blanks at its ends: a name somebody typed or a service sent.
pub(crate) fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// How many words a person reads.
pub(crate) fn count_words(text: &str) -> usize {
    text.split_whitespace().count()
}
