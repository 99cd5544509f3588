//! Files and folders that only their owner may read: they hold the names of minors.

use std::{
    fs::{DirBuilder, File, OpenOptions},
    io,
    path::Path,
};

/// Makes a folder and those above it that are missing; one that is there stays as it is.
pub(crate) fn create_folder(path: &Path) -> io::Result<()> {
    let mut builder = DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path)
}

/// Opens a file for reading and writing, made where it is missing; its contents stay.
pub(crate) fn open_file(path: &Path) -> io::Result<File> {
    options().create(true).truncate(false).open(path)
}

/// Makes a file that is not there yet.
pub(crate) fn create_file(path: &Path) -> io::Result<File> {
    options().create_new(true).open(path)
}

fn options() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.read(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
}
