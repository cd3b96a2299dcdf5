//! One shape, shifted.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::{Join, Slot};
use crate::melody::{Material, Role};

use super::PositionContext;

/// A note of the shape outside the chord's scale.
const OUTSIDE: f64 = 0.5;
/// More for one in the shape that comes home.
const AWAY_AT_THE_END: f64 = 1.2;
/// A shape that enters a chord on another note than one of its tones.
const FOREIGN_ENTRY: f64 = 0.8;

/// The shape from any note, the last over a chord one that ends in the chord's scale; the rest of the
/// time goes to the next chord in half steps.
pub(super) fn shapes(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let Material::Shape { intervals, shift, .. } = context.piece().assignment.material else {
        return Vec::new();
    };
    if context.slot() == Slot::Link {
        let half_steps = |pitch| Group::single(pitch, Role::Link, Join::Step, 0.0);
        return context.pitches().map(half_steps).collect();
    }
    let span = intervals.iter().sum();
    let by = shift.cast_signed();
    let position = context.position();
    let join = if position.enters { Join::Step } else { Join::Shift { by, span } };
    let last = is_last(context);
    let mut groups: Vec<Group> = context
        .pitches()
        .filter_map(|start| {
            let mut pitch = start;
            let mut notes = Vec::with_capacity(4);
            for position in 1..=4 {
                notes.push(GroupNote { pitch, role: Role::Shape { intervals, position } });
                if let Some(&interval) = intervals.get(usize::from(position) - 1) {
                    pitch = pitch.checked_add_signed(interval)?;
                }
            }
            let outside =
                notes.iter().filter(|note| !ground.scale_set.contains(note.pitch)).count();
            let away = if last { AWAY_AT_THE_END } else { 0.0 };
            let entry = if position.enters && !ground.tone_set.contains(start) {
                FOREIGN_ENTRY
            } else {
                0.0
            };
            #[expect(clippy::cast_precision_loss, reason = "at most four")]
            Some(Group::of(notes, join, outside as f64 * (OUTSIDE + away) + entry))
        })
        .collect();
    if last {
        let home =
            |group: &Group| group.ends().is_some_and(|(_, end)| ground.scale_set.contains(end));
        groups.retain(home);
    }
    groups
}

/// Whether no shape follows over the same chord.
fn is_last(context: &PositionContext) -> bool {
    let piece = context.position().piece;
    let after = context.grid.iter().zip(context.slots).skip(context.index + 1);
    !after
        .take_while(|(position, _)| position.piece == piece)
        .any(|(_, slot)| matches!(slot, Slot::Group(_)))
}
