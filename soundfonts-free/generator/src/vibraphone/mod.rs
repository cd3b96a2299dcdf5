//! The vibraphone, with its fan turning or at rest. Its first two modes are pure tones that last, so one stored sine serves
//! both on every key, with its own fall for each; only the moment of the blow is stored key by key.

pub mod bar;

use crate::dsp::maths::{self, TURN, decibels, exp, samples, sin};
use crate::dsp::{RATE, filter, loudness, resample};
use crate::sf2::{Envelope, Instrument, Playback, Sample, SampleId, Tremolo, Zone};
use crate::{envelope, headroom, levels};
use bar::Bar;
use std::ops::RangeInclusive;

/// Three octaves from F3 to F6, and some keys beyond for parts that were not written for it.
pub const KEYS: RangeInclusive<u8> = 48..=96;
/// Keys that share their levels and falls.
const GROUP: u8 = 3;
/// Keys that share a stored blow.
const BLOW_GROUP: u8 = 6;
/// Velocity layers.
const LAYERS: [RangeInclusive<u8>; 8] =
    [1..=30, 31..=45, 46..=58, 59..=71, 72..=84, 85..=97, 98..=111, 112..=127];
/// Velocities at which the blow is computed, and the highest velocity that plays each: a mallet's yarn
/// gives way to its core as strokes get harder.
const BLOWS: [(f64, u8); 2] = [(56.0, 71), (110.0, 127)];
/// Nothing of a blow lies below this, Hz: a stored sample must not carry an offset.
const LOW_CUT: f64 = 60.0;
/// How fast the blow gets less with velocity: the power of it.
const BLOW_POWER: f64 = 1.5;
/// Rise of the tones, s.
const ATTACK: f64 = 0.002;
/// Seconds in which the damper's felt takes 60 dB.
const RELEASE: f64 = 0.5;
/// The fan in the tubes, which opens and shuts them: the first mode, which alone they answer, swells
/// and falls. Rate in Hz and depth in dB to either side (common practice: slow to medium).
const FAN: Tremolo = Tremolo { delay: 0.02, rate: 4.4, depth: 1.9 };
/// With the fan at rest bars are not quite even either: the first mode's level moves a little, dB and
/// Hz (from memory).
const UNEVEN: Tremolo = Tremolo { delay: 0.1, rate: 1.1, depth: 0.5 };
/// The stored sine: 22 periods in 2205 samples at 44.1 kHz are 440 Hz exactly.
const SINE: (usize, usize, u8) = (22, 2205, 69);
/// A tone this far below the loudest, dB, is left out.
const UNHEARD: f64 = 48.0;

/// The tones with the fan turning.
#[must_use]
pub fn tones_with_fan() -> Instrument {
    tones("Vibraphone tones, fan", FAN)
}

/// The tones with the fan at rest.
#[must_use]
pub fn tones_without_fan() -> Instrument {
    tones("Vibraphone tones", UNEVEN)
}

/// The first two modes of every bar; `tremolo` moves the first.
fn tones(name: &str, tremolo: Tremolo) -> Instrument {
    let mut tones = Instrument::new(name);
    let sine = add_sine(&mut tones);
    for keys in groups() {
        let middle = (keys.start() + keys.end()) / 2;
        let bar = Bar { key: middle };
        for mixture in mixtures(bar) {
            let tone = |level: f64, octaves_up: u8, fall: f64| Zone {
                velocities: mixture.velocities.clone(),
                playback: Playback::Looped,
                pan: pan(middle),
                attenuation: (decibels(levels::STORED_PEAK) - mixture.gain - decibels(level))
                    .max(0.0),
                root_key: Some(SINE.2 - 12 * octaves_up),
                envelope: Envelope {
                    attack: ATTACK,
                    decay_per_second: fall,
                    ..Envelope::with_release(RELEASE)
                },
                tremolo: (octaves_up == 0).then_some(tremolo),
                ..Zone::new(sine, keys.clone())
            };
            tones.zones.push(tone(mixture.first, 0, bar.first_fall()));
            if decibels(mixture.second / mixture.first) > -UNHEARD {
                tones.zones.push(tone(mixture.second, 2, bar.second_fall()));
            }
        }
    }
    headroom::spent_in_samples(tones)
}

