//! Electric piano with struck tines.
//!
//! ```text
//! tine ──> pickup ──> voices ──> zones
//! ```
//!
//! Soft it is nearly a sine, hard it barks: the pickup's field does that, not a
//! filter.

pub mod pickup;
pub mod tine;
pub mod voices;

use crate::dsp::RATE;
use crate::dsp::loudness::loudness;
use crate::dsp::maths::{self, decibels, interpolate, pow};
use crate::dsp::sustain_loop::Looped;
use crate::headroom::spent_in_samples;
use crate::levels;
use crate::sf2::{Envelope, Instrument, Playback, Sample, SampleId, Zone};
use rayon::prelude::*;
use std::ops::RangeInclusive;
use voices::{HARD, SOFT, STORED_RATE, Voices};

/// Keys that are computed.
const ROOTS: [u8; 11] = [30, 37, 44, 51, 57, 63, 69, 75, 82, 89, 96];
/// The compass of 73 keys, E1 to E7 (common practice).
pub const KEYS: RangeInclusive<u8> = 28..=100;
/// Velocity ranges, each with its own share of the edge.
const VELOCITIES: [RangeInclusive<u8>; 9] =
    [1..=47, 48..=57, 58..=66, 67..=75, 76..=84, 85..=93, 94..=103, 104..=114, 115..=127];
/// Loudness over the compass in LU. By ear.
const LOUDNESS: [(f64, f64); 4] = [(28.0, 0.0), (60.0, 0.0), (84.0, -2.0), (100.0, -4.0)];
/// Time in seconds in which the felt damper takes a note down by 60 dB.
const DAMPING: f64 = 0.28;

/// The instrument.
#[must_use]
pub fn instrument() -> Instrument {
    let mut piano = Instrument::new("Electric Piano");
    let computed: Vec<Voices> = ROOTS.par_iter().map(|&key| voices::compute(key)).collect();
    let mut first = *KEYS.start();
    for (index, voices) in computed.into_iter().enumerate() {
        let last = ROOTS.get(index + 1).map_or(*KEYS.end(), |next| (ROOTS[index] + next) / 2);
        add_root(&mut piano, voices, &(first..=last));
        first = last + 1;
    }
    spent_in_samples(piano)
}

/// Share of the edge at a velocity: none up to the soft stroke's own, all of it
/// at the hard stroke's.
fn share(velocity: f64) -> f64 {
    pow(((velocity - SOFT) / (HARD - SOFT)).max(0.0), 1.1)
}

fn add_root(piano: &mut Instrument, voices: Voices, keys: &RangeInclusive<u8>) {
    let key = voices.key;
    let target = levels::NOTE + interpolate(f64::from(key), &LOUDNESS);
    let hold = voices.soft.range.start as f64 / f64::from(STORED_RATE);
    let envelope = Envelope {
        hold,
        hold_follows_pitch: true,
        decay_per_second: voices.fall,
        ..Envelope::with_release(DAMPING)
    };
    let [soft_start, edge_start] = voices.starts;
    let (soft, soft_gain) = store(piano, format!("Tine {key}"), key, voices.soft);
    let (edge, edge_gain) = store(piano, format!("Tine {key} edge"), key, voices.edge);
    for velocities in VELOCITIES {
        let middle = 0.5 * (f64::from(*velocities.start()) + f64::from(*velocities.end()));
        let share = share(middle);
        let window = maths::samples(levels::WINDOW, RATE);
        let mix: Vec<f64> =
            soft_start.iter().zip(&edge_start).take(window).map(|(s, e)| s + share * e).collect();
        let gain = target - loudness(&mix, RATE);
        let mut add = |sample: SampleId, attenuation: f64| {
            piano.zones.push(Zone {
                velocities: velocities.clone(),
                playback: Playback::Looped,
                attenuation: attenuation.max(0.0),
                envelope,
                ..Zone::new(sample, keys.clone())
            });
        };
        add(soft, soft_gain - gain);
        if share > 0.0 {
            add(edge, edge_gain - gain - decibels(share));
        }
    }
}

/// Takes a voice in; gives the sample and the gain in decibels of its storing.
fn store(piano: &mut Instrument, name: String, root_key: u8, looped: Looped) -> (SampleId, f64) {
    let mut pcm = looped.pcm;
    let gain = levels::store(&mut pcm);
    let sample = piano.add_sample(Sample {
        name,
        pcm,
        rate: STORED_RATE,
        root_key,
        sustain_loop: Some(looped.range),
    });
    (sample, gain)
}
