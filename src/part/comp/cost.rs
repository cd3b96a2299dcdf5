//! What it costs to move from one placement to the next.

use std::ops::Add;

use super::candidate::Candidate;
use crate::units::MidiPitch;

/// What a path costs. Compared first by motion and penalties; paths that are equal there by how
/// far they lie from the centre of the style's register.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub(super) struct Cost {
    /// Half semitones: two for each semitone that a voice moves, one more for each that the top
    /// voice moves, two for each of a penalty.
    pub(super) half_semitones: u32,
    /// Semitones from the centre of the register, summed over all notes.
    pub(super) off_centre: u32,
}

impl Add for Cost {
    type Output = Cost;
    fn add(self, other: Cost) -> Cost {
        Cost {
            half_semitones: self.half_semitones.saturating_add(other.half_semitones),
            off_centre: self.off_centre.saturating_add(other.off_centre),
        }
    }
}

/// The penalty for moving the hands while the chord stays, in semitones. Our choice: of paths that
/// are equally smooth, the one that moves with the chord is calmer.
const RESTLESS: u32 = 1;

/// What a placement costs in itself: its shape's penalty.
pub(super) fn of_placement(candidate: &Candidate, centre: u8) -> Cost {
    let off_centre = |pitch: &MidiPitch| u32::from(pitch.get().abs_diff(centre));
    let off_centre = candidate.pitches.iter().map(off_centre).sum();
    Cost { half_semitones: 2 * u32::from(candidate.penalty), off_centre }
}

/// What it costs to get from one placement to the next, `same_chord` telling whether the chord
/// stays.
pub(super) fn of_motion(from: &Candidate, to: &Candidate, same_chord: bool) -> Cost {
    let top_moves = match (from.pitches.last(), to.pitches.last()) {
        (Some(from), Some(to)) => apart(*from, *to),
        _ => 0,
    };
    let restless = if same_chord && from.pitches != to.pitches { RESTLESS } else { 0 };
    let semitones = semitones_moved(&from.pitches, &to.pitches) + restless;
    let half_semitones = 2 * semitones + top_moves;
    Cost { half_semitones, off_centre: 0 }
}

/// Semitones moved in all. As many voices before as after: each goes to its own place, counted
/// from the lowest. Otherwise each voice of the fuller chord comes from, or goes to, the nearest
/// of the thinner.
fn semitones_moved(from: &[MidiPitch], to: &[MidiPitch]) -> u32 {
    if from.len() == to.len() {
        return from.iter().zip(to).map(|(from, to)| apart(*from, *to)).sum();
    }
    let (fuller, thinner) = if from.len() > to.len() { (from, to) } else { (to, from) };
    let nearest = |pitch: &MidiPitch| thinner.iter().map(|other| apart(*pitch, *other)).min();
    fuller.iter().filter_map(nearest).sum()
}

/// Semitones between two pitches.
fn apart(one: MidiPitch, other: MidiPitch) -> u32 {
    u32::from(one.get().abs_diff(other.get()))
}
