//! The upright bass, plucked.
//!
//! ```text
//! touch (finger)  ──>  string (partials)  ──>  body  ──>  note  ──>  voices  ──>  zones
//! ```
//!
//! Velocities 1 to 36 are the dead note, a muted thud; from 37 up the string rings, and the harder it
//! is plucked the brighter.

pub mod body;
pub mod dead_note;
pub mod finger_noise;
pub mod note;
pub mod string;
pub mod sustain;
pub mod touch;
pub mod voices;

use crate::curve::Points;
use crate::dsp::maths::{self, decibels};
use crate::dsp::{RATE, filter, loudness, resample, window};
use crate::sf2::{
    Envelope, Glide, Instrument, InstrumentId, Layer, Playback, Sample, SampleId, Zone,
};
use crate::{headroom, levels};
use body::Body;
use rayon::prelude::*;
use std::ops::RangeInclusive;
use voices::{STORED_RATE, Voices};

/// Keys that are computed; those between are moved by a semitone or two.
const ROOTS: [u8; 11] = [28, 31, 34, 37, 40, 43, 46, 49, 53, 57, 62];
/// Keys of the dead note.
const DEAD_ROOTS: [u8; 6] = [28, 33, 38, 43, 50, 57];
/// From a fifth-string B to the end of the fingerboard.
pub const KEYS: RangeInclusive<u8> = 23..=72;
/// The highest velocity of the dead note.
pub const LAST_DEAD_VELOCITY: u8 = 36;
/// Velocity layers of the ringing note, each with its own mix of the two voices.
const LAYERS: [RangeInclusive<u8>; 10] =
    [37..=45, 46..=53, 54..=61, 62..=69, 70..=77, 78..=85, 86..=94, 95..=104, 105..=115, 116..=127];
/// Loudness over the compass in LU: the highest notes have little body left (from memory).
const LEVEL: Points = &[(28.0, 0.0), (52.0, 0.0), (64.0, -1.5), (72.0, -2.5)];
/// Loudness of the dead note in LU, over 0.4 s of which it fills a fourth.
const DEAD_LEVEL: f64 = -1.0;
/// Loudness of the hand's noise in LU.
const FINGER_NOISE_LEVEL: f64 = -14.0;
/// Seconds in which a released note falls by 60 dB: the left hand damps it.
const RELEASE: f64 = 0.2;
/// A second voice this much below the first, dB, is left out.
const UNHEARD: f64 = 30.0;

/// The instrument.
#[must_use]
pub fn instrument() -> Instrument {
    let mut bass = Instrument::new("Upright Bass");
    let body = Body::new();
    let dead: Vec<Vec<f64>> =
        DEAD_ROOTS.par_iter().map(|&key| dead_note::pluck(key, 0.25, &body)).collect();
    for (sound, (root, keys)) in dead.into_iter().zip(spread(&DEAD_ROOTS, KEYS)) {
        add_once(&mut bass, &format!("Dead {root}"), &sound, (root, keys), DEAD_LEVEL);
    }
    for zone in &mut bass.zones {
        zone.velocities = 0..=LAST_DEAD_VELOCITY;
    }
    let ringing: Vec<Voices> = ROOTS.par_iter().map(|&key| voices::compute(key, &body)).collect();
    for (voices, (root, keys)) in ringing.into_iter().zip(spread(&ROOTS, KEYS)) {
        add_ringing(&mut bass, voices, root, &keys);
    }
    bass.zones.sort_by_key(|zone| (*zone.keys.start(), *zone.velocities.start()));
    headroom::spent_in_samples(bass)
}

/// The left hand's noises, one after another up the keyboard.
#[must_use]
pub fn finger_noises() -> Instrument {
    let mut noises = Instrument::new("Bass Finger Noise");
    let body = Body::new();
    let roots = [36, 60, 84];
    for ((root, keys), (place, (way, time))) in
        spread(&roots, 0..=127).into_iter().zip((971..).zip(finger_noise::SHIFTS))
    {
        let sound = finger_noise::shift(way, time, &body, place);
        let name = format!("Shift {way:.0} mm");
        add_once(&mut noises, &name, &sound, (root, keys), FINGER_NOISE_LEVEL);
    }
    for zone in &mut noises.zones {
        zone.cents_per_key = 0;
    }
    noises
}

