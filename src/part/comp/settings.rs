//! What a lesson may ask of the hands beyond the style.

use crate::style::Start;
use crate::units::Ticks;

/// What a lesson may ask of the hands beyond the style.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CompSettings {
    /// The widest interval that one hand strikes at once, in semitones, in place of the style's:
    /// 12 for an octave, 14 for a ninth, 16 for a tenth.
    pub reach: Option<u8>,
    /// Which form a progression begins with, in place of the style's.
    pub start: Option<Start>,
    /// The notes of the line, in order of start: the hands stay below those that sound with them.
    pub line: Vec<LineSounding>,
}

/// A note of a line for as long as it sounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineSounding {
    /// When it begins, from the start of the timeline.
    pub from: Ticks,
    /// When it ends.
    pub until: Ticks,
    /// Its MIDI number.
    pub pitch: u8,
}
