//! Chords as MusicXML says them: a kind and changes of degree.

use super::ChordSymbol;
use super::spelling::{Base, Extension, Spelling};
use crate::theory::{Degree, NoteName};

/// A `degree` element of MusicXML's `harmony`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct DegreeChange {
    /// Which of the three changes.
    pub change: Change,
    /// `degree-value`: 1 to 13.
    pub number: u8,
    /// `degree-alter` in semitones: for an addition against a dominant chord, else against the
    /// degree that the kind has.
    pub alter: i8,
}

/// What a `degree` element does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "MusicXML's own words")]
pub enum Change {
    Add,
    Alter,
    Subtract,
}

/// Why a kind and its changes are no chord symbol.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KindError {
    /// One of the functional sixths, or no kind of MusicXML 4.0.
    #[error("a chord of the kind `{0}` has no chord symbol: write it as a plain chord")]
    Unknown(String),
    /// A degree that no chord symbol spells.
    #[error("a chord symbol cannot say the degree {alter:+} on {number}")]
    Degree {
        /// `degree-value`.
        number: u8,
        /// `degree-alter`.
        alter: i8,
    },
}

impl ChordSymbol {
    /// The chord of a MusicXML `kind` and its degree changes; `None` for the kind `none`, which is
    /// N.C. A kind means what musicians mean by its usual text: `dominant-13th` is `13`, without
    /// the eleventh, though MusicXML's own list stacks it in.
    ///
    /// # Errors
    /// A kind without a chord symbol (the functional sixths), or a change that none can spell.
    pub fn from_kind(
        root: NoteName,
        kind: &str,
        changes: &[DegreeChange],
        bass: Option<NoteName>,
    ) -> Result<Option<ChordSymbol>, KindError> {
        if kind == "none" {
            return Ok(None);
        }
        let kind_spelling = spelling(kind).ok_or_else(|| KindError::Unknown(kind.to_owned()))?;
        let mut spelling = kind_spelling.clone();
        for &change in changes {
            apply(change, &kind_spelling, &mut spelling)?;
        }
        Ok(Some(ChordSymbol { root, degrees: spelling.into_degrees(), bass }))
    }
}

fn apply(
    DegreeChange { change, number, alter }: DegreeChange,
    kind: &Spelling,
    spelling: &mut Spelling,
) -> Result<(), KindError> {
    let error = KindError::Degree { number, alter };
    let of_kind = kind.of_number(number).next();
    let against = match (change, number) {
        (Change::Subtract, _) => {
            spelling.omit(number);
            return Ok(());
        }
        (Change::Alter, _) => of_kind.map_or(0, |degree| degree.alter),
        // A dominant's seventh is minor. Some programs count it from the major scale and write -1
        // for it, which taken at its word would be a diminished seventh; it is let pass.
        (Change::Add, 7) if alter < 0 => 0,
        (Change::Add, 7) => -1,
        (Change::Add, _) => 0,
    };
    let Some(altered) = against.checked_add(alter).filter(|altered| sayable(number, *altered))
    else {
        return Err(error);
    };
    if change == Change::Alter
        && let Some(degree) = of_kind
    {
        spelling.remove(degree);
    }
    // A raised or lowered degree replaces the plain one however it is written.
    if altered == 0 {
        spelling.add(Degree::natural(number));
    } else {
        spelling.alter(Degree::new(number, altered));
    }
    Ok(())
}

/// Whether a chord symbol can say this degree.
fn sayable(number: u8, alter: i8) -> bool {
    match number {
        1 | 2 | 4 => alter == 0,
        3 | 6 | 13 => matches!(alter, -1 | 0),
        5 | 9 => matches!(alter, -1..=1),
        7 => matches!(alter, -2..=0),
        11 => matches!(alter, 0 | 1),
        _ => false,
    }
}

/// The kinds of MusicXML 4.0 that have a chord symbol.
fn spelling(kind: &str) -> Option<Spelling> {
    use Base::{Augmented, Diminished, HalfDiminished, Major, Minor, Plain};
    let (base, extension) = match kind {
        "major" | "suspended-second" | "suspended-fourth" => (Plain, Extension::None),
        "minor" | "major-minor" | "minor-major" => (Minor, Extension::None),
        "augmented" => (Augmented, Extension::None),
        "diminished" => (Diminished, Extension::None),
        "dominant" => (Plain, Extension::Seventh),
        "major-seventh" => (Major, Extension::Seventh),
        "minor-seventh" => (Minor, Extension::Seventh),
        "diminished-seventh" => (Diminished, Extension::Seventh),
        "augmented-seventh" => (Augmented, Extension::Seventh),
        "half-diminished" => (HalfDiminished, Extension::Seventh),
        "major-sixth" => (Plain, Extension::Sixth),
        "minor-sixth" => (Minor, Extension::Sixth),
        "dominant-ninth" => (Plain, Extension::Ninth),
        "major-ninth" => (Major, Extension::Ninth),
        "minor-ninth" => (Minor, Extension::Ninth),
        "dominant-11th" => (Plain, Extension::Eleventh),
        "major-11th" => (Major, Extension::Eleventh),
        "minor-11th" => (Minor, Extension::Eleventh),
        "dominant-13th" => (Plain, Extension::Thirteenth),
        "major-13th" => (Major, Extension::Thirteenth),
        "minor-13th" => (Minor, Extension::Thirteenth),
        "power" => (Plain, Extension::Power),
        "pedal" | "other" => return Some(Spelling::root_only()),
        _ => return None,
    };
    let mut spelling = Spelling::new(base, extension)?;
    match kind {
        "suspended-second" => spelling.suspend(2),
        "suspended-fourth" => spelling.suspend(4),
        // The second word is no kind of the standard, but some programs write it.
        "major-minor" | "minor-major" => spelling.add_major_seventh(Extension::Seventh),
        _ => {}
    }
    Some(spelling)
}
