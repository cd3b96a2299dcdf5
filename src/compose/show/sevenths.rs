//! The seventh chords of the key.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::{Join, Slot};
use crate::melody::{PitchSet, Role};
use crate::theory::{Degree, NoteName};

use super::PositionContext;

/// A note of the group that is not in the chord's outline.
const OUTSIDE: f64 = 0.45;
/// An inversion, against the root position.
const INVERSION: f64 = 0.5;

/// Four notes of one seventh chord, up or down from any of them; links are notes of the key.
pub(super) fn sevenths(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let position = context.position();
    let join = if position.enters { Join::Free } else { Join::StepOrPivot };
    let lands = |pitch: &u8| !position.enters || ground.landing.contains(*pitch);
    if context.slot() == Slot::Link {
        let links = context.pitches().filter(|&pitch| ground.scale_set.contains(pitch));
        return links
            .filter(lands)
            .map(|pitch| Group::single(pitch, Role::Link, join, 0.0))
            .collect();
    }
    let mut groups = Vec::new();
    for root in seventh_chords(ground) {
        let set: PitchSet = root.tones.iter().map(|tone| tone.0).collect();
        for start in context.pitches().filter(|&pitch| set.contains(pitch)).filter(lands) {
            let up = std::iter::successors(Some(start), |&at| set.above(at)).take(4);
            let down = std::iter::successors(Some(start), |&at| set.below(at)).take(4);
            groups.extend(root.group(up, ground, join));
            groups.extend(root.group(down, ground, join));
        }
    }
    groups
}

/// A seventh chord: its root, and its tones as pitch classes with their degrees.
struct SeventhChord {
    root: NoteName,
    tones: Vec<(u8, Degree)>,
}

impl SeventhChord {
    fn group(
        &self,
        pitches: impl Iterator<Item = u8>,
        ground: &Ground,
        join: Join,
    ) -> Option<Group> {
        let degree = |pitch: u8| self.tones.iter().find(|tone| tone.0 == pitch % 12);
        let notes: Option<Vec<GroupNote>> = pitches
            .map(|pitch| {
                let (_, degree) = *degree(pitch)?;
                Some(GroupNote { pitch, role: Role::SeventhChord { root: self.root, degree } })
            })
            .collect();
        let notes = notes.filter(|notes| notes.len() == 4)?;
        let outside = notes.iter().filter(|note| !ground.outline_set.contains(note.pitch)).count();
        let ends_on_root = [notes.first(), notes.last()]
            .into_iter()
            .flatten()
            .any(|note| note.role == Role::SeventhChord { root: self.root, degree: Degree::ROOT });
        let inversion = if ends_on_root { 0.0 } else { INVERSION };
        #[expect(clippy::cast_precision_loss, reason = "at most four")]
        let cost = outside as f64 * OUTSIDE + inversion;
        Some(Group::of(notes, join, cost))
    }
}

/// The seventh chords on the steps of the key's scale.
fn seventh_chords(ground: &Ground) -> Vec<SeventhChord> {
    let steps = ground.scale.pitch_classes(ground.root);
    let count = steps.len();
    (0..count)
        .map(|step| {
            let root = steps[step];
            let tone = |third: usize| steps[(step + 2 * third) % count];
            let tones = [0, 1, 2, 3].map(|third| {
                let pitch_class = tone(third);
                let above = (pitch_class + 12 - root) % 12;
                (pitch_class, third_degree(third, above))
            });
            SeventhChord { root: ground.key.spell(root), tones: tones.to_vec() }
        })
        .collect()
}

/// 1, 3, 5 or 7 with the alteration that so many semitones take.
fn third_degree(third: usize, semitones: u8) -> Degree {
    let (number, natural) = [(1, 0), (3, 4), (5, 7), (7, 11)][third];
    let alter = semitones.cast_signed() - natural;
    Degree::new(number, alter)
}
