//! Kinds of chord, as far as they ask for shapes of their own.

use crate::theory::{ChordSymbol, Quality};

/// A kind of chord: the families of [`Quality`], as coarse as hands see them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChordKind {
    /// Major third, no minor seventh; also bare fifths.
    Major,
    /// Minor third and a fifth that is not diminished.
    Minor,
    /// Major third and minor seventh.
    Dominant,
    /// Minor third, diminished fifth, minor seventh.
    HalfDiminished,
    /// Minor third, diminished fifth, any other seventh or none.
    Diminished,
    /// A fourth or second in place of the third; dominant elevenths are among them.
    Suspended,
}

impl ChordKind {
    /// The kind of a symbol.
    #[must_use]
    pub fn of(symbol: &ChordSymbol) -> ChordKind {
        match symbol.quality() {
            Quality::Major | Quality::Augmented | Quality::Power => ChordKind::Major,
            Quality::Minor | Quality::MinorMajor => ChordKind::Minor,
            Quality::Dominant => ChordKind::Dominant,
            Quality::HalfDiminished => ChordKind::HalfDiminished,
            Quality::Diminished => ChordKind::Diminished,
            Quality::Suspended | Quality::SuspendedDominant => ChordKind::Suspended,
        }
    }
}
