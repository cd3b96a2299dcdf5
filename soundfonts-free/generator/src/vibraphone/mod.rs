//! The vibraphone, motor off. Its first two modes are pure tones that last, so one stored sine serves
//! both on every key, with its own fall for each; only the moment of the blow is stored key by key.

pub mod bar;

use crate::dsp::maths::{self, TURN, decibels, exp, samples, sin};
use crate::dsp::{RATE, loudness, resample};
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
/// Velocity at which the blow is computed.
const BLOW_VELOCITY: f64 = 110.0;
/// How fast the blow gets less with velocity: the power of it.
const BLOW_POWER: f64 = 1.3;
/// Rise of the tones, s.
const ATTACK: f64 = 0.002;
/// Seconds in which the damper's felt takes 60 dB.
const RELEASE: f64 = 0.5;
/// Bars are never quite even: the first mode's level moves a little, dB and Hz (from memory).
const UNEVEN: Tremolo = Tremolo { delay: 0.1, rate: 1.1, depth: 0.5 };
/// The stored sine: 22 periods in 2205 samples at 44.1 kHz are 440 Hz exactly.
const SINE: (usize, usize, u8) = (22, 2205, 69);
/// A tone this far below the loudest, dB, is left out.
const UNHEARD: f64 = 48.0;

/// The instrument.
#[must_use]
pub fn instrument() -> Instrument {
    let mut vibraphone = Instrument::new("Vibraphone");
    let sine = add_sine(&mut vibraphone);
    for first in KEYS.step_by(usize::from(BLOW_GROUP)) {
        let last = (first + BLOW_GROUP - 1).min(*KEYS.end());
        let bar = Bar { key: (first + last) / 2 };
        let blow = bar.blow(BLOW_VELOCITY / 127.0);
        let rate = if bar.key < 72 { 22_050 } else { 32_000 };
        let mut pcm = resample::resample(&blow, 44_100, rate);
        let gain = levels::store(&mut pcm);
        let name = format!("Vibes blow {}", bar.key);
        let stored = vibraphone.add_sample(Sample {
            name,
            pcm,
            rate,
            root_key: bar.key,
            sustain_loop: None,
        });
        for group in (first..=last).step_by(usize::from(GROUP)) {
            let keys = group..=(group + GROUP - 1).min(last);
            add_group(&mut vibraphone, &keys, sine, &Blow { sound: &blow, stored, gain });
        }
    }
    headroom::spent_in_samples(vibraphone)
}

/// A blow and how it was stored.
struct Blow<'a> {
    sound: &'a [f64],
    stored: SampleId,
    gain: f64,
}

/// The sine that all tones are made from.
fn add_sine(vibraphone: &mut Instrument) -> SampleId {
    let (periods, length, root_key) = SINE;
    let step = TURN * periods as f64 / length as f64;
    let pcm = (0..length).map(|index| levels::STORED_PEAK * sin(step * index as f64)).collect();
    let name = "Vibes tone".to_owned();
    vibraphone.add_sample(Sample {
        name,
        pcm,
        rate: 44_100,
        root_key,
        sustain_loop: Some(0..length),
    })
}

/// Lays the tones and the blow on `keys`, in every velocity layer.
fn add_group(
    vibraphone: &mut Instrument,
    keys: &RangeInclusive<u8>,
    sine: SampleId,
    blow: &Blow<'_>,
) {
    let middle = (keys.start() + keys.end()) / 2;
    let bar = Bar { key: middle };
    for velocities in LAYERS {
        let velocity =
            0.5 * (f64::from(*velocities.start()) + f64::from(*velocities.end())) / 127.0;
        let first = bar.first_level(velocity);
        let second = bar.second_level(velocity);
        let blow_share = maths::pow(velocity * 127.0 / BLOW_VELOCITY, BLOW_POWER);
        let gain = levels::NOTE - mixed_loudness(bar, first, second, blow_share, blow.sound);
        let stored_tone = decibels(levels::STORED_PEAK);
        let tone = |level: f64, octaves_up: u8, fall: f64| Zone {
            velocities: velocities.clone(),
            playback: Playback::Looped,
            pan: pan(middle),
            attenuation: (stored_tone - gain - decibels(level)).max(0.0),
            root_key: Some(SINE.2 - 12 * octaves_up),
            envelope: Envelope {
                attack: ATTACK,
                decay_per_second: fall,
                ..Envelope::with_release(RELEASE)
            },
            tremolo: (octaves_up == 0).then_some(UNEVEN),
            ..Zone::new(sine, keys.clone())
        };
        vibraphone.zones.push(tone(first, 0, bar.first_fall()));
        if decibels(second / first) > -UNHEARD {
            vibraphone.zones.push(tone(second, 2, bar.second_fall()));
        }
        if decibels(blow_share) > -UNHEARD {
            vibraphone.zones.push(Zone {
                velocities: velocities.clone(),
                pan: pan(middle),
                attenuation: (blow.gain - gain - decibels(blow_share)).clamp(0.0, 57.0),
                envelope: Envelope::with_release(2.0),
                ..Zone::new(blow.stored, keys.clone())
            });
        }
    }
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
