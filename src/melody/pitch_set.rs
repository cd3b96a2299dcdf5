//! Sets of pitch classes.

/// A set of pitch classes, 0 to 11.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct PitchSet(u16);

impl PitchSet {
    /// Whether a pitch, in any octave, belongs to the set.
    #[must_use]
    pub const fn contains(self, pitch: u8) -> bool {
        self.0 & (1 << (pitch % 12)) != 0
    }

    /// Whether all of another set belong to this one.
    #[must_use]
    pub const fn includes(self, other: PitchSet) -> bool {
        self.0 & other.0 == other.0
    }

    /// What both have.
    #[must_use]
    pub const fn and(self, other: PitchSet) -> PitchSet {
        PitchSet(self.0 & other.0)
    }

    /// What either has.
    #[must_use]
    pub const fn or(self, other: PitchSet) -> PitchSet {
        PitchSet(self.0 | other.0)
    }

    /// How many there are.
    #[must_use]
    pub const fn count(self) -> u32 {
        self.0.count_ones()
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The nearest pitch of the set above a pitch; `None` in an empty set or above MIDI's range.
    #[must_use]
    pub fn above(self, pitch: u8) -> Option<u8> {
        (1..=12).map(|up| pitch.saturating_add(up)).find(|&up| up < 128 && self.contains(up))
    }

    /// The nearest pitch of the set below a pitch; `None` in an empty set or below MIDI's range.
    #[must_use]
    pub fn below(self, pitch: u8) -> Option<u8> {
        (1..=12).filter_map(|down| pitch.checked_sub(down)).find(|&down| self.contains(down))
    }

    /// The pitch a number of the set's steps above; `None` as in [`PitchSet::above`].
    #[must_use]
    pub fn steps_above(self, pitch: u8, steps: usize) -> Option<u8> {
        (0..steps).try_fold(pitch, |at, _| self.above(at))
    }
}

impl FromIterator<u8> for PitchSet {
    fn from_iter<I: IntoIterator<Item = u8>>(pitches: I) -> PitchSet {
        PitchSet(pitches.into_iter().fold(0, |set, pitch| set | 1 << (pitch % 12)))
    }
}
