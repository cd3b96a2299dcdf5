//! Where an instrument's level is set: in its samples rather than in its zones.
//!
//! The synthesiser mutes a voice whose gain falls below -60 dB, whatever the sample holds: velocity,
//! attenuation and envelope together. Samples stored hot and then attenuated would spend that range
//! before the note begins, and soft notes would be cut off while they ring. So a sample that no zone
//! plays at full level is stored softer by what all its zones take off.

use crate::dsp::maths::amplitude;
use crate::sf2::Instrument;

/// A sample is not stored softer than this below its hot level, dB: sixteen bits leave 74 dB then.
const SOFTEST: f64 = 24.0;

/// Moves attenuation that all zones of a sample share into the sample.
#[must_use]
pub fn spent_in_samples(mut instrument: Instrument) -> Instrument {
    let samples = std::mem::take(&mut instrument.samples);
    let mut settled = Instrument { samples: Vec::new(), ..instrument };
    for mut sample in samples {
        let id = settled.add_sample(crate::sf2::Sample { pcm: Vec::new(), ..sample.clone() });
        let shared = settled
            .zones
            .iter()
            .filter(|zone| zone.sample == id)
            .map(|zone| zone.attenuation)
            .fold(SOFTEST, f64::min);
        let gain = amplitude(-shared);
        for value in &mut sample.pcm {
            *value *= gain;
        }
        for zone in settled.zones.iter_mut().filter(|zone| zone.sample == id) {
            zone.attenuation -= shared;
        }
        if let Some(place) = settled.samples.last_mut() {
            *place = sample;
        }
    }
    settled
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sf2::{Sample, Zone};

    #[test]
    fn what_all_zones_take_off_goes_into_the_sample() {
        let mut instrument = Instrument::new("Test");
        let sample = |name: &str| Sample {
            name: name.to_owned(),
            pcm: vec![0.5; 4],
            rate: 44_100,
            root_key: 60,
            sustain_loop: None,
        };
        let first = instrument.add_sample(sample("first"));
        let second = instrument.add_sample(sample("second"));
        for (sample, attenuation) in [(first, 6.0), (second, 40.0), (first, 10.0)] {
            instrument.zones.push(Zone { attenuation, ..Zone::new(sample, 60..=60) });
        }
        let settled = spent_in_samples(instrument);
        let left: Vec<f64> = settled.zones.iter().map(|zone| zone.attenuation).collect();
        for (left, expected) in left.into_iter().zip([0.0, 16.0, 4.0]) {
            assert!((left - expected).abs() < 1e-12, "{left} for {expected}");
        }
        assert!((settled.samples[0].pcm[0] - 0.5 * amplitude(-6.0)).abs() < 1e-12);
        assert!((settled.samples[1].pcm[0] - 0.5 * amplitude(-24.0)).abs() < 1e-12);
    }
}
