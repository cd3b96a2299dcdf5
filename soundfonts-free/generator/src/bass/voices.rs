//! A key's two stored voices. The first is the note softly plucked; the second is what a hard pluck
//! has more of, in step with the first. Mixed in any proportion they give every touch between, so
//! that two samples do for all velocities.

use super::body::Body;
use super::note::{self, Note};
use super::sustain;
use super::touch::Touch;
use crate::dsp::maths::{key_frequency, samples};
use crate::dsp::{RATE, filter, loudness, resample, window};
use crate::{envelope, levels};

/// Rate at which the bass is stored, Hz: its body radiates little above 7 kHz.
pub const STORED_RATE: u32 = 18_000;
/// Velocities (of 127) of the soft and of the hard pluck.
const SOFT: f64 = 40.0;
/// See [`SOFT`].
const HARD: f64 = 118.0;
/// Where the soft voice begins to repeat, length of what repeats, and of the lead into it, s.
const LOOP_START: f64 = 1.0;
/// See [`LOOP_START`].
const LOOP_LENGTH: f64 = 0.25;
/// See [`LOOP_START`].
const LOOP_LEAD: f64 = 0.1;
/// Length of the second voice and of its end, s: what is hard about a pluck is over by then.
const EDGE_LENGTH: f64 = 0.58;
/// See [`EDGE_LENGTH`].
const EDGE_FADE: f64 = 0.3;

/// Both voices of one key, at the level at which they fit together.
pub struct Voices {
    /// The soft pluck.
    pub soft: Vec<f64>,
    /// Sample at which the soft voice begins to repeat.
    pub loop_start: usize,
    /// Fall of the repeating part, dB per second.
    pub fall: f64,
    /// What a hard pluck adds.
    pub edge: Vec<f64>,
}

/// How much of the second voice a pluck with `velocity` (of 127) has.
#[must_use]
pub fn edge_share(velocity: f64) -> f64 {
    ((velocity - SOFT) / (HARD - SOFT)).max(0.0)
}

/// Computes both voices of `key`.
#[must_use]
pub fn compute(key: u8, body: &Body) -> Voices {
    let rate = f64::from(STORED_RATE);
    let pluck = |velocity: f64| note::pluck(key, &Touch::pluck(velocity / 127.0), body, LOOP_START);
    let (soft, hard) = (pluck(SOFT), pluck(HARD));
    let share = fundamental_level(key, &hard) / fundamental_level(key, &soft).max(1e-30);
    let scaled: Vec<f64> = soft.sound.iter().map(|sample| share * sample).collect();
    let mut edge = hard.sound.clone();
    envelope::add(&mut edge, &scaled, -1.0);
    edge.truncate(samples(EDGE_LENGTH, RATE));
    window::fade_out(&mut edge, samples(EDGE_FADE, RATE));

    let mut moments = soft.moment(body, LOOP_START);
    for moment in &mut moments {
        moment.pointer = moment.pointer * share;
    }
    let fall = note::fall(&moments);
    let length = sustain::loop_length(key_frequency(f64::from(key)), LOOP_LENGTH, rate);
    let repeating = sustain::frozen(&moments, length, rate);
    let (soft, loop_start) =
        sustain::joined(stored(&scaled), &repeating, samples(LOOP_LEAD, rate), fall, rate);
    Voices { soft, loop_start, fall, edge: stored(&edge) }
}

/// At the rate of the file.
fn stored(sound: &[f64]) -> Vec<f64> {
    resample::resample(sound, 44_100, STORED_RATE)
}

/// Level of a note's fundamental and second partial, in which all touches are alike.
fn fundamental_level(key: u8, note: &Note) -> f64 {
    let low = filter::low_pass(&note.sound, 2.5 * key_frequency(f64::from(key)), 4, RATE);
    envelope::rms(envelope::head(&low, 0.6))
}

impl Voices {
    /// Loudness in LUFS of the first [`levels::WINDOW`] seconds with `share` of the second voice.
    #[must_use]
    pub fn loudness(&self, share: f64) -> f64 {
        let rate = f64::from(STORED_RATE);
        let mut mixed = self.soft.clone();
        envelope::add(&mut mixed, &self.edge, share);
        mixed.truncate(samples(levels::WINDOW, rate));
        loudness::loudness(&mixed, rate)
    }
}
