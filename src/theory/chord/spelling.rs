//! How a chord symbol is put together out of degrees; reading and writing share it.

use crate::theory::Degree;

/// The word that begins a suffix.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Base {
    /// Nothing, and so a dominant once there is a seventh.
    Plain,
    /// `dom`: a seventh chord even without a number.
    Dominant,
    /// `maj`, `M`.
    Major,
    /// `Δ`, `^`, `j`: a major seventh chord even without a number.
    Delta,
    /// `m`, `-`.
    Minor,
    /// `dim`, `°`.
    Diminished,
    /// `ø`.
    HalfDiminished,
    /// `aug`, `+`.
    Augmented,
}

/// The number after the word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Extension {
    None,
    Power,
    Sixth,
    SixthNinth,
    Seventh,
    Ninth,
    Eleventh,
    /// The ninth belongs to it, the eleventh does not (common practice).
    Thirteenth,
}

/// Degrees while a symbol is being put together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Spelling {
    degrees: Vec<Degree>,
}

impl Spelling {
    /// The chord of a word and a number; `None` where the two do not go together.
    pub(super) fn new(base: Base, extension: Extension) -> Option<Spelling> {
        let mut spelling = Spelling::root_only();
        if extension == Extension::Power {
            spelling.add(Degree::natural(5));
            return (base == Base::Plain).then_some(spelling);
        }
        let (third, fifth, seventh) = match base {
            Base::Plain | Base::Dominant => (0, 0, -1),
            Base::Major | Base::Delta => (0, 0, 0),
            Base::Minor => (-1, 0, -1),
            Base::Diminished => (-1, -1, -2),
            Base::HalfDiminished => (-1, -1, -1),
            Base::Augmented => (0, 1, -1),
        };
        spelling.add(Degree::new(3, third));
        spelling.add(Degree::new(5, fifth));
        match extension {
            Extension::Sixth | Extension::SixthNinth => {
                if matches!(
                    base,
                    Base::Delta | Base::Diminished | Base::Dominant | Base::HalfDiminished
                ) {
                    return None;
                }
                spelling.add(Degree::natural(6));
            }
            Extension::None
                if !matches!(base, Base::Delta | Base::Dominant | Base::HalfDiminished) => {}
            _ => spelling.add(Degree::new(7, seventh)),
        }
        spelling.extend(extension);
        Some(spelling)
    }

    /// The root alone.
    pub(super) fn root_only() -> Spelling {
        Spelling { degrees: vec![Degree::ROOT] }
    }

    /// Adds a major seventh and what its number brings: the `maj9` of `m(maj9)`.
    pub(super) fn add_major_seventh(&mut self, extension: Extension) {
        self.add(Degree::natural(7));
        self.extend(extension);
    }

    fn extend(&mut self, extension: Extension) {
        let numbers: &[u8] = match extension {
            Extension::SixthNinth | Extension::Ninth => &[9],
            Extension::Eleventh => &[9, 11],
            Extension::Thirteenth => &[9, 13],
            _ => &[],
        };
        for &number in numbers {
            self.add(Degree::natural(number));
        }
    }

    /// Adds a degree to those that are there.
    pub(super) fn add(&mut self, degree: Degree) {
        self.degrees.push(degree);
    }

    /// Alters a degree: the natural one makes way.
    pub(super) fn alter(&mut self, degree: Degree) {
        self.remove(Degree::natural(degree.number));
        self.add(degree);
    }

    /// Puts a fourth or a second in the third's place.
    pub(super) fn suspend(&mut self, number: u8) {
        self.omit(3);
        self.add(Degree::natural(number));
    }

    /// Takes this very degree out.
    pub(super) fn remove(&mut self, degree: Degree) {
        self.degrees.retain(|&present| present != degree);
    }

    /// Takes a degree out, altered or not.
    pub(super) fn omit(&mut self, number: u8) {
        self.degrees.retain(|degree| degree.number != number);
    }

    /// Makes an altered dominant: 1 3 b5 #5 b7 b9 #9.
    pub(super) fn make_altered(&mut self) {
        self.degrees = altered();
    }

    pub(super) fn has(&self, degree: Degree) -> bool {
        self.degrees.contains(&degree)
    }

    pub(super) fn has_number(&self, number: u8) -> bool {
        self.of_number(number).next().is_some()
    }

    pub(super) fn of_number(&self, number: u8) -> impl Iterator<Item = Degree> + '_ {
        self.degrees.iter().copied().filter(move |degree| degree.number == number)
    }

    /// The degrees in order, each once. A sixth above a seventh is called a thirteenth.
    pub(super) fn into_degrees(mut self) -> Vec<Degree> {
        if self.has_number(7) {
            for degree in &mut self.degrees {
                if degree.number == 6 {
                    degree.number = 13;
                }
            }
        }
        self.degrees.sort_unstable();
        self.degrees.dedup();
        self.degrees
    }
}

/// The degrees of `7alt`, lowest number first.
pub(super) fn altered() -> Vec<Degree> {
    [(1, 0), (3, 0), (5, -1), (5, 1), (7, -1), (9, -1), (9, 1)]
        .map(|(number, alter)| Degree::new(number, alter))
        .to_vec()
}
