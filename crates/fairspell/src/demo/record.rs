//! What had been told and answered before the demo begins.

use anyhow::{Context as _, Result};
use fairspell_store::Store;
use fairspell_studio::{Answer, AnsweredBy, GateKind, SentLetter};
use jiff::{SignedDuration, Timestamp};

use crate::{folder::Folder, letter_command, standing::Standing};

/// How long after the letter each of the two answers, minutes.
const ANSWERED_AFTER_MIN: [i64; 2] = [9, 41];

/// Keeps where the evenings that are over stood when they began, and their letters with what both
/// people answered: what a letter offers first.
pub(crate) async fn keep(store: &Store, folder: &Folder, now: Timestamp) -> Result<()> {
    for session in &folder.sessions {
        let gates = folder.gates(session)?;
        let is_over = gates.iter().all(|gate| gate.at < now);
        let Some(evening) = gates.iter().find(|gate| gate.kind == GateKind::EveningReading) else {
            continue;
        };
        if !is_over {
            continue;
        }
        if let Some(start) = gates.iter().find(|gate| gate.kind == GateKind::Arrival) {
            let standing = Standing::at(folder, &session.id, start.at)?;
            store.keep_ruling(standing.outlook(), standing.ruling()).await?;
        }
        let standing = Standing::at(folder, &session.id, evening.at)?;
        let Some((facts, letter)) = letter_command::write(folder, &standing)? else { continue };
        let reply_by = facts.reply_by.map(|by| folder.zone.to_timestamp(by)).transpose()?;
        let sent = SentLetter {
            id: format!("{}-1", session.id),
            session: session.id.clone(),
            subject: letter.subject,
            body: letter.body,
            offers: letter.offers,
            facts,
            outlook: standing.outlook().clone(),
            ruling: standing.ruling().clone(),
            sent_at: evening.at,
            reply_by,
        };
        store.send_letter(&sent).await.context("keep an invented letter")?;
        let Some(first) = sent.offers.first() else { continue };
        for (who, after_min) in
            [&session.sitter, &session.guardian].into_iter().zip(ANSWERED_AFTER_MIN)
        {
            let answer = Answer {
                letter: sent.id.clone(),
                session: session.id.clone(),
                who: who.clone(),
                choice: first.choice.clone(),
                words: first.words.clone(),
                answered_at: evening.at + SignedDuration::from_mins(after_min),
                by: AnsweredBy::Page,
                is_late: false,
            };
            store.record_answer(&answer).await.context("keep an invented answer")?;
        }
    }
    Ok(())
}
