//! How wide text is, so that labels can be laid out without a browser.
//!
//! Widths are those of the face we serve. Where a reader's device falls back to another face, text
//! is up to a seventh wider; the layouts leave room for that.

/// Advance widths of the characters from space to tilde, thousandths of the font size.
///
/// # Source
///
/// Atkinson Hyperlegible, regular, horizontal metrics of the font file (SIL Open Font License).
const REGULAR: [u16; 95] = [
    280, 281, 301, 655, 594, 927, 705, 160, 300, 300, 433, 602, 205, 368, 205, 377, 648, 402, 549,
    574, 614, 583, 598, 510, 615, 598, 205, 205, 553, 602, 553, 520, 780, 626, 619, 656, 673, 567,
    548, 710, 690, 414, 510, 627, 539, 820, 689, 727, 601, 753, 618, 596, 558, 690, 589, 840, 623,
    595, 607, 315, 377, 315, 552, 396, 268, 526, 566, 500, 564, 539, 311, 560, 546, 278, 254, 490,
    239, 841, 546, 552, 566, 576, 340, 471, 324, 536, 441, 654, 461, 429, 460, 319, 233, 319, 555,
];

/// The same for the bold cut.
const BOLD: [u16; 95] = [
    320, 283, 410, 783, 619, 977, 702, 222, 366, 366, 434, 618, 243, 374, 243, 442, 652, 448, 586,
    605, 626, 612, 632, 543, 625, 561, 243, 243, 573, 618, 573, 614, 754, 690, 639, 673, 686, 580,
    544, 719, 679, 458, 560, 659, 537, 842, 700, 764, 626, 781, 654, 619, 617, 663, 656, 883, 699,
    687, 621, 333, 442, 333, 589, 430, 314, 553, 596, 520, 596, 566, 367, 597, 572, 315, 259, 567,
    314, 886, 572, 573, 596, 601, 372, 534, 379, 570, 526, 723, 533, 518, 516, 370, 234, 370, 533,
];

/// What text is for, which says its size and weight.
#[derive(Clone, Copy)]
pub(crate) enum Letters {
    Small,
    SmallBold,
    Summary,
    Heading,
}

impl Letters {
    fn size_px(self) -> f64 {
        match self {
            Self::Small | Self::SmallBold => 13.0,
            Self::Summary => 16.0,
            Self::Heading => 20.0,
        }
    }

    fn advances(self) -> &'static [u16; 95] {
        match self {
            Self::Small | Self::Summary => &REGULAR,
            Self::SmallBold | Self::Heading => &BOLD,
        }
    }

    /// The width of a line of text, pixels, with a little to spare for other faces.
    pub(crate) fn width_px(self, text: &str) -> f64 {
        let thousandths: f64 = text.chars().map(|c| f64::from(self.advance(c))).sum();
        thousandths / 1000.0 * self.size_px() * 1.06
    }

    fn advance(self, c: char) -> u16 {
        let code = u32::from(c);
        match code {
            // Tabular figures are all as wide as the zero.
            0x30..=0x39 => self.advances()[16],
            0x20..=0x7e => self.advances()[(code - 0x20) as usize],
            // Letters with accents, dashes, degree and quotation marks.
            0x7f..=0x10ff => 620,
            0x2000..=0x206f => 600,
            // Scripts and signs that fill their square.
            _ => 1000,
        }
    }

    /// The text, or as much of it as fits with an ellipsis; nothing when not even a letter does.
    pub(crate) fn shortened(self, text: &str, width_px: f64) -> String {
        let text = text.trim();
        if self.width_px(text) <= width_px {
            return text.to_owned();
        }
        let mut kept = String::new();
        for c in text.chars() {
            kept.push(c);
            if self.width_px(&kept) + self.width_px("…") > width_px {
                kept.pop();
                break;
            }
        }
        let kept = kept.trim_end();
        if kept.is_empty() { String::new() } else { format!("{kept}…") }
    }

    /// The text broken at spaces into at most `most` lines no wider than `width_px`; what is left,
    /// and a word that is wider alone, ends in an ellipsis.
    pub(crate) fn wrapped(self, text: &str, width_px: f64, most: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in words(text) {
            match lines.last_mut() {
                Some(line) if self.width_px(&format!("{line} {word}")) <= width_px => {
                    line.push(' ');
                    line.push_str(&word);
                }
                _ => lines.push(word),
            }
        }
        if lines.len() > most {
            let rest = lines.split_off(most.saturating_sub(1)).join(" ");
            lines.push(rest);
        }
        lines.iter().map(|line| self.shortened(line, width_px)).collect()
    }

    /// The width of the widest line, pixels.
    pub(crate) fn widest_px(self, lines: &[String]) -> f64 {
        lines.iter().map(|line| self.width_px(line)).fold(0.0, f64::max)
    }
}

