//! From a computed stroke to a sample with its zones: rate, length, level.

use super::keys::{Place, Spot};
use crate::dsp::maths::{self, samples, whole};
use crate::dsp::{RATE, filter, resample, window};
use crate::sf2::{Envelope, Instrument, Sample, SampleId, Zone};
use crate::{envelope, levels};
use std::ops::RangeInclusive;

/// One stroke to be computed, stored and laid on keys.
pub struct Recipe {
    /// Name of the sample.
    pub name: String,
    /// Where it sounds.
    pub place: Place,
    /// MIDI velocities that play it.
    pub velocities: RangeInclusive<u8>,
    /// Rate at which it is stored, Hz.
    pub rate: u32,
    /// Computes it at [`RATE`].
    pub stroke: Box<dyn Fn() -> Vec<f64> + Send + Sync>,
}

/// A stroke as it is stored.
pub struct Stored {
    /// The signal, hot.
    pub pcm: Vec<f64>,
    /// Loudness in LUFS over the first [`levels::WINDOW`] seconds, as stored.
    pub loudness: f64,
    /// What storing did to the level, dB.
    pub gain: f64,
}

/// Below this frequency a drum only shakes the loudspeaker, Hz.
const LOW_CUT: f64 = 30.0;
/// A tail this far below the peak, dB, is let go.
const INAUDIBLE_DB: f64 = -64.0;
/// How the end of any stroke is rounded off, s.
const LAST_FADE: f64 = 0.03;
/// Fall after the key is let go: strokes are not held, they ring out. Seconds for 60 dB.
pub const RING_OUT: f64 = 30.0;

/// `stroke` made ready for the file at `rate`.
#[must_use]
pub fn store(stroke: &[f64], rate: u32) -> Stored {
    let clean = filter::high_pass(stroke, LOW_CUT, 2, RATE);
    let mut pcm = resample::resample(&clean, whole_rate(RATE), rate);
    let floor = envelope::peak(&pcm) * maths::amplitude(INAUDIBLE_DB);
    let heard = pcm.iter().rposition(|sample| sample.abs() > floor).map_or(0, |last| last + 1);
    let fade = samples(LAST_FADE, f64::from(rate)).min(heard / 3);
    pcm.truncate(heard + fade / 2);
    let fade = fade.min(pcm.len());
    window::fade_out(&mut pcm, fade);
    let gain = levels::store(&mut pcm);
    Stored { loudness: loudness(&pcm, rate), pcm, gain }
}

/// Loudness of the first [`levels::WINDOW`] seconds, silence after a shorter sound counted in.
fn loudness(pcm: &[f64], rate: u32) -> f64 {
    let rate = f64::from(rate);
    let mut window = pcm.to_vec();
    window.resize(samples(levels::WINDOW, rate), 0.0);
    crate::dsp::loudness::loudness(&window, rate)
}

/// A rate as a whole number of hertz.
fn whole_rate(rate: f64) -> u32 {
    u32::try_from(whole(rate)).unwrap_or(u32::MAX)
}

/// Lays a stored sample on all spots of `place`, `quieter` dB below full level.
pub fn lay(
    drums: &mut Instrument,
    sample: SampleId,
    place: &Place,
    velocities: &RangeInclusive<u8>,
    quieter: f64,
) {
    for &Spot { key, tuning, fall } in place.spots {
        let mut envelope = Envelope::with_release(RING_OUT);
        envelope.decay_per_second = fall;
        drums.zones.push(Zone {
            velocities: velocities.clone(),
            pan: place.pan,
            attenuation: quieter.max(0.0),
            tuning,
            cents_per_key: 0,
            envelope,
            choke_group: place.choke_group,
            ..Zone::new(sample, key..=key)
        });
    }
}

/// Takes a stored stroke in under `name`.
pub fn add(drums: &mut Instrument, name: &str, pcm: Vec<f64>, rate: u32) -> SampleId {
    drums.add_sample(Sample { name: name.to_owned(), pcm, rate, root_key: 60, sustain_loop: None })
}

/// Takes in a recipe's stroke and lays it on its keys at the level of its place.
pub fn cook(drums: &mut Instrument, recipe: &Recipe, stored: Stored) {
    let target = levels::NOTE + recipe.place.level;
    let quieter = stored.loudness - target;
    let sample = add(drums, &recipe.name, stored.pcm, recipe.rate);
    lay(drums, sample, &recipe.place, &recipe.velocities, quieter);
}