/// What is heard of the mallets.
#[must_use]
pub fn blows() -> Instrument {
    let mut blows = Instrument::new("Vibraphone blows");
    for first in KEYS.step_by(usize::from(BLOW_GROUP)) {
        let last = (first + BLOW_GROUP - 1).min(*KEYS.end());
        let struck = Bar { key: (first + last) / 2 };
        let rate = if struck.key < 72 { 22_050 } else { 32_000 };
        for (stroke, (velocity, highest)) in BLOWS.into_iter().enumerate() {
            let blow = filter::high_pass(&struck.blow(velocity / 127.0), LOW_CUT, 2, RATE);
            let mut pcm = resample::resample(&blow, 44_100, rate);
            let stored_gain = levels::store(&mut pcm);
            let sample = blows.add_sample(Sample {
                name: format!("Vibes blow {} {highest}", struck.key),
                pcm,
                rate,
                root_key: struck.key,
                sustain_loop: None,
            });
            for keys in groups().filter(|keys| (first..=last).contains(keys.start())) {
                let middle = (keys.start() + keys.end()) / 2;
                for mixture in mixtures(Bar { key: middle }) {
                    let heard = decibels(mixture.blow_share);
                    if mixture.stroke != stroke || heard < -UNHEARD {
                        continue;
                    }
                    blows.zones.push(Zone {
                        velocities: mixture.velocities,
                        pan: pan(middle),
                        attenuation: (stored_gain - mixture.gain - heard).clamp(0.0, 57.0),
                        envelope: Envelope::with_release(2.0),
                        ..Zone::new(sample, keys.clone())
                    });
                }
            }
        }
    }
    headroom::spent_in_samples(blows)
}

/// Keys that share their levels and falls.
fn groups() -> impl Iterator<Item = RangeInclusive<u8>> {
    KEYS.step_by(usize::from(GROUP)).map(|first| first..=(first + GROUP - 1).min(*KEYS.end()))
}

/// What sounds of a bar in one layer of velocities.
struct Mixture {
    velocities: RangeInclusive<u8>,
    /// Amplitudes of the first two modes.
    first: f64,
    second: f64,
    /// Which of [`BLOWS`] is heard, and its share.
    stroke: usize,
    blow_share: f64,
    /// Gain of all of it in decibels.
    gain: f64,
}

/// The layers of a bar.
fn mixtures(bar: Bar) -> impl Iterator<Item = Mixture> {
    let blows = BLOWS.map(|(velocity, _)| bar.blow(velocity / 127.0));
    LAYERS.into_iter().map(move |velocities| {
        let velocity = 0.5 * (f64::from(*velocities.start()) + f64::from(*velocities.end()));
        let stroke = BLOWS.partition_point(|(_, highest)| highest < velocities.end());
        let (first, second) =
            (bar.first_level(velocity / 127.0), bar.second_level(velocity / 127.0));
        let blow_share = maths::pow(velocity / BLOWS[stroke].0, BLOW_POWER);
        let gain = levels::NOTE - mixed_loudness(bar, first, second, blow_share, &blows[stroke]);
        Mixture { velocities, first, second, stroke, blow_share, gain }
    })
}

/// The sine that all tones are made from.
fn add_sine(tones: &mut Instrument) -> SampleId {
    let (periods, length, root_key) = SINE;
    let step = TURN * periods as f64 / length as f64;
    let pcm = (0..length).map(|index| levels::STORED_PEAK * sin(step * index as f64)).collect();
    let name = "Vibes tone".to_owned();
    tones.add_sample(Sample { name, pcm, rate: 44_100, root_key, sustain_loop: Some(0..length) })
}

/// Low bars stand to the player's left, which is the audience's right; the mix keeps it narrow.
fn pan(key: u8) -> f64 {
    maths::interpolate(f64::from(key), &[(53.0, -0.2), (89.0, 0.2)])
}

/// Loudness of the mix over the first [`levels::WINDOW`] seconds.
fn mixed_loudness(bar: Bar, first: f64, second: f64, blow_share: f64, blow: &[f64]) -> f64 {
    let length = samples(levels::WINDOW, RATE);
    let nepers = |fall: f64| fall * core::f64::consts::LN_10 / 20.0;
    let turn = TURN * bar.frequency() / RATE;
    let mut mix: Vec<f64> = (0..length)
        .map(|index| {
            let time = index as f64 / RATE;
            let low = first * exp(-nepers(bar.first_fall()) * time) * sin(turn * index as f64);
            let high =
                second * exp(-nepers(bar.second_fall()) * time) * sin(4.0 * turn * index as f64);
            low + high
        })
        .collect();
    envelope::add(&mut mix, blow, blow_share);
    loudness::loudness(&mix, RATE)
}
