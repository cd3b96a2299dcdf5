//! A chord in its place: what its symbol leaves open, decided by its function.

use super::{ChordSymbol, Degree, Key, NoteName};

/// What a chord does in its progression.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Function {
    /// At rest.
    Tonic,
    /// A minor seventh or half-diminished chord on its way to a dominant.
    Predominant,
    /// A dominant that falls a fifth to a major chord, or would if it were not deceived.
    DominantToMajor,
    /// A dominant that falls a fifth to a minor chord, or would if it were not deceived.
    DominantToMinor,
    /// A dominant that falls a half step: the substitute a tritone away.
    TritoneSubstitute,
    /// A dominant that stays: the I7, IV7 and II7 of a blues.
    StaticDominant,
    /// Anything else.
    Other,
}

impl Function {
    /// Whether the chord is a dominant, resolving or not.
    #[must_use]
    pub const fn is_dominant(self) -> bool {
        matches!(
            self,
            Function::DominantToMajor
                | Function::DominantToMinor
                | Function::TritoneSubstitute
                | Function::StaticDominant
        )
    }

    /// Whether the chord is a dominant on its way to a rest.
    #[must_use]
    pub const fn resolves(self) -> bool {
        self.is_dominant() && !matches!(self, Function::StaticDominant)
    }
}

/// A chord symbol with what its function gives it. [`analyse`](super::analyse) makes them.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Harmony {
    /// The symbol as written.
    pub symbol: ChordSymbol,
    /// The key that it stands in.
    pub key: Key,
    /// What it does here.
    pub function: Function,
    /// The seventh, or the sixth in its place; on a bare triad the one that its function gives.
    /// `None` on chords that take neither (`F5`, `Dsus4`).
    pub seventh: Option<Degree>,
    /// The ninth to play, if one may be played: `9`, `b9` or `#9`.
    pub ninth: Option<Degree>,
    /// The eleventh to play, if one may be played.
    pub eleventh: Option<Degree>,
    /// The thirteenth to play, if one may be played: `13`, `b13`, or `6` on a sixth chord.
    pub thirteenth: Option<Degree>,
}

impl Harmony {
    /// The degree that sounds where a voicing asks for a number:
    /// - 1 the root; 3 the third, or 4 or 2 under a suspension; 5 the chord's own fifth;
    /// - 7 the seventh, or the sixth in its place;
    /// - 9, 11, 13 the tension that the function gives. In place of a ninth that may not be
    ///   played (half-diminished and diminished chords) stands the root, in place of a
    ///   thirteenth the fifth, and an eleventh has no stand-in.
    ///
    /// `None` where the chord has nothing for the number: the third of `F5`, or no such number.
    #[must_use]
    pub fn degree(&self, number: u8) -> Option<Degree> {
        match number {
            1 => Some(Degree::ROOT),
            3 => self.symbol.third(),
            5 => self.symbol.fifth(),
            7 => self.seventh,
            9 => Some(self.ninth.unwrap_or(Degree::ROOT)),
            11 => self.eleventh,
            13 => self.thirteenth.or_else(|| self.symbol.fifth()),
            _ => None,
        }
    }

    /// The same chord with a flat ninth and a flat thirteenth, where its symbol writes neither:
    /// what goes under a line in the altered scale.
    #[must_use]
    pub fn altered(&self) -> Harmony {
        let mut altered = self.clone();
        if self.symbol.degree(9).is_none() {
            altered.ninth = Some(Degree::new(9, -1));
        }
        if self.symbol.degree(13).is_none() {
            altered.thirteenth = Some(Degree::new(13, -1));
        }
        altered
    }

    /// A degree above this chord's root as a pitch class, 0 to 11.
    #[must_use]
    pub fn pitch_class(&self, degree: Degree) -> u8 {
        self.symbol.pitch_class(degree)
    }

    /// A degree above this chord's root as a note name.
    #[must_use]
    pub fn note(&self, degree: Degree) -> NoteName {
        self.symbol.note(degree)
    }

    /// Every degree that may sound: those that the symbol spells and those that the function
    /// adds, lowest number first. A third that a suspension displaces is not among them.
    #[must_use]
    pub fn sounding_degrees(&self) -> Vec<Degree> {
        let third = self.symbol.third();
        let written = self.symbol.degrees.iter().copied().filter(|degree| degree.number != 3);
        let added = [third, self.seventh, self.ninth, self.eleventh, self.thirteenth];
        let mut degrees: Vec<Degree> = written.chain(added.into_iter().flatten()).collect();
        degrees.sort_unstable();
        degrees.dedup();
        degrees
    }
}
