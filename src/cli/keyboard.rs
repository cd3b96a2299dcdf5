//! A hand on a keyboard, in one line of text.
//!
//! Every key is one character, so that intervals can be seen: white keys are `.`, black keys `'`,
//! and what is played is `L` or `R`, for the hand that plays it. Each C stands under its name.

use crate::part::Hand;

/// The stretch of the keyboard that some voicings need, in whole octaves from C to B.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Keyboard {
    /// MIDI number of the lowest key, a C.
    low: u8,
    /// MIDI number of the highest key.
    high: u8,
}

impl Keyboard {
    /// A stretch that holds all keys, as MIDI numbers; none where there are none.
    pub(super) fn spanning(keys: impl Iterator<Item = u8> + Clone) -> Option<Keyboard> {
        let (low, high) = (keys.clone().min()?, keys.max()?);
        Some(Keyboard { low: low / 12 * 12, high: (high / 12 * 12 + 11).min(127) })
    }

    /// The names of the octaves, each over its C.
    pub(super) fn scale(&self) -> String {
        let mut scale = String::new();
        for key in (self.low..=self.high).step_by(12) {
            // MIDI number 60 is C4.
            let name = format!("C{}", i16::from(key / 12) - 1);
            scale.push_str(&format!("{name:12}"));
        }
        scale.trim_end().to_owned()
    }

    /// The keys that are played, each with its hand.
    pub(super) fn hand(&self, keys: &[(u8, Hand)]) -> String {
        let played = |key| keys.iter().find(|(pitch, _)| *pitch == key);
        (self.low..=self.high)
            .map(|key| match played(key).map(|(_, hand)| hand) {
                Some(Hand::Left) => 'L',
                Some(Hand::Right) => 'R',
                None if matches!(key % 12, 1 | 3 | 6 | 8 | 10) => '\'',
                None => '.',
            })
            .collect()
    }
}
