//! The stored voices of a key: soft, and hard minus soft, as for the piano.

use super::pickup::voltage;
use super::tine::Tine;
use crate::dsp::maths;
use crate::dsp::resample::resample;
use crate::dsp::sustain_loop::{Looped, attach, loop_length};
use crate::dsp::{RATE, filter};

/// MIDI velocities of the two strokes.
pub const SOFT: f64 = 45.0;
/// See [`SOFT`].
pub const HARD: f64 = 118.0;
/// Stored sample rate in hertz.
pub const STORED_RATE: u32 = 22_050;
/// Seconds until the loop begins.
const BODY: f64 = 0.9;
/// Seconds of the loop, roughly: a few periods are enough for a tone that is
/// periodic.
const SUSTAIN: f64 = 0.12;
/// Seconds over which the body runs into the loop.
const CROSSFADE: f64 = 0.06;
/// Second-order cut of the preamplifier in hertz.
const LOW_CUT: f64 = 35.0;

/// Both voices of a key.
#[derive(Clone, Debug)]
pub struct Voices {
    /// The MIDI key.
    pub key: u8,
    /// Soft stroke, body and loop, at [`STORED_RATE`].
    pub soft: Looped,
    /// Hard stroke minus soft.
    pub edge: Looped,
    /// First part of both at [`RATE`], for measuring.
    pub starts: [Vec<f64>; 2],
    /// Fall during the loop, in decibels per second.
    pub fall: f64,
}

/// Computes a key.
#[must_use]
pub fn compute(key: u8) -> Voices {
    let rate = f64::from(STORED_RATE);
    let frequency = maths::key_frequency(f64::from(key));
    let soft = Tine::struck(key, SOFT);
    let hard = Tine::struck(key, HARD);
    let play = |tine: &Tine| -> Vec<f64> {
        let raw: Vec<f64> = (0..maths::samples(BODY + 0.05, RATE))
            .map(|i| voltage(tine.at(i as f64 / RATE)))
            .collect();
        filter::high_pass(&raw, LOW_CUT, 2, RATE)
    };
    let (soft_sound, hard_sound) = (play(&soft), play(&hard));
    // Matched in level, so that the edge holds timbre only.
    let level = power(&hard_sound).sqrt() / power(&soft_sound).sqrt();
    let soft_sound: Vec<f64> = soft_sound.iter().map(|x| x * level).collect();
    let edge_sound: Vec<f64> = hard_sound.iter().zip(&soft_sound).map(|(h, s)| h - s).collect();

    let end = maths::samples(BODY, rate);
    let length = loop_length(frequency, SUSTAIN, rate);
    let steady = |tine: &Tine| -> Vec<f64> {
        let periods = (frequency * length as f64 / rate).round();
        (0..length)
            .map(|i| voltage(tine.steady(end as f64 / rate, periods * i as f64 / length as f64)))
            .collect()
    };
    let (soft_steady, hard_steady) = (steady(&soft), steady(&hard));
    let soft_steady: Vec<f64> = soft_steady.iter().map(|x| x * level).collect();
    let edge_steady: Vec<f64> = hard_steady.iter().zip(&soft_steady).map(|(h, s)| h - s).collect();
    let join = |sound: &[f64], steady: Vec<f64>| {
        let body = resample(sound, 44_100, STORED_RATE);
        let crossfade = maths::samples(CROSSFADE, rate);
        attach(
            &body[..end.min(body.len())],
            through_preamplifier(&steady, rate),
            soft.fall(),
            crossfade,
            rate,
        )
    };
    let start = |sound: &[f64]| sound[..maths::samples(0.45, RATE)].to_vec();
    Voices {
        key,
        starts: [start(&soft_sound), start(&edge_sound)],
        soft: join(&soft_sound, soft_steady),
        edge: join(&edge_sound, edge_steady),
        fall: soft.fall(),
    }
}

fn power(sound: &[f64]) -> f64 {
    sound.iter().map(|x| x * x).sum()
}

/// A periodic signal as it leaves the low cut, once that has settled.
fn through_preamplifier(period: &[f64], rate: f64) -> Vec<f64> {
    let turns = maths::whole(rate / period.len().max(1) as f64) + 1;
    let repeated = period.repeat(turns + 1);
    filter::high_pass(&repeated, LOW_CUT, 2, rate).split_off(turns * period.len())
}
