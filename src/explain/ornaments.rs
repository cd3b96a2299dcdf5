//! What a note is to the notes that follow it.

use crate::melody::{PitchSet, Role, Side};
use crate::theory::{Interval, NoteName, chord_scale};

use super::Line;

/// Enclosures and approaches.
pub(super) fn double(line: &Line, index: usize) -> Vec<Role> {
    let mut roles = Vec::new();
    for first in [index.checked_sub(1), Some(index)].into_iter().flatten() {
        roles.extend(enclosure(line, first, index));
        roles.extend(approach(line, first, index));
    }
    roles
}

/// A half step to the chord tone that follows.
pub(super) fn neighbour(line: &Line, index: usize) -> Option<Role> {
    let next = line.pitch_at(index, 1)?;
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

/// A chromatic note in the middle of a whole step; a note at most a step from the next one, or
/// before a rest.
pub(super) fn linking(line: &Line, index: usize) -> Vec<Role> {
    let pitch = i16::from(line.pitch(index));
    let before = line.pitch_at(index, -1).map(|before| i16::from(before) - pitch);
    let after = line.pitch_at(index, 1).map(|after| i16::from(after) - pitch);
    let mut roles = Vec::new();
    if matches!((before, after), (Some(-1), Some(1)) | (Some(1), Some(-1))) {
        roles.push(Role::Passing);
    }
    let rest_follows = index + 1 < line.notes.len() && !line.is_joined(index + 1);
    if rest_follows || after.is_none_or(|after| after.abs() <= 2) {
        roles.push(Role::Link);
    }
    roles
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
