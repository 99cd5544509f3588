//! The chain against published digests and a second implementation, and what tampering does to it.

use fairspell_studio::journal::{
    Content, Digest, Entry, EntryKind, HeadPlace, Left, Verdict, Verifier, content_digest,
    next_head,
};
use proptest::prelude::*;

use crate::world::at;

fn digest(text: &str) -> Digest {
    text.parse().unwrap()
}

/// NIST, "Example Algorithms, Secure Hashing": SHA-256 of one block and of two; the empty message and
/// the million letters from the NIST Cryptographic Algorithm Validation Program's byte vectors and
/// FIPS 180-2, appendix B.3. FIPS 180-4 defines the algorithm.
#[test]
fn digests_agree_with_the_published_ones() {
    let million = "a".repeat(1_000_000);
    for (message, expected) in [
        ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (
            "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
        ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        (&million, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
    ] {
        assert_eq!(Digest::of(message.as_bytes()).to_string(), expected);
    }
}

/// Computed from the layout that `next_head` documents with Python's `hashlib`: for the first entry
/// `sha256(b"fairspell journal v1\0" + bytes(32) + (1).to_bytes(8, "big") + (1788412500123).to_bytes(8,
/// "big") + b"letter_sent\0" + content)`, `content` being `sha256(bytes(range(16)) + text.encode())`.
#[test]
fn the_layout_is_the_documented_one() {
    let salt = std::array::from_fn(|index| u8::try_from(index).unwrap());
    let content = content_digest(&salt, r#"{"words":"Ngày khác"}"#);
    let moment = at("2026-09-03T05:15:00.123Z");
    let first = next_head(None, 1, moment, EntryKind::LetterSent, content);
    let later = at("2026-09-03T05:16:00.123999Z");
    let second = next_head(Some(first), 2, later, EntryKind::Answered, content);
    for (found, expected) in [
        (content, "b25db3474c99bd1881e8dd921b7e7a6d91c09ecdeccf815c02ec63bce384c936"),
        (first, "0ccd1389ca92857d37482956f3a050cc33b1d6c48f71fd447fde7f97938420df"),
        (second, "994f18e5c08104c903c23ffee66ab36c00af76bc50c33e82deb986ac2d0e123d"),
    ] {
        assert_eq!(found, digest(expected));
    }
}

#[test]
fn a_digest_reads_what_it_writes_and_nothing_else() {
    let written = Digest::of(b"abc").to_string();
    assert_eq!(digest(&written), Digest::of(b"abc"));
    assert_eq!(digest(&written.to_uppercase()), Digest::of(b"abc"));
    assert_eq!(serde_json::to_string(&digest(&written)).unwrap(), format!("\"{written}\""));
    assert_eq!(
        serde_json::from_str::<Digest>(&format!("\"{written}\"")).unwrap(),
        digest(&written)
    );
    let with_sign = format!("+{}", &written[1..]);
    let with_umlaut = format!("ü{}", &written[2..]);
    for wrong in ["", &written[1..], &format!("{written}0"), &with_sign, &with_umlaut] {
        assert!(wrong.parse::<Digest>().is_err(), "{wrong}");
    }
}

#[test]
fn every_kind_is_spelled_alike_in_the_chain_and_in_files() {
    for name in [
        "letter_sent",
        "answered",
        "session_changed",
        "person_changed",
        "studio_changed",
        "person_erased",
        "told",
        "backed_up",
        "imported",
        "undone",
    ] {
        let kind: EntryKind = name.parse().unwrap();
        assert_eq!(kind.as_str(), name);
        assert_eq!(serde_json::to_string(&kind).unwrap(), format!("\"{name}\""));
    }
    assert!("".parse::<EntryKind>().is_err());
}

/// A journal of so many entries.
fn journal(length: u64) -> Vec<(Entry, Option<Content>)> {
    let mut previous = None;
    (1..=length)
        .map(|seq| {
            let salt = [u8::try_from(seq % 251).unwrap(); 16];
            let content = Content { salt, text: format!("{{\"answer\":{seq}}}") };
            let (kind, moment) = (EntryKind::Answered, at("2026-09-03T05:15:00Z"));
            let head = next_head(previous, seq, moment, kind, content.digest());
            previous = Some(head);
            let content_digest = content.digest();
            (Entry { seq, at: moment, kind, content_digest, head }, Some(content))
        })
        .collect()
}

fn verified(journal: &[(Entry, Option<Content>)], expected: Option<Digest>) -> Verdict {
    let mut verifier = Verifier::new(expected);
    for (entry, content) in journal {
        verifier.push(entry, content.as_ref().map_or(Left::Erased, Left::Whole));
    }
    verifier.finish()
}

#[test]
fn an_untouched_journal_holds_and_places_the_heads_of_receipts() {
    let kept = journal(5);
    let place = |head| verified(&kept, Some(head)).expected;
    assert!(verified(&kept, None).holds());
    assert_eq!(verified(&kept, None).expected, None);
    assert_eq!(verified(&kept, None).head, Some(kept[4].0.head));
    assert_eq!(place(kept[4].0.head), Some(HeadPlace::Newest));
    assert_eq!(place(kept[1].0.head), Some(HeadPlace::Earlier { seq: 2 }));
    assert_eq!(place(Digest::of(b"another journal")), Some(HeadPlace::NotPart));
    assert!(!verified(&kept, Some(Digest::of(b"another journal"))).holds());
}

#[test]
fn an_empty_journal_holds_but_knows_no_head() {
    assert!(verified(&[], None).holds());
    assert_eq!(verified(&[], None).head, None);
    assert!(!verified(&[], Some(Digest([0; 32]))).holds());
}

#[test]
fn erased_contents_are_counted_and_break_nothing() {
    let mut kept = journal(5);
    kept[1].1 = None;
    kept[3].1 = None;
    let verdict = verified(&kept, Some(kept[4].0.head));
    assert!(verdict.holds());
    assert_eq!((verdict.entries, verdict.erased), (5, 2));
}

#[test]
fn a_content_that_is_gone_without_having_been_erased_is_named() {
    let mut verifier = Verifier::new(None);
    for (entry, content) in &journal(3) {
        let content = content.as_ref().unwrap();
        verifier.push(entry, if entry.seq == 2 { Left::Lost } else { Left::Whole(content) });
    }
    let verdict = verifier.finish();
    assert_eq!((verdict.altered.as_slice(), verdict.erased), ([2].as_slice(), 0));
    assert!(!verdict.holds());
}

#[test]
fn an_entry_that_cannot_be_read_breaks_the_chain_where_it_stands() {
    let mut verifier = Verifier::new(None);
    for (entry, content) in &journal(4) {
        match entry.seq {
            2 => verifier.push_unreadable(),
            _ => verifier.push(entry, content.as_ref().map_or(Left::Lost, Left::Whole)),
        }
    }
    let verdict = verifier.finish();
    assert_eq!((verdict.entries, verdict.broken_at), (4, Some(2)));
    assert!(!verdict.holds());
}

#[test]
fn an_altered_word_is_found_in_its_entry() {
    let mut kept = journal(5);
    kept[2].1.as_mut().unwrap().text.push(' ');
    let verdict = verified(&kept, None);
    assert_eq!((verdict.altered.as_slice(), verdict.broken_at), ([3].as_slice(), None));
    assert!(!verdict.holds());
}

/// Whoever rewrites an entry with a new digest and head breaks the next one; whoever rewrites all
/// that follow loses the heads that others hold.
#[test]
fn a_rewritten_past_is_found_by_the_next_entry_or_by_a_receipt() {
    let receipt = journal(5)[4].0.head;
    let mut rewritten = journal(5);
    let mut previous = Some(rewritten[1].0.head);
    for (entry, content) in &mut rewritten[2..] {
        let content = content.as_mut().unwrap();
        content.text = "{\"answer\":0}".to_owned();
        entry.content_digest = content.digest();
        entry.head = next_head(previous, entry.seq, entry.at, entry.kind, entry.content_digest);
        previous = Some(entry.head);
    }
    let all = verified(&rewritten, Some(receipt));
    assert_eq!((all.broken_at, all.expected), (None, Some(HeadPlace::NotPart)));
    let mut one = journal(5);
    one[2] = rewritten[2].clone();
    assert_eq!(verified(&one, None).broken_at, Some(4));
}

#[test]
fn entries_that_are_cut_off_the_end_are_missed_by_whoever_holds_the_head() {
    let mut kept = journal(5);
    let (last, _) = kept.pop().unwrap();
    assert!(verified(&kept, None).holds());
    assert_eq!(verified(&kept, Some(last.head)).expected, Some(HeadPlace::NotPart));
}

/// One change to one entry.
type Tampering = fn(&mut Entry);

const TAMPERINGS: [Tampering; 6] = [
    |entry| entry.seq += 1,
    |entry| entry.at = at("2026-09-03T05:15:00.001Z"),
    |entry| entry.kind = EntryKind::Told,
    |entry| entry.content_digest.0[31] ^= 1,
    |entry| entry.head.0[0] ^= 0x80,
    |entry| entry.head = Digest([0; 32]),
];

proptest! {
    #[test]
    fn whatever_is_changed_the_first_entry_that_does_not_follow_is_named(
        length in 1_u64..20, place: prop::sample::Index, how in 0..TAMPERINGS.len(),
    ) {
        let mut kept = journal(length);
        let place = place.index(kept.len());
        TAMPERINGS[how](&mut kept[place].0);
        prop_assert_eq!(verified(&kept, None).broken_at, Some(place as u64 + 1));
    }

    #[test]
    fn an_entry_that_is_left_out_or_swapped_is_named(length in 2_u64..20, place: prop::sample::Index) {
        let kept = journal(length);
        let place = place.index(kept.len() - 1);
        let mut without = kept.clone();
        without.remove(place);
        prop_assert_eq!(verified(&without, None).broken_at, Some(place as u64 + 1));
        let mut swapped = kept;
        swapped.swap(place, place + 1);
        prop_assert_eq!(verified(&swapped, None).broken_at, Some(place as u64 + 1));
    }
}
