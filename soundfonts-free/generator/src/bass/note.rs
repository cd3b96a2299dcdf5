//! One plucked note: string, finger, body.

use super::body::Body;
use super::string::{BassString, Partial};
use super::touch::Touch;
use crate::dsp::RATE;
use crate::dsp::complex::Complex;
use crate::dsp::maths::{self, TURN, decibels, exp, samples};
use crate::dsp::modes::{Mode, ring};
use crate::envelope;

/// A plucked string is a little sharp at first, since the pluck stretches it: cents, and the time
/// constant with which it settles, s (from memory).
const GLIDE: (f64, f64) = (2.7, 0.12);

/// A note that has been plucked.
pub struct Note {
    /// Its sound.
    pub sound: Vec<f64>,
    partials: Vec<Partial>,
}

/// Plucks `key` with `touch` and listens for `seconds`.
#[must_use]
pub fn pluck(key: u8, touch: &Touch, body: &Body, seconds: f64) -> Note {
    let partials = BassString::for_key(key).pluck(touch);
    let length = samples(seconds, RATE);
    let modes: Vec<Mode> = partials.iter().flatten().copied().collect();
    let mut force = glided(&ring(&modes, length, RATE));
    envelope::shape(&mut force, |time| touch.freed(time));
    let mut sound = body.radiate(&force);
    let peak = envelope::peak(envelope::head(&sound, 0.1));
    envelope::add(&mut sound, &body.radiate(&touch.noise(length, 900 + u64::from(key))), peak);
    Note { sound, partials }
}

/// How much further than `time` the glide has brought the string's vibration, s.
fn ahead(time: f64) -> f64 {
    let (cents, settling) = GLIDE;
    (maths::cents_ratio(cents) - 1.0) * settling * (1.0 - exp(-time / settling))
}

/// `steady` with the glide: read a little ahead of time.
fn glided(steady: &[f64]) -> Vec<f64> {
    (0..steady.len())
        .map(|index| {
            let beyond = ahead(index as f64 / RATE) * RATE;
            let whole = maths::whole(beyond.floor());
            let part = beyond - beyond.floor();
            let at = |offset: usize| steady.get(index + whole + offset).copied().unwrap_or(0.0);
            at(0) * (1.0 - part) + at(1) * part
        })
        .collect()
}

/// What one partial sounds like at one moment, as a turning pointer whose height is heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Frequency, Hz.
    pub frequency: f64,
    /// Amplitude and phase.
    pub pointer: Complex,
    /// Decay rate by which its power falls, nepers per second.
    pub decay: f64,
}

impl Note {
    /// All partials as they sound `time` seconds after the pluck.
    #[must_use]
    pub fn moment(&self, body: &Body, time: f64) -> Vec<Moment> {
        let time = time + ahead(time);
        self.partials
            .iter()
            .filter_map(|partial| {
                let first = partial.first()?;
                let heard = body.at(first.frequency, first.decay);
                let mut sum = Complex::ZERO;
                let (mut power, mut falling) = (0.0, 0.0);
                for mode in partial {
                    let size = mode.amplitude * exp(-mode.decay * time);
                    sum += Complex::polar(size, mode.phase + TURN * mode.frequency * time);
                    power += size * size;
                    falling += mode.decay * size * size;
                }
                // The modes of a partial drift apart; on average their powers add.
                let size = power.sqrt() / sum.magnitude().max(1e-30);
                Some(Moment {
                    frequency: first.frequency,
                    pointer: sum * size * heard,
                    decay: falling / power.max(1e-300),
                })
            })
            .collect()
    }
}

/// Fall of all partials together, dB per second.
#[must_use]
pub fn fall(moments: &[Moment]) -> f64 {
    let power: f64 = moments.iter().map(|moment| moment.pointer.power()).sum();
    let falling: f64 = moments.iter().map(|moment| moment.decay * moment.pointer.power()).sum();
    decibels(core::f64::consts::E) * falling / power.max(1e-300)
}
