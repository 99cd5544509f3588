//! The field sheet as one document: styles, fonts, script and sheet are written into it, so that it
//! opens from a server, from a phone's memory, or from a file that came by message.
//!
//! Under a content policy the page needs its one-time word for `script-src` and `style-src`, and
//! `font-src data:`; online also `connect-src 'self'` and `worker-src 'self'`.

use std::{collections::BTreeMap, sync::LazyLock};

use fairspell_studio::journal::Digest;
use fairspell_words::field::FIELD_WORDS_JSON;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde::{Deserialize, Serialize};

use crate::assets::{Asset, FONT_400, FONT_700, FONT_EXT_400, FONT_EXT_700};

/// Where the page hands its log in and fetches fresh sheets. The one-file sheet has none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Online {
    /// The address that takes the log.
    pub log: String,
    /// The address of the newest sheet.
    pub sheet: String,
    /// What shows that a log comes from our own page.
    pub form_word: String,
}

macro_rules! modules {
    ($($file:literal),+ $(,)?) => {
        [$(($file, include_str!(concat!("../static/field/", $file)))),+]
    };
}

/// The script's modules, each after those that it needs.
const MODULES: [(&str, &str); 17] = modules![
    "units.js",
    "words.js",
    "digest.js",
    "table.js",
    "log.js",
    "dose.js",
    "thunder.js",
    "state.js",
    "sky.js",
    "time.js",
    "advice.js",
    "keep.js",
    "hand_in.js",
    "sheet.js",
    "draw.js",
    "more.js",
    "card.js",
];

/// The modules that make a page of it.
const PAGE_MODULES: [(&str, &str); 2] = modules!["view.js", "start.js"];

/// One script: imports of siblings fall away, since all of them stand in it.
static SCRIPT: LazyLock<String> = LazyLock::new(|| {
    let lines = MODULES.iter().chain(&PAGE_MODULES).flat_map(|(_, text)| text.lines());
    let lines = lines.filter(|line| !line.starts_with("import "));
    lines.map(|line| line.strip_prefix("export ").unwrap_or(line)).fold(
        String::new(),
        |mut text, line| {
            text.push_str(line);
            text.push('\n');
            text
        },
    )
});

static STYLE: LazyLock<String> = LazyLock::new(|| {
    with_fonts(
        include_str!("../static/field/field.css"),
        [("FONT_400", &FONT_400), ("FONT_700", &FONT_700)],
    )
});

/// The fonts of other letters are a quarter of the document as it goes out, and most sheets have none.
static MORE_LETTERS: LazyLock<String> = LazyLock::new(|| {
    with_fonts(
        include_str!("../static/field/more_letters.css"),
        [("FONT_EXT_400", &FONT_EXT_400), ("FONT_EXT_700", &FONT_EXT_700)],
    )
});

fn with_fonts(style: &str, fonts: [(&str, &LazyLock<Asset>); 2]) -> String {
    let begin = style.to_owned();
    fonts.iter().fold(begin, |style, (name, font)| style.replace(name, &font.data_address()))
}

/// Whether a text has letters that the fonts of every sheet lack and the others have.
fn needs_more_letters(text: &str) -> bool {
    let is_beyond = |letter: char| {
        matches!(
            letter,
            '\u{100}'..='\u{130}'
                | '\u{132}'..='\u{151}'
                | '\u{154}'..='\u{2ba}'
                | '\u{1e00}'..='\u{1e9f}'
                | '\u{1ef2}'..='\u{1eff}'
        )
    };
    text.chars().any(is_beyond)
}

/// What the document itself reads of a sheet; a damaged sheet leaves it empty.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Heading {
    session: String,
    title: String,
    utc_offset_min: i64,
    outline: Vec<Outline>,
}

#[derive(Debug, Deserialize)]
struct Outline {
    rain: u8,
    steps: Vec<OutlineStep>,
}

#[derive(Debug, Deserialize)]
struct OutlineStep {
    at: Timestamp,
    text: String,
}

