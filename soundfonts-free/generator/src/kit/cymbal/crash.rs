//! The crash: a thin 17-inch cymbal struck on its edge. So much energy goes up into the high modes
//! within some 50 ms that most of what is heard is noise.

use super::plate::Plate;
use super::{Cymbal, Stroke};
use crate::dsp::RATE;
use crate::dsp::maths::samples;
use crate::kit::contact::Contact;

/// A thin 17-inch cymbal: π·(0.216 m)², 0.9 mm (from memory).
const CRASH: Cymbal = Cymbal {
    plate: Plate { area: 0.146, thickness: 0.9e-3, split: 0.0012, seed: 201 },
    spectrum: &[
        (100.0, -28.0),
        (200.0, -20.0),
        (350.0, -17.0),
        (700.0, -13.0),
        (1400.0, -14.0),
        (2800.0, -9.0),
        (5600.0, -3.0),
        (11_000.0, -4.0),
        (16_000.0, -8.0),
    ],
    t60: &[
        (100.0, 5.0),
        (350.0, 4.5),
        (1400.0, 4.4),
        (2800.0, 4.0),
        (5600.0, 3.4),
        (11_000.0, 2.4),
        (16_000.0, 1.5),
    ],
    build_up: &[(200.0, 0.002), (1000.0, 0.01), (2800.0, 0.03), (5600.0, 0.05), (12_000.0, 0.035)],
    scatter_db: 7.0,
    radiates_above: 180.0,
    wash_db: -4.0,
    wash_tilt: 1.0,
};

/// A stroke on the edge with `velocity` (0 to 1), `seconds` long. `place` names the stroke.
#[must_use]
pub fn edge(velocity: f64, place: u64, seconds: f64) -> Vec<f64> {
    let stroke = Stroke {
        bandwidth: 9000.0 + 13_000.0 * velocity,
        late_share: 0.75,
        wash_db: 0.0,
        darker: 0.0,
        contact: Some(Contact { level_db: -1.0, band: (800.0, 8000.0), fall: 3.0e-3, knock: &[] }),
        seed: place,
    };
    CRASH.strike(&stroke, samples(seconds, RATE))
}
