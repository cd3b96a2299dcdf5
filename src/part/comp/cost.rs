//! What it costs to move from one placement to the next.

use std::ops::Add;

use super::candidate::Candidate;

/// What a way costs. Compared first by motion and penalties; ways that are equal there by how
/// far they lie from where the style is at home.
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

/// The penalty for moving the hands while the chord stays, in semitones. Our choice: of ways that
/// are equally smooth, the one that moves with the chord is calmer.
const RESTLESS: u32 = 1;

/// What a placement costs in itself: its shape's penalty.
pub(super) fn of_placement(candidate: &Candidate, centre: u8) -> Cost {
    let centre = i16::from(centre);
    let off_centre = candidate.pitches.iter().map(|pitch| u32::from(pitch.abs_diff(centre))).sum();
    Cost { half_semitones: 2 * u32::from(candidate.penalty), off_centre }
}

/// What it costs to get from one placement to the next, `same_chord` telling whether the chord
/// stays.
pub(super) fn of_motion(from: &Candidate, to: &Candidate, same_chord: bool) -> Cost {
    let top = |candidate: &Candidate| candidate.pitches.last().copied().unwrap_or_default();
    let restless = if same_chord && from.pitches != to.pitches { RESTLESS } else { 0 };
    let semitones = semitones_moved(&from.pitches, &to.pitches) + restless;
    let half_semitones = 2 * semitones + u32::from(top(from).abs_diff(top(to)));
    Cost { half_semitones, off_centre: 0 }
}

/// Semitones moved in all. As many voices before as after: each goes to its own place, counted
/// from the lowest. Otherwise each voice of the fuller chord comes from, or goes to, the nearest
/// of the thinner.
pub(super) fn semitones_moved(from: &[i16], to: &[i16]) -> u32 {
    if from.len() == to.len() {
        return from.iter().zip(to).map(|(from, to)| u32::from(from.abs_diff(*to))).sum();
    }
    let (fuller, thinner) = if from.len() > to.len() { (from, to) } else { (to, from) };
    let nearest = |pitch: &i16| thinner.iter().map(|other| u32::from(pitch.abs_diff(*other))).min();
    fuller.iter().filter_map(nearest).sum()
}
