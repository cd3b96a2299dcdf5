//! Finds each chord's function from the chords around it.

use super::tension::open_degrees;
use super::{ChordSymbol, Function, Harmony, Key, Mode, Quality};

/// What each chord of a progression does, and the degrees that its symbol leaves open.
///
/// In a circular progression (a chorus that is repeated) the last chord looks on to the first;
/// otherwise it is judged by the key alone.
#[must_use]
pub fn analyse(chords: &[ChordSymbol], key: Key, circular: bool) -> Vec<Harmony> {
    let progression = Progression { chords, key, circular };
    (0..chords.len())
        .map(|index| {
            let symbol = &chords[index];
            let function = progression.function(index);
            let open = open_degrees(symbol, function, key);
            Harmony {
                symbol: symbol.clone(),
                key,
                function,
                seventh: open.seventh,
                ninth: open.ninth,
                eleventh: open.eleventh,
                thirteenth: open.thirteenth,
            }
        })
        .collect()
}

struct Progression<'c> {
    chords: &'c [ChordSymbol],
    key: Key,
    circular: bool,
}

/// Root motions in semitones upwards.
const FALLING_FIFTH: u8 = 5;
const FALLING_HALF_STEP: u8 = 11;
const RISING_HALF_STEP: u8 = 1;

impl Progression<'_> {
    fn function(&self, index: usize) -> Function {
        let chord = &self.chords[index];
        if self.acts_as_dominant(index) {
            return self.dominant(index);
        }
        if self.prepares_dominant(index) {
            return Function::Predominant;
        }
        let at_home = self.key.tonic.pitch_class() == chord.root.pitch_class();
        let restful = matches!(
            chord.quality(),
            Quality::Major | Quality::Minor | Quality::MinorMajor | Quality::Power
        );
        if restful && (at_home || self.is_resolution(index)) {
            Function::Tonic
        } else {
            Function::Other
        }
    }

    /// A seventh chord with the dominant's sound; or a bare major, augmented or suspended triad
    /// that falls a fifth and is the key's fifth degree or foreign to the key.
    fn acts_as_dominant(&self, index: usize) -> bool {
        let chord = &self.chords[index];
        let quality = chord.quality();
        if quality.is_dominant() {
            return true;
        }
        let bare = chord.seventh_or_sixth().is_none();
        let can = matches!(quality, Quality::Major | Quality::Augmented | Quality::Suspended);
        if !bare || !can {
            return false;
        }
        let above_tonic = self.key.above_tonic(chord.root.pitch_class());
        let fifth_degree = above_tonic == 7;
        let third_is_foreign =
            chord.third().is_some_and(|third| !self.key.contains(chord.pitch_class(third)));
        let falls_a_fifth =
            self.next(index).is_some_and(|next| motion(chord, next) == FALLING_FIFTH);
        let at_home = above_tonic == 0;
        !at_home && falls_a_fifth && (fifth_degree || third_is_foreign)
    }

    fn dominant(&self, index: usize) -> Function {
        let chord = &self.chords[index];
        let above_tonic = self.key.above_tonic(chord.root.pitch_class());
        if let Some(next) = self.goal(index) {
            match motion(chord, next) {
                FALLING_FIFTH if next.quality().is_minor() => return Function::DominantToMinor,
                // The I7 that goes to IV7 in a blues is at home where it is.
                FALLING_FIFTH if above_tonic == 0 && next.quality().is_dominant() => {
                    return Function::StaticDominant;
                }
                FALLING_FIFTH => return Function::DominantToMajor,
                FALLING_HALF_STEP => return Function::TritoneSubstitute,
                // V7 to bVI: the deceptive cadence of minor.
                RISING_HALF_STEP if next.quality() == Quality::Major => {
                    return Function::DominantToMinor;
                }
                _ => {}
            }
        }
        // Deceived, interrupted or last: the key's own dominant still points home.
        match (above_tonic, self.key.mode) {
            (7, Mode::Major) => Function::DominantToMajor,
            (7, Mode::Minor) => Function::DominantToMinor,
            _ => Function::StaticDominant,
        }
    }

    /// A minor or half-diminished chord whose root falls a fifth, or a half step, to a dominant.
    fn prepares_dominant(&self, index: usize) -> bool {
        let chord = &self.chords[index];
        let can = match chord.quality() {
            Quality::HalfDiminished => true,
            Quality::Minor => chord.degree(6).is_none(),
            _ => false,
        };
        can && self.next_index(index).is_some_and(|next_index| {
            let distance = motion(chord, &self.chords[next_index]);
            matches!(distance, FALLING_FIFTH | FALLING_HALF_STEP)
                && self.acts_as_dominant(next_index)
        })
    }

    /// Whether the chord before is a dominant that falls a fifth or a half step to this one.
    fn is_resolution(&self, index: usize) -> bool {
        let count = self.chords.len();
        let previous = match index.checked_sub(1) {
            Some(previous) => previous,
            None if self.circular && count > 1 => count - 1,
            None => return false,
        };
        let distance = motion(&self.chords[previous], &self.chords[index]);
        matches!(distance, FALLING_FIFTH | FALLING_HALF_STEP) && self.acts_as_dominant(previous)
    }

    /// Where a dominant is going: past further dominants on its own root, and past its own
    /// minor chord where that only leads back to it (D7 | Am7 D7 | G).
    fn goal(&self, index: usize) -> Option<&ChordSymbol> {
        let chord = &self.chords[index];
        let same_dominant =
            |other: &ChordSymbol| motion(chord, other) == 0 && other.quality().is_dominant();
        let mut at = index;
        for _ in 0..self.chords.len() {
            let next = self.next_index(at)?;
            let candidate = &self.chords[next];
            let leads_back = motion(candidate, chord) == FALLING_FIFTH
                && candidate.quality().is_minor()
                && self.next(next).is_some_and(same_dominant);
            if same_dominant(candidate) || leads_back {
                at = next;
            } else {
                return Some(candidate);
            }
        }
        None
    }

    fn next(&self, index: usize) -> Option<&ChordSymbol> {
        self.next_index(index).map(|next| &self.chords[next])
    }

    fn next_index(&self, index: usize) -> Option<usize> {
        let next = index + 1;
        match next.cmp(&self.chords.len()) {
            std::cmp::Ordering::Less => Some(next),
            _ if self.circular => Some(0),
            _ => None,
        }
    }
}

/// Semitones from one root up to another, 0 to 11.
fn motion(from: &ChordSymbol, to: &ChordSymbol) -> u8 {
    (to.root.pitch_class() + 12 - from.root.pitch_class()) % 12
}
