//! Two notes that lead into a chord tone: from both sides, or by two half steps from one.

use crate::compose::Upper;
use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::Join;
use crate::melody::{PitchSet, Role, Side, degree_of};
use crate::theory::Degree;

use super::PositionContext;
use super::neighbours::between;

const CHORD_TONE: f64 = 0.6;
const SCALE_STEP: f64 = 0.8;
const ENCLOSURE: f64 = -1.2;
const APPROACH: f64 = -1.2;
/// The second of the two notes is on a strong beat and delays the chord tone.
const DELAY: f64 = 0.9;

/// Both neighbours in either order, then the chord tone.
pub(super) fn enclosures(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let mut groups = between(context, ground, CHORD_TONE, SCALE_STEP);
    lead_in(context, &mut groups, |target, target_ground, of| {
        let below = target.saturating_sub(1);
        let enclosing = |side| Role::Enclosure { side, of };
        let mut pairs = Vec::new();
        let above =
            upper_neighbours(target_ground.scale_set, target).filter(|&above| {
                match context.upper {
                    Upper::HalfStep => true,
                    Upper::Scale => Some(above) == target_ground.step_above(target),
                }
            });
        for above in above {
            let above = GroupNote { pitch: above, role: enclosing(Side::Above) };
            let below = GroupNote { pitch: below, role: enclosing(Side::Below) };
            pairs.push(([below, above], ENCLOSURE));
            pairs.push(([above, below], ENCLOSURE));
        }
        pairs
    });
    groups
}

/// Two half steps from below or from above, then the chord tone.
pub(super) fn approaches(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let mut groups = between(context, ground, CHORD_TONE, SCALE_STEP);
    lead_in(context, &mut groups, |target, _, of| {
        let from = |side: Side, first: u8, second: u8| {
            let note_of =
                |pitch, distance| GroupNote { pitch, role: Role::Approach { side, distance, of } };
            ([note_of(first, 2), note_of(second, 1)], APPROACH)
        };
        vec![
            from(Side::Below, target.saturating_sub(2), target.saturating_sub(1)),
            from(Side::Above, target.saturating_add(2), target.saturating_add(1)),
        ]
    });
    groups
}

/// The half step above, and the step of the scale above.
pub(in crate::compose) fn upper_neighbours(
    scale: PitchSet,
    target: u8,
) -> impl Iterator<Item = u8> {
    let half = target.saturating_add(1);
    let step = scale.above(target).filter(|&step| step == target.saturating_add(2));
    std::iter::once(half).chain(step)
}

/// Adds groups of two notes and the chord tone that follows them. The first of the two is never on
/// a strong beat, so that a chord tone that is delayed comes on the next eighth.
fn lead_in(
    context: &PositionContext,
    groups: &mut Vec<Group>,
    pairs: impl Fn(u8, &Ground, Degree) -> Vec<([GroupNote; 2], f64)>,
) {
    if context.position().strong || !context.reaches(3) {
        return;
    }
    let Some(ground) = context.ground(2) else { return };
    let delays = if context.grid[context.index + 1].strong { DELAY } else { 0.0 };
    for target in context.pitches().filter(|&pitch| ground.landing.contains(pitch)) {
        let Some(of) = degree_of(&ground.harmony, &ground.tones, target) else { continue };
        let arrival = GroupNote { pitch: target, role: Role::ChordTone { degree: of } };
        for ([first, second], cost) in pairs(target, ground, of) {
            groups.push(Group::of(vec![first, second, arrival], Join::Free, cost + delays));
        }
    }
}
