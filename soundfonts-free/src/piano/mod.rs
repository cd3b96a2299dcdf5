//! Grand piano. A plain first version: stiff-string partials with a two-stage
//! decay.

use crate::dsp::RATE;
use crate::dsp::maths::{self, exp, interpolate_geometric, key_frequency};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;
use crate::dsp::resample::resample;
use crate::dsp::window::fade_out;
use crate::levels;
use crate::sf2::{Envelope, Instrument, Playback, Sample, Zone};

/// Decay of the fundamental by key, in nepers per second.
const DECAY: [(f64, f64); 5] = [(21.0, 0.8), (48.0, 1.3), (60.0, 1.6), (84.0, 3.0), (108.0, 10.0)];

/// The instrument.
#[must_use]
pub fn instrument() -> Instrument {
    let mut piano = Instrument::new("Grand Piano");
    for root in (24..=108_u8).step_by(6) {
        for (name, brightness, velocities) in [("soft", 900.0, 0..=80), ("hard", 2600.0, 81..=127)]
        {
            let mut pcm = resample(&tone(f64::from(root), brightness), 44_100, 22_050);
            levels::store(&mut pcm);
            fade_out(&mut pcm, 4000);
            let attenuation = levels::attenuation_to(levels::NOTE, &pcm, 22_050.0);
            let sample = piano.add_sample(Sample {
                name: format!("Piano {root} {name}"),
                pcm,
                rate: 22_050,
                root_key: root,
                sustain_loop: None,
            });
            let low = if root == 24 { 21 } else { root - 3 };
            piano.zones.push(Zone {
                velocities,
                attenuation,
                pan: (f64::from(root) - 63.0) / 200.0,
                playback: Playback::Once,
                envelope: Envelope::with_release(0.4),
                ..Zone::new(sample, low..=(root + 2).min(108))
            });
        }
    }
    piano
}

/// A struck string: partials by the stiff-string law, softer above `brightness`
/// hertz, each decaying fast and then slowly.
fn tone(key: f64, brightness: f64) -> Vec<f64> {
    let f0 = key_frequency(key);
    let stiffness = exp(0.0926 * key - 13.64) + exp(-0.06 * key - 8.5);
    let mut noise = Noise::new(maths::whole(key) as u64);
    let mut modes = Vec::new();
    for n in (1..80).map(f64::from) {
        let frequency = n * f0 * (1.0 + stiffness * n * n).sqrt();
        if frequency > 10_000.0 {
            break;
        }
        let amplitude = exp(0.3 * noise.gaussian() - frequency / brightness) / n.sqrt();
        let decay = interpolate_geometric(key, &DECAY) * (1.0 + frequency / 3000.0);
        for (share, rate) in [(0.8, 1.6), (0.2, 0.5)] {
            modes.push(Mode {
                frequency: frequency * (1.0 + 0.0001 * noise.gaussian()),
                amplitude: amplitude * share,
                decay: decay * rate,
                phase: 0.0,
            });
        }
    }
    let seconds = interpolate_geometric(key, &[(48.0, 0.95), (108.0, 0.4)]);
    ring(&modes, maths::samples(seconds, RATE), RATE)
}
