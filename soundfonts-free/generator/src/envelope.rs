//! Levels of sounds and their course in time.

use crate::dsp::maths::{exp, samples};
use crate::dsp::modes::Mode;
use crate::dsp::{RATE, maths, window};

/// A mode that starts as a sine from zero, by its frequency in Hz, its level in dB and the seconds in
/// which it falls by 60 dB.
#[must_use]
pub fn mode(frequency: f64, level_db: f64, t60: f64) -> Mode {
    Mode {
        frequency,
        amplitude: maths::amplitude(level_db),
        decay: maths::decay_for_t60(t60),
        phase: 0.0,
    }
}

/// What must be added to `mode` so that the share `share` (0 to 1) of it is not there at the blow but
/// comes in with the time constant `rise` in seconds, as energy wanders into it from other modes:
/// the sum is the mode times 1 − share·exp(−t/rise).
#[must_use]
pub fn held_back(mode: Mode, share: f64, rise: f64) -> Mode {
    Mode { amplitude: -share * mode.amplitude, decay: mode.decay + 1.0 / rise, ..mode }
}

/// Multiplies `sound` by `gain` of the time in seconds.
pub fn shape(sound: &mut [f64], gain: impl Fn(f64) -> f64) {
    for (index, sample) in sound.iter_mut().enumerate() {
        *sample *= gain(index as f64 / RATE);
    }
}

/// A swell with the time constant `rise` and a fall with the time constant `fall`, in seconds, at
/// `time` after the blow.
#[must_use]
pub fn burst(time: f64, rise: f64, fall: f64) -> f64 {
    exp(-time / fall) * (1.0 - exp(-time / rise))
}

/// Adds `gain` times `part` to `sound`, as far as both go.
pub fn add(sound: &mut [f64], part: &[f64], gain: f64) {
    for (sample, other) in sound.iter_mut().zip(part) {
        *sample += gain * other;
    }
}

/// Root of the mean square; 0 for no samples.
#[must_use]
pub fn rms(sound: &[f64]) -> f64 {
    let power: f64 = sound.iter().map(|sample| sample * sample).sum();
    (power / sound.len().max(1) as f64).sqrt()
}

/// Largest magnitude.
#[must_use]
pub fn peak(sound: &[f64]) -> f64 {
    sound.iter().fold(0.0, |peak, sample| sample.abs().max(peak))
}

/// The same sound with its largest magnitude at 1 (silence stays silence).
#[must_use]
pub fn to_unit_peak(mut sound: Vec<f64>) -> Vec<f64> {
    let largest = peak(&sound);
    if largest > 0.0 {
        for sample in &mut sound {
            *sample /= largest;
        }
    }
    sound
}

/// `sound` without its last `crossfade` samples, which are laid over the beginning so that the end
/// runs into it. For noise, which has no phase: both parts keep their power.
#[must_use]
pub fn closed_loop(sound: &[f64], crossfade: usize) -> Vec<f64> {
    let length = sound.len().saturating_sub(crossfade);
    let mut pcm = sound.get(..length).unwrap_or_default().to_vec();
    let fade = window::ramp_up(crossfade);
    for ((sample, after), up) in pcm.iter_mut().zip(sound.iter().skip(length)).zip(fade) {
        *sample = *sample * up.sqrt() + after * (1.0 - up).sqrt();
    }
    pcm
}

/// The first `seconds` of `sound`, or all of it where it is shorter.
#[must_use]
pub fn head(sound: &[f64], seconds: f64) -> &[f64] {
    sound.get(..samples(seconds, RATE)).unwrap_or(sound)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dsp::modes::ring;

    #[test]
    fn a_mode_held_back_whole_starts_from_silence() {
        let mut whole = mode(1000.0, 0.0, 1.0);
        whole.phase = core::f64::consts::FRAC_PI_2;
        let sound = ring(&[whole, held_back(whole, 1.0, 0.01)], 4410, RATE);
        assert!(sound[0].abs() < 1e-12);
        assert!(peak(&sound[2205..]) > 0.5);
    }

    #[test]
    fn levels_are_what_they_are_called() {
        assert!((rms(&[1.0, -1.0, 1.0]) - 1.0).abs() < 1e-12);
        assert!((peak(&to_unit_peak(vec![0.1, -0.4])) - 1.0).abs() < 1e-12);
        assert!(peak(&to_unit_peak(vec![0.0, 0.0])).abs() < 1e-12);
    }
}
