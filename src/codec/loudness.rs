//! Dynamic marks, which ABC and MusicXML share.

use crate::units::Velocity;

/// The velocity of a dynamic mark, `pp` to `fff`; `None` where the text is none.
///
/// The figures are from memory, as notation programs play them.
pub(super) fn velocity(mark: &str) -> Option<Velocity> {
    let velocity = match mark {
        "pppp" | "ppp" => 20,
        "pp" => 36,
        "p" => 52,
        "mp" => 66,
        "mf" => 80,
        "f" => 96,
        "ff" => 112,
        "fff" | "ffff" => 124,
        _ => return None,
    };
    Some(Velocity::clamped(velocity))
}
