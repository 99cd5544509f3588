//! Figures inside pages whose Content-Security-Policy allows styles by a nonce only.

use crate::markup::{Escaped, STYLE_OPENS, put};

/// A figure of ours with a nonce on each `<style>` element, for standing inline in a page.
///
/// The figures have no `style` attributes and no scripts, so that nothing else needs allowing.
///
/// - `svg`: one or several figures as this crate draws them.
/// - `nonce`: what the page's policy names after `'nonce-`; escaped, but make it one that needs none.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{Evening, Size, Theme, evening_svg, with_nonce};
///
/// let svg = evening_svg(&Evening::default(), Size::Small, Theme::Auto);
/// assert!(with_nonce(&svg, "u5rM3w").contains("<style nonce=\"u5rM3w\">"));
/// ```
///
/// # Source
///
/// Content Security Policy Level 3, "Does nonce match source list?"; the `nonce` attribute of SVG
/// elements as of HTML, mixin `HTMLOrSVGElement`.
pub fn with_nonce(svg: &str, nonce: &str) -> String {
    let mut opens = String::new();
    put(&mut opens, format_args!("<style nonce=\"{}\">", Escaped(nonce)));
    svg.replace(STYLE_OPENS, &opens)
}
