//! A flute, to hear lines against the piano: it sustains and moves where a piano fades, and keeps
//! above the left hand. Three voices: the tone softly blown, what a harder breath adds, and the air.

pub mod tone;

use crate::dsp::maths::{decibels, key_frequency, samples, whole};
use crate::dsp::{RATE, loudness, resample};
use crate::sf2::{Envelope, Instrument, Playback, Sample, SampleId, Tremolo, Vibrato, Zone};
use crate::{envelope, headroom, levels};
use rayon::prelude::*;
use std::ops::RangeInclusive;

/// From B-flat below the lowest note of a concert flute to above its highest.
pub const KEYS: RangeInclusive<u8> = 58..=98;
/// Keys that are computed.
const ROOTS: [u8; 8] = [60, 65, 70, 75, 80, 85, 90, 95];
/// Keys whose air is computed.
const AIR_ROOTS: [u8; 2] = [67, 85];
/// Rate of the air, Hz.
const AIR_RATE: u32 = 22_050;
/// Rate of the tones of a root, Hz: ten partials must find room.
const fn tone_rate(root: u8) -> u32 {
    if root <= 70 { 22_050 } else { 32_000 }
}
/// Where a tone begins to repeat, and for how long about, s.
const LOOP_START: f64 = 0.16;
/// See [`LOOP_START`].
const LOOP_LENGTH: f64 = 0.06;
/// Length of the air's loop and of the crossfade that closes it, s.
const AIR_LOOP: (f64, f64) = (0.9, 0.2);
/// Velocity layers.
const LAYERS: [RangeInclusive<u8>; 7] =
    [1..=34, 35..=50, 51..=66, 67..=82, 83..=98, 99..=113, 114..=127];
/// Level of the air against the tone, dB.
const AIR_LEVEL: f64 = -31.0;
/// Loudness against a note of the piano, which falls while a flute stays, LU.
const LEVEL: f64 = -3.0;
/// Rise of the air, s.
const AIR_ATTACK: f64 = 0.02;
/// Seconds in which the tube falls silent by 60 dB.
const RELEASE: f64 = 0.14;
/// Long tones come alive after a while; a flute's vibrato is one of loudness as much as of pitch
/// (common practice: 5 Hz).
const VIBRATO: Vibrato = Vibrato { delay: 0.38, rate: 5.0, depth: 6.0 };
/// See [`VIBRATO`].
const TREMOLO: Tremolo = Tremolo { delay: 0.38, rate: 5.0, depth: 0.8 };

/// One root's tone, softly blown and what breath adds, at its [`tone_rate`].
struct Tone {
    soft: Vec<f64>,
    edge: Vec<f64>,
    loop_start: usize,
}

/// The instrument.
#[must_use]
pub fn instrument() -> Instrument {
    let mut flute = Instrument::new("Flute");
    let airs: Vec<SampleId> = AIR_ROOTS.iter().map(|&root| add_air(&mut flute, root)).collect();
    let tones: Vec<Tone> = ROOTS.par_iter().map(|&root| tone_of(root)).collect();
    let mut first = *KEYS.start();
    for (number, (&root, tone)) in ROOTS.iter().zip(tones).enumerate() {
        let last = ROOTS.get(number + 1).map_or(*KEYS.end(), |next| (root + next) / 2);
        let air = airs[usize::from(root > AIR_ROOTS[0] + 9)];
        add_root(&mut flute, root, &(first..=last), tone, air);
        first = last + 1;
    }
    headroom::spent_in_samples(flute)
}

