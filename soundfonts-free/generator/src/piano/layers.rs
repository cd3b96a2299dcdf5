//! What is stored of a key: a base voice with the timbre of a soft stroke, and
//! a residual voice, hard minus soft. Mixed in rising proportion they give
//! every timbre between, and somewhat beyond, from two samples.

use super::design::Key;
use super::soundboard::Soundboard;
use super::strings::{Strings, mean_decay};
use super::stroke::{self, Stroke};
use super::tuner;
use crate::dsp::RATE;
use crate::dsp::complex::Complex;
use crate::dsp::fft::spectrum;
use crate::dsp::maths::{self, interpolate};
use crate::dsp::resample::resample;
use crate::dsp::sustain_loop::{self, Line, Looped, loop_length};
use crate::dsp::window::{hann, ramp_up};

/// How one of the two voices is stored.
#[derive(Clone, Copy, Debug)]
pub struct Format {
    /// Sample rate in hertz.
    pub rate: u32,
    /// Seconds until the loop begins, by key.
    pub body: &'static [(f64, f64)],
    /// Seconds of the loop, by key.
    pub sustain: &'static [(f64, f64)],
    /// Seconds over which the body runs into the loop.
    pub crossfade: f64,
}

/// A stored voice.
#[derive(Clone, Debug)]
pub struct Voice {
    /// Body and loop at the format's rate; not yet scaled.
    pub looped: Looped,
    /// In hertz.
    pub rate: u32,
    /// Fall during the loop, in decibels per second.
    pub decay: f64,
}

/// Both voices of a key.
#[derive(Clone, Debug)]
pub struct Layers {
    /// The MIDI key.
    pub key: u8,
    /// Soft timbre.
    pub base: Voice,
    /// Hard minus soft.
    pub residual: Voice,
    /// First part of the base voice at [`RATE`], for measuring.
    pub base_start: Vec<f64>,
    /// First part of the residual voice at [`RATE`].
    pub residual_start: Vec<f64>,
}

/// Seconds of the parts for measuring: a little over the loudness window.
const MEASURED: f64 = 0.45;

impl Layers {
    /// Computes the voices of `key`.
    #[must_use]
    pub fn new(key: u8, board: &Soundboard, base: &Format, residual: &Format) -> Self {
        let design = Key::new(key);
        let board = &board.under(design.frequency);
        let strings = tuner::tuned(&design, board);
        let position = f64::from(key);
        let base_end = interpolate(position, base.body);
        let residual_end = interpolate(position, residual.body);
        let seconds = base_end.max(residual_end).max(MEASURED) + 0.05;
        let [hard, soft] = stroke::pair(&design, &strings, board, seconds);
        let match_level = fundamental_ratio(&hard, &soft, design.frequency);
        let mut base_sound: Vec<f64> = soft.sound.iter().map(|x| x * match_level).collect();
        let mut residual_sound: Vec<f64> =
            hard.sound.iter().zip(&base_sound).map(|(h, s)| h - s).collect();
        let unheard = silence_before(&base_sound);
        begin_at(&mut base_sound, unheard);
        begin_at(&mut residual_sound, unheard);
        let begin = unheard as f64 / RATE;
        let scaled = |time: f64| -> Vec<Complex> {
            soft.states(time + begin).into_iter().map(|z| z * match_level).collect()
        };
        let difference = |time: f64| -> Vec<Complex> {
            hard.states(time + begin).into_iter().zip(scaled(time)).map(|(h, s)| h - s).collect()
        };
        let measured = maths::samples(MEASURED, RATE);
        let store = |sound: &[f64], states: &dyn Fn(f64) -> Vec<Complex>, format: &Format| {
            voice(&design, &strings, board, sound, states, format)
        };
        Self {
            key,
            base: store(&base_sound, &scaled, base),
            residual: store(&residual_sound, &difference, residual),
            base_start: base_sound[..measured].to_vec(),
            residual_start: residual_sound[..measured].to_vec(),
        }
    }
}

