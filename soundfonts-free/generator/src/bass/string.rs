//! A bass string: its partials, how a pluck sets them going, and how they die away.

use super::touch::Touch;
use crate::dsp::maths::{self, PI, amplitude, exp, ln, pow, sin};
use crate::dsp::modes::Mode;
use crate::dsp::noise::Noise;

/// MIDI keys of the open strings: E1 A1 D2 G2.
pub const OPEN_STRINGS: [u8; 4] = [28, 33, 38, 43];
/// Sounding length of an open string, m (three-quarter size; common practice).
const OPEN_LENGTH: f64 = 1.06;
/// Inharmonicity coefficient B of the open strings, wound on rope or steel (from memory).
const OPEN_INHARMONICITY: [f64; 4] = [3.5e-5, 3.0e-5, 2.5e-5, 2.2e-5];
/// Partials above this are not followed, Hz.
const HIGHEST_PARTIAL: f64 = 8000.0;
/// T60 of the lowest string's fundamental, s, and the power of frequency with which it falls.
const LOWEST_T60: f64 = 6.27;
/// See [`LOWEST_T60`].
const T60_FALL: f64 = 0.50;
/// A fingertip on the string shortens its ring to this share.
const STOPPED: f64 = 0.85;
/// Frequency at which inner losses double the decay rate, Hz: the open and the stopped string.
const LOSS_CORNER: (f64, f64) = (1320.0, 1020.0);
/// Scatter of the partials' decay rates where they meet resonances of the body, nepers.
const DECAY_SCATTER: f64 = 0.22;
/// Scatter of the partials' levels, dB.
const LEVEL_SCATTER: f64 = 1.5;
/// A string swings across the fingerboard and towards it. The first moves the bridge less and so
/// dies away more slowly: share of amplitude, and how much slower (after Weinreich 1977 for piano
/// strings; the values from memory).
const ACROSS_SHARE: f64 = 0.32;
/// See [`ACROSS_SHARE`].
const ACROSS_SLOWER: f64 = 2.6;
/// The faster direction decays by this factor over the mean.
const TOWARDS_FASTER: f64 = 1.3;
/// Standard deviation of the interval between the two directions, cents.
const DIRECTIONS_APART: f64 = 1.1;
/// Where the finger plucks, m from the bridge: over the end of the fingerboard (common practice). The
/// same for all touches, so that soft and hard plucks can be mixed without partials that cancel.
const PLUCKING_PLACE: f64 = 0.28;
/// Width of the fingertip on the string, m.
const FINGER_WIDTH: f64 = 0.02;
/// How far the notches of the plucking point are filled, since a finger is no knife: 0 to 1.
const NOTCH_FILL: f64 = 0.84;
/// Partials around 600 Hz, where a round bridge lets the string buzz on the fingerboard, swell with
/// this time constant, s: what players call growl.
const GROWL_RISE: f64 = 0.052;
/// See [`GROWL_RISE`]: centre in Hz and width in nepers.
const GROWL_BAND: (f64, f64) = (600.0, 0.9);
/// The growl's modes lie this share sharp of the string's.
const GROWL_SHARP: f64 = 2.0e-4;

/// A string stopped for one key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BassString {
    /// MIDI key.
    key: u8,
    /// Fundamental, Hz.
    pub fundamental: f64,
    /// Sounding length, m.
    length: f64,
    /// Inharmonicity coefficient B.
    inharmonicity: f64,
    /// Whether a finger stops it.
    stopped: bool,
}

/// One partial of a plucked string: its modes, which share its number.
pub type Partial = Vec<Mode>;

impl BassString {
    /// The string on which `key` is played in the lower positions, tuned in equal temperament.
    #[must_use]
    pub fn for_key(key: u8) -> Self {
        let number = OPEN_STRINGS.iter().rposition(|&open| open <= key).unwrap_or(0);
        let open = OPEN_STRINGS[number];
        let stopping = maths::cents_ratio(100.0 * (f64::from(key) - f64::from(open)));
        Self {
            key,
            fundamental: maths::key_frequency(f64::from(key)),
            length: OPEN_LENGTH / stopping,
            // B goes with the inverse square of the length.
            inharmonicity: OPEN_INHARMONICITY[number] * stopping * stopping,
            stopped: key != open,
        }
    }

