//! Which parts share a bus, and where each mix hears it.

use std::sync::Arc;

use super::block::Block;
use super::pan::Matrix;
use super::spec::MixSpec;
use crate::performance::Part;
use crate::performance::Performance;

/// What a bus carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BusKind {
    /// Players.
    Programme,
    /// The click.
    Click,
    /// The count-in.
    CountIn,
}

/// Where a mix hears each bus, gain included.
#[derive(Debug, Clone)]
pub(super) struct Places(Vec<(BusKind, Option<Matrix>)>);

impl Places {
    /// The places of one mix, each at the gain of its kind.
    pub(super) fn of(groups: &[Group], mix: usize, gain: impl Fn(BusKind) -> f64) -> Places {
        let place = |group: &Group| {
            let pan = group.placements.get(mix).copied().flatten();
            (group.kind, pan.map(|pan| Matrix::new(1.0, pan).scaled(gain(group.kind))))
        };
        Places(groups.iter().map(place).collect())
    }

    /// The blocks of the players, added up.
    pub(super) fn add_up_players(&self, blocks: &[Arc<Block>], sum: &mut Block) {
        let mut is_first = true;
        for (block, place) in self.heard(blocks, true) {
            sum.lay(block.channels(), place, is_first);
            is_first = false;
        }
        if is_first {
            sum.left.fill(0.0);
            sum.right.fill(0.0);
        }
    }

    /// Adds the blocks of click and count-in.
    pub(super) fn add_pulses(&self, blocks: &[Arc<Block>], sum: &mut Block) {
        for (block, place) in self.heard(blocks, false) {
            sum.lay(block.channels(), place, false);
        }
    }

    /// Whether click or count-in sound in these blocks.
    pub(super) fn has_pulses(&self, blocks: &[Arc<Block>]) -> bool {
        self.heard(blocks, false).next().is_some()
    }

    fn heard<'a>(
        &'a self,
        blocks: &'a [Arc<Block>],
        players: bool,
    ) -> impl Iterator<Item = (&'a Arc<Block>, &'a Matrix)> {
        let wanted = move |kind: BusKind| (kind == BusKind::Programme) == players;
        let placed = blocks.iter().zip(&self.0);
        let sounding = placed.filter(move |(block, (kind, _))| block.sounds && wanted(*kind));
        sounding.filter_map(|(block, (_, place))| place.as_ref().map(|place| (block, place)))
    }
}

/// Parts that are heard together in every one of some mixes, and so share a bus.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    kind: BusKind,
    pub(super) parts: Vec<Part>,
    /// Where they are in each mix; `None` where they are not heard.
    placements: Vec<Option<f64>>,
}

impl Group {
    /// Whether it sounds all through a take.
    pub(super) fn is_of_players(&self) -> bool {
        self.kind == BusKind::Programme
    }
}

/// The groups that these mixes make of the parts of a take.
pub(super) fn groups(take: &Performance, mixes: &[MixSpec]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for part in &take.parts {
        let (part, kind) = (part.part, kind(part.part));
        let placements: Vec<_> = mixes.iter().map(|mix| mix.placement(part)).collect();
        if placements.iter().all(Option::is_none) {
            continue;
        }
        let alike = |group: &&mut Group| group.kind == kind && group.placements == placements;
        match groups.iter_mut().find(alike) {
            Some(group) => group.parts.push(part),
            None => groups.push(Group { kind, parts: vec![part], placements }),
        }
    }
    groups
}

fn kind(part: Part) -> BusKind {
    match part {
        Part::Click => BusKind::Click,
        Part::CountIn => BusKind::CountIn,
        Part::Comp | Part::Bass | Part::Drums | Part::Line => BusKind::Programme,
    }
}
