//! Groups of notes in the time of others.

use super::fraction::Fraction;
use crate::units::Meter;

/// A group that has begun.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tuplet {
    /// What every length in it is multiplied by.
    pub(super) times: Fraction,
    /// How many notes, chords and rests it takes in all.
    pub(super) wanted: u32,
    /// How many it has.
    pub(super) found: u32,
}

impl Tuplet {
    /// `(p:q:r`, where what is left out follows from `p` and the meter (ABC 2.1, section 4.13,
    /// from memory): 3, 6 in the time of 2; 2, 4, 8 in the time of 3; 5, 7, 9 in that of 3 in
    /// compound meters, else 2.
    pub(super) fn new(
        notes: u32,
        in_time_of: Option<u32>,
        over: Option<u32>,
        meter: Meter,
    ) -> Tuplet {
        let in_time_of = in_time_of.unwrap_or(match notes {
            3 | 6 => 2,
            2 | 4 | 8 => 3,
            _ if meter == Meter::SixEight => 3,
            _ => 2,
        });
        Tuplet {
            times: Fraction::new(i64::from(in_time_of), i64::from(notes)),
            wanted: over.unwrap_or(notes),
            found: 0,
        }
    }
}
