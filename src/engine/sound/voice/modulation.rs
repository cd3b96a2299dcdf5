//! What moves a voice's pitch and filter: an envelope and two slow oscillators.
//!
//! The arithmetic repeats `rustysynth` 1.3.8 (`modulation_envelope.rs`, `lfo.rs`, `region_ex.rs`,
//! `region_pair.rs`): values change once a block.

use super::BLOCK;
use crate::sound::soundfont::{Generator, Settings};
use crate::units::SampleRate;

/// Where a voice has moved to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Moved {
    /// Pitch in keys.
    pub(super) pitch: f32,
    /// Cutoff of the filter in cents away from its own.
    pub(super) cents: f32,
}

/// All that moves a voice.
#[derive(Debug)]
pub(super) struct Modulation {
    key: f32,
    envelope: Envelope,
    vibrato: Lfo,
    lfo: Lfo,
    vibrato_to_pitch: f32,
    lfo_to_pitch: f32,
    envelope_to_pitch: f32,
    lfo_to_cutoff: f32,
    envelope_to_cutoff: f32,
}

impl Modulation {
    #[expect(clippy::cast_precision_loss, reason = "settings are of 16 bits")]
    pub(super) fn new(settings: &Settings, key: u8, velocity: u8, rate: SampleRate) -> Modulation {
        let setting = |generator| settings.get(generator) as f32;
        Modulation {
            key: key.into(),
            envelope: Envelope::new(settings, key, velocity, rate),
            vibrato: Lfo::new(settings, [Generator::VibLfoDelay, Generator::VibLfoFrequency], rate),
            lfo: Lfo::new(settings, [Generator::ModLfoDelay, Generator::ModLfoFrequency], rate),
            vibrato_to_pitch: 0.01 * setting(Generator::VibLfoToPitch),
            lfo_to_pitch: 0.01 * setting(Generator::ModLfoToPitch),
            envelope_to_pitch: 0.01 * setting(Generator::ModEnvToPitch),
            lfo_to_cutoff: setting(Generator::ModLfoToCutoff),
            envelope_to_cutoff: setting(Generator::ModEnvToCutoff),
        }
    }

    /// Whether the filter moves.
    pub(super) fn moves_filter(&self) -> bool {
        self.lfo_to_cutoff.abs() > 0.0 || self.envelope_to_cutoff.abs() > 0.0
    }

    /// The key is let go.
    pub(super) fn release(&mut self) {
        self.envelope.release();
    }

    /// Goes on by a block.
    pub(super) fn next(&mut self) -> Moved {
        // What moves nothing need not be worked out.
        let moves = |[pitch, cutoff]: [f32; 2]| pitch.abs() > 0.0 || cutoff.abs() > 0.0;
        let envelope = match moves([self.envelope_to_pitch, self.envelope_to_cutoff]) {
            true => self.envelope.next(),
            false => 0.0,
        };
        let vibrato = if moves([self.vibrato_to_pitch, 0.0]) { self.vibrato.next() } else { 0.0 };
        let lfo =
            if moves([self.lfo_to_pitch, self.lfo_to_cutoff]) { self.lfo.next() } else { 0.0 };
        let moved = self.lfo_to_pitch * lfo + self.envelope_to_pitch * envelope;
        Moved {
            // In the synthesiser's order: a hair's breadth of pitch grows over a long note.
            pitch: self.key + self.vibrato_to_pitch * vibrato + moved,
            cents: self.lfo_to_cutoff * lfo + self.envelope_to_cutoff * envelope,
        }
    }
}

/// The modulation envelope: up and down in straight lines.
#[derive(Debug)]
struct Envelope {
    clock: Clock,
    /// When attack, hold and decay begin, and when decay ends, in seconds.
    starts: [f64; 4],
    attack: f64,
    decay: f64,
    sustain: f32,
    release: f64,
    value: f32,
    /// When and from where it was let go.
    released: Option<(f64, f32)>,
}

