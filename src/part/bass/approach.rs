//! The beat before a change.

use super::steps::Step;

/// Whether `from`, a note under `step`, leads into `to`, a note of the step after: by half step,
/// by a step of either chord's scale, or from the fifth of its chord, falling or rising.
pub(super) fn leads(step: &Step, from: u8, next: &Step, to: u8) -> bool {
    let in_a_scale = step.tones.scale.contains(from) || next.tones.scale.contains(from);
    match i16::from(from) - i16::from(to) {
        1 | -1 | 7 | -5 => true,
        2 | -2 => in_a_scale,
        _ => false,
    }
}
