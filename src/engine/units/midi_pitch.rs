//! MIDI note numbers.

use std::fmt;

/// A MIDI note number, 0 to 127; 60 is middle C. On a percussion channel it is the key of the kit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MidiPitch(u8);

impl MidiPitch {
    /// The lowest, C-1.
    pub const LOWEST: MidiPitch = MidiPitch(0);
    /// The highest, G9.
    pub const HIGHEST: MidiPitch = MidiPitch(127);

    /// The pitch of a number; `None` beyond 127.
    #[must_use]
    pub const fn new(number: u8) -> Option<MidiPitch> {
        if number > 127 { None } else { Some(MidiPitch(number)) }
    }

    /// The number, 0 to 127.
    #[must_use]
    pub const fn get(self) -> u8 {
        self.0
    }

    /// So many semitones higher, or lower where they are negative; `None` outside MIDI's numbers.
    #[must_use]
    pub fn moved(self, semitones: i16) -> Option<MidiPitch> {
        MidiPitch::try_from(i16::from(self.0).checked_add(semitones)?).ok()
    }

    /// Its pitch class, 0 (C) to 11 (B).
    #[must_use]
    pub const fn pitch_class(self) -> u8 {
        self.0 % 12
    }
}

/// A number is no MIDI note number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{0} is no MIDI note number: they go from 0 to 127")]
pub struct MidiPitchError(pub i64);

impl TryFrom<i16> for MidiPitch {
    type Error = MidiPitchError;
    fn try_from(number: i16) -> Result<MidiPitch, MidiPitchError> {
        let pitch = u8::try_from(number).ok().and_then(MidiPitch::new);
        pitch.ok_or(MidiPitchError(number.into()))
    }
}

impl TryFrom<i64> for MidiPitch {
    type Error = MidiPitchError;
    fn try_from(number: i64) -> Result<MidiPitch, MidiPitchError> {
        let pitch = u8::try_from(number).ok().and_then(MidiPitch::new);
        pitch.ok_or(MidiPitchError(number))
    }
}

impl From<MidiPitch> for u8 {
    fn from(pitch: MidiPitch) -> u8 {
        pitch.0
    }
}

impl From<MidiPitch> for i16 {
    fn from(pitch: MidiPitch) -> i16 {
        pitch.0.into()
    }
}

impl From<MidiPitch> for i64 {
    fn from(pitch: MidiPitch) -> i64 {
        pitch.0.into()
    }
}

impl fmt::Display for MidiPitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MIDI 1.0: data bytes are 0 to 127.
    #[test]
    fn there_is_nothing_beyond_127() {
        assert_eq!(MidiPitch::new(127), Some(MidiPitch::HIGHEST));
        assert_eq!(MidiPitch::new(128), None);
        assert_eq!(MidiPitch::HIGHEST.moved(1), None);
        assert_eq!(MidiPitch::LOWEST.moved(-1), None);
        assert_eq!(MidiPitch::LOWEST.moved(i16::MIN), None);
        assert_eq!(MidiPitch::HIGHEST.moved(-12).map(MidiPitch::get), Some(115));
        assert_eq!(MidiPitch::try_from(-1_i64), Err(MidiPitchError(-1)));
    }
}
