//! The evening on a page: the common figure in the size that fits.

use fairspell_figures::with_nonce;
use fairspell_words::screens::session as words;
use maud::{Markup, PreEscaped, html};

use crate::{
    skies::{Pictures, Sky},
    visit::Visit,
};

/// The evening of a session, large on a desk and narrow on a telephone, with its table behind it.
pub(crate) fn evening(visit: &Visit, sky: &Sky) -> Markup {
    drawn_evening(&visit.nonce, &sky.pictures)
}

/// A drawn evening, for a page whose styles are known by a one-time word.
pub(crate) fn drawn_evening(nonce: &str, pictures: &Pictures) -> Markup {
    let inline = |svg: &str| PreEscaped(with_nonce(svg, nonce));
    html! {
        figure.evening {
            div.wide { (inline(&pictures.large)) }
            div.narrow { (inline(&pictures.narrow)) }
        }
        details {
            summary { (words::AS_TABLE) }
            div.scroll tabindex="0" role="region" aria-label=(words::AS_TABLE) {
                table {
                    thead { tr { @for head in words::TABLE { th scope="col" { (head) } } } }
                    tbody {
                        @for row in &pictures.table { tr { @for cell in row { td { (cell) } } } }
                    }
                }
            }
        }
    }
}

/// The evening in a list.
pub(crate) fn small_evening(visit: &Visit, sky: &Sky) -> Markup {
    html! { div.evening-small { (PreEscaped(with_nonce(&sky.pictures.small, &visit.nonce))) } }
}

/// The sky's lines in groups. One that ends with a colon says of which hours, place and source those
/// under it speak.
pub(crate) fn grouped(lines: &[String]) -> Markup {
    html! {
        @for part in lines.chunk_by(|_, next| !next.ends_with(':')) {
            @match part {
                [head, figures @ ..] if head.ends_with(':') => {
                    p.quiet.head { (head) }
                    ul.lines { @for figure in figures { li { (figure) } } }
                },
                lines => { ul.lines { @for line in lines { li { (line) } } } },
            }
        }
    }
}
