//! Words that no family and no tired photographer should have to read.

use std::sync::LazyLock;

/// The words, as they are written down; each also stands for its common endings.
///
/// Weather jargon, camera jargon, office jargon, the law's words, and words that sound cheerful
/// where somebody has just lost an evening. Say instead: "looking toward west-south-west"
/// (azimuth), "the sun's height" (altitude), "rain or storm" (inclement), "move" (cancel), and
/// people's names (subject, talent, minor).
const AVOIDED: [&str; 69] = [
    "PoP",
    "QPF",
    "dBZ",
    "hPa",
    "CAPE",
    "convective",
    "advection",
    "nowcast",
    "ensemble",
    "deterministic",
    "probability density",
    "percentile",
    "threshold breach",
    "false negative",
    "confidence interval",
    "mesoscale",
    "stratiform",
    "virga",
    "isochrone",
    "UTC",
    "Zulu",
    "azimuth",
    "altitude",
    "horizon mask",
    "ephemeris",
    "EV",
    "Kelvin",
    "bokeh",
    "chimping",
    "spray-and-pray",
    "SOOC",
    "RAW-dump",
    "deliverable",
    "asset",
    "client journey",
    "touchpoint",
    "workflow",
    "pipeline",
    "onboarding",
    "conversion",
    "upsell",
    "funnel",
    "stakeholder",
    "subject",
    "talent",
    "minor",
    "shoot",
    "shot",
    "kill",
    "trigger",
    "force majeure",
    "inclement",
    "liquidated",
    "forfeiture",
    "non-compliance",
    "cancel",
    "cancellation",
    "unfortunately",
    "regrettably",
    "no worries",
    "hopefully",
    "ASAP",
    "FYI",
    "as per",
    "nuke",
    "magic hour",
    "epic",
    "stunning",
    "perfect",
];

/// Endings that make another form of the same word.
const ENDINGS: [&str; 7] = ["", "s", "ed", "led", "ing", "ling", "ly"];

/// The avoided words that a text contains, as the list writes them, each once.
///
/// Word by word and whatever the capitals: "Percentiles" and "CANCELLED" are found, "escape" does
/// not contain "CAPE". Blanks, hyphens and line ends between the words of a phrase are alike.
///
/// # Examples
///
/// ```
/// use fairspell_words::avoid::avoided_words;
///
/// assert_eq!(avoided_words("Unfortunately we must cancel the shoot."), ["shoot", "cancel", "unfortunately"]);
/// assert!(avoided_words("We must move: safety comes first.").is_empty());
/// ```
pub fn avoided_words(text: &str) -> Vec<&'static str> {
    let words = words(text);
    PHRASES
        .iter()
        .filter(|(_, phrase)| contains(&words, phrase))
        .map(|(avoided, _)| *avoided)
        .collect()
}

/// The list, taken apart into words once.
static PHRASES: LazyLock<Vec<(&str, Vec<String>)>> =
    LazyLock::new(|| AVOIDED.iter().map(|avoided| (*avoided, words(avoided))).collect());

fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

fn contains(text: &[String], avoided: &[String]) -> bool {
    let Some((last, first)) = avoided.split_last() else { return false };
    text.windows(avoided.len()).any(|window| {
        let (ending, beginning) = window.split_last().expect("a window is as long as the phrase");
        beginning == first
            && ending.strip_prefix(last.as_str()).is_some_and(|rest| ENDINGS.contains(&rest))
    })
}
