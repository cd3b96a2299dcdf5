//! Two triads in turn.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, Sung};
use crate::compose::join::{Join, Slot};
use crate::melody::{Material, Role};

use super::Site;
use super::cells::links;

/// Three notes of one of the two triads, up or down in any inversion; links lead into the next.
pub(super) fn triads(site: &Site, ground: &Ground) -> Vec<Group> {
    if site.slot() == Slot::Link {
        return links(site, ground);
    }
    let Material::Triads { pair, .. } = site.piece().assignment.material else {
        return Vec::new();
    };
    let mut groups = Vec::new();
    for (turn, triad) in (0..).zip(pair) {
        let set = triad.set();
        for start in site.pitches().filter(|&pitch| set.contains(pitch)) {
            let up: Vec<u8> =
                std::iter::successors(Some(start), |&at| set.above(at)).take(3).collect();
            let down: Vec<u8> =
                std::iter::successors(Some(start), |&at| set.below(at)).take(3).collect();
            for pitches in [up, down].into_iter().filter(|pitches| pitches.len() == 3) {
                let sung = |pitch| Sung { pitch, role: Role::TriadTone { triad } };
                let notes = pitches.into_iter().map(sung).collect();
                groups.push(Group { turn: Some(turn), ..Group::of(notes, Join::Free, 0.0) });
            }
        }
    }
    groups
}
