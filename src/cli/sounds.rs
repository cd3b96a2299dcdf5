//! Which SoundFont is used: the command line's, the environment's, the lesson's, or the embedded
//! one.

use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use super::failure::Failure;
use super::input;
use super::report::Report;
use crate::sound::{SoundError, SoundFont};
use crate::soundfont;

/// Where sounds come from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum SoundSource {
    /// Those in the program.
    Embedded,
    /// A file.
    File(PathBuf),
}

impl std::fmt::Display for SoundSource {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SoundSource::Embedded => f.write_str("the embedded SoundFont"),
            SoundSource::File(path) => write!(f, "{}", path.display()),
        }
    }
}

/// The environment variable that names a SoundFont for lessons that name none.
const VARIABLE: &str = "COUNTOFF_SOUNDFONT";

/// The SoundFont to use: the one asked for on the command line, else the lesson's, else the
/// environment's, else the embedded one.
pub(super) fn choose(asked: Option<&Path>, of_lesson: Option<PathBuf>) -> SoundSource {
    let of_environment = || std::env::var_os(VARIABLE).filter(|path| !path.is_empty());
    let asked = asked.map(Path::to_owned).or(of_lesson);
    match asked.or_else(|| of_environment().map(PathBuf::from)) {
        Some(path) => SoundSource::File(path),
        None => SoundSource::Embedded,
    }
}

/// Opens a SoundFont.
pub(super) fn open(source: &SoundSource) -> Result<SoundFont, SoundError> {
    match source {
        SoundSource::Embedded => soundfont::embedded(),
        SoundSource::File(path) => SoundFont::open(BufReader::new(input::soundfont(path)?)),
    }
}

/// Size in bytes and time of the last write: together they tell an unchanged file.
pub(super) type Stamp = (u64, SystemTime);

/// The stamp of a SoundFont, where there is one; the one in the program never changes.
pub(super) fn stamp(source: &SoundSource) -> Option<Stamp> {
    match source {
        SoundSource::Embedded => Some((soundfont::EMBEDDED.len() as u64, SystemTime::UNIX_EPOCH)),
        SoundSource::File(path) => {
            let metadata = std::fs::metadata(path).ok()?;
            Some((metadata.len(), metadata.modified().ok()?))
        }
    }
}

/// A SoundFont that cannot be used.
pub(super) fn failure(source: &SoundSource, error: &SoundError) -> Failure {
    Failure::input(match error {
        SoundError::Read(error) => {
            Report::new(format!("the SoundFont {source} cannot be read: {error}"))
                .help("check its name; where none is named, the embedded sounds are used")
        }
        error => Report::new(format!("{source}: {error}")).help(
            "`countoff soundfonts FILE` tells what a SoundFont holds; without one the embedded \
             sounds are used",
        ),
    })
}
