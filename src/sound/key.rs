//! Which waveform a note needs.

use super::soundfont::{Generator, LoopMode, Region};
use crate::part::Instrument;

/// Names a waveform. Notes that differ only in velocity or length mostly share one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct NoteKey {
    pub(super) instrument: Instrument,
    /// MIDI note number.
    pub(super) key: u8,
    /// The softest velocity at which the same samples sound.
    pub(super) layer: u8,
    /// For sounds whose timbre opens at a speed that follows the velocity.
    pub(super) velocity: Option<u8>,
    /// For sounds whose waveform itself changes when the key is let go: in which block.
    pub(super) release_block: Option<usize>,
}

impl NoteKey {
    /// The waveform of a note of a preset with these regions.
    pub(super) fn of(
        instrument: Instrument,
        regions: &[Region],
        key: u8,
        velocity: u8,
        release_block: usize,
    ) -> NoteKey {
        let any = |what: fn(&Region) -> bool| sounding(regions, key, velocity).any(what);
        NoteKey {
            instrument,
            key,
            layer: layer(regions, key, velocity),
            velocity: any(opens_with_velocity).then(|| in_steps(velocity)),
            release_block: any(changes_on_release)
                .then(|| release_block.next_multiple_of(RELEASE_STEP)),
        }
    }

    /// A velocity at which the waveform can be made.
    pub(super) fn playable_velocity(&self) -> u8 {
        self.velocity.unwrap_or(self.layer).clamp(1, 127)
    }
}

/// The regions that sound for a note.
pub(super) fn sounding(regions: &[Region], key: u8, velocity: u8) -> impl Iterator<Item = &Region> {
    regions.iter().filter(move |region| region.sounds_on(key) && region.sounds_at(velocity))
}

/// The softest velocity from which on the same regions sound as at `velocity`.
fn layer(regions: &[Region], key: u8, velocity: u8) -> u8 {
    regions
        .iter()
        .filter(|region| region.sounds_on(key))
        .flat_map(|region| {
            let range = region.velocities();
            [*range.start(), range.end().saturating_add(1)]
        })
        .filter(|edge| *edge <= velocity)
        .max()
        .unwrap_or(1)
}

/// Waveforms that change when the key is let go are kept for releases in steps of so many blocks,
/// 12 ms: timbre may change that much later than loudness, which is always exact.
const RELEASE_STEP: usize = 8;
/// While a note fades by 40 dB its filter may move by so many cents (half an octave) and its
/// pitch by so many before that is a change worth a waveform of its own. Common practice for the
/// pitch, from memory for the filter.
const FILTER_DRIFT: f64 = 600.0;
const PITCH_DRIFT: f64 = 3.0;
/// Modulation attacks up to so many timecents (10 ms) sound the same at every velocity.
const FAST_ATTACK: i32 = -7_973;
/// Velocities that differ by less have the same modulation attack within 6 %.
const VELOCITY_STEP: u8 = 8;

/// Whether the waveform, apart from its loudness, is another one once the key is let go.
fn changes_on_release(region: &Region) -> bool {
    let settings = &region.settings;
    // Both envelopes' releases in seconds. Loudness falls by 80 dB in its own, by 40 in half.
    let seconds = |generator| (f64::from(settings.get(generator)) / 1_200.0).exp2();
    let fading = seconds(Generator::VolEnvRelease).max(0.01) / 2.0;
    let moved = (fading / seconds(Generator::ModEnvRelease)).min(1.0);
    let drift = |generator| moved * f64::from(settings.get(generator).abs());
    region.loop_mode == LoopMode::UntilRelease
        || drift(Generator::ModEnvToCutoff) > FILTER_DRIFT
        || drift(Generator::ModEnvToPitch) > PITCH_DRIFT
}

/// Whether the modulation envelope's attack, which follows the velocity, is long enough to hear.
fn opens_with_velocity(region: &Region) -> bool {
    let settings = &region.settings;
    let modulated = [Generator::ModEnvToCutoff, Generator::ModEnvToPitch]
        .iter()
        .any(|generator| settings.get(*generator) != 0);
    modulated && settings.get(Generator::ModEnvAttack) > FAST_ATTACK
}

fn in_steps(velocity: u8) -> u8 {
    velocity.next_multiple_of(VELOCITY_STEP).min(127)
}

#[cfg(test)]
mod tests;
