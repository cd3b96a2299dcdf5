//! What a lesson may ask of the hands beyond the style.

/// What a lesson may ask of the hands beyond the style.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CompSettings {
    /// The widest interval that one hand strikes at once, in semitones, in place of the style's:
    /// 12 for an octave, 14 for a ninth, 16 for a tenth.
    pub reach: Option<u8>,
    /// Which form a progression begins with, in styles whose shapes begin on the third or the
    /// seventh.
    pub start: Start,
    /// For each bar of the timeline the lowest note (MIDI number) of the line that sounds in it:
    /// the hands stay below. Bars beyond the end of the list have no line.
    pub ceilings: Vec<Option<u8>>,
}

/// Which degree lies lowest in the first chord of a progression.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Start {
    /// Whichever costs less motion in all.
    #[default]
    Auto,
    /// The third, or what stands for it.
    Third,
    /// The seventh, or what stands for it.
    Seventh,
}

impl Start {
    /// The number of the lowest degree, where one is asked for.
    pub(super) const fn degree(self) -> Option<u8> {
        match self {
            Start::Auto => None,
            Start::Third => Some(3),
            Start::Seventh => Some(7),
        }
    }
}
