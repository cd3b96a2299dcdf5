//! How hard a note is struck.

/// MIDI velocity, 1 to 127. Zero does not exist here: in a MIDI file it would be a note-off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Velocity(u8);

impl Velocity {
    /// The nearest legal velocity.
    #[must_use]
    pub const fn clamped(value: i32) -> Velocity {
        if value < 1 {
            Velocity(1)
        } else if value > 127 {
            Velocity(127)
        } else {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 127")]
            Velocity(value as u8)
        }
    }

    /// The number, 1 to 127.
    #[must_use]
    pub const fn get(self) -> u8 {
        self.0
    }
}
