//! Notes on the grid become a performance: swing, accents, small deviations.
//!
//! `grid` moves notated times to where a player's hands fall ([`swing`] says how far),
//! `deviation` adds small random deviations, `accent` and `length` shape the notes, and
//! `tidy` sees to it that no pitch sounds twice at once.

mod accent;
mod deviation;
mod grid;
mod length;
mod perform;
mod player;
pub mod swing;
mod tidy;

#[cfg(test)]
mod tests;

pub use perform::{FeelSettings, perform};

use crate::arrange::TempoMap;
use crate::part::{Instrument, Part};
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
    /// Which of the recorded strokes of this key to sound, as in [`crate::part::Note::variant`].
    pub variant: u8,
}
