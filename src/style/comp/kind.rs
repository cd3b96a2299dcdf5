//! Kinds of chord, as far as they ask for shapes of their own.

use serde::Deserialize;

use crate::theory::{ChordSymbol, Degree};

/// A kind of chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChordKind {
    /// Major third, no minor seventh.
    Major,
    /// Minor third, perfect (or raised) fifth.
    Minor,
    /// Major third and minor seventh.
    Dominant,
    /// Minor third, diminished fifth, minor seventh.
    HalfDiminished,
    /// Minor third, diminished fifth, any other seventh or none.
    Diminished,
    /// No third, or an eleventh that takes its place.
    Suspended,
}

impl ChordKind {
    /// The kind of a symbol.
    #[must_use]
    pub fn of(symbol: &ChordSymbol) -> ChordKind {
        let has = |number, alter| symbol.degrees.contains(&Degree { number, alter });
        if is_suspended(symbol) {
            ChordKind::Suspended
        } else if has(3, 0) {
            if has(7, -1) { ChordKind::Dominant } else { ChordKind::Major }
        } else if has(5, -1) && !has(5, 0) {
            if has(7, -1) { ChordKind::HalfDiminished } else { ChordKind::Diminished }
        } else if has(3, -1) {
            ChordKind::Minor
        } else {
            ChordKind::Major
        }
    }
}

/// Is the chord played as a suspension? A dominant eleventh is, although its symbol spells the
/// third as well: the two are a minor ninth apart.
#[must_use]
fn is_suspended(symbol: &ChordSymbol) -> bool {
    let has = |number, alter| symbol.degrees.contains(&Degree { number, alter });
    let eleventh_chord = has(3, 0) && has(7, -1) && has(11, 0);
    let fourth_or_second = has(4, 0) || has(2, 0);
    eleventh_chord || (fourth_or_second && !has(3, 0) && !has(3, -1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Letter, NoteName};

    fn kind(degrees: &[(u8, i8)]) -> ChordKind {
        let degrees = degrees.iter().map(|&(number, alter)| Degree { number, alter }).collect();
        let root = NoteName { letter: Letter::C, alter: 0 };
        ChordKind::of(&ChordSymbol { root, degrees, bass: None })
    }

    #[test]
    fn thirds_fifths_and_sevenths_decide() {
        assert_eq!(kind(&[(1, 0), (3, 0), (5, 0), (7, 0)]), ChordKind::Major);
        assert_eq!(kind(&[(1, 0), (3, 0), (5, 0), (7, -1)]), ChordKind::Dominant);
        assert_eq!(kind(&[(1, 0), (3, -1), (5, 0), (6, 0)]), ChordKind::Minor);
        assert_eq!(kind(&[(1, 0), (3, -1), (5, -1), (7, -1)]), ChordKind::HalfDiminished);
        assert_eq!(kind(&[(1, 0), (3, -1), (5, -1), (7, -2)]), ChordKind::Diminished);
        assert_eq!(kind(&[(1, 0), (4, 0), (5, 0), (7, -1)]), ChordKind::Suspended);
        assert_eq!(kind(&[(1, 0), (2, 0), (3, 0), (5, 0)]), ChordKind::Major);
    }

    #[test]
    fn a_dominant_eleventh_is_a_suspension_and_a_minor_eleventh_is_not() {
        let eleventh = [(1, 0), (3, 0), (5, 0), (7, -1), (9, 0), (11, 0)];
        assert_eq!(kind(&eleventh), ChordKind::Suspended);
        let minor_eleventh = [(1, 0), (3, -1), (5, 0), (7, -1), (9, 0), (11, 0)];
        assert_eq!(kind(&minor_eleventh), ChordKind::Minor);
    }
}
