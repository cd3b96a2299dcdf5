//! The level that all instruments are set to, so that presets balance.

use crate::dsp::loudness::loudness;
use crate::dsp::maths;

/// Loudness in LUFS of the first [`WINDOW`] seconds of a note in the middle of
/// an instrument's range at velocity 127, both channels together, with all of
/// the synthesiser's own gains at 1. Low enough that a chord of ten does not
/// clip with rustysynth's default master volume of 0.5, high enough that soft
/// notes stay above the synthesiser's muting threshold.
pub const NOTE: f64 = -20.0;

/// Length in seconds over which a note's loudness is taken: the momentary
/// window of EBU Tech 3341.
pub const WINDOW: f64 = 0.4;

/// Peak at which samples are stored, as a share of full scale: hot, with room
/// for the overshoot of interpolators.
pub const STORED_PEAK: f64 = 0.93;

/// Scales a signal to [`STORED_PEAK`] and gives the gain in decibels that was
/// applied. A silent signal stays as it is.
pub fn store(pcm: &mut [f64]) -> f64 {
    let peak = pcm.iter().fold(0.0_f64, |peak, x| peak.max(x.abs()));
    if peak <= 0.0 {
        return 0.0;
    }
    for x in pcm.iter_mut() {
        *x *= STORED_PEAK / peak;
    }
    maths::decibels(STORED_PEAK / peak)
}

/// Attenuation in decibels that brings a stored sample to `target` LUFS over
/// the first [`WINDOW`] seconds; 0 if it is too soft to reach it.
#[must_use]
pub fn attenuation_to(target: f64, pcm: &[f64], rate: f64) -> f64 {
    let window = maths::samples(WINDOW, rate).min(pcm.len());
    (loudness(&pcm[..window], rate) - target).max(0.0)
}