/// How the left hand slides up a whole step into a note that has just been plucked (common practice;
/// times from memory).
pub const SLIDE: Glide = Glide { from: -200.0, hold: 0.03, time: 0.10 };
/// How far the noise of the hand stands behind the sliding note, dB.
const SLIDE_NOISE_BEHIND: f64 = 8.0;

/// The preset's layers for notes that are slid into, made of the instrument and of the hand's noises.
#[must_use]
pub fn slide_layers(bass: InstrumentId, noises: InstrumentId) -> Vec<Layer> {
    vec![
        Layer { glide: Some(SLIDE), ..Layer::new(bass, KEYS) },
        Layer { attenuation: SLIDE_NOISE_BEHIND, ..Layer::new(noises, KEYS) },
    ]
}

/// Which keys each root plays: those nearest to it.
fn spread(roots: &[u8], keys: RangeInclusive<u8>) -> Vec<(u8, RangeInclusive<u8>)> {
    let mut first = *keys.start();
    roots
        .iter()
        .enumerate()
        .map(|(number, &root)| {
            let last = roots.get(number + 1).map_or(*keys.end(), |next| (root + next) / 2);
            let keys = first..=last;
            first = last + 1;
            (root, keys)
        })
        .collect()
}

/// Stores a sound that is played once, `level` LU from the level of notes.
fn add_once(
    bass: &mut Instrument,
    name: &str,
    sound: &[f64],
    (root, keys): (u8, RangeInclusive<u8>),
    level: f64,
) {
    let rate = f64::from(STORED_RATE);
    let mut pcm = resample::resample(&filter::high_pass(sound, 25.0, 2, RATE), 44_100, STORED_RATE);
    window::fade_out(&mut pcm, maths::samples(0.03, rate));
    levels::store(&mut pcm);
    let mut heard = pcm.clone();
    heard.resize(maths::samples(levels::WINDOW, rate), 0.0);
    let attenuation = (loudness::loudness(&heard, rate) - levels::NOTE - level).max(0.0);
    let sample = add_sample(bass, name, pcm, root, None);
    bass.zones.push(Zone {
        attenuation,
        envelope: Envelope::with_release(1.0),
        ..Zone::new(sample, keys)
    });
}

/// Stores a key's two voices and lays them on `keys`, in every layer's mix.
fn add_ringing(bass: &mut Instrument, voices: Voices, root: u8, keys: &RangeInclusive<u8>) {
    let target = levels::NOTE + maths::interpolate(f64::from(root), LEVEL);
    let mixes: Vec<(RangeInclusive<u8>, f64, f64)> = LAYERS
        .iter()
        .map(|velocities| {
            let middle = 0.5 * (f64::from(*velocities.start()) + f64::from(*velocities.end()));
            let share = voices::edge_share(middle);
            (velocities.clone(), share, target - voices.loudness(share))
        })
        .collect();
    let (mut soft, mut edge) = (voices.soft, voices.edge);
    let soft_gain = levels::store(&mut soft);
    let edge_gain = levels::store(&mut edge);
    let hold = voices.loop_start as f64 / f64::from(STORED_RATE);
    let sustain_loop = Some(voices.loop_start..soft.len());
    let soft = add_sample(bass, &format!("Bass {root}"), soft, root, sustain_loop);
    let edge = add_sample(bass, &format!("Bass edge {root}"), edge, root, None);
    for (velocities, share, gain) in mixes {
        bass.zones.push(Zone {
            velocities: velocities.clone(),
            playback: Playback::Looped,
            attenuation: (soft_gain - gain).max(0.0),
            envelope: Envelope {
                hold,
                decay_per_second: voices.fall,
                ..Envelope::with_release(RELEASE)
            },
            ..Zone::new(soft, keys.clone())
        });
        if decibels(share) > -UNHEARD {
            bass.zones.push(Zone {
                velocities,
                attenuation: (edge_gain - gain - decibels(share)).max(0.0),
                envelope: Envelope::with_release(RELEASE),
                ..Zone::new(edge, keys.clone())
            });
        }
    }
}

/// Takes a sample in.
fn add_sample(
    bass: &mut Instrument,
    name: &str,
    pcm: Vec<f64>,
    root_key: u8,
    sustain_loop: Option<std::ops::Range<usize>>,
) -> SampleId {
    let name = name.to_owned();
    bass.add_sample(Sample { name, pcm, rate: STORED_RATE, root_key, sustain_loop })
}
