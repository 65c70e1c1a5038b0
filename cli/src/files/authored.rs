//! Files that an author checks or begins: named one by one or by their directory, and written anew.

use std::collections::BTreeSet;
use std::fs::{self, OpenOptions};
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use groundside_engine::file::FILE_BYTES_MAX;
use groundside_engine::ident::Name;

use super::read_text;
use crate::problem::Failure;

/// Most files that are taken from a directory.
const FILES_MAX: usize = 1000;

/// A file to be checked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Authored {
    /// Where it is, as it was named.
    pub(crate) path: PathBuf,
    /// Its text.
    pub(crate) text: String,
}

/// Reads a file that was named.
pub(crate) fn read_authored(path: &Path) -> Result<Authored, Failure> {
    let about =
        fs::metadata(path).map_err(|error| Failure::file(path, "could not be read", error))?;
    if !about.is_file() {
        // A pipe would be waited for, and a device has no end.
        return Err(Failure::unusable(path, "this is not a file"));
    }
    let text = read_text(path, FILE_BYTES_MAX as u64)?;
    Ok(Authored {
        path: path.to_owned(),
        text,
    })
}

/// The files that paths mean, each once, those of a directory in the order of their names; and what of it could not be
/// had.
pub(crate) fn authored(paths: &[PathBuf]) -> (Vec<Authored>, Vec<Failure>) {
    let (mut files, mut failures) = (Vec::new(), Vec::new());
    let mut known = BTreeSet::new();
    for path in paths {
        let named = if path.is_dir() {
            in_directory(path).unwrap_or_else(|failure| {
                failures.push(failure);
                Vec::new()
            })
        } else {
            vec![path.clone()]
        };
        for path in named {
            // The same file may be named by itself and by its directory.
            let same = fs::canonicalize(&path).unwrap_or_else(|_| path.clone());
            if known.insert(same) {
                match read_authored(&path) {
                    Ok(file) => files.push(file),
                    Err(failure) => failures.push(failure),
                }
            }
        }
    }
    (files, failures)
}

/// The `.toml` files right in a directory. Links in it are left alone, as they lead anywhere.
fn in_directory(dir: &Path) -> Result<Vec<PathBuf>, Failure> {
    let failed = |error| Failure::file(dir, "could not be read", error);
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let name = entry.file_name();
        let hidden = name.as_encoded_bytes().starts_with(b".");
        let path = entry.path();
        let is_toml = path
            .extension()
            .is_some_and(|extension| extension == "toml");
        if is_toml && !hidden && entry.file_type().map_err(failed)?.is_file() {
            found.push(path);
        }
        if found.len() > FILES_MAX {
            let why = format!("there are more than {FILES_MAX} .toml files in this directory");
            return Err(Failure::unusable(dir, why));
        }
    }
    if found.is_empty() {
        let why = "there is no .toml file in this directory";
        return Err(Failure::unusable(dir, why));
    }
    found.sort();
    Ok(found)
}

/// The file of a vehicle beside its scenario's, if there is one. An id has no dot and no slash in it, and a link is not
/// followed, so it is in the same directory.
pub(crate) fn beside(scenario: &Path, vehicle: &Name) -> Option<Result<Authored, Failure>> {
    let path = scenario.with_file_name(format!("{vehicle}.toml"));
    let is_file = fs::symlink_metadata(&path).is_ok_and(|about| about.is_file());
    is_file.then(|| read_authored(&path))
}

/// Writes a new file, whole or not at all; one that exists is left alone.
pub(crate) fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let exists = || {
        let why = "this exists, and nothing is ever written over; choose another name, or another directory by --to";
        Failure::unusable(path, why)
    };
    let failed = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => exists(),
        _ => Failure::file(path, "could not be written", error),
    };
    if fs::symlink_metadata(path).is_ok() {
        return Err(exists());
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let part = path.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&part)
        .and_then(|mut file| {
            file.write_all(text.as_bytes())?;
            file.sync_all()
        })
        .and_then(|()| put_in_place(&part, path));
    // There is none where it could not be made, and it has gone where it was moved.
    let _ = fs::remove_file(&part);
    written.map_err(failed)
}

/// Gives a file that is whole its name. A second name for it is refused where that is taken; on a file system without
/// second names the name is taken first, and the file moved to it.
fn put_in_place(part: &Path, path: &Path) -> std::io::Result<()> {
    match fs::hard_link(part, path) {
        Err(error) if error.kind() != ErrorKind::AlreadyExists => {
            OpenOptions::new().write(true).create_new(true).open(path)?;
            // Nothing but the name was taken, so nothing is lost with it.
            fs::rename(part, path).inspect_err(|_| drop(fs::remove_file(path)))
        }
        linked => linked,
    }
}