impl Envelope {
    #[expect(clippy::cast_precision_loss, reason = "settings are of 16 bits")]
    fn new(settings: &Settings, key: u8, velocity: u8, rate: SampleRate) -> Envelope {
        let time = |generator| seconds(settings.get(generator) as f32);
        let keyed = |generator| seconds((settings.get(generator) * (60 - i32::from(key))) as f32);
        let (delay, release) = (time(Generator::ModEnvDelay), time(Generator::ModEnvRelease));
        let attack = time(Generator::ModEnvAttack) * (f32::from(145 - velocity.min(127)) / 144.0);
        let hold = time(Generator::ModEnvHold) * keyed(Generator::KeyToModEnvHold);
        let decay = time(Generator::ModEnvDecay) * keyed(Generator::KeyToModEnvDecay);
        let sunk = 0.1 * settings.get(Generator::ModEnvSustain) as f32;
        let hold_start = f64::from(delay) + f64::from(attack);
        let decay_start = hold_start + f64::from(hold);
        Envelope {
            clock: Clock::new(rate),
            starts: [delay.into(), hold_start, decay_start, decay_start + f64::from(decay)],
            attack: 1.0 / f64::from(attack),
            decay: 1.0 / f64::from(decay),
            sustain: (1.0 - sunk / 100.0).clamp(0.0, 1.0),
            release: release.into(),
            value: 0.0,
            released: None,
        }
    }

    fn release(&mut self) {
        self.released = Some((self.clock.seconds() + self.release, self.value));
    }

    fn next(&mut self) -> f32 {
        let now = self.clock.next();
        let [attack, hold, decay, end] = self.starts;
        self.value = match self.released {
            Some((end, from)) => {
                single(f64::from(from) * (1.0 / self.release) * (end - now)).max(0.0)
            }
            None if now < attack => 0.0,
            None if now < hold => single(self.attack * (now - attack)),
            None if now < decay => 1.0,
            None => single(self.decay * (end - now)).max(self.sustain),
        };
        self.value
    }
}

/// A slow oscillator: a triangle.
#[derive(Debug)]
struct Lfo {
    clock: Clock,
    delay: f64,
    /// `None` for one that stands still.
    period: Option<f64>,
}

impl Lfo {
    #[expect(clippy::cast_precision_loss, reason = "settings are of 16 bits")]
    fn new(settings: &Settings, [delay, frequency]: [Generator; 2], rate: SampleRate) -> Lfo {
        /// The specification's hertz of cent 0.
        const LOWEST: f32 = 8.176;
        let hertz = LOWEST * seconds(settings.get(frequency) as f32);
        Lfo {
            clock: Clock::new(rate),
            delay: seconds(settings.get(delay) as f32).into(),
            period: (hertz > 1.0e-3).then(|| 1.0 / f64::from(hertz)),
        }
    }

    fn next(&mut self) -> f32 {
        let now = self.clock.next();
        let Some(period) = self.period.filter(|_| now >= self.delay) else { return 0.0 };
        let phase = ((now - self.delay) % period) / period;
        single(if phase < 0.25 {
            4.0 * phase
        } else if phase < 0.75 {
            4.0 * (0.5 - phase)
        } else {
            4.0 * (phase - 1.0)
        })
    }
}

/// Counts blocks.
#[derive(Debug)]
struct Clock {
    blocks: u32,
    rate: f64,
}

impl Clock {
    fn new(rate: SampleRate) -> Clock {
        Clock { blocks: 0, rate: rate.hz().into() }
    }

    fn seconds(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "64")]
        let frames = f64::from(self.blocks) * BLOCK as f64;
        frames / self.rate
    }

    fn next(&mut self) -> f64 {
        self.blocks += 1;
        self.seconds()
    }
}

/// Timecents in seconds; cents as a factor.
pub(super) fn seconds(cents: f32) -> f32 {
    2_f32.powf((1.0 / 1_200.0) * cents)
}

#[expect(clippy::cast_possible_truncation, reason = "the synthesiser keeps values as f32")]
fn single(value: f64) -> f32 {
    value as f32
}
