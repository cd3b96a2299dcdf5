//! One voice of music in ABC notation (the standard 2.1 of December 2011) to notes with their
//! places in the text.
//!
//! `scan` cuts the text into signs, `field` and `key` understand the lines that begin with a
//! letter and a colon, `repeats` writes out what is played again, `reader` counts time, and `ties`
//! joins what is tied. Every sign keeps its
//! bytes, so that an error can point at its place. Time is counted in exact fractions of a whole
//! note ([`fraction`]) and rounded to ticks once, at the end.
//!
//! What belongs to notation but not to sound is read over: beams, slurs, the fields of a catalogue
//! (title, composer, …). What could be heard and is not becomes a warning with its bar: grace notes,
//! ornaments, chord symbols. What would make the notes wrong if it were read over is an error:
//! a second voice, bars that do not add up.
//!
//! Written here because the notes that `abc-parser` 0.4 gives carry no place in the text, which the
//! errors of a lesson point at; it plays out no repeats, and calls itself unfinished.

mod accidentals;
mod bars;
mod cursor;
mod error;
mod exact_note;
mod field;
mod fraction;
mod key;
mod mark;
mod omitted;
mod reader;
mod repeats;
mod scan;
#[cfg(test)]
mod tests;
mod ties;
mod token;
mod tuplet;

pub use error::{AbcError, AbcProblem};
pub use reader::read;

use std::ops::Range;

use crate::theory::Pitch;
use crate::units::{Meters, MidiPitch, Ticks, Velocity};

/// The most bytes of text that are read: 64 for each bar of the longest chorus.
pub const MOST_BYTES: usize = 64 * 1024;

/// The most bars that are read, which a rest of bars may reach in a few signs.
pub const MOST_BARS: u32 = 1_024;

/// What a text means by what it leaves out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Defaults<'a> {
    /// The meters of its bars; a text that says another is an error.
    pub meters: Meters<'a>,
    /// The key signature: sharps (positive) or flats (negative), -7 to 7.
    pub fifths: i8,
}

/// A voice as read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tune {
    /// How much of it stands before its first bar line, where that is less than a bar.
    pub pickup: Ticks,
    /// How many bars it has, counting a last one that is not full, but not the pickup.
    pub bars: u32,
    /// The notes in order of start, then pitch. Tied notes are one.
    pub notes: Vec<TuneNote>,
    /// What was left out, with its bars, in words.
    pub warnings: Vec<String>,
}

/// A note of a voice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TuneNote {
    /// From the first bar line; negative in a pickup.
    pub at: Ticks,
    /// How long it is written.
    pub length: Ticks,
    /// What it is called and where it is written.
    pub pitch: Pitch,
    /// Where it sounds.
    pub midi: MidiPitch,
    /// How loud, where the text says.
    pub loudness: Option<Velocity>,
    /// Whether it carries an accent.
    pub accent: bool,
    /// Whether it is to be cut short.
    pub staccato: bool,
    /// Its bytes in the text.
    pub span: Range<usize>,
}
