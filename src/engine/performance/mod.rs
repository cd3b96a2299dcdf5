//! What is heard: parts, their instruments, their notes with exact times, and the tempo.

mod instrument;
mod part;
mod recordings;
mod tempo_map;

pub use instrument::{GENERAL_MIDI, Instrument};
pub use part::Part;
pub use recordings::{recordings, sounding_key};
pub use tempo_map::TempoMap;

use crate::units::{Ticks, Velocity};

/// Notes with exact times, lengths and velocities: what is heard.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Performance {
    /// One entry a part.
    pub parts: Vec<PerformedPart>,
    /// Tempo by tick.
    pub tempo: TempoMap,
    /// Where the last bar ends; notes may ring on.
    pub end: Ticks,
}

/// A part as performed.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct PerformedPart {
    /// Whose notes.
    pub part: Part,
    /// What they are played on.
    pub instrument: Instrument,
    /// The notes in order of start, then pitch. The same pitch never sounds twice at once: a
    /// note ends where the next of its pitch begins.
    pub notes: Vec<PerformedNote>,
}

/// A note as performed.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct PerformedNote {
    /// When it is struck; never negative.
    pub on: Ticks,
    /// When it is let go; later than `on`.
    pub off: Ticks,
    /// MIDI note number, 0 to 127.
    pub pitch: u8,
    /// How hard.
    pub velocity: Velocity,
    /// Which of the recorded strokes of this key to sound, where the SoundFont has several: 0 is
    /// the key itself. Only the sound stage reads it; MIDI files carry `pitch`.
    pub variant: u8,
}
