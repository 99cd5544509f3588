//! Writing SVG that is well formed whatever the input: escaped text, finite numbers, names of parts
//! that do not collide when several figures stand in one page.

use std::fmt::{self, Display, Write};

use crate::palette::{DAY, NIGHT, Palette, Theme};

/// The face of all figures; the fallbacks are what phones and desks have.
const FONT_FAMILY: &str =
    "'Atkinson Hyperlegible', system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif";

/// How each figure's own styles begin. A caller's words cannot: in them `<` is escaped.
pub(crate) const STYLE_OPENS: &str = "<style>";

/// A coordinate: one decimal is a tenth of a pixel. Not finite becomes 0 and huge is cut, as a last
/// line of defence; drawing code decides before what a missing number means.
#[derive(Clone, Copy)]
pub(crate) struct N(pub(crate) f64);

impl Display for N {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = if self.0.is_finite() { self.0.clamp(-1e6, 1e6) } else { 0.0 };
        // Adding zero turns -0 into 0.
        let tenths = (value * 10.0).round() + 0.0;
        if tenths % 10.0 == 0.0 {
            write!(f, "{:.0}", tenths / 10.0)
        } else {
            write!(f, "{:.1}", tenths / 10.0)
        }
    }
}

/// Text and attribute values, escaped; characters that XML 1.0 forbids become spaces.
#[derive(Clone, Copy)]
pub(crate) struct Escaped<'a>(pub(crate) &'a str);

impl Display for Escaped<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for c in self.0.chars() {
            match c {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                '\'' => f.write_str("&#39;")?,
                '\u{fffe}' | '\u{ffff}' => f.write_char(' ')?,
                c if c.is_control() => f.write_char(' ')?,
                c => f.write_char(c)?,
            }
        }
        Ok(())
    }
}

/// A name for a figure, made from what it shows: several figures in one page must not share the
/// names of their parts, and equal input must give equal bytes.
///
/// FNV-1a, 64 bits, because it is four lines and never changes between compilers.
pub(crate) struct Fingerprint(u64);

impl Fingerprint {
    pub(crate) fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    /// A valid XML name; eight digits are plenty for the figures of one page.
    pub(crate) fn name(&self) -> String {
        format!("f{:08x}", (self.0 >> 32) ^ (self.0 & 0xffff_ffff))
    }
}

impl Write for Fingerprint {
    fn write_str(&mut self, s: &str) -> fmt::Result {
        for byte in s.bytes() {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        Ok(())
    }
}

/// The name of the figure that shows `what`.
pub(crate) fn name_of(what: fmt::Arguments<'_>) -> String {
    let mut fingerprint = Fingerprint::new();
    fingerprint.write_fmt(what).expect("a fingerprint takes any text");
    fingerprint.name()
}

/// Adds to a path or any other text in the making.
pub(crate) fn put(out: &mut String, part: fmt::Arguments<'_>) {
    out.write_fmt(part).expect("a String takes any text");
}

/// SVG in the making.
#[derive(Default)]
pub(crate) struct Markup {
    text: String,
}

impl Markup {
    pub(crate) fn put(&mut self, part: fmt::Arguments<'_>) {
        put(&mut self.text, part);
    }

    /// One line of text; nothing for an empty one. `class` and `anchor` are ours, never a caller's.
    pub(crate) fn words(&mut self, x: f64, y: f64, class: &str, anchor: Anchor, text: &str) {
        if !text.trim().is_empty() {
            let anchor = anchor.attribute();
            let text = Escaped(text);
            self.put(format_args!("<text x=\"{}\" y=\"{}\"{anchor}", N(x), N(y)));
            if !class.is_empty() {
                self.put(format_args!(" class=\"{class}\""));
            }
            self.put(format_args!(">{text}</text>\n"));
        }
    }

    /// A path of any class; nothing for an empty one.
    pub(crate) fn path(&mut self, class: &str, d: &str) {
        if !d.is_empty() {
            self.put(format_args!("<path class=\"{class}\" d=\"{d}\"/>\n"));
        }
    }

