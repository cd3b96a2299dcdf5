//! Which voices sound at which key and velocity, how loud, and from where.

use super::arrivals::{Arrival, LEAD, arrivals, lead, pan};
use super::layers::Layers;
use super::stroke::{HARD, SOFT};
use super::tuning::stretch;
use crate::dsp::loudness::k_weighted;
use crate::dsp::maths::{self, PI, cos, decibels, interpolate, pow, sin};
use crate::dsp::{RATE, filter};
use crate::levels;
use crate::sf2::{Envelope, Instrument, InstrumentId, Layer, Playback, Sample, SampleId, Zone};
use std::ops::RangeInclusive;

/// Velocity ranges, each with its own timbre: steps too small to hear.
const VELOCITIES: [(u8, u8); 17] = [
    (1, 19),
    (20, 24),
    (25, 29),
    (30, 35),
    (36, 41),
    (42, 47),
    (48, 52),
    (53, 57),
    (58, 62),
    (63, 68),
    (69, 74),
    (75, 80),
    (81, 87),
    (88, 94),
    (95, 102),
    (103, 111),
    (112, 127),
];
/// Loudness of a key against the middle of the compass, in decibels.
const LOUDNESS: [(f64, f64); 6] =
    [(21.0, -1.0), (36.0, 0.0), (60.0, 0.0), (84.0, -2.5), (96.0, -6.0), (108.0, -11.0)];
/// Time in seconds in which the damper takes a note down by 60 dB.
const DAMPING: [(f64, f64); 4] = [(21.0, 0.52), (45.0, 0.42), (60.0, 0.37), (88.0, 0.30)];
/// From this key up there are no dampers (common practice).
const FIRST_UNDAMPED: u8 = 89;

/// Keys that play a root: half-way to its neighbours.
fn keys_of(roots: &[Layers], index: usize) -> RangeInclusive<u8> {
    let key = roots[index].key;
    let low = match index.checked_sub(1) {
        Some(below) => roots[below].key + (key - roots[below].key) / 2 + 1,
        None => 21,
    };
    let high = roots.get(index + 1).map_or(108, |above| key + (above.key - key) / 2);
    low..=high
}

/// Share of the residual voice at a velocity: none up to the soft stroke's own,
/// all of it at the hard stroke's.
fn hardness(velocity: f64) -> f64 {
    pow(((velocity - 46.0) / (HARD - 46.0)).max(0.0), 1.2)
}

/// Below the soft stroke's velocity the base voice is darkened by a low pass:
/// its cutoff in hertz. A mixture would not do, since the synthesiser mutes what
/// is softer than -60 dB.
fn darkness(key: u8, velocity: f64) -> Option<f64> {
    (velocity < 42.0).then(|| {
        let fundamental = maths::key_frequency(f64::from(key));
        1.5 * fundamental + 7000.0 * pow(velocity / SOFT, 2.0)
    })
}

/// Loudness target of a key in LUFS at velocity 127.
fn target(key: u8) -> f64 {
    levels::NOTE + interpolate(f64::from(key), &LOUDNESS)
}

/// The instrument from its computed roots.
#[must_use]
pub fn instrument(roots: &[Layers]) -> Instrument {
    let mut piano = Instrument::new("Grand Piano");
    for (index, root) in roots.iter().enumerate() {
        add_root(&mut piano, root, keys_of(roots, index));
    }
    piano
}

/// The preset's layers: each key with its stretch and its step of loudness
/// against the root that plays it.
#[must_use]
pub fn preset_layers(instrument: InstrumentId) -> Vec<Layer> {
    (21..=108)
        .map(|key| {
            let root = nearest_root(key);
            Layer {
                attenuation: target(root) - target(key),
                tuning: stretch(key),
                ..Layer::new(instrument, key..=key)
            }
        })
        .collect()
}

fn nearest_root(key: u8) -> u8 {
    let roots = super::ROOTS;
    let after = roots.partition_point(|&root| root < key);
    match (after.checked_sub(1), roots.get(after)) {
        (Some(below), Some(&above)) => {
            let below = roots[below];
            if key <= below + (above - below) / 2 { below } else { above }
        }
        (Some(below), None) => roots[below],
        (None, _) => roots[0],
    }
}

