//! The families of chords.

use super::ChordSymbol;
use crate::theory::Degree;

/// What family a chord belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quality {
    /// A major third, with a sixth, a major seventh or neither.
    Major,
    /// A minor third and a fifth, with a sixth, a minor seventh or neither.
    Minor,
    /// A minor third and a major seventh.
    MinorMajor,
    /// A major third (or, where the fifth only is missing, what remains of one) and a minor
    /// seventh, whatever the alterations.
    Dominant,
    /// A suspended fourth or second with a minor seventh.
    SuspendedDominant,
    /// A minor third, a diminished fifth and a minor seventh.
    HalfDiminished,
    /// A minor third and a diminished fifth, with a diminished or major seventh or none.
    Diminished,
    /// A major third and a raised fifth, with a major seventh or none.
    Augmented,
    /// A suspended fourth or second without a minor seventh.
    Suspended,
    /// Root and fifth, or the root alone.
    Power,
}

impl Quality {
    /// Whether a dominant's rules hold: [`Quality::Dominant`] and [`Quality::SuspendedDominant`].
    #[must_use]
    pub const fn is_dominant(self) -> bool {
        matches!(self, Quality::Dominant | Quality::SuspendedDominant)
    }

    /// Whether the third is minor.
    #[must_use]
    pub const fn is_minor(self) -> bool {
        matches!(
            self,
            Quality::Minor | Quality::MinorMajor | Quality::HalfDiminished | Quality::Diminished
        )
    }
}

impl ChordSymbol {
    /// The chord's family.
    #[must_use]
    pub fn quality(&self) -> Quality {
        let has = |number, alter| self.has(Degree::new(number, alter));
        let minor_seventh = has(7, -1);
        let only_flat_fifth = has(5, -1) && !has(5, 0) && !has(5, 1);
        if self.is_suspended() {
            return if minor_seventh { Quality::SuspendedDominant } else { Quality::Suspended };
        }
        if has(3, -1) {
            return match (only_flat_fifth, minor_seventh) {
                (true, true) => Quality::HalfDiminished,
                // A minor sixth chord with a flat fifth is spelled otherwise, but sounds the same.
                (true, false) => Quality::Diminished,
                (false, false) if has(7, 0) => Quality::MinorMajor,
                (false, _) => Quality::Minor,
            };
        }
        if minor_seventh {
            return Quality::Dominant;
        }
        if has(3, 0) {
            let raised_fifth = has(5, 1) && !has(5, 0);
            return if raised_fifth { Quality::Augmented } else { Quality::Major };
        }
        if self.degree(7).is_some() || self.degree(6).is_some() {
            return Quality::Major;
        }
        Quality::Power
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn families_as_musicians_name_them() {
        for (quality, symbols) in [
            (Quality::Major, "C C6 C6/9 Cmaj7 Cmaj7#11 Cadd9 C(b5) Cmaj7b5"),
            (Quality::Minor, "Cm Cm6 Cm7 Cm9 Cm11 Cm7#5 Cm(add9)"),
            (Quality::MinorMajor, "Cm(maj7) Cm(maj9)"),
            (Quality::Dominant, "C7 C9 C13 C7alt C7b5 C7#5 C7b9 C13b5 C7(no5)"),
            (Quality::SuspendedDominant, "C7sus4 C9sus4 C11 C7sus2 C7susb9"),
            (Quality::HalfDiminished, "Cm7b5 Cø Cm9b5 Cm11b5"),
            (Quality::Diminished, "Cdim Cdim7 Cdim(maj7)"),
            (Quality::Augmented, "C+ Cmaj7#5"),
            (Quality::Suspended, "Csus4 Csus2"),
            (Quality::Power, "C5"),
        ] {
            for symbol in symbols.split(' ') {
                assert_eq!(ChordSymbol::parse(symbol).unwrap().quality(), quality, "{symbol}");
            }
        }
    }
}
