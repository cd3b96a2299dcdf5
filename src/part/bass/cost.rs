//! What a line costs: the lower, the better.
//!
//! Hundredths of a unit; one unit is what a third costs more than a step. The figures are ours,
//! set by ear and by the rules that the tests state; there is no published source.

use super::steps::Step;
use crate::style::BassRole;

/// So much that no line with a broken rule is chosen while there is one without.
pub(super) const BROKEN_RULE: i64 = 1_000_000;

/// The random part of a note's cost stays below this, so that choruses differ where several
/// notes serve nearly as well.
pub(super) const CHANCE: u8 = 150;

/// The same bar of degrees as the bar before.
pub(super) const SAME_PATTERN: i64 = 120;

/// A note again: root and fifth can bear it, other notes hardly.
const REPEATED: i64 = 60;
const REPEATED_INNER: i64 = 180;

/// What a pitch costs by itself.
pub(super) fn of_pitch(step: &Step, pitch: u8) -> i64 {
    let away = i64::from(pitch) - i64::from(step.home);
    colour(step, pitch) + away * away * 8 / 10
}

/// How well a pitch fits the chord, given what the note has to do.
fn colour(step: &Step, pitch: u8) -> i64 {
    let in_chord = step.tones.chord.contains(pitch);
    let in_scale = step.tones.scale.contains(pitch);
    match (step.role, in_chord, in_scale, step.is_strong) {
        (BassRole::Walk | BassRole::Approach, true, ..) => 0,
        (BassRole::Approach, ..) => 20,
        (BassRole::Walk, false, true, false) => 40,
        (BassRole::Walk, false, true, true) => 150,
        (BassRole::Walk, false, false, false) => 140,
        (BassRole::Walk, false, false, true) => 420,
        _ => 0,
    }
}

/// What it costs to go from the note of one step to that of the next: steps are free, thirds
/// nearly, an octave is better than a seventh, and the same note again is dull, unless it is a pedal
/// point. A leap wants to land on a note of the chord.
pub(super) fn of_move((before, from): (&Step, u8), (step, to): (&Step, u8)) -> i64 {
    let distance = from.abs_diff(to);
    let is_pedal = before.role == BassRole::Root
        && step.role == BassRole::Root
        && before.tones.target == step.tones.target;
    if is_pedal {
        return if distance == 0 { 0 } else { 200 };
    }
    let is_free = matches!(step.role, BassRole::Walk | BassRole::Chord);
    let lands_outside = distance >= 3 && is_free && !step.tones.chord.contains(to);
    let repeats = match distance {
        0 if step.tones.target.contains(to) || step.tones.fifth.contains(to) => REPEATED,
        0 => REPEATED_INNER,
        _ => 0,
    };
    repeats + of_distance(distance) + if lands_outside { 260 } else { 0 }
}

fn of_distance(semitones: u8) -> i64 {
    match semitones {
        0..=2 => 0,
        3 | 4 => 60,
        5 => 90,
        6 => 180,
        7 => 100,
        8 | 9 => 260,
        12 => 170,
        10 | 11 => 420,
        _ => 1500,
    }
}

/// What the shape of three notes costs: a leap wants to turn back, and a line that only alternates
/// between two notes goes nowhere.
pub(super) fn of_shape(before: u8, from: u8, to: u8) -> i64 {
    let first = i64::from(from) - i64::from(before);
    let second = i64::from(to) - i64::from(from);
    let same_way = first.signum() == second.signum();
    let mut cost = 0;
    if before == to {
        cost += if from == to { 900 } else { 160 };
    }
    if same_way && first.abs() >= 5 && second.abs() >= 3 {
        cost += 220;
    }
    if !same_way && first != 0 && second != 0 && first.abs() <= 2 && second.abs() <= 2 {
        cost += 40;
    }
    cost
}

/// A leap into a note outside the scale resolves by half step.
pub(super) fn of_resolving(step: &Step, before: u8, from: u8, to: u8) -> i64 {
    let is_leapt_to = before.abs_diff(from) >= 3 && !step.tones.scale.contains(from);
    if is_leapt_to && from.abs_diff(to) != 1 { 3000 } else { 0 }
}

/// What it costs to leave a note that is outside the scale by anything but a half step.
pub(super) fn of_leaving(step: &Step, from: u8, to: u8) -> i64 {
    let passing = step.role == BassRole::Walk && !step.tones.scale.contains(from);
    if passing && from.abs_diff(to) != 1 { 400 } else { 0 }
}
