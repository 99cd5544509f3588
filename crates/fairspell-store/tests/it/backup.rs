//! Backups: what is in them, read by another program too, and what stands in their way.

use std::{collections::BTreeMap, fs, io::Read, path::Path, process::Command};

use fairspell_store::{Manifest, Store, StoreError, backup};
use fairspell_studio::journal::{Digest, EntryKind};
use tempfile::TempDir;

use crate::world::{fresh, minutes_later, now, whole_evening};

/// Longer than the hundred letters that a tar header holds, and in letters that it does not know.
const LONG_NAME: &str = "readings/warnings/2026-09-03T00-00-00Z_giông_a-very-long-name-of-a-warning-\
                         that-somebody-gave-it-because-nobody-told-them-not-to.xml";

/// A folder with a studio and its readings.
pub(crate) async fn with_readings() -> (TempDir, Store) {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    for (path, bytes) in [
        ("readings/received.csv", b"file,fetched_at,source\n".to_vec()),
        ("readings/radar/a.h5", vec![7; 200_000]),
        ("readings/radar/empty.h5", Vec::new()),
        (LONG_NAME, b"<alert/>".to_vec()),
        ("coast.json", b"[]".to_vec()),
        ("frames/originals/1.jpg", vec![1; 1000]),
    ] {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    (folder, store)
}

/// All files of an archive, in their order.
pub(crate) fn contents(archive: &Path) -> Vec<(String, Vec<u8>)> {
    let mut archive = tar::Archive::new(fs::File::open(archive).unwrap());
    let read = |entry: std::io::Result<tar::Entry<'_, fs::File>>| {
        let mut entry = entry.unwrap();
        let path = entry.path().unwrap().to_str().unwrap().to_owned();
        let mut bytes = Vec::new();
        entry.read_to_end(&mut bytes).unwrap();
        (path, bytes)
    };
    archive.entries().unwrap().map(read).collect()
}

fn names(folder: &Path) -> Vec<String> {
    let name = |file: std::io::Result<fs::DirEntry>| file.unwrap().file_name();
    let mut names: Vec<_> = fs::read_dir(folder).unwrap().map(name).collect();
    names.sort();
    names.into_iter().map(|name| name.into_string().unwrap()).collect()
}

const EXPECTED: [&str; 7] = [
    "studio.db",
    "coast.json",
    "readings/radar/a.h5",
    "readings/radar/empty.h5",
    "readings/received.csv",
    LONG_NAME,
    "backup.json",
];

#[tokio::test]
async fn a_backup_holds_database_readings_and_coast_and_says_so() {
    let (folder, store) = with_readings().await;
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("studio.tar");
    let mut steps = Vec::new();
    let manifest =
        store.backup(&out, now(), &mut |done, total| steps.push((done, total))).await.unwrap();
    let files = contents(&out);
    assert_eq!(files.iter().map(|(path, _)| path.as_str()).collect::<Vec<_>>(), EXPECTED);
    let (_, written) = files.last().unwrap();
    assert_eq!(serde_json::from_slice::<Manifest>(written).unwrap(), manifest);
    assert_eq!((manifest.made_at, manifest.version), (now(), 2));
    let bytes: BTreeMap<_, _> = files.iter().cloned().collect();
    assert_eq!(manifest.files.len(), EXPECTED.len() - 1);
    for file in &manifest.files {
        let bytes = &bytes[&file.path];
        assert_eq!((file.bytes, file.sha256), (bytes.len() as u64, Digest::of(bytes)));
    }
    assert_eq!(bytes["readings/radar/a.h5"], vec![7; 200_000]);
    let (done, total) = *steps.last().unwrap();
    assert_eq!(done, total);
    assert!(steps.is_sorted());
    assert_eq!(names(place.path()), ["studio.tar"]);
    drop(folder);
}

