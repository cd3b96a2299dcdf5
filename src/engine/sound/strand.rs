//! The voices of a note that keep their balance.
//!
//! A good SoundFont has a note sound in several voices, and moves the balance of soft and hard
//! samples with the velocity in many small steps. A waveform for each step would be made and kept
//! many times over. So a note is taken apart into strands: voices of one sample and one timbre,
//! whose gains keep the same ratio at every step. Each strand is one waveform in the store, and
//! steps of velocity are gains.

use super::envelope::{Envelope, EnvelopeShape};
use super::release::Release;
use super::soundfont::{Generator, LoopMode, Region, Settings};
use crate::units::SampleRate;

/// Voices that are added up once.
#[derive(Debug, Clone)]
pub(super) struct Strand {
    /// Never empty. All with the same envelope.
    pub(super) voices: Vec<StrandVoice>,
    pub(super) envelope: Envelope,
    /// The largest gain that any velocity gives it; 0 until its key knows its layers.
    pub(super) loudest: f32,
    /// What letting the key go does to the waveform, apart from its loudness.
    pub(super) release: Release,
    /// Whether its timbre opens at a speed that follows the velocity.
    pub(super) opens_with_velocity: bool,
}

/// One voice of a strand.
#[derive(Debug, Clone)]
pub(super) struct StrandVoice {
    pub(super) region: Region,
    /// Attenuation over the first voice's, in the file's tenths of a decibel.
    attenuation: i32,
}

impl StrandVoice {
    /// The gain over the first voice's.
    pub(super) fn gain(&self) -> f32 {
        attenuation_gain(self.attenuation)
    }

    pub(super) fn pan(&self) -> i32 {
        self.region.settings.get(Generator::Pan)
    }

    /// Whether both sound alike but for the gain of their strand.
    fn same(&self, other: &StrandVoice) -> bool {
        let (a, b) = (&self.region, &other.region);
        self.attenuation == other.attenuation
            && self.pan() == other.pan()
            && a.sample == b.sample
            && timbre(a) == timbre(b)
    }
}

impl Strand {
    fn of(regions: &[&Region], key: u8, rate: SampleRate) -> Option<Strand> {
        let first = regions.first()?;
        let attenuation = |region: &Region| region.settings.get(Generator::Attenuation);
        Some(Strand {
            voices: regions
                .iter()
                .map(|region| StrandVoice {
                    region: (*region).clone(),
                    attenuation: attenuation(region) - attenuation(first),
                })
                .collect(),
            loudest: 0.0,
            envelope: Envelope::new(&EnvelopeShape::of(&first.settings), key, rate),
            release: Release::of(regions, key, rate),
            opens_with_velocity: opens_with_velocity(first),
        })
    }

    /// Whether both are the same waveform.
    pub(super) fn same(&self, other: &Strand) -> bool {
        self.voices.len() == other.voices.len()
            && self.voices.iter().zip(&other.voices).all(|(a, b)| a.same(b))
    }
}

/// The strands of regions that sound together, each with its gain.
pub(super) fn strands(regions: &[&Region], key: u8, rate: SampleRate) -> Vec<(Strand, f32)> {
    let mut groups: Vec<Vec<&Region>> = Vec::new();
    for region in regions {
        let alike = |group: &&mut Vec<&Region>| {
            group.first().is_some_and(|first| {
                first.sample.end == region.sample.end
                    && first.sample.looped == region.sample.looped
                    && timbre(first) == timbre(region)
            })
        };
        match groups.iter_mut().find(alike) {
            Some(group) => group.push(region),
            None => groups.push(vec![region]),
        }
    }
    groups
        .iter()
        .filter_map(|group| {
            let gain = attenuation_gain(group.first()?.settings.get(Generator::Attenuation));
            Some((Strand::of(group, key, rate)?, gain))
        })
        .collect()
}

/// Everything that shapes a voice's waveform and envelope but not its gain or place, nor where in
/// its sample it starts.
fn timbre(region: &Region) -> (Settings, LoopMode, u8, u32) {
    const ASIDE: [Generator; 8] = [
        Generator::StartOffset,
        Generator::StartCoarseOffset,
        Generator::Pan,
        Generator::Attenuation,
        Generator::KeyRange,
        Generator::VelocityRange,
        Generator::SampleId,
        Generator::ExclusiveClass,
    ];
    let mut settings = region.settings.clone();
    for generator in ASIDE {
        settings.set(generator, 0);
    }
    (settings, region.loop_mode, region.root_key, region.sample.rate)
}

/// Modulation attacks up to so many timecents (10 ms) sound the same at every velocity.
const FAST_ATTACK: i32 = -7_973;

fn opens_with_velocity(region: &Region) -> bool {
    let settings = &region.settings;
    let modulated = [Generator::ModEnvToCutoff, Generator::ModEnvToPitch]
        .iter()
        .any(|generator| settings.get(*generator) != 0);
    modulated && settings.get(Generator::ModEnvAttack) > FAST_ATTACK
}

/// The gain of an attenuation, of which the synthesiser takes 0.4 (as `rustysynth` 1.3.8,
/// `voice.rs`).
#[expect(clippy::cast_precision_loss, reason = "at most 1,440")]
fn attenuation_gain(tenths: i32) -> f32 {
    10_f32.powf(-0.05 * 0.4 * 0.1 * tenths as f32)
}

#[cfg(test)]
mod tests;