    pub(crate) fn rect(&mut self, class: &str, x: f64, y: f64, width: f64, height: f64) {
        if width > 0.0 && height > 0.0 {
            let (x, y, width, height) = (N(x), N(y), N(width), N(height));
            self.put(format_args!(
                "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>\n"
            ));
        }
    }
}

/// Where on a line of text its x lies.
#[derive(Clone, Copy)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn attribute(self) -> &'static str {
        match self {
            Self::Start => "",
            Self::Middle => " text-anchor=\"middle\"",
            Self::End => " text-anchor=\"end\"",
        }
    }
}

/// What stands around every figure.
pub(crate) struct Frame<'a> {
    pub(crate) name: &'a str,
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// Whether it is shown at its own size unless told otherwise, and not as wide as there is room.
    pub(crate) own_size: bool,
    /// The figure in words, for those who cannot see it.
    pub(crate) title: &'a str,
    pub(crate) description: &'a str,
    pub(crate) theme: Theme,
}

/// The whole document: accessible names, styles for the theme, ground, and the drawing.
///
/// Every rule is bound to the figure's own name, because a `<style>` inside an SVG that stands in a
/// page speaks to the whole page. Colours are written out rather than as custom properties, which
/// several programs that show SVG files do not know.
pub(crate) fn document(
    frame: &Frame<'_>,
    rules: &dyn Fn(&mut Rules<'_>, &Palette),
    drawing: &Markup,
) -> String {
    let Frame { name, title, description, theme, .. } = *frame;
    let (width, height) = (N(frame.width), N(frame.height));
    let styles = |palette: &Palette| {
        let mut out = Rules { name, text: String::new() };
        shared_rules(&mut out, palette);
        rules(&mut out, palette);
        out.text
    };
    let style = match theme {
        Theme::Light => styles(&DAY),
        Theme::Dark => styles(&NIGHT),
        Theme::Auto => {
            let (day, night) = (styles(&DAY), styles(&NIGHT));
            format!("{day}@media (prefers-color-scheme:dark){{{night}}}")
        }
    };
    let mut svg = Markup::default();
    let description = description.trim();
    let described = if description.is_empty() { String::new() } else { format!(" {name}-d") };
    let size = if frame.own_size {
        format!("width=\"{width}\" height=\"{height}\" ")
    } else {
        String::new()
    };
    svg.put(format_args!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"{name}\" {size}viewBox=\"0 0 {width} {height}\" \
         role=\"img\" aria-labelledby=\"{name}-t{described}\" font-family=\"{FONT_FAMILY}\" \
         font-size=\"13\">\n"
    ));
    svg.put(format_args!("<title id=\"{name}-t\">{}</title>\n", Escaped(title)));
    if !description.is_empty() {
        svg.put(format_args!("<desc id=\"{name}-d\">{}</desc>\n", Escaped(description)));
    }
    svg.put(format_args!("{STYLE_OPENS}{style}</style>\n"));
    svg.put(format_args!("<rect class=\"paper\" width=\"{width}\" height=\"{height}\"/>\n"));
    svg.text.push_str(&drawing.text);
    svg.text.push_str("</svg>\n");
    svg.text
}

/// Style rules that hold inside one figure only.
pub(crate) struct Rules<'a> {
    name: &'a str,
    text: String,
}

impl Rules<'_> {
    pub(crate) fn add(&mut self, selector: &str, declarations: fmt::Arguments<'_>) {
        put(&mut self.text, format_args!("#{} {selector}{{{declarations}}}", self.name));
    }
}

fn shared_rules(rules: &mut Rules<'_>, palette: &Palette) {
    let Palette { paper, ink, hairline, .. } = palette;
    rules.add("text", format_args!("fill:{ink};font-variant-numeric:tabular-nums"));
    rules.add(".paper", format_args!("fill:{paper}"));
    rules.add(".ink", format_args!("fill:{ink}"));
    rules.add(".line", format_args!("fill:none;stroke:{ink}"));
    rules.add(".hair", format_args!("fill:none;stroke:{hairline}"));
    rules.add(".strong", format_args!("font-weight:700"));
    rules.add(".heading", format_args!("font-weight:700;font-size:20px"));
    rules.add(".summary", format_args!("font-size:16px"));
    // Text that may cross a line keeps a rim of paper.
    rules.add(".clear", format_args!("stroke:{paper};stroke-width:4px;paint-order:stroke"));
}
