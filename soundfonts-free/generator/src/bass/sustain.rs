//! The part of a stored note that repeats while the note is held: all partials as they were at one
//! moment, moved by a few thousandths onto frequencies that fit a whole number of times.

use super::note::Moment;
use crate::dsp::complex::Complex;
use crate::dsp::maths::{amplitude, whole};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::window;
use crate::envelope;

/// Length of the loop in samples: as near to `seconds` as whole periods of `fundamental` come.
#[must_use]
pub fn loop_length(fundamental: f64, seconds: f64, rate: f64) -> usize {
    whole((seconds * fundamental).round().max(1.0) * rate / fundamental)
}

/// The partials for ever, `length` samples of them, beginning at their moment.
#[must_use]
pub fn frozen(moments: &[Moment], length: usize, rate: f64) -> Vec<f64> {
    let modes: Vec<Mode> = moments
        .iter()
        .map(|moment| {
            let turns = (moment.frequency * length as f64 / rate).round();
            Mode {
                frequency: turns * rate / length as f64,
                amplitude: moment.pointer.magnitude(),
                decay: 0.0,
                phase: moment.pointer.angle(),
            }
        })
        .collect();
    ring(&modes, length, rate)
}

/// `sound` with its last `crossfade` samples led over into `repeating`, which is added after it.
/// `fall` in dB per second is what the sound does meanwhile. Gives the sample and where its loop
/// begins.
#[must_use]
pub fn joined(
    mut sound: Vec<f64>,
    repeating: &[f64],
    crossfade: usize,
    fall: f64,
    rate: f64,
) -> (Vec<f64>, usize) {
    let start = sound.len();
    let crossfade = crossfade.min(start);
    // The loop as it would have been before the moment it was taken at, louder by the fall.
    let before: Vec<f64> = (0..crossfade)
        .map(|index| {
            let earlier = crossfade - index;
            let turn = repeating.len() - 1 - (earlier - 1) % repeating.len();
            repeating[turn] * amplitude(fall * earlier as f64 / rate)
        })
        .collect();
    let level = envelope::rms(sound.get(start - crossfade..).unwrap_or_default());
    let gain = (level / envelope::rms(&before).max(1e-30)).clamp(0.5, 2.0);
    let fade = window::ramp_up(crossfade);
    for ((sample, other), up) in sound[start - crossfade..].iter_mut().zip(&before).zip(fade) {
        *sample = *sample * (1.0 - up) + gain * other * up;
    }
    sound.extend(repeating.iter().map(|sample| gain * sample));
    (sound, start)
}

/// The moments of `loud` less those of `soft` times `share`: what a second voice must add. Both are of
/// the same string.
#[must_use]
pub fn difference(loud: &[Moment], soft: &[Moment], share: f64) -> Vec<Moment> {
    loud.iter()
        .zip(soft)
        .map(|(loud, soft)| Moment {
            pointer: loud.pointer + soft.pointer * Complex::new(-share, 0.0),
            ..*loud
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dsp::maths::{TURN, sin};

    /// A sine that fits runs through the joint as if there were none.
    #[test]
    fn a_sine_passes_the_joint() {
        let rate = 20_000.0;
        let sine = |index: usize| sin(TURN * 100.0 * index as f64 / rate);
        let sound: Vec<f64> = (0..3000).map(sine).collect();
        let moment = Moment {
            frequency: 100.0,
            pointer: Complex::polar(1.0, TURN * 100.0 * 3000.0 / rate),
            decay: 0.0,
        };
        let repeating = frozen(&[moment], loop_length(100.0, 0.1, rate), rate);
        let (pcm, start) = joined(sound, &repeating, 1000, 0.0, rate);
        assert_eq!((start, pcm.len()), (3000, 5000));
        for (index, sample) in pcm.iter().enumerate() {
            assert!((sample - sine(index)).abs() < 1e-6, "sample {index}");
        }
    }
}
