//! Plucked double bass. A plain first version: a sum of decaying harmonics.

use crate::dsp::maths::{key_frequency, pow};
use crate::dsp::modes::{Mode, ring};
use crate::levels;
use crate::sf2::{Envelope, Instrument, Playback, Sample, Zone};

/// The instrument.
#[must_use]
pub fn instrument() -> Instrument {
    let mut bass = Instrument::new("Upright Bass");
    let rate = 22_050.0;
    for root in (28..=58).step_by(6) {
        let f = key_frequency(f64::from(root));
        let modes: Vec<Mode> = (1..30)
            .map(|n| Mode {
                frequency: f * f64::from(n),
                amplitude: pow(f64::from(n), -1.6),
                decay: 1.2 + 0.6 * f64::from(n),
                phase: 0.0,
            })
            .collect();
        let mut pcm = ring(&modes, 22_050, rate);
        levels::store(&mut pcm);
        crate::dsp::window::fade_out(&mut pcm, 2000);
        let attenuation = levels::attenuation_to(levels::NOTE, &pcm, rate);
        let sample = bass.add_sample(Sample {
            name: format!("Bass {root}"),
            pcm,
            rate: 22_050,
            root_key: root,
            sustain_loop: None,
        });
        let low = if root == 28 { 23 } else { root - 3 };
        let high = if root == 58 { 72 } else { root + 2 };
        bass.zones.push(Zone {
            attenuation,
            playback: Playback::Once,
            envelope: Envelope::with_release(0.2),
            ..Zone::new(sample, low..=high)
        });
    }
    bass
}
