//! Standard MIDI Files (SMF 1.0, MIDI Association RP-001) to plain structs and back.
//!
//! Files are written in format 1 with [`Ticks::QUARTER`] ticks to the quarter note: a first track
//! of tempo, meter, key and markers, then one named track a part. Bytes are [`midly`]'s work; this
//! module decides what is in them and in which order.

mod read;
mod write;

pub use read::read;
pub use write::write;

use super::MOST_NOTES;
use crate::units::{Meter, Tempo, Ticks, Velocity};

/// What is read of a MIDI file, or written to one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Song {
    /// The name of the whole; the first track carries it.
    pub name: String,
    /// Tempo changes in order of time.
    pub tempos: Vec<(Ticks, Tempo)>,
    /// Time signatures in order of time.
    pub meters: Vec<(Ticks, TimeSignature)>,
    /// Key signatures in order of time.
    pub keys: Vec<(Ticks, KeySignature)>,
    /// Markers (sections, choruses) in order of time.
    pub markers: Vec<(Ticks, String)>,
    /// One track a part.
    pub tracks: Vec<Track>,
    /// Where the music ends. Every track lasts at least so long.
    pub end: Ticks,
}

/// One part's notes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Track {
    /// The part's name.
    pub name: String,
    /// The channel, 0 to 15; 9 is percussion (General MIDI level 1).
    pub channel: u8,
    /// The sounds, 0 to 127, each from when it is set; none where the player's own is kept.
    pub programs: Vec<(Ticks, u8)>,
    /// The notes in any order. When read: by start, then pitch.
    pub notes: Vec<Note>,
}

/// A note with its times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Note {
    /// When it is struck.
    pub on: Ticks,
    /// When it is let go; later than `on`.
    pub off: Ticks,
    /// MIDI note number, 0 to 127.
    pub pitch: u8,
    /// How hard.
    pub velocity: Velocity,
}

/// A time signature as MIDI files carry it: any numerator over a power of two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct TimeSignature {
    /// The number above, at least 1.
    pub numerator: u8,
    /// The number below: 1, 2, 4, … 128.
    pub denominator: u8,
}

impl From<Meter> for TimeSignature {
    fn from(meter: Meter) -> TimeSignature {
        TimeSignature { numerator: meter.numerator(), denominator: meter.denominator() }
    }
}

/// A key signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct KeySignature {
    /// Sharps (positive) or flats (negative), -7 to 7.
    pub fifths: i8,
    /// Whether the key is minor.
    pub minor: bool,
}

/// The most bytes that are read: ten hours of one player.
pub const MOST_BYTES: usize = 4 << 20;

/// Why a song cannot be written, or bytes cannot be read, as a MIDI file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SmfError {
    /// The bytes are no MIDI file, or a damaged one.
    #[error("this is not a MIDI file that can be read: {0}")]
    Damaged(String),
    /// A track that ends before its end is said, counted from 1; or one that is missing.
    #[error("this MIDI file is cut short: its track {0} has no end")]
    CutShort(usize),
    /// No ticks in a quarter note.
    #[error(
        "byte 13 of this MIDI file says that a quarter note has 0 ticks; save it again from a \
         program that writes MIDI"
    )]
    NoTicks,
    /// More than a line of music needs.
    #[error("this MIDI file is longer than {MOST_BYTES} bytes; save only the track that is meant")]
    TooBig,
    /// More notes than are read.
    #[error("this MIDI file has more than {MOST_NOTES} notes; save only the track that is meant")]
    TooManyNotes,
    /// Format 2: patterns without a common time.
    #[error("this MIDI file is of format 2 (separate patterns); save it as format 0 or 1")]
    Patterns,
    /// Time counted in film frames.
    #[error("this MIDI file counts time in film frames; save it with ticks per quarter note")]
    FilmFrames,
    /// A value that MIDI cannot hold.
    #[error("{0}")]
    Value(String),
}
