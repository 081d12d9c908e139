//! Files in and out: read whole, written whole or not at all.

use crate::refusal::Refusal;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Largest text file taken, bytes.
const LARGEST_TEXT: u64 = 64 << 20;
/// Largest photo file taken, bytes.
const LARGEST_PHOTO: u64 = 1 << 30;

/// Reads a text file.
///
/// # Errors
///
/// When it is not there, too large, or no UTF-8 text.
pub fn text(path: &Path) -> Result<String, Refusal> {
    let bytes = read(path, LARGEST_TEXT)?;
    // A camera's or a scanner's file: saving that as text would ruin it.
    let picture: [&[u8]; 5] = [b"\xff\xd8\xff", b"\x89PNG", b"II*\0", b"MM\0*", b"RIFF"];
    if picture.iter().any(|start| bytes.starts_with(start)) {
        return Err(Refusal::new(
            "this is a picture, and a text file belongs here",
            "name the text file: a reading file names its photo; `read PHOTO --inside X,Y` takes a photo",
        )
        .in_file(path.display()));
    }
    String::from_utf8(bytes).map_err(|e| {
        let line = 1 + e.as_bytes()[..e.utf8_error().valid_up_to()]
            .iter()
            .filter(|b| **b == b'\n')
            .count();
        Refusal::new("the file is not UTF-8 text", "save it as UTF-8 in your editor")
            .in_file(path.display())
            .at_line(Some(line))
    })
}

/// Reads a photo's bytes.
///
/// # Errors
///
/// When it is not there or too large.
pub fn photo(path: &Path) -> Result<Vec<u8>, Refusal> {
    read(path, LARGEST_PHOTO)
}

fn read(path: &Path, largest: u64) -> Result<Vec<u8>, Refusal> {
    let refuse = |e: std::io::Error| {
        let (fact, advice) = match e.kind() {
            std::io::ErrorKind::NotFound => {
                ("there is no such file".to_owned(), "check the name and the folder")
            }
            std::io::ErrorKind::PermissionDenied => {
                ("the file may not be read".to_owned(), "give yourself the right to read it")
            }
            _ => (format!("the file cannot be read: {e}"), "check the disk and the name"),
        };
        Refusal::new(fact, advice).in_file(path.display())
    };
    let meta = std::fs::metadata(path).map_err(refuse)?;
    if meta.is_dir() {
        return Err(Refusal::new("this is a folder, not a file", "name a file in it")
            .in_file(path.display()));
    }
    if meta.len() > largest {
        return Err(Refusal::new(
            format!(
                "the file has {} MB, and at most {} MB are taken",
                meta.len() >> 20,
                largest >> 20
            ),
            "name the right file, or save it smaller",
        )
        .in_file(path.display()));
    }
    std::fs::read(path).map_err(refuse)
}

/// Writes files whole, all or none: each into a temporary one beside it, and only then renamed, so that a broken run
/// leaves the old files.
///
/// # Errors
///
/// When a folder is not there or may not be written, when two outputs are one file, or when an output is one of the
/// `inputs`: a photo is evidence and is never written over.
pub fn write_all(outputs: &[(PathBuf, Vec<u8>)], inputs: &[&Path]) -> Result<(), Refusal> {
    for (i, (path, _)) in outputs.iter().enumerate() {
        if path.is_dir() {
            return Err(Refusal::new("this is a folder, not a file", "name a file in it")
                .in_file(path.display()));
        }
        if inputs.iter().any(|input| one(input) == one(path)) {
            return Err(Refusal::new(
                "the answer would be written over what is read",
                "give the output another name",
            )
            .in_file(path.display()));
        }
        if outputs[..i].iter().any(|(other, _)| one(other) == one(path)) {
            return Err(Refusal::new(
                "two answers would be written to this one file",
                "give the outputs different names; reading files of the same name are read in two runs",
            )
            .in_file(path.display()));
        }
    }
    let mut ready = Vec::with_capacity(outputs.len());
    for (path, bytes) in outputs {
        ready.push((path, beside(path, bytes).map_err(|e| unwritten(path, &e))?));
    }
    for (path, file) in ready {
        file.persist(path).map_err(|e| unwritten(path, &e.error))?;
    }
    Ok(())
}

fn unwritten(path: &Path, e: &dyn std::fmt::Display) -> Refusal {
    Refusal::new(
        format!("the file cannot be written: {e}"),
        "check that the folder exists, may be written and has room",
    )
    .in_file(path.display())
}

/// The folder of a file.
fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    }
}

/// What a file is known by, whichever way it is named.
fn one(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| {
        let folder = folder(path);
        let folder = folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf());
        folder.join(path.file_name().unwrap_or_default())
    })
}

fn beside(path: &Path, bytes: &[u8]) -> std::io::Result<tempfile::NamedTempFile> {
    let mut file = tempfile::NamedTempFile::new_in(folder(path))?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    #[cfg(unix)]
    {
        // A temporary file is private; what is left behind is an ordinary file.
        use std::os::unix::fs::PermissionsExt;
        file.as_file().set_permissions(std::fs::Permissions::from_mode(0o644))?;
    }
    Ok(file)
}