/// The document of a field sheet.
///
/// - `sheet_json`: the sheet; it stands in the document under its own digest, which the page checks.
/// - `online`: where it hands its log in; `None` for the file that works by itself.
/// - `nonce`: the one-time word of the page's content policy.
///
/// # Panics
///
/// Never: addresses are texts, and every text becomes JSON.
pub fn field_document(sheet_json: &str, online: Option<&Online>, nonce: Option<&str>) -> String {
    let heading: Heading = serde_json::from_str(sheet_json).unwrap_or_default();
    let sheet = embedded(sheet_json);
    let online = online.map(|online| serde_json::to_string(online).expect("texts become JSON"));
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { (heading.title) }
                meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover";
                meta name="color-scheme" content="light dark";
                meta name="robots" content="noindex, nofollow";
                meta name="format-detection" content="telephone=no";
                meta name="field-digest" content=(sheet_digest(sheet_json));
                @if let Some(online) = &online { meta name="field-online" content=(online); }
                link rel="icon" href="data:image/gif;base64,";
                style nonce=[nonce] {
                    (PreEscaped(STYLE.as_str()))
                    @if needs_more_letters(sheet_json) { (PreEscaped(MORE_LETTERS.as_str())) }
                }
            }
            body {
                main #field data-session=(heading.session) data-title=(heading.title) {
                    noscript { (without_script(&heading)) }
                }
                script type="application/json" id="field-sheet" { (PreEscaped(&sheet)) }
                script type="application/json" id="field-words" {
                    (PreEscaped(embedded(FIELD_WORDS_JSON)))
                }
                script type="module" nonce=[nonce] { (PreEscaped(SCRIPT.as_str())) }
            }
        }
    };
    document.into_string()
}

/// The digest under which a sheet stands in a document: SHA-256 of its text as embedded, in
/// hexadecimal digits. A sheet that is served by itself goes out [as it is embedded](embedded_sheet),
/// under the same digest.
pub fn sheet_digest(sheet_json: &str) -> String {
    Digest::of(embedded(sheet_json).as_bytes()).to_string()
}

/// A sheet's text as it stands in a document.
pub fn embedded_sheet(sheet_json: &str) -> String {
    embedded(sheet_json)
}

/// JSON that may stand in a script element: a `<` can only be inside a text, where it may be written
/// as its number, and then nothing in it ends the element or begins a comment. A reader of HTML
/// changes carriage returns, which JSON needs nowhere, and with them the digest.
fn embedded(json: &str) -> String {
    json.replace('<', "\\u003c").replace('\r', "")
}

/// The words of the page by key.
pub(crate) fn field_words() -> BTreeMap<String, String> {
    serde_json::from_str(FIELD_WORDS_JSON).expect("the words are an object of texts")
}