/// GNU tar, or whatever `tar` is here; and `sha256sum`'s digests, where both are installed.
#[tokio::test]
async fn another_program_reads_the_backup_and_finds_the_same_digests() {
    let (_folder, store) = with_readings().await;
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("studio.tar");
    let manifest = store.backup(&out, now(), &mut |_, _| ()).await.unwrap();
    let listed = Command::new("tar").env("LC_ALL", "C.UTF-8").arg("-tf").arg(&out).output();
    let listed = listed.expect("the tests need tar");
    assert!(listed.status.success(), "{listed:?}");
    let listed = String::from_utf8(listed.stdout).unwrap();
    let ascii = |name: &&&str| name.is_ascii();
    for name in EXPECTED.iter().filter(ascii) {
        assert!(listed.lines().any(|line| line == *name), "{name} in {listed}");
    }
    assert_eq!(listed.lines().count(), EXPECTED.len());
    let unpacked = place.path().join("unpacked");
    fs::create_dir(&unpacked).unwrap();
    let done = Command::new("tar").arg("-xf").arg(&out).arg("-C").arg(&unpacked).status().unwrap();
    assert!(done.success());
    for file in &manifest.files {
        let bytes = fs::read(unpacked.join(&file.path)).unwrap();
        assert_eq!(Digest::of(&bytes), file.sha256, "{}", file.path);
    }
}

#[tokio::test]
async fn the_journal_says_that_a_backup_was_made_and_the_backup_holds_that_entry() {
    let (folder, store) = with_readings().await;
    let place = tempfile::tempdir().unwrap();
    let manifest =
        store.backup(&place.path().join("a"), minutes_later(5), &mut |_, _| ()).await.unwrap();
    let newest = store.journal_entries(1, 0).await.unwrap().remove(0).entry;
    assert_eq!((newest.kind, newest.at), (EntryKind::BackedUp, minutes_later(5)));
    assert_eq!(manifest.head, Some(newest.head));

    // A command beside the running program may not write, and makes the same backup all the same.
    let out = place.path().join("b");
    let beside = backup(folder.path(), &out, minutes_later(6), &mut |_, _| ()).await.unwrap();
    assert_eq!(beside.head, manifest.head);
    assert_eq!(store.journal_head().await.unwrap(), manifest.head);
    store.close().await;
    let out = place.path().join("c");
    let alone = backup(folder.path(), &out, minutes_later(7), &mut |_, _| ()).await.unwrap();
    assert_ne!(alone.head, manifest.head);
    Store::open(folder.path(), now()).await.unwrap();
}

#[tokio::test]
async fn a_backup_of_nothing_is_refused_and_makes_nothing() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("studio");
    let out = place.path().join("studio.tar");
    let refused = backup(&folder, &out, now(), &mut |_, _| ()).await;
    assert!(matches!(refused, Err(StoreError::NotThere)), "{refused:?}");
    assert_eq!(names(place.path()), Vec::<String>::new());
}

#[tokio::test]
async fn an_earlier_backup_is_never_overwritten() {
    let (_folder, store) = with_readings().await;
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("studio.tar");
    fs::write(&out, "an earlier backup").unwrap();
    let refused = store.backup(&out, now(), &mut |_, _| ()).await;
    assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{refused:?}");
    assert_eq!(fs::read(&out).unwrap(), b"an earlier backup");
    assert_eq!(names(place.path()), ["studio.tar"]);
}

#[tokio::test]
async fn a_backup_does_not_go_among_the_readings_or_where_no_folder_is() {
    let (folder, store) = with_readings().await;
    let among = folder.path().join("readings/radar/studio.tar");
    let refused = store.backup(&among, now(), &mut |_, _| ()).await;
    assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{refused:?}");
    let nowhere = folder.path().join("missing/studio.tar");
    let refused = store.backup(&nowhere, now(), &mut |_, _| ()).await.unwrap_err();
    assert_eq!(refused.to_string(), "not possible: the backup's folder is not there");
    assert_eq!(names(&folder.path().join("readings/radar")), ["a.h5", "empty.h5"]);
    let head = store.journal_entries(1, 0).await.unwrap().remove(0).entry;
    assert_ne!(head.kind, EntryKind::BackedUp);
}

#[cfg(unix)]
#[tokio::test]
async fn a_link_among_the_readings_is_not_followed_and_nobody_else_may_read_the_backup() {
    use std::os::unix::fs::PermissionsExt;
    let (folder, store) = with_readings().await;
    std::os::unix::fs::symlink("/etc/hostname", folder.path().join("readings/link")).unwrap();
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("studio.tar");
    store.backup(&out, now(), &mut |_, _| ()).await.unwrap();
    assert!(contents(&out).iter().all(|(path, _)| path != "readings/link"));
    assert_eq!(fs::metadata(&out).unwrap().permissions().mode() & 0o777, 0o600);
}
