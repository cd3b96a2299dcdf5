//! The instrument on paper: what a piano maker decides for each key, as smooth
//! functions of the MIDI key (21 = A0 to 108 = C8).
//!
//! Lengths, masses and felt after Chaigne & Askenfelt 1994 (JASA 95), who
//! measured C2, C4 and C7; between and beyond them by common practice of string
//! scaling. Values that were adjusted until renders came near those of a
//! sampled grand say "fitted".

use crate::dsp::maths::{exp, interpolate, interpolate_geometric, key_frequency};

/// String length in metres by key. C4 0.62 m and C7 0.09 m are Chaigne &
/// Askenfelt's; the bass is that of a long grand.
const LENGTH: [(f64, f64); 8] = [
    (21.0, 2.0),
    (36.0, 1.6),
    (48.0, 1.1),
    (60.0, 0.64),
    (72.0, 0.35),
    (84.0, 0.185),
    (96.0, 0.096),
    (108.0, 0.052),
];
/// Tension of one string in newtons: 600 to 900 over the compass (Fletcher &
/// Rossing, chapter 12).
const TENSION: f64 = 750.0;
/// Hammer mass in kilograms that falls to one string of the unison. C2 4.9 g,
/// C4 2.97 g, C7 2.2 g (Chaigne & Askenfelt 1994, table I).
const HAMMER_MASS: [(f64, f64); 5] =
    [(21.0, 0.0105), (36.0, 0.0049), (60.0, 0.002_97), (96.0, 0.0022), (108.0, 0.0019)];
/// Felt stiffness in N/m^exponent with [`FELT_EXPONENT`]: C2 4e8, C4 4.5e9,
/// C7 1e12 (Chaigne & Askenfelt 1994, table I).
const FELT_STIFFNESS: [(f64, f64); 5] =
    [(21.0, 2e8), (36.0, 4e8), (60.0, 4.5e9), (96.0, 1e12), (108.0, 4e12)];
/// How much harder or softer the voicer left the felt. Fitted.
const FELT_VOICING: [(f64, f64); 4] = [(40.0, 1.674), (72.0, 1.2), (86.0, 8.0), (108.0, 12.0)];
/// Exponent of the felt's force over compression: C2 2.3, C4 2.5, C7 3
/// (Chaigne & Askenfelt 1994, table I).
const FELT_EXPONENT: [(f64, f64); 5] =
    [(21.0, 2.2), (36.0, 2.3), (60.0, 2.5), (96.0, 3.0), (108.0, 3.1)];
/// Added to the exponent: felt that hardens faster with the blow. Fitted.
const EXTRA_EXPONENT: f64 = 0.6;
/// Compression in metres at which the extra exponent leaves the force alone.
const COMPRESSION_OF_MEASUREMENT: f64 = 3e-4;
/// Where the hammer strikes, as a share of the string: about 1/8 (Fletcher &
/// Rossing; Conklin 1996 part I), fitted to 0.118, nearer the end in the treble.
const STRIKE_POINT: [(f64, f64); 5] =
    [(21.0, 0.118), (72.0, 0.118), (84.0, 0.106), (96.0, 0.071), (108.0, 0.053)];
/// Loss of the string motion to bridge and air at low frequencies, in nepers
/// per second, early in the note. After Martin 1947; the octaves fitted.
const LOSS: [(f64, f64); 8] = [
    (21.0, 0.75),
    (36.0, 1.05),
    (48.0, 1.15),
    (60.0, 1.25),
    (72.0, 1.5),
    (84.0, 2.2),
    (96.0, 4.2),
    (108.0, 8.0),
];
/// Loss that grows with the square of angular frequency, in seconds: inner
/// friction of wire and winding (form of Chaigne & Askenfelt's b3). Fitted.
const FRICTION: [(f64, f64); 6] = [
    (21.0, 2.44e-9),
    (36.0, 2.36e-9),
    (60.0, 3.96e-9),
    (84.0, 6.5e-9),
    (96.0, 1.4e-8),
    (108.0, 2.4e-8),
];

