//! The hi-hat: two 14-inch cymbals on a pedal. Closed they damp each other within a third of a
//! second; closed by the foot they meet edge on edge with a soft chick; open they ring, and where
//! they touch they rattle.

use super::plate::Plate;
use super::{Cymbal, Stroke};
use crate::dsp::maths::{exp, samples};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;
use crate::kit::contact::Contact;

/// One 14-inch cymbal: π·(0.178 m)², 1 mm (from memory). Pressed together two of them behave like
/// one and a half; apart, like nearly two.
const ONE_CYMBAL: f64 = 0.0993;

/// The pair pressed together and struck with the stick.
const CLOSED: Cymbal = Cymbal {
    plate: Plate { area: 1.6 * ONE_CYMBAL, thickness: 1.0e-3, split: 0.0012, seed: 317 },
    spectrum: &[
        (150.0, -16.0),
        (300.0, -6.0),
        (600.0, -12.0),
        (1200.0, -13.0),
        (2400.0, -13.0),
        (4800.0, -7.0),
        (9000.0, 2.0),
        (14_000.0, 4.0),
    ],
    t60: &[(150.0, 0.30), (2400.0, 0.30), (4800.0, 0.28), (9000.0, 0.22), (15_000.0, 0.18)],
    build_up: &[(200.0, 1e-4), (4000.0, 0.001)],
    scatter_db: 4.5,
    radiates_above: 220.0,
    wash_db: -3.0,
    wash_tilt: 5.0,
};

/// The pair closed by the foot: darker, and over sooner.
const PEDAL: Cymbal = Cymbal {
    plate: Plate { seed: 326, ..CLOSED.plate },
    spectrum: &[
        (100.0, -20.0),
        (160.0, -7.0),
        (300.0, -9.0),
        (600.0, -14.0),
        (1200.0, -13.0),
        (2400.0, -11.0),
        (4800.0, -5.0),
        (9000.0, 0.0),
        (14_000.0, -4.0),
    ],
    t60: &[(150.0, 0.16), (4800.0, 0.17), (9000.0, 0.16), (15_000.0, 0.12)],
    build_up: &[(200.0, 0.004), (4000.0, 0.006)],
    scatter_db: 7.0,
    radiates_above: 120.0,
    wash_db: 0.0,
    wash_tilt: 5.0,
};

/// The pair apart.
const OPEN: Cymbal = Cymbal {
    plate: Plate { area: 1.8 * ONE_CYMBAL, seed: 337, ..CLOSED.plate },
    spectrum: &[
        (150.0, -26.0),
        (300.0, -15.0),
        (600.0, -9.0),
        (1200.0, -10.0),
        (2400.0, -10.0),
        (4800.0, -6.0),
        (9000.0, 0.0),
        (14_000.0, 1.0),
    ],
    t60: &[
        (150.0, 2.0),
        (300.0, 2.4),
        (600.0, 2.8),
        (2400.0, 2.8),
        (4800.0, 2.4),
        (9000.0, 1.8),
        (15_000.0, 1.3),
    ],
    build_up: &[(200.0, 1e-4), (2000.0, 0.004), (8000.0, 0.008)],
    scatter_db: 7.0,
    radiates_above: 250.0,
    wash_db: -7.0,
    wash_tilt: 4.0,
};

/// How fast the foot brings the edges together, s.
const FOOT_RISE: f64 = 0.003;
/// How fast and how deep the loudness of the open pair trembles where the edges touch: Hz, and the
/// standard deviation as a share (from memory).
const RATTLE_RATE: f64 = 60.0;
/// See [`RATTLE_RATE`].
const RATTLE_DEPTH: f64 = 0.22;

/// A stroke on the closed pair with `velocity` (0 to 1). `place` names the stroke.
#[must_use]
pub fn closed(velocity: f64, place: u64) -> Vec<f64> {
    let stroke = Stroke {
        bandwidth: 8000.0 + 16_000.0 * velocity,
        late_share: 0.0,
        wash_db: 0.0,
        darker: 0.0,
        contact: Some(Contact {
            level_db: 2.0,
            band: (2500.0, 14_000.0),
            fall: 0.9e-3,
            knock: &[(900.0, -8.0, 0.004)],
        }),
        seed: place,
    };
    CLOSED.strike(&stroke, samples(0.5, RATE))
}

/// The pair closed by the foot with `velocity` (0 to 1). `place` names the stroke.
#[must_use]
pub fn pedal(velocity: f64, place: u64) -> Vec<f64> {
    let stroke = Stroke {
        bandwidth: 10_000.0 + 8000.0 * velocity,
        late_share: 0.8,
        wash_db: 0.0,
        darker: 0.0,
        contact: None,
        seed: place,
    };
    let mut sound = PEDAL.strike(&stroke, samples(0.45, RATE));
    envelope::shape(&mut sound, |time| 1.0 - exp(-time / FOOT_RISE));
    sound
}

/// A stroke on the open pair with `velocity` (0 to 1), `seconds` long. `place` names the stroke.
#[must_use]
pub fn open(velocity: f64, place: u64, seconds: f64) -> Vec<f64> {
    let stroke = Stroke {
        bandwidth: 10_000.0 + 16_000.0 * velocity,
        late_share: 0.4,
        wash_db: 0.0,
        darker: 0.0,
        contact: Some(Contact {
            level_db: 0.0,
            band: (2500.0, 12_000.0),
            fall: 1.0e-3,
            knock: &[],
        }),
        seed: place,
    };
    let mut sound = OPEN.strike(&stroke, samples(seconds, RATE));
    let white = Noise::new(place ^ 0x5241).white(sound.len());
    let slow = filter::low_pass(&white, RATTLE_RATE, 1, RATE);
    let depth = RATTLE_DEPTH / envelope::rms(&slow).max(1e-12);
    for (sample, tremble) in sound.iter_mut().zip(&slow) {
        *sample *= (1.0 + depth * tremble).clamp(0.3, 1.7);
    }
    sound
}
