//! Files that come in: lessons, styles, and what lessons name. Only regular files are opened, and
//! only up to a size.

use std::fs::File;
use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};

use super::failure::Failure;
use super::report::Report;
use super::sources::Sources;
use crate::lesson::{Lesson, Neighbours};
use crate::regular_file;
use crate::style::{Library, Shelf, StyleFile};

/// The largest lesson or style, in bytes: a hundred times the longest that we know (our choice).
const MOST_TEXT: u64 = Lesson::MOST_BYTES as u64;

/// The largest chart or line that a lesson names, MusicXML or MIDI, in bytes: whole scores for
/// orchestra are smaller (our choice).
const MOST_SCORE: u64 = 16 << 20;

/// The largest SoundFont, in bytes: RIFF counts with 32 bits.
const MOST_SOUNDFONT: u64 = u32::MAX as u64;

/// Reads a lesson or a style.
pub(super) fn text(path: &Path) -> Result<String, Failure> {
    regular_file::read_text(path, MOST_TEXT).map_err(|error| unreadable(path, &error))
}

fn unreadable(path: &Path, error: &Error) -> Failure {
    let shown = path.display();
    let report = match error.kind() {
        ErrorKind::NotFound => Report::new(format!("there is no file {shown}"))
            .help("check the name; `countoff start FOLDER` writes a lesson to begin from"),
        ErrorKind::IsADirectory => Report::new(format!("{shown} is a folder"))
            .help(format!("name the file itself, such as {}", path.join("lesson.toml").display())),
        ErrorKind::InvalidData => {
            Report::new(format!("{shown} is not a text file")).help("save it as UTF-8")
        }
        ErrorKind::FileTooLarge => {
            Report::new(format!("{shown} is too large to be a lesson or a style: {error}"))
        }
        _ => Report::new(format!("{shown} cannot be read: {error}")),
    };
    Failure::input(report)
}

/// Opens a SoundFont.
pub(super) fn soundfont(path: &Path) -> std::io::Result<File> {
    let file = regular_file::open(path)?;
    if file.metadata()?.len() > MOST_SOUNDFONT {
        let message = "it is larger than 4 GB, and a SoundFont is not";
        return Err(Error::new(ErrorKind::FileTooLarge, message));
    }
    Ok(file)
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
        let message = format!("there is no folder {} for styles", folder.display());
        let help = "it should hold folders named comp, bass and drums";
        return Err(Failure::input(Report::new(message).help(help)));
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

/// A lesson with what it was read with.
pub(super) struct ReadLesson {
    pub(super) lesson: Lesson,
    pub(super) text: String,
    pub(super) library: Library,
    /// The folder that the lesson's paths count from.
    pub(super) folder: PathBuf,
}

impl ReadLesson {
    /// The SoundFont that the lesson names.
    pub(super) fn soundfont(&self) -> Option<PathBuf> {
        self.lesson.soundfont.as_ref().map(|path| self.folder.join(path))
    }
}

/// Reads a lesson file, with the styles that it names. `sources` notes what it is made of.
pub(super) fn lesson(path: &Path, sources: &Sources) -> Result<ReadLesson, Failure> {
    sources.note(path);
    let text = text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let styles = Lesson::styles_folder(&text).map(|styles| folder.join(styles));
    let library = library(styles.as_deref(), sources)?;
    let beside = Beside { folder: &folder, sources };
    let lesson = Lesson::read(&path.display().to_string(), &text, &beside, &library)?;
    Ok(ReadLesson { lesson, text, library, folder })
}

/// The files beside a lesson.
struct Beside<'a> {
    folder: &'a Path,
    sources: &'a Sources,
}

impl Neighbours for Beside<'_> {
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>> {
        let path = self.folder.join(path);
        self.sources.note(&path);
        regular_file::read(&path, MOST_SCORE)
    }
}
