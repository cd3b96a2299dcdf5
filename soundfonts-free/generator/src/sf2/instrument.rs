//! Samples and zones.

use super::{Envelope, Tremolo, Vibrato};
use std::ops::{Range, RangeInclusive};

/// One recorded (here: computed) sound.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// At most 19 ASCII characters reach the file.
    pub name: String,
    /// Full scale is -1 to 1. Where there is a loop, the signal ends with it.
    pub pcm: Vec<f64>,
    /// In hertz.
    pub rate: u32,
    /// MIDI key at which it sounds untransposed.
    pub root_key: u8,
    /// The part that repeats while the note is held, as sample indices; its end
    /// must be the end of `pcm`.
    pub sustain_loop: Option<Range<usize>>,
}

/// Names a sample within its instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SampleId(pub(super) usize);

/// How a zone runs through its sample.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Playback {
    /// Once, to its end, whatever the key does (unless the release is shorter).
    #[default]
    Once,
    /// Round its loop until the envelope is silent.
    Looped,
}

/// Which keys and velocities play a sample, and how. Make one with
/// [`Zone::new`] and set the fields that differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// What sounds.
    pub sample: SampleId,
    /// MIDI keys, both ends included.
    pub keys: RangeInclusive<u8>,
    /// MIDI velocities, both ends included.
    pub velocities: RangeInclusive<u8>,
    /// Once or looped.
    pub playback: Playback,
    /// From -1 (left) to 1 (right); the two gains are cosine and sine.
    pub pan: f64,
    /// In decibels as heard, 0 to 57; smaller is louder.
    pub attenuation: f64,
    /// Cutoff in hertz of a second-order low pass, if any (Butterworth in
    /// rustysynth).
    pub low_pass: Option<f64>,
    /// Tuning in cents, rounded to whole ones by the format.
    pub tuning: f64,
    /// Cents from one key to the next: 100, or 0 for drums.
    pub cents_per_key: u16,
    /// Key at which the sample sounds untransposed, if not the sample's own.
    pub root_key: Option<u8>,
    /// Level over time.
    pub envelope: Envelope,
    /// A new note of the same group (1 to 127) ends this one: hi-hats.
    pub choke_group: Option<u8>,
    /// Samples to skip at the beginning.
    pub start_offset: usize,
    /// Slow change of pitch.
    pub vibrato: Option<Vibrato>,
    /// Slow change of level.
    pub tremolo: Option<Tremolo>,
}

impl Zone {
    /// A zone for all velocities in the middle, at full level, played once,
    /// with a release of a tenth of a second.
    #[must_use]
    pub fn new(sample: SampleId, keys: RangeInclusive<u8>) -> Self {
        Self {
            sample,
            keys,
            velocities: 0..=127,
            playback: Playback::Once,
            pan: 0.0,
            attenuation: 0.0,
            low_pass: None,
            tuning: 0.0,
            cents_per_key: 100,
            root_key: None,
            envelope: Envelope::with_release(0.1),
            choke_group: None,
            start_offset: 0,
            vibrato: None,
            tremolo: None,
        }
    }
}

/// A playable set of zones.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Instrument {
    /// At most 19 ASCII characters reach the file.
    pub name: String,
    /// The sounds.
    pub samples: Vec<Sample>,
    /// Where each is heard.
    pub zones: Vec<Zone>,
}

impl Instrument {
    /// An instrument without sounds.
    #[must_use]
    pub fn new(name: &str) -> Self {
        Self { name: name.to_owned(), ..Self::default() }
    }

    /// Takes a sample in and says how zones name it.
    pub fn add_sample(&mut self, sample: Sample) -> SampleId {
        self.samples.push(sample);
        SampleId(self.samples.len() - 1)
    }

    /// Size of the samples in the file, in bytes.
    #[must_use]
    pub fn sample_bytes(&self) -> usize {
        self.samples.iter().map(|s| 2 * s.pcm.len()).sum()
    }
}
