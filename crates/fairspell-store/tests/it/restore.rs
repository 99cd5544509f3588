//! Restoring: there and back, and every backup that is not what it says.

use std::{
    fs,
    path::{Path, PathBuf},
};

use fairspell_store::{Manifest, Store, StoreError, backup::ManifestFile, restore};
use fairspell_studio::journal::Digest;
use tempfile::TempDir;

use crate::{
    backup::{contents, with_readings},
    world::{SESSION, letter, now, session, studio, taps},
};

/// A backup with all sorts of files, and the place it lies in.
async fn a_backup() -> (TempDir, PathBuf) {
    let (_folder, store) = with_readings().await;
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("studio.tar");
    store.backup(&out, now(), &mut |_, _| ()).await.unwrap();
    (place, out)
}

#[tokio::test]
async fn a_studio_comes_back_as_it_was_backed_up() {
    let (place, out) = a_backup().await;
    let folder = place.path().join("studios/restored");
    let mut steps = Vec::new();
    let manifest =
        restore(&out, &folder, &mut |done, total| steps.push((done, total))).await.unwrap();
    assert!(steps.is_sorted() && !steps.is_empty());
    let store = Store::open(&folder, now()).await.unwrap();
    assert_eq!(store.studio().await.unwrap(), Some(studio()));
    assert_eq!(store.session(SESSION).await.unwrap(), Some(session(SESSION, 3)));
    let sent = letter("zephyrine-1", SESSION, now());
    assert_eq!(store.letter("zephyrine-1").await.unwrap(), Some(sent));
    let log = store.field_log(SESSION).await.unwrap();
    assert_eq!((log.events, log.foreign_sheet, log.altered), (taps(), false, Vec::new()));
    assert_eq!(store.journal_head().await.unwrap(), manifest.head);
    assert!(store.journal_verify(manifest.head).await.unwrap().holds());
    for file in &manifest.files[1..] {
        let bytes = fs::read(folder.join(&file.path)).unwrap();
        assert_eq!(Digest::of(&bytes), file.sha256);
    }
    assert!(!folder.join("frames").exists());
}

#[tokio::test]
async fn an_empty_folder_is_used_and_any_other_is_left_alone() {
    let (place, out) = a_backup().await;
    let empty = place.path().join("empty");
    fs::create_dir(&empty).unwrap();
    restore(&out, &empty, &mut |_, _| ()).await.unwrap();
    Store::look(&empty).await.unwrap();
    let used = place.path().join("used");
    fs::create_dir(&used).unwrap();
    fs::write(used.join("a"), "hers").unwrap();
    for folder in [used.clone(), used.join("a"), empty] {
        let refused = restore(&out, &folder, &mut |_, _| ()).await;
        assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{refused:?}");
    }
    assert_eq!(fs::read(used.join("a")).unwrap(), b"hers");
}

#[tokio::test]
async fn a_backup_that_is_not_there_is_said_to_be_so() {
    let place = tempfile::tempdir().unwrap();
    let refused = restore(&place.path().join("a"), &place.path().join("b"), &mut |_, _| ()).await;
    assert!(matches!(refused, Err(StoreError::NoBackup)), "{refused:?}");
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0);
}

/// Restores an archive that must be refused, and looks for anything it left behind.
async fn refused(archive: &Path) -> StoreError {
    let place = tempfile::tempdir().unwrap();
    let inner = place.path().join("deep");
    fs::create_dir(&inner).unwrap();
    let error = restore(archive, &inner.join("studio"), &mut |_, _| ()).await.unwrap_err();
    assert_eq!(fs::read_dir(&inner).unwrap().count(), 0, "something was left behind: {error}");
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1, "something got out: {error}");
    error
}

/// What stands in an archive for its tampering tests.
struct Forged {
    files: Vec<(String, Vec<u8>)>,
    manifest: Manifest,
}

impl Forged {
    fn of(archive: &Path) -> Forged {
        let mut files = contents(archive);
        let (_, manifest) = files.pop().unwrap();
        Forged { files, manifest: serde_json::from_slice(&manifest).unwrap() }
    }

    /// Puts another content in a file's place, and its digest into the manifest.
    fn replace(&mut self, path: &str, bytes: Vec<u8>) {
        let listed = self.manifest.files.iter_mut().find(|file| file.path == path).unwrap();
        listed.bytes = bytes.len() as u64;
        listed.sha256 = Digest::of(&bytes);
        self.files.iter_mut().find(|(name, _)| name == path).unwrap().1 = bytes;
    }

    /// Writes it, with whatever `more` adds before the manifest.
    fn write(&self, archive: &Path, more: impl FnOnce(&mut tar::Builder<fs::File>)) {
        let mut builder = tar::Builder::new(fs::File::create(archive).unwrap());
        for (path, bytes) in &self.files {
            append(&mut builder, path.as_bytes(), bytes);
        }
        more(&mut builder);
        append(&mut builder, b"backup.json", &serde_json::to_vec(&self.manifest).unwrap());
        builder.finish().unwrap();
    }
}

/// Adds a file under a name that a well-meaning writer would refuse.
fn append(builder: &mut tar::Builder<fs::File>, path: &[u8], bytes: &[u8]) {
    if path.len() > 100 {
        let path = std::str::from_utf8(path).unwrap();
        let mut header = tar::Header::new_gnu();
        header.set_size(bytes.len() as u64);
        builder.append_data(&mut header, path, bytes).unwrap();
        return;
    }
    let mut header = tar::Header::new_gnu();
    header.as_old_mut().name[..path.len()].copy_from_slice(path);
    header.set_size(bytes.len() as u64);
    header.set_mode(0o600);
    header.set_cksum();
    builder.append(&header, bytes).unwrap();
}

