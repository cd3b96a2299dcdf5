//! Keys.

use super::NoteName;

/// Major or minor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Mode {
    Major,
    Minor,
}

/// A key: `Gm`, `Bb`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    /// The tonic as spelled.
    pub tonic: NoteName,
    /// Major or minor.
    pub mode: Mode,
}
