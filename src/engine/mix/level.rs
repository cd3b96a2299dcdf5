//! How loud everything becomes.

use super::meter::Loudness;
use crate::units::Decibels;

/// No file has a true peak above this, in dBTP (AES TD1008; EBU R 128).
pub const CEILING: Decibels = Decibels(-1.0);
/// The limiter holds peaks a little lower: another meter's filter may read a peak between the
/// samples higher than ours, and dither and rounding come after it.
pub(super) const MARGIN: Decibels = Decibels(0.1);
/// The limiter takes at most this much; beyond it a file stays quieter than asked for.
pub const MOST_REDUCTION: Decibels = Decibels(3.0);
/// The click's peak stays under this, in dBFS.
pub(super) const CLICK_CEILING: Decibels = Decibels(-6.0);
/// The level of a click with no programme to follow: as in the sounds.
const CLICK_ALONE: Decibels = Decibels(0.0);

/// The level of a sum of players before any gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Programme {
    pub(super) loudness: Loudness,
    /// As an amplitude.
    pub(super) true_peak: f32,
}

impl Programme {
    pub(super) const SILENCE: Programme = Programme { loudness: Loudness::SILENCE, true_peak: 0.0 };
}

/// The level of a click or a count-in before any gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pulse {
    /// Its loudest 400 ms.
    pub(super) loudest: Loudness,
    /// As an amplitude.
    pub(super) true_peak: f32,
}

/// The gain that brings a programme to the target, or as near as its peaks allow. Silence gets
/// none.
pub(super) fn programme_gain(programme: Programme, target: f64) -> Decibels {
    if programme.loudness.is_silent() {
        return Decibels(0.0);
    }
    let wanted = Decibels(target - programme.loudness.0);
    let headroom = CEILING - MARGIN - Decibels::of(f64::from(programme.true_peak));
    let most = headroom + MOST_REDUCTION;
    if wanted < most { wanted } else { most }
}

/// The gain that puts a click or count-in `under` a programme as loud as `loudness`, its peak
/// under [`CLICK_CEILING`].
pub(super) fn pulse_gain(pulse: Pulse, loudness: Loudness, under: Decibels) -> Decibels {
    let wanted = if loudness.is_silent() || pulse.loudest.is_silent() {
        CLICK_ALONE
    } else {
        Decibels(loudness.0 - pulse.loudest.0) - under
    };
    let most = CLICK_CEILING - Decibels::of(f64::from(pulse.true_peak));
    if wanted < most { wanted } else { most }
}
