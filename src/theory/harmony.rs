//! A chord in its place: what its symbol leaves open, decided by its function.

use super::{ChordSymbol, Degree};

/// What a chord does in its progression.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Function {
    /// At rest.
    Tonic,
    /// A minor seventh or half-diminished chord on its way to a dominant.
    Predominant,
    /// A dominant that falls a fifth (or a half step) to a major chord.
    DominantToMajor,
    /// A dominant that falls a fifth (or a half step) to a minor chord.
    DominantToMinor,
    /// A dominant that stays: the I7, IV7 and II7 of a blues.
    StaticDominant,
    /// Anything else.
    Other,
}

/// A chord symbol with the tensions that its function gives it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Harmony {
    /// The symbol as written.
    pub symbol: ChordSymbol,
    /// What it does here.
    pub function: Function,
    /// The ninth to play, if one may be played: `9`, `b9` or `#9`.
    pub ninth: Option<Degree>,
    /// The eleventh to play, if one may be played.
    pub eleventh: Option<Degree>,
    /// The thirteenth to play, if one may be played.
    pub thirteenth: Option<Degree>,
}
