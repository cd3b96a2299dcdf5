//! What a line costs: the lower, the better.
//!
//! Hundredths of a unit; one unit is what a third costs more than a step. The figures are ours,
//! set by ear and by the rules that the tests state; there is no published source.

use super::steps::Step;
use crate::style::{BassRegister, BassRole};

/// So much that no line with a broken rule is chosen while there is one without.
pub(super) const BROKEN_RULE: i64 = 1_000_000;

/// The random part of a note's cost stays below this, so that choruses differ where several
/// notes serve nearly as well.
pub(super) const CHANCE: u8 = 150;

/// The same bar of degrees as the bar before.
pub(super) const SAME_PATTERN: i64 = 120;

/// What a pitch costs by itself.
pub(super) fn of_pitch(step: &Step, pitch: u8, register: BassRegister) -> i64 {
    let away = i64::from(pitch) - i64::from(register.centre);
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

/// What it costs to go from one note to the next: steps are free, thirds nearly, an octave is
/// better than a seventh, and the same note again is dull.
pub(super) fn of_move(from: u8, to: u8) -> i64 {
    match from.abs_diff(to) {
        0 => 350,
        1 | 2 => 0,
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
    if !same_way && first.abs() <= 2 && second.abs() <= 2 {
        cost += 40;
    }
    cost
}

/// What it costs to leave a note that is outside the scale by anything but a half step.
pub(super) fn of_leaving(step: &Step, from: u8, to: u8) -> i64 {
    let passing = step.role == BassRole::Walk && !step.tones.scale.contains(from);
    if passing && from.abs_diff(to) != 1 { 400 } else { 0 }
}
