//! Chord and scale degrees.

/// A degree counted from a root: `3`, `b7`, `#11`. The alteration is against the major scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Degree {
    /// 1 to 13.
    pub number: u8,
    /// Semitones against the major scale: -1 for `b`, +1 for `#`, -2 for `bb`.
    pub alter: i8,
}
