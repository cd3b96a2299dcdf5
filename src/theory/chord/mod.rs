//! Chord symbols: reading, writing, and what one says.

mod display;
mod error;
mod kind;
mod parse;
mod quality;
mod sort;
mod spelling;
mod suffix;

use super::{Degree, Interval, NoteName};

pub use error::SymbolError;
pub(super) use error::{ReadError, SUFFIXES, nearest_suffix};
pub use kind::{Change, DegreeChange, KindError};
pub use quality::Quality;
pub(super) use suffix::parse_suffix;

/// A chord symbol: root, the degrees that the symbol spells, and a bass where it is written.
///
/// ```
/// use countoff::theory::ChordSymbol;
/// let symbol = ChordSymbol::parse("E-7b5/Bb")?;
/// assert_eq!(symbol.to_string(), "Em7b5/Bb");
/// assert_eq!(symbol.pitch_classes(), [2, 4, 7, 10]);
/// # Ok::<(), countoff::theory::SymbolError>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct ChordSymbol {
    /// The root as spelled.
    pub root: NoteName,
    /// The degrees that the symbol spells, lowest number first, the root among them.
    pub degrees: Vec<Degree>,
    /// The note after the slash, where there is one.
    pub bass: Option<NoteName>,
}

impl ChordSymbol {
    /// A chord of these degrees; they are put in order, and the root is added.
    #[must_use]
    pub fn new(root: NoteName, mut degrees: Vec<Degree>, bass: Option<NoteName>) -> ChordSymbol {
        degrees.push(Degree::ROOT);
        degrees.sort_unstable();
        degrees.dedup();
        ChordSymbol { root, degrees, bass }
    }

    /// Whether the symbol spells this very degree.
    #[must_use]
    pub fn has(&self, degree: Degree) -> bool {
        self.degrees.contains(&degree)
    }

    /// The degree with this number, 1 to 13, as the symbol spells it; the lowest where it spells
    /// two (`7b9#9`).
    #[must_use]
    pub fn degree(&self, number: u8) -> Option<Degree> {
        self.degrees.iter().copied().find(|degree| degree.number == number)
    }

    /// The third; under a suspension the note that stands for it, 4 or 2. An `11` whose third is
    /// in the spelling is played as a suspension and gives 4.
    #[must_use]
    pub fn third(&self) -> Option<Degree> {
        if self.is_eleventh_chord() {
            return Some(Degree::natural(4));
        }
        self.degree(3).or_else(|| self.degree(4)).or_else(|| self.degree(2))
    }

    /// The chord's own fifth. Where the symbol spells both (`7alt`), the raised one, which is the
    /// flat thirteenth too.
    #[must_use]
    pub fn fifth(&self) -> Option<Degree> {
        self.degrees.iter().copied().rfind(|degree| degree.number == 5)
    }

    /// The seventh, or the sixth that stands in its place.
    #[must_use]
    pub fn seventh_or_sixth(&self) -> Option<Degree> {
        self.degree(7).or_else(|| self.degree(6))
    }

    /// Whether 4 or 2 is played in place of the third.
    #[must_use]
    pub fn is_suspended(&self) -> bool {
        self.third().is_some_and(|third| third.number != 3)
    }

    /// A major third, a seventh, a ninth and an eleventh: the spelling of `11`. The third and the
    /// eleventh would clash, so it is played as a suspension (common practice).
    fn is_eleventh_chord(&self) -> bool {
        [3, 9, 11].into_iter().all(|number| self.has(Degree::natural(number)))
            && self.degree(7).is_some()
    }

    /// A degree above this root as a pitch class, 0 to 11.
    #[must_use]
    pub fn pitch_class(&self, degree: Degree) -> u8 {
        (self.root.pitch_class() + degree.pitch_class()) % 12
    }

    /// A degree above this root as a note name: the b5 of A is Eb.
    #[must_use]
    pub fn note(&self, degree: Degree) -> NoteName {
        self.root.transpose(degree.interval())
    }

    /// The pitch classes of all degrees and of the bass, in ascending order, each once.
    #[must_use]
    pub fn pitch_classes(&self) -> Vec<u8> {
        let bass = self.bass.map(NoteName::pitch_class);
        let degrees = self.degrees.iter().map(|&degree| self.pitch_class(degree));
        let mut pitch_classes: Vec<u8> = degrees.chain(bass).collect();
        pitch_classes.sort_unstable();
        pitch_classes.dedup();
        pitch_classes
    }

    /// The note that a bass plays under it: the written bass, else the root.
    #[must_use]
    pub fn bass_note(&self) -> NoteName {
        self.bass.unwrap_or(self.root)
    }

    /// The chord moved by letter and semitones, so that spelling follows the key and raised
    /// degrees stay raised. Roots that would need a double accidental are written plainly.
    #[must_use]
    pub fn transposed(&self, interval: Interval) -> ChordSymbol {
        let moved = |name: NoteName| name.transpose(interval).simplified();
        ChordSymbol {
            root: moved(self.root),
            degrees: self.degrees.clone(),
            bass: self.bass.map(moved),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chord(text: &str) -> ChordSymbol {
        ChordSymbol::parse(text).unwrap()
    }

    fn shown(degree: Option<Degree>) -> String {
        degree.map_or_else(|| "-".to_owned(), |degree| degree.to_string())
    }

    #[test]
    fn what_voicing_asks_of_a_chord() {
        for (text, third, fifth, seventh) in [
            ("Am7b5", "b3", "b5", "b7"),
            ("G6", "3", "5", "6"),
            ("Bdim7", "b3", "b5", "bb7"),
            ("G7sus4", "4", "5", "b7"),
            ("G11", "4", "5", "b7"),
            ("C7add11", "3", "5", "b7"),
            ("Dsus2", "2", "5", "-"),
            ("D7alt", "3", "#5", "b7"),
            ("D7b5", "3", "b5", "b7"),
            ("F5", "-", "5", "-"),
        ] {
            let chord = chord(text);
            let answers = [chord.third(), chord.fifth(), chord.seventh_or_sixth()].map(shown);
            assert_eq!(answers, [third, fifth, seventh], "{text}");
        }
    }

    #[test]
    fn degrees_are_spelled_from_the_root() {
        let b_flat_five: Degree = "b5".parse().unwrap();
        assert_eq!(chord("Am7b5").note(b_flat_five).to_string(), "Eb");
        let sharp_nine: Degree = "#9".parse().unwrap();
        assert_eq!(chord("B7#9").note(sharp_nine).to_string(), "C##");
    }

    #[test]
    fn raised_degrees_stay_raised_when_transposed() {
        let minor_third_up = Interval { steps: 2, semitones: 3 };
        let fourth_up = Interval { steps: 3, semitones: 5 };
        assert_eq!(chord("F#dim7").transposed(fourth_up).to_string(), "Bdim7");
        assert_eq!(chord("C#dim7").transposed(fourth_up).to_string(), "F#dim7");
        assert_eq!(chord("B7/D#").transposed(minor_third_up).to_string(), "D7/F#");
    }

    #[test]
    fn double_accidentals_are_written_plainly() {
        let half_step_up = Interval { steps: 1, semitones: 1 };
        assert_eq!(chord("Db7").transposed(half_step_up).to_string(), "D7");
    }
}
