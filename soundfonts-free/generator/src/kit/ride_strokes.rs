//! The ride's strokes as they are stored. Nine strokes of three seconds would fill the file; but one
//! stroke differs from the next in its first moments only, and what rings on is the same cymbal. So
//! each stroke is stored for less than half a second, and hands over to one of two tails.

use super::cymbal::ride;
use super::keys;
use super::recipe::{self, Stored};
use super::{FULL, RINGING, THREE};
use crate::dsp::maths::{TURN, cos, decibels, samples, sin};
use crate::dsp::{RATE, window};
use crate::sf2::Instrument;
use crate::{envelope, levels};
use rayon::prelude::*;

/// When a stroke begins to hand over to a tail, and when it has, s.
const HANDOVER: (f64, f64) = (0.12, 0.42);
/// Length of a tail, and of its own end, s.
const TAIL: f64 = 2.5;
/// See [`TAIL`].
const TAIL_END: f64 = 0.6;
/// Velocities (0 to 1) of the tails for soft and for other strokes.
const TAIL_VELOCITIES: [f64; 2] = [44.0 / 127.0, 92.0 / 127.0];
/// Which tail each layer of [`THREE`] takes.
const TAIL_OF_LAYER: [usize; 3] = [0, 1, 1];
/// How much later each take enters the tail, s: no two takes ring on alike.
const TAKE_OFFSET: f64 = 0.031;

/// How far the handover has come at `time`, as an angle: the squares of its cosine and sine are the
/// shares of power of stroke and tail.
fn handover_angle(time: f64) -> f64 {
    let way = ((time - HANDOVER.0) / (HANDOVER.1 - HANDOVER.0)).clamp(0.0, 1.0);
    0.25 * TURN * way
}

/// Level of `sound` while the handover lasts.
fn level_at_handover(sound: &[f64]) -> f64 {
    let (from, to) = (samples(HANDOVER.0, RATE), samples(HANDOVER.1, RATE));
    sound.get(from..to).map_or(0.0, envelope::rms)
}

/// A tail ready for the file, and its level at the handover before it was stored.
fn tail(velocity: f64) -> (Stored, f64) {
    let mut sound = ride::bow_ringing(velocity, 109, TAIL);
    let level = level_at_handover(&sound);
    envelope::shape(&mut sound, |time| sin(handover_angle(time)));
    window::fade_out(&mut sound, samples(TAIL_END, RATE));
    (recipe::store(&sound, RINGING), level)
}

/// The beginning of a stroke ready for the file, the loudness of the whole stroke as stored, and its
/// level at the handover before it was stored.
fn beginning(velocity: f64, take: u64) -> (Stored, f64) {
    let mut sound = ride::bow(velocity, 110 + take, HANDOVER.1);
    let level = level_at_handover(&sound);
    envelope::shape(&mut sound, |time| cos(handover_angle(time)));
    (recipe::store(&sound, FULL), level)
}

/// Adds the ride to `drums`.
pub(super) fn add(drums: &mut Instrument) {
    let tails: Vec<(Stored, f64)> = TAIL_VELOCITIES.par_iter().map(|&v| tail(v)).collect();
    let tail_levels: Vec<f64> =
        tails.iter().map(|(stored, level)| decibels(*level) + stored.gain).collect();
    let tail_samples: Vec<_> = tails
        .into_iter()
        .enumerate()
        .map(|(number, (stored, _))| {
            recipe::add(drums, &format!("Ride tail {number}"), stored.pcm, RINGING)
        })
        .collect();
    let strokes: Vec<(usize, usize)> = (0..keys::RIDE.len())
        .flat_map(|take| (0..THREE.len()).map(move |layer| (take, layer)))
        .collect();
    let beginnings: Vec<(Stored, f64)> =
        strokes.par_iter().map(|&(take, layer)| beginning(THREE[layer].1, take as u64)).collect();
    for ((take, layer), (stored, level)) in strokes.into_iter().zip(beginnings) {
        let place = keys::RIDE[take];
        let velocities = &THREE[layer].0;
        let quieter = stored.loudness - (levels::NOTE + place.level);
        let name = format!("Ride {} {}", take + 1, velocities.end());
        let stroke_level = decibels(level) + stored.gain;
        let sample = recipe::add(drums, &name, stored.pcm, FULL);
        recipe::lay(drums, sample, &place, velocities, quieter);
        // The tail takes over at the level that the stroke has reached.
        let tail = TAIL_OF_LAYER[layer];
        let before = drums.zones.len();
        let tail_quieter = quieter + tail_levels[tail] - stroke_level;
        recipe::lay(drums, tail_samples[tail], &place, velocities, tail_quieter);
        for zone in drums.zones.iter_mut().skip(before) {
            zone.start_offset = samples(TAKE_OFFSET * take as f64, f64::from(RINGING));
        }
    }
}
