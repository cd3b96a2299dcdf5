//! What is heard of the case: key bed, frame and rim, knocked by the key and the hammer.
//!
//! A knock does not go through the soundboard's radiation as the strings do: it is heard straight from
//! the wood, nearly flat over its octaves, and it is short. Each key lies on another place of the key
//! bed, so each key excites modes of its own; no two keys have one thump, and no thump is a note.

use crate::dsp::RATE;
use crate::dsp::maths::{PI, TURN, exp, ln};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;

/// Length of the response in samples: 0.37 seconds.
const LENGTH: usize = 1 << 14;
/// Between which frequencies in hertz the lowest mode of a key lies: wooden plates of an arm's length
/// (from memory). Wide, so that keys differ.
const LOWEST: (f64, f64) = (95.0, 165.0);
/// No mode above this, in hertz.
const HIGHEST: f64 = 2600.0;
/// Mean ratio from one mode to the next. Close enough that none stands out as a pitch. By
/// measurement.
const RATIO: f64 = 1.09;
/// How far a ratio strays from the mean, share of its step to either side.
const STRAY: f64 = 0.6;
/// Loss factor of the modes: glued and felted wood loses several times what a soundboard does (from
/// memory).
const LOSS: f64 = 0.075;

/// Response of the case to a knock at this key, of unit energy.
pub(super) fn response(key: u8) -> Vec<f64> {
    let mut lots = Noise::new(5200 + u64::from(key));
    let mut modes = Vec::new();
    let mut frequency = LOWEST.0 * exp(ln(LOWEST.1 / LOWEST.0) * lots.uniform());
    while frequency < HIGHEST {
        modes.push(Mode {
            frequency,
            // A mode's energy is amplitude squared over twice its decay, and its decay grows with
            // its frequency: with this amplitude all octaves get the same.
            amplitude: frequency.sqrt() * (0.7 + 0.6 * lots.uniform()),
            decay: PI * LOSS * frequency,
            phase: TURN * lots.uniform(),
        });
        frequency *= 1.0 + (RATIO - 1.0) * (1.0 + STRAY * (2.0 * lots.uniform() - 1.0));
    }
    let mut response = ring(&modes, LENGTH, RATE);
    // Wood gives way before it rings: without this the phases would click.
    for (i, x) in response.iter_mut().enumerate() {
        *x *= 1.0 - exp(-(i as f64 / RATE) / 0.000_4);
    }
    let norm = 1.0 / response.iter().map(|x| x * x).sum::<f64>().sqrt();
    for x in &mut response {
        *x *= norm;
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dsp::fft::spectrum;
    use crate::dsp::maths::{log2, whole};

    /// The strongest resonance below 220 Hz of ten neighbouring keys: no three are a semitone from
    /// each other.
    #[test]
    fn keys_do_not_share_a_thump() {
        let strongest = |key: u8| -> f64 {
            let size = 1 << 17;
            let bins = spectrum(&response(key), size);
            let low = &bins[..whole(220.0 * size as f64 / RATE)];
            let (bin, _) =
                low.iter().enumerate().max_by(|a, b| a.1.power().total_cmp(&b.1.power())).unwrap();
            bin as f64 * RATE / size as f64
        };
        let all: Vec<f64> = (60..70).map(strongest).collect();
        for one in &all {
            let near = all.iter().filter(|other| (12.0 * log2(*other / one)).abs() < 0.5).count();
            assert!(near <= 3, "{near} keys near {one} Hz: {all:?}");
        }
    }
}