/// A summary is broken into lines of at most this many characters, which is what a tired eye
/// follows.
const LINE_CHARACTERS: usize = 66;

/// Text broken at spaces into lines of at most 66 characters and `width_px`, as even as their
/// number allows; what is left after `most` lines ends in an ellipsis.
pub(crate) fn lines(text: &str, letters: Letters, width_px: f64, most: usize) -> Vec<String> {
    let total = text.chars().count();
    let wanted = total.div_ceil(LINE_CHARACTERS).clamp(1, most.max(1));
    // A few characters more than an even share, since lines break at words.
    let target = (total.div_ceil(wanted) + 6).min(LINE_CHARACTERS);
    let mut broken = broken_at(text, target);
    if broken.len() > wanted {
        broken = broken_at(text, LINE_CHARACTERS);
    }
    if broken.len() > most {
        let rest = broken.split_off(most.saturating_sub(1)).join(" ");
        let cut = broken_at(&rest, LINE_CHARACTERS - 1).into_iter().next().unwrap_or_default();
        broken.push(format!("{}…", cut.trim_end_matches([',', ';'])));
    }
    broken.iter().map(|line| letters.shortened(line, width_px)).collect()
}

fn broken_at(text: &str, characters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words(text) {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= characters => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// What a line may be broken between: never at a no-break space, never between a figure and its per
/// cent sign.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split([' ', '\n', '\t']).filter(|word| !word.is_empty()) {
        match words.last_mut() {
            Some(last) if word.starts_with('%') => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn what_is_shortened_fits(text in ".{0,60}", width_px in 0.0..300.0) {
            prop_assert!(Letters::Small.width_px(&Letters::Small.shortened(&text, width_px)) <= width_px);
        }

        #[test]
        fn what_is_wrapped_fits_and_keeps_to_its_number(
            text in "[a-z% ]{0,200}", width_px in 40.0..400.0, most in 1usize..5,
        ) {
            let lines = Letters::Small.wrapped(&text, width_px, most);
            prop_assert!(lines.len() <= most && Letters::Small.widest_px(&lines) <= width_px);
        }

        #[test]
        fn lines_keep_to_their_number_and_length(text in "[a-z ]{0,400}", most in 1usize..4) {
            let broken = lines(&text, Letters::Summary, 900.0, most);
            prop_assert!(broken.len() <= most);
            for line in broken {
                prop_assert!(line.chars().count() <= LINE_CHARACTERS.max(1) || !line.contains(' '));
            }
        }
    }

    #[test]
    fn a_per_cent_sign_stays_with_its_figure() {
        assert_eq!(words("gap 91 %, radar"), ["gap", "91 %,", "radar"]);
        assert_eq!(words("25\u{a0}km/h now"), ["25\u{a0}km/h", "now"]);
    }

    #[test]
    fn nothing_is_lost_where_there_are_lines_enough() {
        let lines = Letters::Small.wrapped("sun leaves Heron Walk 17:04", 120.0, 9);
        assert_eq!(lines, ["sun leaves Heron", "Walk 17:04"]);
    }

    #[test]
    fn a_short_summary_stays_on_one_line() {
        assert_eq!(lines("go, dry until 17:00", Letters::Summary, 900.0, 3).len(), 1);
    }
}
