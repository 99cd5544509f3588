//! What stands behind a face at a spot, as lines of text: "dry grass: Dec Jan Feb".

use fairspell_studio::site::Backdrop;
use fairspell_words::screens::spot_light::MONTHS;

/// The first line that cannot be read, counted from one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line} of the backdrops cannot be read: `{text}`")]
pub struct NotBackdrops {
    /// Which line.
    pub line: usize,
    /// Its text.
    pub text: String,
}

/// A longer name is none.
const LONGEST_NAME: usize = 200;

/// Reads backdrops, one a line: its name, then a colon and its months, if it isn't all of them.
///
/// Months are named by their first three letters or more; "Dec-Feb" goes over the year's end. Empty
/// lines are passed over.
///
/// # Errors
///
/// [`NotBackdrops`] names the first line that is not of this form.
///
/// # Examples
///
/// ```
/// use fairspell_web::backdrops_input::{read_backdrops, written_backdrops};
///
/// let backdrops = read_backdrops("sand\ndry grass: december-Feb, Apr").unwrap();
/// assert_eq!(backdrops[1].months, [12, 1, 2, 4]);
/// assert_eq!(written_backdrops(&backdrops), "sand\ndry grass: Dec Jan Feb Apr");
/// ```
pub fn read_backdrops(text: &str) -> Result<Vec<Backdrop>, NotBackdrops> {
    let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let backdrops = lines.map(|(index, line)| {
        backdrop(line).ok_or_else(|| NotBackdrops { line: index + 1, text: line.trim().to_owned() })
    });
    backdrops.collect()
}

/// Backdrops as the lines that [`read_backdrops`] reads.
pub fn written_backdrops(backdrops: &[Backdrop]) -> String {
    let line = |backdrop: &Backdrop| {
        let name = |month: &i8| {
            let index = usize::try_from(*month - 1).ok()?;
            MONTHS.get(index).copied()
        };
        let months: Vec<&str> = backdrop.months.iter().filter_map(name).collect();
        if months.is_empty() && !backdrop.name.contains(':') {
            return backdrop.name.clone();
        }
        // The last colon of a line is the one before the months, even where none follow.
        format!("{}: {}", backdrop.name, months.join(" ")).trim_end().to_owned()
    };
    backdrops.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn backdrop(line: &str) -> Option<Backdrop> {
    let (name, months) = line.rsplit_once(':').unwrap_or((line, ""));
    let name = name.trim();
    if name.is_empty() || name.chars().count() > LONGEST_NAME {
        return None;
    }
    let stretches = months.replace('\u{2013}', "-");
    let stretches: Vec<&str> =
        stretches.split([' ', ',']).filter(|stretch| !stretch.is_empty()).collect();
    let mut months = Vec::new();
    for stretch in stretches {
        let (from, to) = stretch.split_once('-').unwrap_or((stretch, stretch));
        let (from, to) = (month(from)?, month(to)?);
        let ends = if to < from { to + 12 } else { to };
        months.extend((from..=ends).map(|month| (month - 1) % 12 + 1));
    }
    Some(Backdrop { name: name.to_owned(), months })
}

fn month(word: &str) -> Option<i8> {
    const WHOLE: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let word = word.to_lowercase();
    let is_meant = |whole: &&str| word.len() >= 3 && whole.starts_with(&word);
    (1..).zip(WHOLE).find(|(_, whole)| is_meant(whole)).map(|(month, _)| month)
}