/// One key's strings and hammer.
#[derive(Clone, Debug, PartialEq)]
pub struct Key {
    /// MIDI key.
    pub key: u8,
    /// First partial in hertz, in equal temperament; the stretch of the tuning
    /// is applied when the sample is played.
    pub frequency: f64,
    /// Strings to the note.
    pub strings: usize,
    /// Speaking length in metres.
    pub length: f64,
    /// Tension of one string in newtons.
    pub tension: f64,
    /// Mass of one string in kilograms, from length, tension and pitch.
    pub string_mass: f64,
    /// Inharmonicity coefficient B of the stiff string: f(n) = n·f0·√(1+B·n²).
    pub inharmonicity: f64,
    /// Strike point as a share of the length.
    pub strike_point: f64,
    /// Hammer mass in kilograms for one string.
    pub hammer_mass: f64,
    /// Felt stiffness in N/m^exponent.
    pub felt_stiffness: f64,
    /// Felt exponent.
    pub felt_exponent: f64,
    /// Early loss at low frequencies in nepers per second.
    pub loss: f64,
    /// Loss per square of angular frequency, in seconds.
    pub friction: f64,
}

impl Key {
    /// The strings and the hammer of a MIDI key.
    #[must_use]
    pub fn new(key: u8) -> Self {
        let position = f64::from(key);
        let frequency = key_frequency(position);
        let length = interpolate_geometric(position, &LENGTH);
        let measured = interpolate(position, &FELT_EXPONENT);
        let at_measurement = crate::dsp::maths::pow(COMPRESSION_OF_MEASUREMENT, -EXTRA_EXPONENT);
        Self {
            key,
            frequency,
            strings: strings(key),
            length,
            tension: TENSION,
            string_mass: TENSION / (4.0 * length * frequency * frequency),
            inharmonicity: inharmonicity(position),
            strike_point: interpolate(position, &STRIKE_POINT),
            hammer_mass: interpolate_geometric(position, &HAMMER_MASS),
            felt_stiffness: interpolate_geometric(position, &FELT_STIFFNESS)
                * interpolate_geometric(position, &FELT_VOICING)
                * at_measurement,
            felt_exponent: measured + EXTRA_EXPONENT,
            loss: interpolate_geometric(position, &LOSS),
            friction: interpolate_geometric(position, &FRICTION),
        }
    }

    /// Frequency in hertz of partial `n` (1 is the fundamental) of the stiff
    /// string, with the fundamental in tune.
    #[must_use]
    pub fn partial(&self, n: f64) -> f64 {
        let b = self.inharmonicity;
        n * self.frequency * ((1.0 + b * n * n) / (1.0 + b)).sqrt()
    }
}

/// Strings to a note: one wound string in the lowest octave, two above it,
/// three plain ones from the tenor break (common practice).
fn strings(key: u8) -> usize {
    match key {
        0..=31 => 1,
        32..=45 => 2,
        _ => 3,
    }
}

/// Inharmonicity coefficient over the compass: the sum of a bass and a treble
/// line in the logarithm (Rigaud, David & Daudet 2013, JASA 133). The treble
/// line is theirs and nearly the same on all pianos (from memory); the bass
/// line, which each piano has of its own, is that of a long grand.
#[must_use]
pub fn inharmonicity(key: f64) -> f64 {
    exp(-0.06 * key - 8.5) + exp(0.0926 * key - 13.64)
}

/// Hammer speed in metres per second at a MIDI velocity: 0.75 at 1 to 3.6 at 127,
/// in equal ratios. Askenfelt & Jansson 1991 measured 0.6 (piano) to 5 (forte
/// fortissimo).
#[must_use]
pub fn hammer_speed(velocity: f64) -> f64 {
    0.75 * crate::dsp::maths::pow(3.6 / 0.75, (velocity - 1.0) / 126.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Chaigne & Askenfelt 1994, table I: C4 has a string of 0.62 m and 3.93 g
    /// at 670 N. Tension here is 750 N, so the mass is higher by as much.
    #[test]
    fn middle_c_is_a_real_string() {
        let c4 = Key::new(60);
        assert!((c4.length / 0.62 - 1.0).abs() < 0.05);
        let mass = c4.string_mass * 670.0 / TENSION;
        assert!((mass / 0.003_93 - 1.0).abs() < 0.1, "{mass}");
    }

    #[test]
    fn partials_are_wide_of_harmonics() {
        let c4 = Key::new(60);
        assert!((c4.partial(1.0) - c4.frequency).abs() < 1e-9);
        assert!(c4.partial(10.0) > 10.0 * c4.frequency);
    }
}