/// The plan in outline, for a browser that runs no script.
fn without_script(heading: &Heading) -> Markup {
    let words = field_words();
    let word = |key: &str| words.get(key).map_or("", String::as_str);
    let clock = |at: Timestamp| {
        let wall = at.checked_add(SignedDuration::from_mins(heading.utc_offset_min)).unwrap_or(at);
        TimeZone::UTC.to_datetime(wall).strftime("%H:%M").to_string()
    };
    html! {
        h1 { (heading.title) }
        p { (word("without_script")) }
        @for outline in &heading.outline {
            h2 {
                (word("outline_if").replace("{rain}", word(&format!("rain_{}", outline.rain))))
            }
            ol.plain {
                @for step in &outline.steps { li { (clock(step.at)) " " (step.text) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn online() -> Online {
        Online {
            log: "/sessions/s/field/log".to_owned(),
            sheet: "/sessions/s/field/sheet".to_owned(),
            form_word: "a\"word".to_owned(),
        }
    }

    /// A sheet with whatever could end a script element too soon.
    const SHEET: &str = concat!(
        r#"{"session":"s","title":"Linh & <b>Quoc</b>","utc_offset_min":600,"#,
        "\r\n",
        r#""outline":[{"rain":2,"steps":[{"at":"2026-09-03T05:15:00Z","text":"Satin </script>"}]}],"#,
        r#""note":"</script><!-- <script> ]]>"}"#
    );

    /// The text of the script element with this id.
    fn script<'a>(document: &'a str, id: &str) -> &'a str {
        let start = document.split_once(&format!("id=\"{id}\">")).unwrap().1;
        start.split_once("</script>").unwrap().0
    }

    #[test]
    fn a_sheet_cannot_leave_its_element_and_says_the_same() {
        let document = field_document(SHEET, None, None);
        let text = script(&document, "field-sheet");
        assert!(!text.contains('<') && !text.contains('\r'), "{text}");
        let inside: serde_json::Value = serde_json::from_str(text).unwrap();
        let outside: serde_json::Value = serde_json::from_str(SHEET).unwrap();
        assert_eq!(inside, outside);
        assert!(document.contains("Linh &amp; &lt;b&gt;Quoc&lt;/b&gt;"));
    }

    #[test]
    fn the_digest_is_that_of_the_text_as_it_stands() {
        let document = field_document(SHEET, Some(&online()), Some("word"));
        let digest = Digest::of(script(&document, "field-sheet").as_bytes()).to_string();
        assert!(document.contains(&format!("name=\"field-digest\" content=\"{digest}\"")));
        assert_eq!(sheet_digest(SHEET), digest);
        assert_eq!(embedded_sheet(SHEET), script(&document, "field-sheet"));
    }

    #[test]
    fn the_document_needs_nothing_else() {
        let document = field_document(SHEET, None, None);
        for address in ["http:", "https:", "src=\"", "url(\"/", "@import", "import "] {
            let at = document.find(address);
            let around = at.map(|at| document[at..].chars().take(60).collect::<String>());
            assert_eq!(around, None, "{address}");
        }
        assert!(!document.contains("name=\"field-online\""));
        assert!(!document.contains("url(\"FONT"));
    }

    #[test]
    fn fonts_of_other_letters_come_with_the_sheets_that_need_them() {
        let fonts =
            |sheet: &str| field_document(sheet, None, None).matches("format(\"woff2\")").count();
        assert_eq!(fonts(SHEET), 2);
        assert_eq!(fonts(r#"{"title":"Zoë – façade, 20 °C"}"#), 2);
        assert_eq!(fonts(r#"{"title":"Łucja"}"#), 4);
        assert_eq!(fonts(r#"{"title":"Mỹ"}"#), 4);
    }

    #[test]
    fn the_script_is_one_and_runs_under_the_one_time_word() {
        let document = field_document(SHEET, Some(&online()), Some("word"));
        assert!(document.contains("<script type=\"module\" nonce=\"word\">"));
        assert!(document.contains("<style nonce=\"word\">"));
        assert!(document.contains("&quot;form_word&quot;"));
        assert!(!SCRIPT.contains("</"), "nothing in the script ends its element");
        assert!(!document.contains(" style="), "a policy would forbid it");
    }

    #[test]
    fn no_name_stands_twice_in_the_script() {
        let mut names = BTreeSet::new();
        for line in SCRIPT.lines() {
            let line = line.strip_prefix("async ").unwrap_or(line);
            let kinds = ["function ", "const ", "let ", "class "];
            let Some(rest) = kinds.iter().find_map(|kind| line.strip_prefix(kind)) else {
                continue;
            };
            let name = rest.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap();
            assert!(names.insert(name), "{name} stands twice");
        }
        assert!(names.len() > 60, "only {} names were found", names.len());
    }

    #[test]
    fn without_script_the_outline_can_be_read() {
        let document = field_document(SHEET, None, None);
        let part =
            document.split_once("<noscript>").unwrap().1.split_once("</noscript>").unwrap().0;
        assert!(part.contains("If it stays like this: Rain"), "{part}");
        assert!(part.contains("15:15 Satin &lt;/script&gt;"), "{part}");
    }

    #[test]
    fn a_text_that_is_no_sheet_still_makes_a_page() {
        let document = field_document("{\"session\":", None, None);
        assert!(document.contains("id=\"field-words\""));
    }
}