fn add_root(piano: &mut Instrument, root: &Layers, keys: RangeInclusive<u8>) {
    let arrivals = arrivals(root);
    let base = add_voice(piano, root, "base", LEAD);
    let residual = add_voice(piano, root, "residual", 0.0);
    let release =
        if root.key >= FIRST_UNDAMPED { 1.2 } else { interpolate(f64::from(root.key), &DAMPING) };
    let envelope = |hold: f64, decay: f64| Envelope {
        hold,
        hold_follows_pitch: true,
        decay_per_second: decay,
        ..Envelope::with_release(release)
    };
    for (low, high) in VELOCITIES {
        let velocity = if low == 1 { 18.0 } else { 0.5 * (f64::from(low) + f64::from(high)) };
        let share = hardness(velocity);
        let low_pass = darkness(root.key, velocity);
        // Gain in decibels of both voices as computed.
        let gain = target(root.key) - stereo_loudness(root, &arrivals, share, low_pass);
        for arrival in &arrivals {
            piano.zones.push(Zone {
                velocities: low..=high,
                playback: Playback::Looped,
                pan: arrival.pan,
                attenuation: (base.gain - gain - arrival.level).max(0.0),
                low_pass,
                start_offset: lead(root) - arrival.delay,
                envelope: envelope(base.seconds, root.base.decay),
                ..Zone::new(base.sample, keys.clone())
            });
        }
        let attenuation = residual.gain - gain - decibels(share);
        // What the synthesiser would mute anyway is left out.
        if share > 0.0 && attenuation - decibels(pow(f64::from(low) / 127.0, 2.0)) < 59.5 {
            piano.zones.push(Zone {
                velocities: low..=high,
                playback: Playback::Looped,
                pan: pan(root.key),
                attenuation: attenuation.max(0.0),
                envelope: envelope(residual.seconds, root.residual.decay),
                ..Zone::new(residual.sample, keys.clone())
            });
        }
    }
}

/// A stored voice: its sample, the gain in decibels of its storing, and the
/// seconds from the sound's beginning to its loop.
struct Stored {
    sample: SampleId,
    gain: f64,
    seconds: f64,
}

/// Stores one of the voices with `lead` seconds of silence before it.
fn add_voice(piano: &mut Instrument, root: &Layers, which: &str, lead: f64) -> Stored {
    let voice = if which == "base" { &root.base } else { &root.residual };
    let rate = f64::from(voice.rate);
    let lead = maths::samples(lead, rate);
    let mut pcm = vec![0.0; lead];
    pcm.extend_from_slice(&voice.looped.pcm);
    let gain = levels::store(&mut pcm);
    let range = &voice.looped.range;
    let sample = piano.add_sample(Sample {
        name: format!("Piano {} {which}", root.key),
        pcm,
        rate: voice.rate,
        root_key: root.key,
        sustain_loop: Some(range.start + lead..range.end + lead),
    });
    Stored { sample, gain, seconds: range.start as f64 / rate }
}

/// Loudness in LUFS of a root with a share of the residual voice and the base
/// voice darkened, both channels, all arrivals.
fn stereo_loudness(root: &Layers, arrivals: &[Arrival], share: f64, low_pass: Option<f64>) -> f64 {
    let length = maths::samples(levels::WINDOW, RATE);
    let mut sides = [vec![0.0; length], vec![0.0; length]];
    let mut mix = |signal: &[f64], delay: usize, pan: f64, gain: f64| {
        let angle = PI / 4.0 * (1.0 + pan);
        for (side, weight) in sides.iter_mut().zip([cos(angle), sin(angle)]) {
            for (x, y) in side[delay..].iter_mut().zip(signal) {
                *x += gain * weight * y;
            }
        }
    };
    let base = match low_pass {
        Some(cutoff) => filter::low_pass(&root.base_start, cutoff, 2, RATE),
        None => root.base_start.clone(),
    };
    for arrival in arrivals {
        let delay = maths::whole(arrival.delay as f64 * RATE / f64::from(root.base.rate));
        mix(&base, delay, arrival.pan, maths::amplitude(arrival.level));
    }
    mix(&root.residual_start, 0, pan(root.key), share);
    let power: f64 = sides
        .iter()
        .map(|side| k_weighted(side, RATE).iter().map(|x| x * x).sum::<f64>() / length as f64)
        .sum();
    -0.691 + 0.5 * decibels(power.max(1e-30))
}
