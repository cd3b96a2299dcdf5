//! What a lesson may ask of the hands beyond the style.

use crate::style::Start;

/// What a lesson may ask of the hands beyond the style.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CompSettings {
    /// The widest interval that one hand strikes at once, in semitones, in place of the style's:
    /// 12 for an octave, 14 for a ninth, 16 for a tenth.
    pub reach: Option<u8>,
    /// Which form a progression begins with, in place of the style's.
    pub start: Option<Start>,
    /// For each bar of the timeline the lowest note (MIDI number) of the line that sounds in it:
    /// the hands stay below. Bars beyond the end of the list have no line.
    pub ceilings: Vec<Option<u8>>,
}
