//! Files that come in.

use std::io::ErrorKind;
use std::path::Path;

use miette::miette;

use super::Failure;
use super::sources::Sources;
use crate::style::{Library, Shelf, StyleFile};

/// A lesson or style file is never larger than this (16 MB): a guard against a wrong file.
const MAX_TEXT: u64 = 16 << 20;

/// Reads a text file.
pub(super) fn text(path: &Path) -> Result<String, Failure> {
    let shown = path.display();
    let metadata = std::fs::metadata(path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => Failure::input(miette!(
            help = "check the name; `countoff start FOLDER` writes a lesson to begin from",
            "there is no file {shown}"
        )),
        _ => Failure::input(miette!("{shown} cannot be read: {error}")),
    })?;
    if metadata.is_dir() {
        return Err(Failure::input(miette!(
            help = format!("name the file itself, such as {}", path.join("lesson.toml").display()),
            "{shown} is a folder"
        )));
    }
    if metadata.len() > MAX_TEXT {
        return Err(Failure::input(miette!("{shown} is too large to be a lesson or a style")));
    }
    std::fs::read_to_string(path).map_err(|error| match error.kind() {
        ErrorKind::InvalidData => {
            Failure::input(miette!(help = "save it as UTF-8", "{shown} is not a text file"))
        }
        _ => Failure::input(miette!("{shown} cannot be read: {error}")),
    })
}

/// The built-in styles, with those of a folder over them. The folder has `comp`, `bass` and
/// `drums` inside, as the built-in one.
pub(super) fn library(folder: Option<&Path>, sources: &Sources) -> Result<Library, Failure> {
    let mut library = Library::built_in();
    let Some(folder) = folder else { return Ok(library) };
    for shelf in Shelf::ALL {
        sources.note(folder.join(shelf.folder()));
    }
    if !folder.is_dir() {
        return Err(Failure::input(miette!(
            help = "it should hold folders named comp, bass and drums",
            "there is no folder {} for styles",
            folder.display()
        )));
    }
    for shelf in Shelf::ALL {
        let Ok(entries) = std::fs::read_dir(folder.join(shelf.folder())) else { continue };
        let mut paths: Vec<_> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
        paths.sort();
        for path in paths.iter().filter(|path| path.extension().is_some_and(|e| e == "toml")) {
            let Some(name) = path.file_stem().and_then(|stem| stem.to_str()) else { continue };
            let file = StyleFile {
                name: name.to_owned(),
                origin: path.display().to_string(),
                text: text(path)?,
            };
            library.add(shelf, file);
        }
    }
    Ok(library)
}