/// Samples before a sound reaches 8 % of its peak, less a third of a millisecond: the
/// wave of a bass string is on its way that long, and a player of samples does
/// not want to wait for it.
fn silence_before(sound: &[f64]) -> usize {
    let threshold = 0.08 * stroke::peak(sound);
    let first = sound.iter().position(|x| x.abs() >= threshold).unwrap_or(0);
    first.saturating_sub(maths::samples(0.0003, RATE))
}

/// Cuts a sound's beginning off and lets it rise over a third of a millisecond.
fn begin_at(sound: &mut Vec<f64>, first: usize) {
    sound.drain(..first.min(sound.len()));
    for (x, gain) in sound.iter_mut().zip(ramp_up(maths::samples(0.0003, RATE))) {
        *x *= gain;
    }
}

/// Stores a sound: resampled, cut, and run into a loop of its partials as they
/// stand there.
fn voice(
    key: &Key,
    strings: &Strings,
    board: &Soundboard,
    sound: &[f64],
    states: &dyn Fn(f64) -> Vec<Complex>,
    format: &Format,
) -> Voice {
    let rate = f64::from(format.rate);
    let position = f64::from(key.key);
    let at_rate = resample(sound, 44_100, format.rate);
    let end = maths::samples(interpolate(position, format.body), rate).min(at_rate.len());
    let length = loop_length(key.frequency, interpolate(position, format.sustain), rate);
    let now = states(end as f64 / rate);
    let decay = mean_decay(strings, &now);
    let repeated = sustain_loop::period(&lines(strings, board, &now, length, rate), length);
    let crossfade = maths::samples(format.crossfade, rate);
    Voice {
        looped: sustain_loop::attach(&at_rate[..end], repeated, decay, crossfade, rate),
        rate: format.rate,
        decay,
    }
}

/// Moments around the joint, in seconds, over which a partial's level is taken:
/// it may be passing through the null of a beat just there.
const AROUND: [f64; 5] = [-0.16, -0.08, 0.0, 0.1, 0.2];

/// The partials as lines of a periodic spectrum: each with its mean power around
/// the joint and its phase at it, through the board.
fn lines(
    strings: &Strings,
    board: &Soundboard,
    states: &[Complex],
    length: usize,
    rate: f64,
) -> Vec<Line> {
    let mut sums = vec![(Complex::ZERO, [Complex::ZERO; AROUND.len()]); strings.partials.len()];
    for (oscillation, state) in strings.oscillations.iter().zip(states) {
        let (now, around) = &mut sums[oscillation.partial];
        *now += *state;
        for (sum, moment) in around.iter_mut().zip(AROUND) {
            *sum += *state * (oscillation.pole * moment).exp();
        }
    }
    let power = |around: &[Complex]| -> f64 {
        around.iter().map(|sum| sum.power()).sum::<f64>() / AROUND.len() as f64
    };
    let loudest = sums.iter().map(|(_, around)| power(around)).fold(0.0, f64::max);
    strings
        .partials
        .iter()
        .zip(sums)
        // Partials 100 dB down are not worth a line.
        .filter(|(_, (_, around))| power(around) > 1e-10 * loudest)
        .map(|(&frequency, (now, around))| {
            let periods = maths::whole(frequency * length as f64 / rate);
            let heard = board.at(periods as f64 * rate / length as f64);
            let level = power(&around).sqrt();
            Line { periods, value: Complex::polar(level, now.angle()) * heard }
        })
        .collect()
}

/// Level of the hard stroke over the soft one around the fundamental and the
/// second partial.
fn fundamental_ratio(hard: &Stroke, soft: &Stroke, frequency: f64) -> f64 {
    let band = |sound: &[f64]| -> f64 {
        let size = 1 << 16;
        let part = &sound[..sound.len().min(size)];
        let windowed: Vec<f64> = part.iter().zip(hann(part.len())).map(|(x, w)| x * w).collect();
        let bin = |f: f64| maths::whole(f * size as f64 / RATE);
        spectrum(&windowed, size)[bin(0.7 * frequency)..bin(2.5 * frequency)]
            .iter()
            .map(|b| b.power())
            .sum()
    };
    (band(&hard.sound) / band(&soft.sound)).sqrt()
}
