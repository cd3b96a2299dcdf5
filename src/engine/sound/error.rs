//! What can go wrong between a SoundFont file and sound.

use crate::performance::Instrument;

/// Why a SoundFont cannot be used, or a note not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SoundError {
    /// The bytes cannot be read.
    #[error("the SoundFont cannot be read: {0}")]
    Read(#[from] std::io::Error),
    /// Something else than a SoundFont.
    #[error("this is no SoundFont: {0}")]
    NotASoundFont(String),
    /// Samples are compressed, as in SF3 files.
    #[error("this SoundFont's samples are compressed ({0}): unpack it to a plain .sf2 first")]
    Compressed(String),
    /// The file ends before it should.
    #[error(
        "the SoundFont is cut short: {part} should reach byte {expected}, but there are only {found}"
    )]
    CutShort {
        /// Which chunk.
        part: String,
        /// Where it should end, in bytes from the file's start.
        expected: u64,
        /// Where the file ends.
        found: u64,
    },
    /// A table contradicts itself.
    #[error("the SoundFont is damaged: {0}")]
    Damaged(String),
    /// It has no such sound.
    #[error("the SoundFont has no {}: {hint}", describe(*instrument))]
    MissingPreset {
        /// What was asked for.
        instrument: Instrument,
        /// What there is.
        hint: String,
    },
    /// A part's instrument was not asked for beforehand.
    #[error("the {} was not made ready before it was to play", describe(*instrument))]
    NotPrepared {
        /// Which.
        instrument: Instrument,
    },
    /// The synthesiser gave up on a note.
    #[error("the synthesiser failed on key {key} of {}: {reason}", describe(*instrument))]
    Synthesis {
        /// Whose note.
        instrument: Instrument,
        /// MIDI note number.
        key: u8,
        /// What it said.
        reason: String,
    },
}

/// An instrument as a reader of General MIDI lists numbers it, programs from 1.
pub(crate) fn describe(instrument: Instrument) -> String {
    match (instrument.bank, u16::from(instrument.program) + 1) {
        (128, 1) => "standard drum kit".to_owned(),
        (128, program) => format!("drum kit with program number {program}"),
        (0, program) => match instrument.name() {
            Some(name) => format!("{name} (program number {program})"),
            None => format!("sound with program number {program}"),
        },
        (bank, program) => format!("sound with program number {program} in bank {bank}"),
    }
}
