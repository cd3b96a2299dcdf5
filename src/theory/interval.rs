//! Intervals that know their letters.

use super::NoteName;

/// A distance in letters and semitones, so that spelling survives transposition: a minor third
/// is 2 steps and 3 semitones, an augmented second 1 step and 3 semitones. Negative is downwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Interval {
    /// Letters apart.
    pub steps: i8,
    /// Semitones apart.
    pub semitones: i8,
}

impl Interval {
    /// No distance.
    pub const UNISON: Interval = Interval { steps: 0, semitones: 0 };

    /// The interval from one note name up to the next note of the other name, within an octave
    /// (an augmented seventh, C up to B#, is 6 steps and 12 semitones).
    #[must_use]
    pub fn up(from: NoteName, to: NoteName) -> Interval {
        let steps = (to.letter.index() - from.letter.index()).rem_euclid(7);
        let octave = if to.letter.index() < from.letter.index() { 12 } else { 0 };
        let letters = to.letter.semitones() + octave - from.letter.semitones();
        Interval { steps, semitones: letters + to.alter - from.alter }
    }

    /// The interval from one note name to the nearest note of the other name: at most a tritone,
    /// which goes up.
    #[must_use]
    pub fn nearest(from: NoteName, to: NoteName) -> Interval {
        let up = Interval::up(from, to);
        if up.semitones > 6 {
            Interval { steps: up.steps - 7, semitones: up.semitones - 12 }
        } else {
            up
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str) -> NoteName {
        text.parse().unwrap()
    }

    #[test]
    fn the_nearest_way_is_at_most_a_tritone() {
        let cases = [("C", "F", 3, 5), ("C", "G", -3, -5), ("C", "F#", 3, 6), ("G", "Bb", 2, 3)];
        for (from, to, steps, semitones) in cases {
            assert_eq!(Interval::nearest(name(from), name(to)), Interval { steps, semitones });
        }
    }

    #[test]
    fn transposing_by_the_interval_between_two_names_gets_there() {
        for from in ["C", "Db", "F#", "B", "Ab"] {
            for to in ["C", "Db", "F#", "B", "Eb"] {
                let interval = Interval::up(name(from), name(to));
                assert_eq!(name(from).transpose(interval), name(to), "{from} to {to}");
            }
        }
    }
}