/// Computes a root's tone.
fn tone_of(root: u8) -> Tone {
    let rate = f64::from(tone_rate(root));
    let fundamental = key_frequency(f64::from(root));
    // The longest of a few stretches near the wanted length into which whole periods fit best.
    let periods = whole(LOOP_LENGTH * fundamental).max(1);
    let miss = |periods: usize| {
        let length = periods as f64 * rate / fundamental;
        (length - length.round()).abs() / length
    };
    let periods =
        (periods..periods + 16).min_by(|&a, &b| miss(a).total_cmp(&miss(b))).unwrap_or(periods);
    let length = whole(periods as f64 * rate / fundamental);
    let loop_start = samples(LOOP_START, rate);
    let seconds = (loop_start + length) as f64 / rate;
    let soft = tone::steady(root, 0.0, seconds, rate);
    let mut edge = tone::steady(root, 1.0, seconds, rate);
    envelope::add(&mut edge, &soft, -1.0);
    let level = envelope::peak(&soft);
    let chiff = resample::resample(&tone::chiff(root, samples(0.1, RATE)), 44_100, tone_rate(root));
    let mut soft = soft;
    envelope::add(&mut soft, &chiff, level);
    Tone { soft, edge, loop_start }
}

/// Stores the air of `root`.
fn add_air(flute: &mut Instrument, root: u8) -> SampleId {
    let (length, crossfade) = AIR_LOOP;
    let sound = tone::breath(root, samples(length + crossfade, RATE));
    let stored = resample::resample(&sound, 44_100, AIR_RATE);
    let mut pcm = envelope::closed_loop(&stored, samples(crossfade, f64::from(AIR_RATE)));
    levels::store(&mut pcm);
    let name = format!("Flute air {root}");
    let sustain_loop = Some(0..pcm.len());
    flute.add_sample(Sample { name, pcm, rate: AIR_RATE, root_key: root, sustain_loop })
}

/// Stores a root's tone and lays it on `keys` with the air, in every velocity layer.
fn add_root(
    flute: &mut Instrument,
    root: u8,
    keys: &RangeInclusive<u8>,
    tone: Tone,
    air: SampleId,
) {
    let rate = f64::from(tone_rate(root));
    let mixes: Vec<(RangeInclusive<u8>, f64, f64)> = LAYERS
        .iter()
        .map(|velocities| {
            let middle = 0.5 * (f64::from(*velocities.start()) + f64::from(*velocities.end()));
            let share = (middle / 127.0) * (middle / 127.0);
            let mut mix = tone.soft.clone();
            envelope::add(&mut mix, &tone.edge, share);
            // What repeats stands for all of a held note; the beginning counts as in any other.
            let repeating = mix.split_off(tone.loop_start);
            while mix.len() < samples(levels::WINDOW, rate) {
                mix.extend_from_slice(&repeating);
            }
            mix.truncate(samples(levels::WINDOW, rate));
            let gain = levels::NOTE + LEVEL - loudness::loudness(&mix, rate);
            (velocities.clone(), share, gain)
        })
        .collect();
    let (mut soft, mut edge) = (tone.soft, tone.edge);
    let tone_level = envelope::rms(soft.get(tone.loop_start..).unwrap_or_default());
    let (soft_gain, edge_gain) = (levels::store(&mut soft), levels::store(&mut edge));
    let air_level = flute.samples.first().map_or(1.0, |sample| envelope::rms(&sample.pcm));
    let sustain_loop = Some(tone.loop_start..soft.len());
    let mut store = |name: String, pcm: Vec<f64>| {
        let sustain_loop = sustain_loop.clone();
        flute.add_sample(Sample { name, pcm, rate: tone_rate(root), root_key: root, sustain_loop })
    };
    let soft = store(format!("Flute {root}"), soft);
    let edge = store(format!("Flute edge {root}"), edge);
    for (velocities, share, gain) in mixes {
        let voice = |sample: SampleId, attenuation: f64, attack: f64| Zone {
            velocities: velocities.clone(),
            playback: Playback::Looped,
            attenuation: attenuation.clamp(0.0, 57.0),
            envelope: Envelope { attack, ..Envelope::with_release(RELEASE) },
            vibrato: Some(VIBRATO),
            tremolo: Some(TREMOLO),
            ..Zone::new(sample, keys.clone())
        };
        // The softer the breath, the more of it is air.
        let air_gain = gain + decibels(tone_level / air_level) + AIR_LEVEL - 6.0 * share;
        flute.zones.push(voice(soft, soft_gain - gain, 0.0));
        flute.zones.push(voice(edge, edge_gain - gain - decibels(share), 0.0));
        flute.zones.push(voice(air, -air_gain, AIR_ATTACK));
    }
}
