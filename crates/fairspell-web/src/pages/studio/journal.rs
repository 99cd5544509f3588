//! The journal: its newest entries in words, its seal, and whether it holds.

use axum::{extract::Query, response::Response};
use fairspell_store::KeptEntry;
use fairspell_studio::journal::EntryKind;
use fairspell_words::{clock::date_and_clock, screens::studio::journal as words};
use jiff::{civil, tz::TimeZone};
use maud::html;
use serde::Deserialize;
use serde_json::Value;

use super::part;
use crate::{error::PageError, visit::Visit};

/// So many entries stand on a page.
const SHOWN: u32 = 50;

/// Which entries are shown.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Shown {
    /// So many newer ones are left out.
    #[serde(default)]
    after: u32,
}

/// `GET /studio/journal`.
pub(crate) async fn show(
    visit: Visit,
    Query(Shown { after }): Query<Shown>,
) -> Result<Response, PageError> {
    let store = &visit.app.store;
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let entries = store.journal_entries(SHOWN + 1, after).await?;
    let (shown, is_more) = match entries.split_at_checked(SHOWN as usize) {
        Some((shown, rest)) => (shown, !rest.is_empty()),
        None => (entries.as_slice(), false),
    };
    let head = store.journal_head().await?;
    let verdict = store.journal_verify(None).await?;
    let body = html! {
        p { (words::MEANS) }
        @if let Some(head) = head {
            @for line in words::verdict(&verdict) { p.wanting[!verdict.holds()] { (line) } }
            p.quiet { (words::seal(&head.to_string())) }
        } @else {
            p { (words::EMPTY) }
        }
        @if !shown.is_empty() {
            h2 { (words::NEWEST) }
            ul.lines {
                @for kept in shown {
                    li { (words::entry(kept.entry.seq, kept.entry.at, &said(kept, &house.zone), &house.zone)) }
                }
            }
        }
        div.buttons {
            @if after > 0 {
                a.button href=(format!("/studio/journal?after={}", after.saturating_sub(SHOWN))) {
                    (words::NEWER)
                }
            }
            @if is_more {
                a.button href=(format!("/studio/journal?after={}", after.saturating_add(SHOWN))) {
                    (words::OLDER)
                }
            }
        }
    };
    Ok(part(&visit, words::HEADING, &body))
}

fn said(kept: &KeptEntry, zone: &TimeZone) -> String {
    let kind = kept.entry.kind;
    if let Some(at) = kept.erased_at {
        return words::erased(kind, at, zone);
    }
    let content = kept.content.as_ref().and_then(|it| serde_json::from_str(&it.text).ok());
    words::said(kind, content.as_ref().and_then(|content| about(kind, content)).as_deref())
}

/// What an entry is about, out of its content.
fn about(kind: EntryKind, content: &Value) -> Option<String> {
    let text = |pointer: &str| content.pointer(pointer).and_then(Value::as_str);
    // A document that was deleted stands before the change alone.
    let of = |member: &str| {
        text(&format!("/after/{member}")).or_else(|| text(&format!("/before/{member}")))
    };
    match kind {
        EntryKind::LetterSent => Some(words::answer(text("/facts/sitter")?, text("/subject")?)),
        EntryKind::Answered => Some(words::answer(text("/answer/who")?, text("/answer/words")?)),
        EntryKind::SessionChanged | EntryKind::PersonChanged | EntryKind::Undone => {
            let start = of("start").and_then(|start| start.parse::<civil::DateTime>().ok());
            match (of("sitter"), start) {
                (Some(sitter), Some(start)) => Some(words::answer(sitter, &date_and_clock(start))),
                _ => of("name").map(str::to_owned),
            }
        }
        EntryKind::Told => text("/words").map(str::to_owned),
        EntryKind::FieldLogged => content["events"].as_u64().map(words::taps),
        EntryKind::StudioChanged
        | EntryKind::PersonErased
        | EntryKind::BackedUp
        | EntryKind::Imported => None,
    }
}
