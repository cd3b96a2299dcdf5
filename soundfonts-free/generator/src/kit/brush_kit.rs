//! The brush kit's own strokes; its cymbals and its bass drum are those of the standard kit.

use super::recipe::{self, Recipe};
use super::{RINGING, TWO, brush, keys, layered};
use crate::dsp::maths::{samples, whole};
use crate::dsp::noise::Noise;
use crate::dsp::resample;
use crate::envelope;
use crate::levels;
use crate::sf2::{Envelope, Instrument, Playback, Sample, Zone};
use rayon::prelude::*;

/// Length of the swirl's loop and of the crossfade that closes it, s. Long enough that nobody hears it
/// come round.
const SWIRL_LOOP: f64 = 1.5;
/// See [`SWIRL_LOOP`].
const SWIRL_CROSSFADE: f64 = 0.3;
/// How a swirl begins (s) and ends (s for 60 dB): the hand needs time to turn.
const SWIRL_ATTACK: f64 = 0.11;
/// See [`SWIRL_ATTACK`].
const SWIRL_RELEASE: f64 = 0.45;

/// How long a swirl keeps its first emphasis, s, and how it eases off after it, dB per second.
const SWIRL_HOLD: f64 = 0.2;
/// See [`SWIRL_HOLD`].
const SWIRL_FALL: f64 = 2.0;

/// The strokes that only the brush kit has.
#[must_use]
pub fn brushes() -> Instrument {
    let mut drums = Instrument::new("Brushes");
    let mut recipes: Vec<Recipe> = Vec::new();
    for (take, place) in (1..).zip(keys::BRUSH_TAP) {
        let name = format!("Brush tap {take}");
        recipes.extend(layered(&name, place, RINGING, &TWO, move |v| brush::tap(v, 610 + take)));
    }
    recipes.extend(layered("Brush slap", keys::BRUSH_SLAP, RINGING, &TWO, |v| brush::slap(v, 620)));
    let stored: Vec<recipe::Stored> =
        recipes.par_iter().map(|recipe| recipe::store(&(recipe.stroke)(), recipe.rate)).collect();
    for (recipe, stored) in recipes.iter().zip(stored) {
        recipe::cook(&mut drums, recipe, stored);
    }
    add_swirl(&mut drums);
    drums.zones.sort_by_key(|zone| (*zone.keys.start(), *zone.velocities.start()));
    drums
}

/// The swirl sounds as long as its key is held, so that one stroke of the hand fits any tempo.
fn add_swirl(drums: &mut Instrument) {
    let rate = f64::from(RINGING);
    let sound = brush::swirl(SWIRL_LOOP + SWIRL_CROSSFADE, 630);
    let drawn = resample::resample(&sound, 44_100, RINGING);
    let mut pcm = envelope::closed_loop(&drawn, samples(SWIRL_CROSSFADE, rate));
    levels::store(&mut pcm);
    let place = keys::BRUSH_SWIRL;
    let attenuation = levels::attenuation_to(levels::NOTE + place.level, &pcm, rate);
    let length = pcm.len();
    let sustain_loop = Some(0..length);
    let name = "Brush swirl".to_owned();
    let sample = drums.add_sample(Sample { name, pcm, rate: RINGING, root_key: 60, sustain_loop });
    let mut noise = Noise::new(631);
    for (number, spot) in (0..=63).flat_map(|pair| place.spots.iter().map(move |spot| (pair, spot)))
    {
        // Two swirls with the same grains in a row would sound like a machine: each pair of
        // velocities enters the loop elsewhere.
        let entered = noise.uniform() * (length - 1) as f64;
        drums.zones.push(Zone {
            velocities: 2 * number..=2 * number + 1,
            start_offset: whole(entered),
            pan: place.pan,
            attenuation,
            cents_per_key: 0,
            playback: Playback::Looped,
            envelope: Envelope {
                attack: SWIRL_ATTACK,
                hold: SWIRL_HOLD,
                decay_per_second: SWIRL_FALL,
                ..Envelope::with_release(SWIRL_RELEASE)
            },
            ..Zone::new(sample, spot.key..=spot.key)
        });
    }
}
