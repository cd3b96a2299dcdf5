//! A preset taken apart: what sounds on each key at each velocity.

use super::event_gain;
use super::soundfont::{Generator, Region};
use super::strand::{Strand, strands};
use crate::units::SampleRate;

/// The keys of a preset, 0 to 127.
#[derive(Debug)]
pub(super) struct Preset(Vec<PresetKey>);

/// What one key can sound.
#[derive(Debug, Default)]
pub(super) struct PresetKey {
    /// Every waveform, once.
    pub(super) strands: Vec<Strand>,
    /// By the velocity from which each holds, softest first.
    layers: Vec<VelocityLayer>,
}

/// What sounds over a range of velocities.
#[derive(Debug)]
pub(super) struct VelocityLayer {
    from: u8,
    /// Numbers among the key's strands, and their gains.
    pub(super) strands: Vec<(usize, f32)>,
    /// The SoundFont's exclusive class, or 0.
    pub(super) exclusive_class: i32,
}

impl Preset {
    pub(super) fn new(regions: &[Region], rate: SampleRate) -> Preset {
        Preset((0..128).map(|key| PresetKey::new(regions, key, rate)).collect())
    }

    pub(super) fn key(&self, key: u8) -> Option<&PresetKey> {
        self.0.get(usize::from(key))
    }

    /// What sounds for a note; nothing where the preset has no region for it.
    pub(super) fn layer(&self, key: u8, velocity: u8) -> Option<&VelocityLayer> {
        let layers = &self.key(key)?.layers;
        let after = layers.partition_point(|layer| layer.from <= velocity);
        layers.get(after.checked_sub(1)?).filter(|layer| !layer.strands.is_empty())
    }
}

impl PresetKey {
    fn new(regions: &[Region], key: u8, rate: SampleRate) -> PresetKey {
        let regions: Vec<&Region> =
            regions.iter().filter(|region| region.keys().contains(&key)).collect();
        let mut edges: Vec<u8> = regions
            .iter()
            .map(|region| region.velocities())
            .flat_map(|range| [*range.start(), range.end().saturating_add(1)])
            .map(|edge| edge.max(1))
            .filter(|edge| *edge < 128)
            .collect();
        edges.sort_unstable();
        edges.dedup();
        let mut this = PresetKey::default();
        for from in edges {
            let sounding: Vec<&Region> = regions
                .iter()
                .copied()
                .filter(|region| region.velocities().contains(&from))
                .collect();
            let class = |region: &&Region| region.settings.get(Generator::ExclusiveClass);
            let exclusive_class = sounding.iter().map(class).find(|class| *class != 0).unwrap_or(0);
            let numbered = strands(&sounding, key, rate)
                .into_iter()
                .map(|(strand, gain)| (this.number(strand), gain))
                .collect();
            this.layers.push(VelocityLayer { from, strands: numbered, exclusive_class });
        }
        this.set_loudest();
        this
    }

    /// Finds the largest gain that each strand is played at.
    fn set_loudest(&mut self) {
        let mut to = 127;
        for layer in self.layers.iter().rev() {
            for (number, gain) in &layer.strands {
                let strand = &mut self.strands[*number];
                strand.loudest = strand.loudest.max(event_gain(to, *gain));
            }
            to = layer.from.saturating_sub(1);
        }
    }

    /// A strand's number, new or old.
    fn number(&mut self, strand: Strand) -> usize {
        let known = self.strands.iter().position(|other| other.same(&strand));
        known.unwrap_or_else(|| {
            self.strands.push(strand);
            self.strands.len() - 1
        })
    }
}
