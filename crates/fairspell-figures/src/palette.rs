//! The colours: paper, ink and weather, by day and by night.
//!
//! Rain is one hue in both, and red is not used: danger is solid ink. Meaning never rests on colour
//! alone, so every colour here comes with a texture, a shape or a word where it is drawn.

/// Which of the two palettes a figure is drawn in.
///
/// `Auto` carries both and follows what the reader's device prefers; `Light` is for paper and
/// letters, `Dark` for a phone that was told so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// Light, or dark where the device asks for it.
    #[default]
    Auto,
    /// Ink on paper.
    Light,
    /// Paper-coloured ink on night.
    Dark,
}

/// A colour in sRGB, eight bits a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rgb(pub u8, pub u8, pub u8);

impl std::fmt::Display for Rgb {
    /// As CSS writes it, `#f7f3ea`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }
}

impl Rgb {
    /// Relative luminance, 0 for black to 1 for white.
    ///
    /// ```
    /// use fairspell_figures::palette::Rgb;
    ///
    /// assert_eq!(Rgb(255, 255, 255).relative_luminance(), 1.0);
    /// ```
    ///
    /// # Source
    ///
    /// Web Content Accessibility Guidelines 2.2, definition of relative luminance (with the
    /// threshold 0.04045 of IEC 61966-2-1; no eight-bit colour falls between it and 0.03928).
    pub fn relative_luminance(self) -> f64 {
        let linear = |channel: u8| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2)
    }

    /// Contrast ratio between two colours, 1 to 21, whichever is the lighter.
    ///
    /// ```
    /// use fairspell_figures::palette::DAY;
    ///
    /// assert!(DAY.ink.contrast_ratio(DAY.paper) > 13.0);
    /// ```
    ///
    /// # Source
    ///
    /// Web Content Accessibility Guidelines 2.2, definition of contrast ratio.
    pub fn contrast_ratio(self, other: Self) -> f64 {
        let (a, b) = (self.relative_luminance(), other.relative_luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    fn mix(self, other: Self, share: f64) -> Self {
        let channel =
            |a: u8, b: u8| rounded_u8(f64::from(a) + (f64::from(b) - f64::from(a)) * share);
        Self(channel(self.0, other.0), channel(self.1, other.1), channel(self.2, other.2))
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..=255")]
fn rounded_u8(value: f64) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}

/// One complete set of colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Palette {
    /// The ground of everything.
    pub paper: Rgb,
    /// Text, frames, danger.
    pub ink: Rgb,
    /// Strokes of rain.
    pub rain: Rgb,
    /// Strokes of rain where the light behind them is too deep for `rain`.
    pub rain_at_dusk: Rgb,
    /// Lines that only separate, and the texture of what was not measured.
    pub hairline: Rgb,
    /// The light's own colour at the sun elevations of [`LIGHT_ELEVATIONS_DEG`].
    pub light: [Rgb; 6],
    /// Rain rates by the classes of [`RAIN_BREAKS_MM_H`], in even steps of lightness from paper
    /// through rain to ink.
    pub ramp: [Rgb; 8],
}

/// Sun elevations, degrees, at which the runs of [`Palette::light`] have their colours: high sun,
/// afternoon, golden light from 6° down, the horizon, the beginning of blue light, its end.
///
/// Our choice, laid along the usual bounds of golden (6° to -4°) and blue light (-4° to -6°).
pub const LIGHT_ELEVATIONS_DEG: [f64; 6] = [40.0, 20.0, 6.0, 0.0, -4.0, -8.0];

/// Lower bounds of the classes of rain rate, mm/h. Below the first a cell is dry.
///
/// Roughly halving and doubling, as rain is felt; 1 and 10 mm/h are bounds because textures change
/// there (dots below, hatching above).
pub const RAIN_BREAKS_MM_H: [f32; 8] = [0.1, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];

/// Ink on paper.
pub const DAY: Palette = Palette {
    paper: Rgb(0xf7, 0xf3, 0xea),
    ink: Rgb(0x23, 0x29, 0x2c),
    rain: Rgb(0x2f, 0x4d, 0x6e),
    rain_at_dusk: Rgb(0xf7, 0xf3, 0xea),
    hairline: Rgb(0x8b, 0x85, 0x77),
    light: [
        Rgb(0xec, 0xea, 0xdc),
        Rgb(0xf0, 0xe4, 0xc6),
        Rgb(0xf3, 0xcd, 0x8c),
        Rgb(0xe2, 0xa4, 0x6c),
        Rgb(0x8e, 0x7a, 0x8c),
        Rgb(0x4a, 0x56, 0x7a),
    ],
    ramp: [
        Rgb(0xd5, 0xd7, 0xd6),
        Rgb(0xb5, 0xbc, 0xc3),
        Rgb(0x94, 0xa2, 0xaf),
        Rgb(0x76, 0x88, 0x9c),
        Rgb(0x58, 0x6f, 0x89),
        Rgb(0x3a, 0x57, 0x76),
        Rgb(0x2b, 0x3f, 0x55),
        Rgb(0x23, 0x29, 0x2c),
    ],
};

/// The same by night. The light keeps its hues but glows instead of shining, so that pale rain
/// stays readable on it.
pub const NIGHT: Palette = Palette {
    paper: Rgb(0x17, 0x1b, 0x1e),
    ink: Rgb(0xec, 0xe7, 0xdb),
    rain: Rgb(0x9d, 0xb8, 0xd6),
    rain_at_dusk: Rgb(0x9d, 0xb8, 0xd6),
    hairline: Rgb(0x8b, 0x85, 0x77),
    light: [
        Rgb(0x54, 0x53, 0x4b),
        Rgb(0x5a, 0x51, 0x39),
        Rgb(0x64, 0x4f, 0x2b),
        Rgb(0x66, 0x3f, 0x26),
        Rgb(0x43, 0x37, 0x4a),
        Rgb(0x26, 0x2f, 0x4c),
    ],
    ramp: [
        Rgb(0x29, 0x31, 0x37),
        Rgb(0x3e, 0x48, 0x52),
        Rgb(0x52, 0x61, 0x6f),
        Rgb(0x69, 0x7b, 0x8e),
        Rgb(0x80, 0x95, 0xad),
        Rgb(0x97, 0xb1, 0xcd),
        Rgb(0xbf, 0xcc, 0xd9),
        Rgb(0xec, 0xe7, 0xdb),
    ],
};

impl Palette {
    /// The light's own colour with the sun at an elevation, degrees above the horizon.
    ///
    /// Between the runs it is mixed in sRGB; beyond them it stays as it is. An elevation that is
    /// not finite is nobody's light: callers leave it out before.
    ///
    /// ```
    /// use fairspell_figures::palette::DAY;
    ///
    /// assert_eq!(DAY.light_tone(6.0), DAY.light[2]); // gold begins
    /// assert_eq!(DAY.light_tone(-30.0), DAY.light[5]);
    /// ```
    pub fn light_tone(&self, sun_elevation_deg: f64) -> Rgb {
        for (run, bounds) in LIGHT_ELEVATIONS_DEG.windows(2).enumerate() {
            let (upper, lower) = (bounds[0], bounds[1]);
            if sun_elevation_deg >= lower {
                let share = ((upper - sun_elevation_deg) / (upper - lower)).max(0.0);
                return self.light[run].mix(self.light[run + 1], share);
            }
        }
        self.light[5]
    }
}
