//! Chord tones up to the ninth.

use crate::compose::grid::PlaceKind;
use crate::compose::ground::Ground;
use crate::compose::group::{Group, Sung};
use crate::compose::join::Join;
use crate::units::{Meter, Ticks};

use super::Site;

/// How much a triplet has to be worth it.
const TRIPLET: f64 = 1.6;

/// The chord's own tones only.
pub(super) fn plain(site: &Site, ground: &Ground) -> Vec<Group> {
    site.pitches()
        .filter(|&pitch| ground.tone_set.contains(pitch))
        .map(|pitch| Group::single(pitch, site.role(ground, pitch), Join::Free, 0.0))
        .collect()
}

/// Own tones on strong beats, the outline between them; and triplets that run through it.
pub(super) fn outlines(site: &Site, ground: &Ground) -> Vec<Group> {
    let place = site.place();
    let allowed = if place.strong || place.enters { ground.tone_set } else { ground.outline_set };
    let mut groups: Vec<Group> = site
        .pitches()
        .filter(|&pitch| allowed.contains(pitch))
        .map(|pitch| Group::single(pitch, site.role(ground, pitch), Join::Free, 0.0))
        .collect();
    let next_is_here = site.grid.get(site.index + 1).is_some_and(|next| {
        next.piece == place.piece && next.kind == PlaceKind::Eighth && next.length == Ticks::EIGHTH
    });
    if place.beat && next_is_here && has_triplets(site) {
        let starts = site.pitches().filter(|&pitch| allowed.contains(pitch));
        groups.extend(starts.flat_map(|start| triplets(site, ground, start)));
    }
    groups
}

/// Triplets are of a quarter; the beats of six eighths are triplets already.
fn has_triplets(site: &Site) -> bool {
    site.meter != Meter::SixEight
}

fn triplets(site: &Site, ground: &Ground, start: u8) -> Vec<Group> {
    let set = ground.outline_set;
    let up = [Some(start), set.above(start), set.steps_above(start, 2)];
    let below = set.below(start);
    let down = [Some(start), below, below.and_then(|below| set.below(below))];
    [up, down]
        .into_iter()
        .filter_map(|pitches| pitches.into_iter().collect::<Option<Vec<u8>>>())
        .map(|pitches| {
            let sung = |pitch| Sung { pitch, role: site.role(ground, pitch) };
            let notes = pitches.into_iter().map(sung).collect();
            Group { places: 2, ..Group::of(notes, Join::Free, TRIPLET) }
        })
        .collect()
}
