//! Style, script and fonts: part of the program, served under names that hold their content's hash.

use std::sync::LazyLock;

use axum::{
    extract::Path,
    http::{StatusCode, header},
    response::{IntoResponse, Response},
};
use base64::{Engine, engine::general_purpose::STANDARD};
use fairspell_studio::journal::Digest;

/// A file that pages use.
#[derive(Debug)]
pub(crate) struct Asset {
    /// Its address, `/static/<hash>-<name>`.
    pub(crate) address: String,
    kind: &'static str,
    bytes: Vec<u8>,
}

macro_rules! asset {
    ($name:ident, $file:literal, $kind:literal) => {
        /// The file of this name under `static/`.
        pub(crate) static $name: LazyLock<Asset> = LazyLock::new(|| {
            Asset::new($file, $kind, include_bytes!(concat!("../static/", $file)).to_vec())
        });
    };
}

asset!(FONT_400, "atkinson-400.woff2", "font/woff2");
asset!(FONT_700, "atkinson-700.woff2", "font/woff2");
asset!(FONT_EXT_400, "atkinson-ext-400.woff2", "font/woff2");
asset!(FONT_EXT_700, "atkinson-ext-700.woff2", "font/woff2");
asset!(FONT_LICENCE, "atkinson-LICENSE.txt", "text/plain; charset=utf-8");
asset!(SCRIPT, "fairspell.js", "text/javascript; charset=utf-8");
asset!(ICON, "icon.svg", "image/svg+xml");
asset!(MANIFEST, "manifest.webmanifest", "application/manifest+json");

/// The style sheet; the fonts' addresses are written into it.
pub(crate) static STYLE: LazyLock<Asset> = LazyLock::new(|| {
    let fonts = [
        ("FONT_EXT_400", &FONT_EXT_400),
        ("FONT_EXT_700", &FONT_EXT_700),
        ("FONT_400", &FONT_400),
        ("FONT_700", &FONT_700),
    ];
    let text =
        fonts.iter().fold(include_str!("../static/style.css").to_owned(), |text, (name, font)| {
            text.replace(name, &font.address)
        });
    Asset::new("style.css", "text/css; charset=utf-8", text.into_bytes())
});

impl Asset {
    fn new(name: &str, kind: &'static str, bytes: Vec<u8>) -> Self {
        let digest = Digest::of(&bytes).to_string();
        Asset { address: format!("/static/{}-{name}", &digest[..12]), kind, bytes }
    }

    /// The file itself as an address, for a document that has to bring everything along.
    pub(crate) fn data_address(&self) -> String {
        format!("data:{};base64,{}", self.kind, STANDARD.encode(&self.bytes))
    }
}

fn all() -> [&'static Asset; 9] {
    [
        &STYLE,
        &SCRIPT,
        &ICON,
        &MANIFEST,
        &FONT_400,
        &FONT_700,
        &FONT_EXT_400,
        &FONT_EXT_700,
        &FONT_LICENCE,
    ]
}

/// `GET /worker.js`: a service worker needs an address at the root to speak for every page. A worker
/// lives under the policy that its script comes with, and fetches field sheets from us.
pub(crate) async fn worker() -> Response {
    (
        [
            (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
            (
                header::CONTENT_SECURITY_POLICY,
                "default-src 'none'; connect-src 'self'; frame-ancestors 'none'",
            ),
        ],
        include_str!("../static/worker.js"),
    )
        .into_response()
}

/// `GET /static/{name}`.
pub(crate) async fn serve(Path(name): Path<String>) -> Response {
    let wanted = format!("/static/{name}");
    match all().into_iter().find(|asset| asset.address == wanted) {
        Some(asset) => (
            [
                (header::CONTENT_TYPE, asset.kind),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ],
            asset.bytes.as_slice(),
        )
            .into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
