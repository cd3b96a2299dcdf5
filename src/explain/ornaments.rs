//! What a note is to the notes that follow it.

use crate::melody::{PitchSet, Role, Side};
use crate::theory::{Interval, NoteName, chord_scale};

use super::Line;

/// Enclosures and approaches.
pub(super) fn double(line: &Line, index: usize) -> Vec<Role> {
    let mut roles = Vec::new();
    let joined = |first: &usize| line.is_joined(first + 1) && line.is_joined(first + 2);
    for first in [index.checked_sub(1), Some(index)].into_iter().flatten().filter(joined) {
        roles.extend(enclosure(line, first, index));
        roles.extend(approach(line, first, index));
    }
    roles
}

/// A half step to the chord tone that follows.
pub(super) fn neighbour(line: &Line, index: usize) -> Option<Role> {
    let next = line.pitch_at(index, 1).filter(|_| line.is_joined(index + 1))?;
    let of = line.chord_degree(index + 1)?;
    match i16::from(next) - i16::from(line.pitch(index)) {
        1 => Some(Role::Neighbour { side: Side::Below, of }),
        -1 => Some(Role::Neighbour { side: Side::Above, of }),
        _ => None,
    }
}

/// `index` as the first or second of two notes on both sides of the chord tone after them.
fn enclosure(line: &Line, first: usize, index: usize) -> Option<Role> {
    let of = line.chord_degree(first + 2)?;
    let harmony = line.harmony(first + 2)?;
    let scale: PitchSet =
        chord_scale(harmony).pitch_classes(harmony.symbol.root).into_iter().collect();
    let target = line.pitch(first + 2);
    let sides: Vec<Option<Side>> = [first, first + 1]
        .into_iter()
        .map(|index| match i16::from(line.pitch(index)) - i16::from(target) {
            -1 => Some(Side::Below),
            1 => Some(Side::Above),
            2 if scale.above(target) == Some(line.pitch(index)) => Some(Side::Above),
            _ => None,
        })
        .collect();
    match sides[..] {
        [Some(one), Some(other)] if one != other => {
            let side = if index == first { one } else { other };
            Some(Role::Enclosure { side, of })
        }
        _ => None,
    }
}

/// `index` as the first or second of two half steps into the chord tone after them.
fn approach(line: &Line, first: usize, index: usize) -> Option<Role> {
    let of = line.chord_degree(first + 2)?;
    let target = i16::from(line.pitch(first + 2));
    let away = [first, first + 1].map(|index| i16::from(line.pitch(index)) - target);
    let side = match away {
        [-2, -1] => Side::Below,
        [2, 1] => Side::Above,
        _ => return None,
    };
    let distance = if index == first { 2 } else { 1 };
    Some(Role::Approach { side, distance, of })
}

/// Semitones from a note to the one before and to the one after it, where there is no rest between.
fn around(line: &Line, index: usize) -> (Option<i16>, Option<i16>) {
    let away = |offset: isize| {
        Some(i16::from(line.pitch_at(index, offset)?) - i16::from(line.pitch(index)))
    };
    let before = away(-1).filter(|_| line.is_joined(index));
    (before, away(1).filter(|_| line.is_joined(index + 1)))
}

/// A chromatic note in the middle of a whole step.
pub(super) fn passing(line: &Line, index: usize) -> Option<Role> {
    matches!(around(line, index), (Some(-1), Some(1)) | (Some(1), Some(-1)))
        .then_some(Role::Passing)
}

/// Whether the notes on both sides are tones of their chords.
pub(super) fn is_between_chord_tones(line: &Line, index: usize) -> bool {
    let before = index.checked_sub(1).and_then(|before| line.chord_degree(before));
    before.is_some() && line.chord_degree(index + 1).is_some()
}

/// Whether the line comes by step and goes on by step in the same direction.
pub(super) fn goes_through(line: &Line, index: usize) -> bool {
    matches!(around(line, index), (Some(-2..=-1), Some(1..=2)) | (Some(1..=2), Some(-2..=-1)))
}

/// A note at most a step from the next one, or before a rest.
pub(super) fn link(line: &Line, index: usize) -> Option<Role> {
    let (_, after) = around(line, index);
    after.is_none_or(|after| after.abs() <= 2).then_some(Role::Link)
}

/// The name of a note that leads to a chord tone: a letter below or above it.
pub(super) fn spelled(line: &Line, index: usize, role: Role) -> Option<NoteName> {
    let (side, of) = match role {
        Role::Neighbour { side, of }
        | Role::Enclosure { side, of }
        | Role::Approach { side, of, .. } => (side, of),
        _ => return None,
    };
    let target = (index + 1..index + 3).find(|&target| line.chord_degree(target) == Some(of))?;
    let steps = match side {
        Side::Below => -1,
        Side::Above => 1,
    };
    let away = i16::from(line.pitch(index)) - i16::from(line.pitch(target));
    let interval = Interval { steps, semitones: i8::try_from(away).ok()? };
    Some(line.harmony(target)?.note(of).transpose(interval).simplified())
}
