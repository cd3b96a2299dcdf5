//! Writes a chord symbol in its canonical spelling.

use std::fmt;

use super::ChordSymbol;
use super::spelling::{Base, Extension, Spelling, altered};
use crate::theory::Degree;

impl fmt::Display for ChordSymbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.root, suffix(self))?;
        match self.bass {
            Some(bass) => write!(f, "/{bass}"),
            None => Ok(()),
        }
    }
}

/// What follows the root: a word and number that come near, then what differs from them.
fn suffix(chord: &ChordSymbol) -> String {
    if chord.degrees == altered() {
        return "7alt".to_owned();
    }
    let (mut text, mut spelling) = beginning(chord);
    for number in [3, 5] {
        if chord.lacks(number, &spelling) {
            text += &format!("no{number}");
            spelling.omit(number);
        }
    }
    let alterations: Vec<Degree> = chord
        .degrees
        .iter()
        .copied()
        .filter(|degree| matches!(degree.number, 5 | 6 | 9 | 11 | 13) && degree.alter != 0)
        .filter(|&degree| !spelling.has(degree))
        .collect();
    let written: String = alterations.iter().map(Degree::to_string).collect();
    // Straight after a root, an accidental would be taken for the root's.
    text += &if text.is_empty() && !written.is_empty() { format!("({written})") } else { written };
    for degree in alterations {
        spelling.alter(degree);
    }
    for &degree in &chord.degrees {
        if !spelling.has(degree) {
            text += &format!("add{degree}");
            spelling.add(degree);
        }
    }
    text
}

impl ChordSymbol {
    /// Whether the spelling has a degree of this number too many. A natural one that an altered
    /// one of the chord will displace is not.
    fn lacks(&self, number: u8, spelling: &Spelling) -> bool {
        let displaced = self.degrees.iter().any(|d| d.number == number && d.alter != 0);
        let will_go = |degree: Degree| number == 5 && degree.alter == 0 && displaced;
        spelling.of_number(number).any(|degree| !self.has(degree) && !will_go(degree))
    }
}

/// Word, number and suspension.
fn beginning(chord: &ChordSymbol) -> (String, Spelling) {
    let has = |number, alter| chord.has(Degree::new(number, alter));
    let no_third = chord.degree(3).is_none();
    let seventh = chord.degree(7).map(|degree| degree.alter);
    let only_fifth =
        |alter| chord.degrees.iter().filter(|d| d.number == 5).eq([&Degree::new(5, alter)]);
    let number = extension(chord);

    let minor = has(3, -1);
    let diminished =
        seventh == Some(-2) || minor && only_fifth(-1) && seventh != Some(-1) && !has(6, 0);
    let augmented = has(3, 0) && only_fifth(1) && number == Extension::None;
    let base = match seventh {
        _ if diminished => Base::Diminished,
        _ if minor => Base::Minor,
        Some(0) => Base::Major,
        _ if augmented => Base::Augmented,
        _ => Base::Plain,
    };
    let word = match base {
        Base::Diminished => "dim",
        Base::Minor => "m",
        Base::Major | Base::Delta => "maj",
        Base::Augmented => "aug",
        Base::Plain | Base::Dominant | Base::HalfDiminished => "",
    };
    let digits = match number {
        Extension::None => "",
        Extension::Power => "5",
        Extension::Sixth => "6",
        Extension::SixthNinth => "6/9",
        Extension::Seventh => "7",
        Extension::Ninth => "9",
        Extension::Eleventh => "11",
        Extension::Thirteenth => "13",
    };
    let major_seventh_on_minor = minor && seventh == Some(0);
    let (mut text, base_number) = if major_seventh_on_minor {
        (format!("{word}(maj{digits})"), Extension::None)
    } else {
        (format!("{word}{digits}"), number)
    };
    let plain = || Spelling::new(Base::Plain, Extension::None);
    let mut spelling = Spelling::new(base, base_number).or_else(plain).unwrap_or_default();
    if major_seventh_on_minor {
        spelling.add_major_seventh(number);
    }
    if no_third && (has(2, 0) || has(4, 0)) {
        text += "sus";
        for number in [2, 4].into_iter().filter(|&number| has(number, 0)) {
            text += &number.to_string();
            spelling.suspend(number);
        }
    }
    (text, spelling)
}

/// The greatest number that brings nothing which the chord lacks.
fn extension(chord: &ChordSymbol) -> Extension {
    let has = |number, alter| chord.has(Degree::new(number, alter));
    let plain = |number| has(number, 0) && !has(number, -1) && !has(number, 1);
    let any_ninth = chord.degree(9).is_some();
    if chord.degree(7).is_some() {
        if plain(13) && any_ninth {
            Extension::Thirteenth
        } else if plain(11) && any_ninth {
            Extension::Eleventh
        } else if plain(9) {
            Extension::Ninth
        } else {
            Extension::Seventh
        }
    } else if has(6, 0) {
        if plain(9) { Extension::SixthNinth } else { Extension::Sixth }
    } else if [2, 3, 4].into_iter().all(|number| chord.degree(number).is_none()) && has(5, 0) {
        Extension::Power
    } else {
        Extension::None
    }
}
