//! One source, new or known, as a form.

use std::path::{Path, PathBuf};

use axum::response::Response;
use fairspell_feeds::{Feed, From};
use fairspell_studio::outlook::SourceKind;
use fairspell_words::screens::studio::sources as words;
use maud::html;
use reqwest::Url;

use super::Feeds;
use crate::{
    fields::Fields,
    form_markup::{Field, Input, mistakes, save_or_back},
    pages::{people::plain_name, studio::part},
    spelled_id::spelled_id,
    visit::Visit,
};

const KINDS: [(SourceKind, &str); 3] = [
    (SourceKind::Forecast, "forecast"),
    (SourceKind::Warnings, "warnings"),
    (SourceKind::Radar, "radar"),
];

/// No service needs to know a place more exactly: four decimals are ten metres.
const DECIMALS: u8 = 4;

/// A form for a source that is not there yet.
pub(super) fn new_fields() -> Fields {
    Fields::of([
        ("kind", "forecast".to_owned()),
        ("every_min", "30".to_owned()),
        ("decimals", DECIMALS.to_string()),
    ])
}

/// A form for a known source.
pub(super) fn fields_of(feed: &Feed) -> Fields {
    let from = match &feed.from {
        From::Web(address) | From::Through { address, .. } => address.clone(),
        From::Folder(folder) => folder.display().to_string(),
    };
    Fields::of([
        ("id", feed.id.clone()),
        ("kind", kind_value(feed.kind).to_owned()),
        ("source", feed.source.clone()),
        ("from", from),
        ("every_min", feed.every_min.to_string()),
        ("decimals", feed.decimals.to_string()),
    ])
}

fn kind_value(kind: SourceKind) -> &'static str {
    KINDS.into_iter().find(|(known, _)| *known == kind).map_or("", |(_, value)| value)
}

/// The form's page.
pub(super) fn form_page(visit: &Visit, fields: &Fields) -> Response {
    let is_new = fields.filled("id").is_none();
    let kinds = KINDS.map(|(kind, value)| (value, words::kind_name(kind)));
    let number = |from, to| Input::Number { from, to, step: 1.0 };
    let field = |name, label| Field::new(fields, name, label).needed();
    let body = html! {
        form method="post" action="/studio/sources" {
            (visit.form_field())
            input type="hidden" name="do" value="save";
            input type="hidden" name="id" value=(fields.text("id"));
            (mistakes(fields))
            (field("kind", words::KIND).select(&kinds))
            (field("source", words::SOURCE).input(Input::Text))
            (field("from", words::FROM).hint(words::FROM_HINT).input(Input::Text))
            (field("every_min", words::MINUTES).input(number(1.0, 1440.0)))
            (field("decimals", words::DECIMALS)
                .hint(words::DECIMALS_HINT)
                .input(number(0.0, f64::from(DECIMALS))))
            (save_or_back("/studio/sources"))
        }
    };
    part(visit, if is_new { words::NEW_HEADING } else { words::EDIT_HEADING }, &body)
}

/// The feed of a form; `None` when something in it is wrong.
pub(super) fn read(fields: &mut Fields, feeds: &Feeds) -> Option<Feed> {
    let known = fields.filled("id").and_then(|id| feeds.find(id)).cloned();
    let kind = fields.need("kind", words::KIND_WRONG, |text| {
        KINDS.into_iter().find(|(_, value)| *value == text).map(|(kind, _)| kind)
    });
    let source = fields.need("source", words::SOURCE_WRONG, plain_name);
    let from = from(fields, known.as_ref());
    let whole = |text: &str, from: u32, to: u32| {
        text.parse::<u32>().ok().filter(|number| (from..=to).contains(number))
    };
    let every_min = fields.need("every_min", words::MINUTES_WRONG, |text| whole(text, 1, 1440));
    let decimals = fields.need("decimals", words::DECIMALS_WRONG, |text| {
        text.parse::<u8>().ok().filter(|decimals| *decimals <= DECIMALS)
    });
    let (kind, source, from) = (kind?, source?, from?);
    let new_id = || {
        let name = format!("{source} {}", kind_value(kind));
        spelled_id(&name, "source", |id| feeds.find(id).is_some())
    };
    let id = known.as_ref().map_or_else(new_id, |known| known.id.clone());
    Some(Feed {
        id,
        kind,
        source,
        from,
        every_min: every_min?,
        decimals: decimals?,
        accept: known.as_ref().and_then(|known| known.accept.clone()),
        stands_in_for: known.and_then(|known| known.stands_in_for),
    })
}

/// Where a feed comes from; a known one goes on being asked in its own two steps.
fn from(fields: &mut Fields, known: Option<&Feed>) -> Option<From> {
    let text = fields.need("from", words::FROM_WRONG, |text| Some(text.to_owned()))?;
    if Path::new(&text).is_absolute() {
        return Some(From::Folder(PathBuf::from(text)));
    }
    let address = Url::parse(&text).ok().filter(|address| {
        matches!(address.scheme(), "http" | "https") && address.host_str().is_some()
    });
    let Some(address) = address else {
        fields.refuse("from", words::FROM_WRONG);
        return None;
    };
    if !address.username().is_empty() || address.password().is_some() {
        fields.refuse("from", words::FROM_PASSWORD);
        return None;
    }
    Some(match known.map(|known| &known.from) {
        Some(From::Through { property, .. }) => {
            From::Through { address: text, property: property.clone() }
        }
        _ => From::Web(text),
    })
}
