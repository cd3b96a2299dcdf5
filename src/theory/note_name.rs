//! Spelled pitch classes.

/// The seven letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "a letter is its own description")]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

/// A pitch class with its spelling: `Bb`, `F#`, `C`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteName {
    /// The letter.
    pub letter: Letter,
    /// Sharps (positive) or flats (negative), in semitones; within -2 to 2.
    pub alter: i8,
}
