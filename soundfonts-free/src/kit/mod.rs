//! Jazz kit. A plain first version: shaped noise and decaying sines.

use crate::dsp::filter::band_pass;
use crate::dsp::maths::exp;
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;
use crate::dsp::window::fade_out;
use crate::levels;
use crate::sf2::{Envelope, Instrument, Sample, Zone};

/// One drum: key, name, noise band in hertz, noise decay and tone decay in
/// nepers per second, tone in hertz, share of noise, seconds, pan, loudness
/// against a note.
type Drum = (&'static [u8], &'static str, [f64; 2], [f64; 2], f64, f64, f64, f64, f64);

const DRUMS: [Drum; 11] = [
    (&[35, 36], "Kick", [40.0, 400.0], [90.0, 14.0], 55.0, 0.15, 0.4, 0.0, 0.0),
    (&[38], "Snare", [200.0, 7000.0], [22.0, 20.0], 190.0, 0.5, 0.3, -0.1, -2.0),
    (&[37], "Cross-stick", [900.0, 5000.0], [120.0, 60.0], 420.0, 0.4, 0.12, -0.1, -4.0),
    (&[39, 40], "Brush", [500.0, 9000.0], [18.0, 30.0], 180.0, 0.97, 0.3, -0.1, -6.0),
    (&[42, 88, 89], "Closed hat", [4000.0, 14_000.0], [45.0, 50.0], 400.0, 1.0, 0.15, -0.35, -8.0),
    (&[44, 86, 87], "Pedal hat", [3500.0, 13_000.0], [60.0, 50.0], 400.0, 1.0, 0.15, -0.35, -7.0),
    (&[46], "Open hat", [3500.0, 14_000.0], [7.0, 9.0], 400.0, 1.0, 0.5, -0.35, -7.0),
    (&[51, 53, 59, 84, 85], "Ride", [2500.0, 14_000.0], [4.0, 6.0], 3400.0, 0.8, 0.9, 0.35, -4.0),
    (&[49, 57], "Crash", [900.0, 14_000.0], [3.0, 5.0], 700.0, 1.0, 1.0, 0.25, 0.0),
    (&[76, 34], "High wood block", [800.0, 4000.0], [120.0, 45.0], 1300.0, 0.1, 0.12, 0.0, -4.0),
    (&[77, 33], "Low wood block", [600.0, 3000.0], [120.0, 45.0], 900.0, 0.1, 0.12, 0.0, -4.0),
];

/// The instrument.
#[must_use]
pub fn instrument() -> Instrument {
    let mut kit = Instrument::new("Jazz Kit");
    let rate = 32_000.0;
    for (seed, &(keys, name, band, decays, tone, share, seconds, pan, level)) in
        DRUMS.iter().enumerate()
    {
        let length = crate::dsp::maths::samples(seconds, rate);
        let noise = band_pass(&Noise::new(seed as u64).white(length), band[0], band[1], 2, rate);
        let mode = Mode { frequency: tone, amplitude: 1.0 - share, decay: decays[1], phase: 0.0 };
        let mut pcm = ring(&[mode], length, rate);
        for (i, (x, n)) in pcm.iter_mut().zip(noise).enumerate() {
            *x += share * n * exp(-decays[0] * i as f64 / rate);
        }
        levels::store(&mut pcm);
        fade_out(&mut pcm, length / 3);
        let attenuation = levels::attenuation_to(levels::NOTE + level, &pcm, rate);
        let sample = kit.add_sample(Sample {
            name: name.to_owned(),
            pcm,
            rate: 32_000,
            root_key: 60,
            sustain_loop: None,
        });
        for &key in keys {
            kit.zones.push(Zone {
                pan,
                attenuation,
                cents_per_key: 0,
                envelope: Envelope::with_release(5.0),
                choke_group: name.ends_with("hat").then_some(1),
                ..Zone::new(sample, key..=key)
            });
        }
    }
    kit.zones.sort_by_key(|zone| *zone.keys.start());
    kit
}
