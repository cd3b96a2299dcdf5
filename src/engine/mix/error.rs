//! What can go wrong while a take is mixed.

use crate::performance::Part;

/// A take could not be mixed.
#[derive(Debug, thiserror::Error)]
pub enum MixError {
    /// A part has no sound.
    #[error("the {part} cannot be played: {message}")]
    Stem {
        /// Whose stem.
        part: Part,
        /// Why not.
        message: String,
    },
    /// The take of a mix could not be written.
    #[error("mix {mix} could not be written")]
    Write {
        /// Which of the mixes asked for, counted from 0.
        mix: usize,
        /// What the system says.
        #[source]
        source: std::io::Error,
    },
    /// What was kept of a take in a file for the time being is lost.
    #[error("what was heard the first time cannot be read again")]
    Kept {
        /// What the system says.
        #[source]
        source: std::io::Error,
    },
    /// The system has no thread to spare for the players.
    #[error("no thread can be started")]
    Thread {
        /// What the system says.
        #[source]
        source: std::io::Error,
    },
    /// Somebody asked to stop.
    #[error("stopped")]
    Stopped,
    /// A cut that ends before it begins, or is empty.
    #[error("the part of the take to be given out is empty: from frame {from} to frame {to}")]
    EmptyCut {
        /// Its first frame.
        from: u64,
        /// The frame after its last.
        to: u64,
    },
}

/// A part that has no sound.
#[derive(Debug, Clone)]
pub(super) struct NoSound {
    pub(super) part: Part,
    /// Why not.
    pub(super) message: String,
}

impl From<NoSound> for MixError {
    fn from(NoSound { part, message }: NoSound) -> MixError {
        MixError::Stem { part, message }
    }
}
