//! Chord symbols.

use super::{Degree, NoteName};

/// A chord symbol: root, the degrees that the symbol spells, and a bass where it is written.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct ChordSymbol {
    /// The root as spelled.
    pub root: NoteName,
    /// The degrees that the symbol spells, lowest number first, the root among them.
    pub degrees: Vec<Degree>,
    /// The note after the slash, where there is one.
    pub bass: Option<NoteName>,
}

/// Why a text is no chord symbol.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct SymbolError {
    /// What is wrong, in a sentence without a full stop.
    pub message: String,
    /// The bytes of the text that are meant.
    pub span: std::ops::Range<usize>,
    /// The nearest symbol that exists.
    pub suggestion: Option<String>,
}
