//! A flute's tone: the low register has strong overtones, the high one hardly any; blowing harder
//! brings overtones, not much loudness. Levels after published spectra of concert flutes (Fletcher
//! 1975; from memory), smoothed over keys.

use crate::dsp::maths::{self, TURN, amplitude, exp, key_frequency, samples, sin};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter, window};
use crate::envelope;

/// Overtones that are followed.
const PARTIALS: u32 = 10;
/// Level in dB of the first ten partials blown softly at C4, C5, C6 and C7.
const SOFT: [(f64, [f64; 10]); 4] = [
    (60.0, [-1.5, 0.0, -7.0, -14.0, -20.0, -27.0, -33.0, -38.0, -44.0, -50.0]),
    (72.0, [0.0, -8.0, -18.0, -24.0, -32.0, -38.0, -44.0, -50.0, -56.0, -62.0]),
    (84.0, [0.0, -16.0, -26.0, -34.0, -42.0, -48.0, -54.0, -60.0, -66.0, -72.0]),
    (96.0, [0.0, -22.0, -34.0, -42.0, -50.0, -56.0, -62.0, -68.0, -74.0, -80.0]),
];
/// How much more of each partial there is when it is blown hard, dB.
const HARD: [f64; 10] = [0.0, 4.0, 7.0, 9.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0];
/// Time constants in which the first partial and the others come in at C5, s: the jet has to find the
/// tube first. Higher tones speak sooner.
const SPEAKING: (f64, f64) = (0.016, 0.024);
/// The chiff before the tone: level against it in dB, time constants of rise and fall, s.
const CHIFF: (f64, f64, f64) = (-15.0, 0.004, 0.018);

/// Level in dB of partial `number` (from 1) at `key`, blown softly.
fn soft_level(key: f64, number: u32) -> f64 {
    let index = usize::try_from(number).unwrap_or(1).saturating_sub(1);
    let table = SOFT.map(|(at, levels)| (at, levels.get(index).copied().unwrap_or(-90.0)));
    maths::interpolate(key, &table)
}

/// The tone of `key` over `seconds`, blown with `breath` (0 soft, 1 hard), without the chiff.
#[must_use]
pub fn steady(key: u8, breath: f64, seconds: f64, rate: f64) -> Vec<f64> {
    let key = f64::from(key);
    let fundamental = key_frequency(key);
    let sooner = maths::cents_ratio(-50.0 * (key - 72.0));
    let mut sound = vec![0.0; samples(seconds, rate)];
    for number in (1..=PARTIALS).take_while(|&n| f64::from(n) * fundamental < 0.45 * rate) {
        let index = usize::try_from(number).unwrap_or(1).saturating_sub(1);
        let more = HARD.get(index).copied().unwrap_or(0.0);
        let level = amplitude(soft_level(key, number) + breath * more);
        let rise = sooner * if number == 1 { SPEAKING.0 } else { SPEAKING.1 };
        // Phases spread the partials' crests (Schroeder 1970).
        let phase = -core::f64::consts::PI * f64::from(number * (number - 1)) / f64::from(PARTIALS);
        let turn = TURN * f64::from(number) * fundamental / rate;
        for (index, sample) in sound.iter_mut().enumerate() {
            let time = index as f64 / rate;
            *sample += level * (1.0 - exp(-time / rise)) * sin(turn * index as f64 + phase);
        }
    }
    sound
}

/// The chiff of `key` against a tone whose level is 1.
#[must_use]
pub fn chiff(key: u8, length: usize) -> Vec<f64> {
    let fundamental = key_frequency(f64::from(key));
    let white = Noise::new(1200 + u64::from(key)).white(length);
    // The air finds the second and third resonance of the tube first.
    let low = 1.6 * fundamental;
    let high = (3.4 * fundamental).min(9000.0).max(low * 1.3);
    let mut sound = filter::band_pass(&white, low, high, 2, RATE);
    envelope::shape(&mut sound, |time| envelope::burst(time, CHIFF.1, CHIFF.2));
    let mut sound = envelope::to_unit_peak(sound);
    for sample in &mut sound {
        *sample *= amplitude(CHIFF.0);
    }
    window::fade_out(&mut sound, length / 4);
    sound
}

/// `length` samples of breath going past the edge: noise around the lowest resonances of `key`'s tube.
#[must_use]
pub fn breath(key: u8, length: usize) -> Vec<f64> {
    let fundamental = key_frequency(f64::from(key));
    let white = Noise::new(1300 + u64::from(key)).white(length);
    let mut sound = vec![0.0; length];
    for (resonance, level) in [(1.0, -3.0), (2.0, 0.0), (3.0, -2.0), (4.0, -5.0), (6.0, -9.0)] {
        let centre = resonance * fundamental;
        let band = filter::band_pass(&white, 0.93 * centre, 1.07 * centre, 2, RATE);
        envelope::add(&mut sound, &band, amplitude(level) / envelope::rms(&band).max(1e-12));
    }
    sound
}
