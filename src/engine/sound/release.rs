//! What letting a key go does to a waveform, besides making it softer.
//!
//! Where a modulation envelope moves the filter, or a loop is left, every length of a note is a waveform
//! of its own. Mostly that is not heard: the sample has ended before, or the envelope has, or the filter
//! stays open whatever moves it; and a few milliseconds seldom matter.

use super::SHORTEST;
use super::soundfont::{Generator, LoopMode, Region, Settings};
use super::voice::{BLOCK, ended, open_cents};
use crate::units::SampleRate;

/// Which notes of a strand share a waveform, by the block in which their key is let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Release {
    /// From this block on all sound as if the key were held.
    settled: u32,
    /// Before it, those that are let go within so many blocks sound alike.
    step: u32,
}

/// While a note fades by 40 dB its filter may move by so many cents (half an octave) and its
/// pitch by so many before that is a change worth a waveform of its own. Common practice for the
/// pitch, from memory for the filter.
const FILTER_DRIFT: f64 = 600.0;
const PITCH_DRIFT: f64 = 3.0;
/// Cents by which the filter of a waveform may be from where it is in a note's own. At 12 dB an octave
/// that is a twentieth of a decibel; differences in level are heard from about one (from memory).
const FILTER_STEP: f64 = 5.0;

impl Release {
    /// Never heard.
    const UNHEARD: Release = Release { settled: 0, step: 1 };

    /// What holds for all voices of a strand, which differ only in where their samples start.
    pub(super) fn of(regions: &[&Region], key: u8, rate: SampleRate) -> Release {
        let longest = regions.iter().min_by_key(|region| region.sample.start);
        longest.map_or(Release::UNHEARD, |region| Release::of_one(region, key, rate))
    }

    fn of_one(region: &Region, key: u8, rate: SampleRate) -> Release {
        if region.loop_mode == LoopMode::UntilRelease {
            return Release { settled: u32::MAX, step: 1 };
        }
        let settings = &region.settings;
        let setting = |generator| f64::from(settings.get(generator));
        let envelope = Envelope::new(settings, key);
        // Loudness falls by 80 dB, more than is played, and by 40 in half.
        let fading = seconds(settings, Generator::VolEnvRelease).max(0.01);
        let drift = (fading / 2.0 / envelope.release).min(1.0);
        let cents = setting(Generator::ModEnvToCutoff);
        let lowest = if cents < 0.0 { cents } else { cents * envelope.lowest(fading) };
        let cutoff = setting(Generator::FilterCutoff) - setting(Generator::ModLfoToCutoff).abs();
        let is_open = envelope.rises_at_once(rate) && cutoff + lowest > open_cents(rate);
        let moves_filter = drift * cents.abs() > FILTER_DRIFT && !is_open;
        let moves_pitch = drift * setting(Generator::ModEnvToPitch).abs() > PITCH_DRIFT;
        if !moves_filter && !moves_pitch {
            return Release::UNHEARD;
        }
        // One more, since a key is let go at the start of a block.
        let settled = envelope.falls_to_nothing().map(|time| blocks(time, rate).saturating_add(1));
        let settled = [settled, ended(region, key, rate)].into_iter().flatten().min();
        let shift = FILTER_STEP / (cents.abs() * envelope.slope(rate));
        let step = if moves_pitch { 1 } else { blocks(2.0 * shift, rate).max(1) };
        Release { settled: settled.unwrap_or(u32::MAX), step }
    }

    /// In which block the key is let go as far as the waveform knows; `None` where it may as well be held.
    pub(super) fn heard(self, block: u32) -> Option<u32> {
        let nearest = block.saturating_add(self.step / 2) / self.step * self.step;
        (block < self.settled).then_some(nearest.max(SHORTEST))
    }
}

/// A modulation envelope, its times in seconds.
struct Envelope {
    /// Until it is at its top, at the softest velocity.
    rise: f64,
    /// The part of that in which it rises, at the hardest.
    attack: f64,
    hold: f64,
    decay: f64,
    /// As a share of the top.
    sustain: f64,
    release: f64,
}

impl Envelope {
    fn new(settings: &Settings, key: u8) -> Envelope {
        let setting = |generator| f64::from(settings.get(generator));
        let time = |generator| seconds(settings, generator);
        let by_key = |generator| (setting(generator) * (60.0 - f64::from(key)) / 1_200.0).exp2();
        let attack = time(Generator::ModEnvAttack);
        Envelope {
            rise: time(Generator::ModEnvDelay) + attack,
            attack: attack * (145.0 - 127.0) / 144.0,
            hold: time(Generator::ModEnvHold) * by_key(Generator::KeyToModEnvHold),
            decay: time(Generator::ModEnvDecay) * by_key(Generator::KeyToModEnvDecay),
            sustain: (1.0 - setting(Generator::ModEnvSustain) / 1_000.0).clamp(0.0, 1.0),
            release: time(Generator::ModEnvRelease),
        }
    }

    /// Whether it is at its top before any key can be let go.
    fn rises_at_once(&self, rate: SampleRate) -> bool {
        blocks(self.rise, rate) < SHORTEST
    }

    /// The lowest that it comes to between its top and so many seconds after the key is let go.
    fn lowest(&self, after: f64) -> f64 {
        self.sustain * (1.0 - after / self.release).max(0.0)
    }

    /// When a key may be let go without being noticed, if ever: nothing is left to fall from.
    fn falls_to_nothing(&self) -> Option<f64> {
        (self.sustain <= 0.0).then_some(self.rise + self.hold + self.decay)
    }

    /// By how much it differs, for each second that a key is let go sooner or later.
    fn slope(&self, rate: SampleRate) -> f64 {
        let rising = if self.rises_at_once(rate) { 0.0 } else { 1.0 / self.attack };
        let falling = if self.sustain < 1.0 { 1.0 / self.decay } else { 0.0 };
        rising + falling.max(1.0 / self.release)
    }
}

/// A time in seconds, of which the file has timecents.
fn seconds(settings: &Settings, generator: Generator) -> f64 {
    (f64::from(settings.get(generator)) / 1_200.0).exp2()
}

/// Whole blocks in a time of seconds.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative")]
#[expect(clippy::cast_precision_loss, reason = "64")]
fn blocks(seconds: f64, rate: SampleRate) -> u32 {
    (seconds * f64::from(rate.hz()) / BLOCK as f64) as u32
}

#[cfg(test)]
mod tests;
