//! Who plays how.

use crate::performance::Part;

/// How a part keeps time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Player {
    /// Bass and drums: their beat is the beat.
    RhythmSection,
    /// Line and comp: with a rhythm section a little behind its beat, alone on it.
    Soloist,
    /// Click and count-in: exact.
    Machine,
}

impl Player {
    pub(super) const fn of(part: Part) -> Player {
        match part {
            Part::Bass | Part::Drums => Player::RhythmSection,
            Part::Comp | Part::Line => Player::Soloist,
            Part::Click | Part::CountIn => Player::Machine,
        }
    }
}