#[tokio::test]
async fn a_forgery_that_forges_nothing_is_restored() {
    let (place, out) = a_backup().await;
    let copy = place.path().join("copy.tar");
    Forged::of(&out).write(&copy, |_| ());
    restore(&copy, &place.path().join("studio"), &mut |_, _| ()).await.unwrap();
}

#[tokio::test]
async fn no_path_leads_out_of_the_folder() {
    let (place, out) = a_backup().await;
    let forged = Forged::of(&out);
    let copy = place.path().join("copy.tar");
    for path in [
        "../out",
        "../../out",
        "readings/../../out",
        "/tmp/out-of-a-backup",
        "readings/../studio.lock",
        "studio.db-wal",
        "frames/1.jpg",
        "readings",
        ".",
        "",
    ] {
        forged.write(&copy, |builder| append(builder, path.as_bytes(), b"out"));
        let error = refused(&copy).await;
        assert!(matches!(error, StoreError::Damaged { .. }), "{path}: {error:?}");
    }
    assert!(!Path::new("/tmp/out-of-a-backup").exists());
}

#[tokio::test]
async fn no_link_is_made() {
    let (place, out) = a_backup().await;
    let mut forged = Forged::of(&out);
    // The manifest vouches for it, as for an empty file.
    forged.manifest.files.push(ManifestFile {
        path: "readings/link".to_owned(),
        bytes: 0,
        sha256: Digest::of(b""),
    });
    let copy = place.path().join("copy.tar");
    for kind in [
        tar::EntryType::Symlink,
        tar::EntryType::Link,
        tar::EntryType::Directory,
        tar::EntryType::Fifo,
        tar::EntryType::Char,
    ] {
        forged.write(&copy, |builder| {
            let mut header = tar::Header::new_gnu();
            header.set_entry_type(kind);
            header.set_size(0);
            let (path, target) = ("readings/link", "/etc/hostname");
            builder.append_link(&mut header, path, target).unwrap();
        });
        let error = refused(&copy).await;
        assert!(matches!(error, StoreError::Damaged { .. }), "{kind:?}: {error:?}");
    }
}

#[tokio::test]
async fn a_file_altered_added_missing_or_given_twice_is_found() {
    let (place, out) = a_backup().await;
    let copy = place.path().join("copy.tar");
    let forge = |change: fn(&mut Forged)| {
        let mut forged = Forged::of(&out);
        change(&mut forged);
        forged.write(&copy, |_| ());
    };
    let changes: [fn(&mut Forged); 5] = [
        |forged| forged.files[2].1[0] ^= 1,
        |forged| forged.files.push(("readings/more".to_owned(), Vec::new())),
        |forged| drop(forged.files.remove(2)),
        |forged| forged.files.push(forged.files[2].clone()),
        |forged| forged.manifest.files.push(forged.manifest.files[2].clone()),
    ];
    for (index, change) in changes.into_iter().enumerate() {
        forge(change);
        let error = refused(&copy).await;
        assert!(matches!(error, StoreError::Damaged { .. }), "{index}: {error:?}");
    }
}

#[tokio::test]
async fn a_backup_that_was_cut_short_anywhere_is_refused() {
    let (place, out) = a_backup().await;
    let whole = fs::read(&out).unwrap();
    let copy = place.path().join("copy.tar");
    // The archive ends with two empty blocks; what is before them counts.
    let manifest_at = whole.windows(11).rposition(|window| window == b"backup.json").unwrap();
    let in_the_manifest = manifest_at + 600;
    for length in [0, 1, 511, 512, 5000, whole.len() / 2, manifest_at, in_the_manifest] {
        fs::write(&copy, &whole[..length]).unwrap();
        let error = refused(&copy).await;
        assert!(matches!(error, StoreError::Damaged { .. }), "{length}: {error:?}");
    }
    fs::write(&copy, "a letter, not a backup. ".repeat(100)).unwrap();
    let error = refused(&copy).await;
    assert!(matches!(error, StoreError::Damaged { .. }), "{error:?}");
}

#[tokio::test]
async fn a_backup_of_a_newer_program_is_left_to_it() {
    let (place, out) = a_backup().await;
    let copy = place.path().join("copy.tar");
    let mut forged = Forged::of(&out);
    forged.manifest.version = 9999;
    forged.write(&copy, |_| ());
    let error = refused(&copy).await;
    assert!(matches!(error, StoreError::NewerVersion { found: 9999, .. }), "{error:?}");
}

/// The digests fit, but somebody has changed the database: the journal knows.
#[tokio::test]
async fn a_journal_that_does_not_hold_is_not_restored() {
    let (place, out) = a_backup().await;
    let copy = place.path().join("copy.tar");
    let mut forged = Forged::of(&out);
    let head = forged.manifest.head;
    forged.manifest.head = Some(Digest::of(b"another"));
    forged.write(&copy, |_| ());
    assert!(matches!(refused(&copy).await, StoreError::Damaged { .. }));
    forged.manifest.head = None;
    forged.write(&copy, |_| ());
    assert!(matches!(refused(&copy).await, StoreError::Damaged { .. }));

    forged.manifest.head = head;
    let mut database = forged.files[0].1.clone();
    let words = b"We keep the date";
    let place_of_words = database.windows(words.len()).position(|it| it == words).unwrap();
    database[place_of_words + 3..place_of_words + 7].copy_from_slice(b"lose");
    forged.replace("studio.db", database);
    forged.write(&copy, |_| ());
    assert!(matches!(refused(&copy).await, StoreError::Damaged { .. }));
    forged.replace("studio.db", b"no database at all".to_vec());
    forged.write(&copy, |_| ());
    assert!(matches!(refused(&copy).await, StoreError::Damaged { .. }));
}
