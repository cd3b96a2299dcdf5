//! Signs before a note: those that can be played, and those that are read over.

use super::omitted::Omitted;
use crate::codec::loudness;
use crate::units::Velocity;

/// How the coming note, or all that come, are played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// From here on so loud.
    Loudness(Velocity),
    /// This note stands out.
    Accent,
    /// This note is cut short.
    Staccato,
}

/// What a sign in exclamation marks is.
pub(super) fn named(name: &str) -> Result<Mark, Omitted> {
    match name {
        ">" | "accent" | "emphasis" | "^" | "marcato" => Ok(Mark::Accent),
        "staccato" | "." | "wedge" => Ok(Mark::Staccato),
        "0" | "1" | "2" | "3" | "4" | "5" => Err(Omitted::Fingering),
        _ => loudness::velocity(name).map(Mark::Loudness).ok_or(Omitted::Decoration),
    }
}

/// What a sign of one letter is; `None` where the letter is no sign.
pub(super) fn short(sign: char) -> Option<Result<Mark, Omitted>> {
    match sign {
        '.' => Some(Ok(Mark::Staccato)),
        'L' => Some(Ok(Mark::Accent)),
        '~' | 'H' | 'M' | 'O' | 'P' | 'R' | 'S' | 'T' | 'u' | 'v' => Some(Err(Omitted::Decoration)),
        _ => None,
    }
}
