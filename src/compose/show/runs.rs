//! Scales: notes one by one.

use crate::compose::ground::Ground;
use crate::compose::group::Group;
use crate::compose::join::Join;
use crate::melody::PitchSet;

use super::Site;

/// Chord tones on strong beats, scale steps between them.
pub(super) fn scale_runs(site: &Site, ground: &Ground) -> Vec<Group> {
    let place = site.place();
    let allowed = if place.strong || place.enters { ground.landing } else { ground.scale_set };
    singles(site, ground, allowed, Join::StepOrChordSkip)
}

/// The scale of the chord's function. Scales of eight notes put chord tones on every beat.
pub(super) fn chord_scales(site: &Site, ground: &Ground) -> Vec<Group> {
    let place = site.place();
    let eight_notes = ground.scale.degrees.len() == 8;
    let allowed = if place.enters {
        ground.landing
    } else if place.beat && eight_notes {
        ground.on_beats()
    } else {
        ground.scale_set
    };
    let mut groups = singles(site, ground, allowed, Join::Free);
    for group in &mut groups {
        let on_chord_tone = group.ends().is_some_and(|(pitch, _)| ground.landing.contains(pitch));
        if place.beat && !on_chord_tone {
            group.cost += if place.strong { 1.0 } else { 0.4 };
        }
    }
    groups
}

/// Pentatonics and blues: chord tones where they can be had on strong beats.
pub(super) fn few_notes(site: &Site, ground: &Ground) -> Vec<Group> {
    let place = site.place();
    let mut groups = singles(site, ground, ground.scale_set, Join::Free);
    for group in &mut groups {
        let on_chord_tone = group.ends().is_some_and(|(pitch, _)| ground.landing.contains(pitch));
        if (place.strong || place.enters) && !on_chord_tone {
            group.cost += 1.5;
        }
    }
    groups
}

fn singles(site: &Site, ground: &Ground, allowed: PitchSet, join: Join) -> Vec<Group> {
    site.pitches()
        .filter(|&pitch| allowed.contains(pitch))
        .map(|pitch| Group::single(pitch, site.role(ground, pitch), join, 0.0))
        .collect()
}
