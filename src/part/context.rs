//! What all players of a take know.

use super::BandPlan;
use crate::arrange::Timeline;

/// What all players of a take know. No player knows what another one plays: whatever they are to
/// agree on comes to each of them from here.
#[derive(Debug, Clone, Copy)]
pub struct PlayContext<'a> {
    /// What happens when.
    pub timeline: &'a Timeline,
    /// What the players have agreed on.
    pub plan: &'a BandPlan,
    /// The seed of every random choice.
    pub seed: u64,
}

impl<'a> PlayContext<'a> {
    /// The context of a take.
    #[must_use]
    pub const fn new(timeline: &'a Timeline, plan: &'a BandPlan, seed: u64) -> PlayContext<'a> {
        PlayContext { timeline, plan, seed }
    }
}
