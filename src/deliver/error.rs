//! What can go wrong on the way to the disk.

use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};

use crate::codec::flac::FlacTooLong;
use crate::codec::wav::WavTooLong;

/// A file could not be delivered. Nothing half-written is left.
#[derive(Debug, thiserror::Error)]
pub enum DeliverError {
    /// The disk is full, or the user's share of it.
    #[error(
        "the disk is full: no room is left for {}; free some space and run again, or choose a \
         folder on another disk with --out; the files that are whole stay, and only the rest is \
         made then",
        path.display()
    )]
    Full {
        /// The file that did not fit.
        path: PathBuf,
        /// What the system says.
        #[source]
        source: Error,
    },
    /// A file could not be written, for another reason.
    #[error("{} cannot be written", path.display())]
    Write {
        /// Which file.
        path: PathBuf,
        /// What the system says.
        #[source]
        source: Error,
    },
    /// A file of the set cannot be read.
    #[error("{} cannot be read", path.display())]
    Read {
        /// Which file.
        path: PathBuf,
        /// What the system says.
        #[source]
        source: Error,
    },
    /// What is where a file is to be was not made by this program, or was changed since.
    #[error("{} is not as it was made here: move it away, or choose another folder", path.display())]
    Foreign {
        /// Which file.
        path: PathBuf,
    },
    /// A file would be made outside the output folder.
    #[error("{} is not inside the output folder {}", path.display(), folder.display())]
    Outside {
        /// The file asked for.
        path: PathBuf,
        /// The output folder.
        folder: PathBuf,
    },
    /// A file is where the output folder is to be.
    #[error("{} is a file and no folder: choose another folder with --out", path.display())]
    NoFolder {
        /// The file.
        path: PathBuf,
    },
    /// Another run is at work in the folder.
    #[error("another run is making files in {}: wait for it to end, or choose another folder with --out", folder.display())]
    Busy {
        /// The output folder.
        folder: PathBuf,
    },
    /// The format cannot hold the sound.
    #[error(transparent)]
    TooLong(#[from] WavTooLong),
    /// The same for FLAC.
    #[error(transparent)]
    TooLongForFlac(#[from] FlacTooLong),
    /// The same for MP3, whose chapters count thousandths of a second in 32 bits.
    #[error("{frames} frames are more than the chapters of an MP3 file can count: make it shorter")]
    TooLongForMp3 {
        /// How many frames were asked for.
        frames: u64,
    },
    /// The program was built without an encoder.
    #[error("this program was built without {name}")]
    NotBuilt {
        /// The format.
        name: &'static str,
    },
    /// Tags could not be encoded.
    #[error("the tags of the file cannot be written")]
    Tags(#[from] id3::Error),
    /// Two files would have one name.
    #[error("{first} and {second} would both be written to {path}: give one of them another name")]
    SameName {
        /// The name.
        path: String,
        /// What was to have the name.
        first: String,
        /// What else was to have it.
        second: String,
    },
    /// A manifest cannot be understood.
    #[error(
        "{} is not a manifest that this version understands ({message}): move it away and run \
         again; files that are as they would be made are known by their content then",
        path.display()
    )]
    Manifest {
        /// Which file.
        path: PathBuf,
        /// Why not.
        message: String,
    },
}

impl DeliverError {
    /// The error for a failed write, by its cause. A cause that names its file already
    /// ([`AtomicFile`](super::AtomicFile) does) is left as it is.
    pub fn write(path: impl AsRef<Path>, source: Error) -> DeliverError {
        let path = path.as_ref().to_owned();
        match source.downcast::<DeliverError>() {
            Ok(named) => named,
            Err(source) => match source.kind() {
                ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
                    DeliverError::Full { path, source }
                }
                _ => DeliverError::Write { path, source },
            },
        }
    }
}