    /// The partials after a pluck by `touch`, loudest first in each.
    #[must_use]
    pub fn pluck(&self, touch: &Touch) -> Vec<Partial> {
        // The same string for every touch, so that soft and hard plucks can be mixed.
        let mut noise = Noise::new(5000 + 3 * u64::from(self.key));
        // No player finds the same place twice: 3 per cent from key to key.
        let wander = 1.0 + 0.03 * noise.gaussian();
        let place = (PLUCKING_PLACE / self.length).min(0.46) * wander;
        (1..160)
            .map(f64::from)
            .map(|number| (number, self.partial_frequency(number)))
            .take_while(|&(_, hertz)| hertz < HIGHEST_PARTIAL)
            .map(|(number, hertz)| {
                let level = touch.level(hertz)
                    * self.plucked_shape(number, place)
                    * amplitude(LEVEL_SCATTER * noise.gaussian());
                let decay = self.decay(hertz) * exp(DECAY_SCATTER * noise.gaussian());
                let apart = maths::cents_ratio(DIRECTIONS_APART * noise.gaussian());
                let phase = 0.5 * noise.gaussian();
                let off_growl = ln(hertz / GROWL_BAND.0) / GROWL_BAND.1;
                let growl = touch.growl * exp(-off_growl * off_growl);
                let towards = Mode {
                    frequency: hertz,
                    amplitude: (1.0 - ACROSS_SHARE) * level,
                    decay: TOWARDS_FASTER * decay,
                    phase: 0.0,
                };
                let across = Mode {
                    frequency: hertz * apart,
                    amplitude: ACROSS_SHARE * level,
                    decay: decay / ACROSS_SLOWER,
                    phase,
                };
                let buzz = Mode {
                    frequency: hertz * (1.0 + GROWL_SHARP),
                    amplitude: growl * level,
                    decay: 1.6 * decay,
                    phase: 0.0,
                };
                let late = crate::envelope::held_back(buzz, 1.0, GROWL_RISE);
                vec![towards, across, buzz, late]
            })
            .collect()
    }

    /// Frequency of partial `number`, Hz, the first being the fundamental (stiff string, Fletcher
    /// 1964).
    fn partial_frequency(&self, number: f64) -> f64 {
        let b = self.inharmonicity;
        number * self.fundamental * ((1.0 + b * number * number) / (1.0 + b)).sqrt()
    }

    /// Force on the bridge of partial `number` when the string is let go from a corner at `place`
    /// (share of its length): sin(nπ·place)/n, blurred by the fingertip.
    fn plucked_shape(&self, number: f64, place: f64) -> f64 {
        let notch = sin(number * PI * place);
        let filled = (notch * notch + NOTCH_FILL * NOTCH_FILL).sqrt()
            / (1.0 + NOTCH_FILL * NOTCH_FILL).sqrt();
        let across = PI * number * FINGER_WIDTH / self.length;
        let blur = if across > 0.0 { sin(across) / across } else { 1.0 };
        let side = if notch < 0.0 { -1.0 } else { 1.0 };
        side * filled / number * blur
    }

    /// Decay rate of a partial at `hertz`, 1/s.
    fn decay(&self, hertz: f64) -> f64 {
        let lowest = maths::key_frequency(f64::from(OPEN_STRINGS[0]));
        let shortened = if self.stopped { STOPPED } else { 1.0 };
        let t60 = LOWEST_T60 * pow(self.fundamental / lowest, -T60_FALL) * shortened;
        let corner = if self.stopped { LOSS_CORNER.1 } else { LOSS_CORNER.0 };
        maths::decay_for_t60(t60) * (1.0 + hertz / corner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_lie_on_the_nearest_string_below() {
        assert!(!BassString::for_key(28).stopped);
        assert!((BassString::for_key(28).fundamental - 41.203).abs() < 1e-3);
        assert!(BassString::for_key(32).stopped);
        assert!(!BassString::for_key(38).stopped);
        // An octave up the string is half as long.
        assert!((BassString::for_key(55).length - 0.53).abs() < 1e-9);
    }
}
