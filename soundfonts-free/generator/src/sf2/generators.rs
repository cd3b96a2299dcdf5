//! Physical units to generator amounts (specification, section 8.1.2): the one
//! place where they meet.

use super::{Envelope, Glide, Playback, Sf2Error, Zone};
use crate::dsp::maths;

/// Depth in decibels to which decay and release run in their time. The
/// specification says 100 dB; rustysynth and the hardware go to about 80, and
/// FluidSynth to 100 (so its tails end 20 % sooner).
const ENVELOPE_RANGE: f64 = 80.14;
/// Centibels of attenuation to one decibel as heard: 10 over the factor 0.4.
const ATTENUATION_PER_DECIBEL: f64 = 25.0;
/// The longest decay that the format can say: 8000 timecents, 101.6 seconds.
const LONGEST_TIMECENTS: f64 = 8000.0;
/// An instant: -12000 timecents, a millisecond.
const SHORTEST_TIMECENTS: f64 = -12_000.0;

/// Generator numbers of section 8.1.2.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u16)]
pub(super) enum Generator {
    StartOffset = 0,
    StartOffsetCoarse = 4,
    VibratoToPitch = 6,
    LowPass = 8,
    TremoloToVolume = 13,
    Pan = 17,
    TremoloDelay = 21,
    TremoloRate = 22,
    VibratoDelay = 23,
    VibratoRate = 24,
    GlideToPitch = 7,
    GlideHold = 27,
    GlideTime = 28,
    GlideEnd = 29,
    Attack = 34,
    Hold = 35,
    Decay = 36,
    Sustain = 37,
    Release = 38,
    HoldByKey = 39,
    Instrument = 41,
    KeyRange = 43,
    VelocityRange = 44,
    Attenuation = 48,
    CoarseTuning = 51,
    FineTuning = 52,
    Sample = 53,
    SampleModes = 54,
    ScaleTuning = 56,
    ChokeGroup = 57,
    RootKey = 58,
}

/// A generator with its two amount bytes, little-endian.
pub(super) type Setting = (Generator, [u8; 2]);

/// A pair of inclusive bounds as an amount.
pub(super) fn range(generator: Generator, low: u8, high: u8) -> Setting {
    (generator, [low, high])
}

/// A count (index, flag, key) as an amount.
pub(super) fn count(generator: Generator, value: usize) -> Result<Setting, Sf2Error> {
    let amount = u16::try_from(value).map_err(|_| Sf2Error::OutOfRange {
        what: format!("{generator:?}"),
        value: value as f64,
    })?;
    Ok((generator, amount.to_le_bytes()))
}

/// A signed quantity, rounded, as an amount.
#[expect(clippy::cast_possible_truncation, reason = "the range was checked")]
pub(super) fn quantity(generator: Generator, value: f64) -> Result<Setting, Sf2Error> {
    let rounded = value.round();
    if !(-32_768.0..=32_767.0).contains(&rounded) {
        return Err(Sf2Error::OutOfRange { what: format!("{generator:?}"), value });
    }
    Ok((generator, (rounded as i16).to_le_bytes()))
}

/// Attenuation in decibels as heard.
pub(super) fn attenuation(decibels: f64) -> Result<Setting, Sf2Error> {
    if !(0.0..=57.6).contains(&decibels) {
        return Err(Sf2Error::OutOfRange {
            what: "attenuation in decibels (0 to 57.6)".to_owned(),
            value: decibels,
        });
    }
    added_attenuation(decibels)
}

/// Attenuation in decibels as heard that a preset adds to (or, negative, takes
/// from) that of its instrument.
pub(super) fn added_attenuation(decibels: f64) -> Result<Setting, Sf2Error> {
    quantity(Generator::Attenuation, decibels * ATTENUATION_PER_DECIBEL)
}

/// All settings of a zone, in the order that the format demands: key range,
/// velocity range, the rest, the sample last. `sample` is its number in the file,
/// `root_key` the key at which it sounds untransposed.
pub(super) fn zone_settings(
    zone: &Zone,
    sample: usize,
    root_key: u8,
) -> Result<Vec<Setting>, Sf2Error> {
    let mut settings = vec![range(Generator::KeyRange, *zone.keys.start(), *zone.keys.end())];
    if zone.velocities != (0..=127) {
        let (low, high) = (*zone.velocities.start(), *zone.velocities.end());
        settings.push(range(Generator::VelocityRange, low, high));
    }
    if zone.start_offset > 0 {
        let (coarse, fine) = (zone.start_offset / 32_768, zone.start_offset % 32_768);
        settings.push(count(Generator::StartOffset, fine)?);
        if coarse > 0 {
            settings.push(count(Generator::StartOffsetCoarse, coarse)?);
        }
    }
    if let Some(cutoff) = zone.low_pass {
        settings.push(quantity(Generator::LowPass, pitch_cents(cutoff).clamp(1500.0, 13_500.0))?);
    }
    if zone.pan.abs() > 1e-3 {
        settings.push(quantity(Generator::Pan, zone.pan.clamp(-1.0, 1.0) * 500.0)?);
    }
    if let Some(vibrato) = zone.vibrato {
        settings.push(quantity(Generator::VibratoToPitch, vibrato.depth)?);
        settings.push(quantity(Generator::VibratoDelay, timecents(vibrato.delay))?);
        settings.push(quantity(Generator::VibratoRate, pitch_cents(vibrato.rate))?);
    }
    if let Some(tremolo) = zone.tremolo {
        settings.push(quantity(Generator::TremoloToVolume, tremolo.depth * 10.0)?);
        settings.push(quantity(Generator::TremoloDelay, timecents(tremolo.delay))?);
        settings.push(quantity(Generator::TremoloRate, pitch_cents(tremolo.rate))?);
    }
    settings.extend(envelope_settings(&zone.envelope, zone.root_key.unwrap_or(root_key))?);
    if zone.attenuation.abs() > 0.0 {
        settings.push(attenuation(zone.attenuation)?);
    }
    if zone.tuning.round().abs() > 0.0 {
        settings.extend(tuning(zone.tuning)?);
    }
    if zone.playback == Playback::Looped {
        settings.push(count(Generator::SampleModes, 1)?);
    }
    if zone.cents_per_key != 100 {
        settings.push(count(Generator::ScaleTuning, usize::from(zone.cents_per_key))?);
    }
    if let Some(group) = zone.choke_group {
        settings.push(count(Generator::ChokeGroup, usize::from(group))?);
    }
    if let Some(key) = zone.root_key {
        settings.push(count(Generator::RootKey, usize::from(key))?);
    }
    settings.push(count(Generator::Sample, sample)?);
    Ok(settings)
}

fn envelope_settings(envelope: &Envelope, root_key: u8) -> Result<Vec<Setting>, Sf2Error> {
    let mut settings = Vec::with_capacity(5);
    if envelope.attack > 0.001 {
        settings.push(quantity(Generator::Attack, timecents(envelope.attack))?);
    }
    if envelope.hold > 0.001 {
        let mut hold = timecents(envelope.hold);
        if envelope.hold_follows_pitch {
            // The format's own scaling is 0 at key 60.
            hold -= 100.0 * (60.0 - f64::from(root_key));
            settings.push(quantity(Generator::HoldByKey, 100.0)?);
        }
        settings.push(quantity(Generator::Hold, hold)?);
    }
    if envelope.decay_per_second > 0.0 {
        let decay = timecents(ENVELOPE_RANGE / envelope.decay_per_second);
        settings.push(quantity(Generator::Decay, decay)?);
        // Sustain level 100 dB down: the fall has no end.
        settings.push(quantity(Generator::Sustain, 1000.0)?);
    }
    let release = timecents(ENVELOPE_RANGE / envelope.release_per_second.max(0.1));
    settings.push(quantity(Generator::Release, release)?);
    Ok(settings)
}

/// Tuning in cents: whole semitones and what is left, since the format lets the
/// fine tuning go to 99 cents only.
fn tuning(cents: f64) -> Result<Vec<Setting>, Sf2Error> {
    let semitones = (cents.round() / 100.0).trunc();
    let mut settings = Vec::with_capacity(2);
    if semitones.abs() > 0.0 {
        settings.push(quantity(Generator::CoarseTuning, semitones)?);
    }
    let rest = cents.round() - 100.0 * semitones;
    if rest.abs() > 0.0 {
        settings.push(quantity(Generator::FineTuning, rest)?);
    }
    Ok(settings)
}

/// Settings by which a preset lets the notes of its instrument glide. A preset's
/// amounts are added to the instrument's, which for these are the defaults of the
/// specification: times of an instant (-12000 timecents), ends of zero.
pub(super) fn glide_settings(glide: &Glide) -> Result<[Setting; 4], Sf2Error> {
    Ok([
        quantity(Generator::GlideToPitch, glide.from)?,
        quantity(Generator::GlideHold, timecents(glide.hold) - SHORTEST_TIMECENTS)?,
        quantity(Generator::GlideTime, timecents(glide.time) - SHORTEST_TIMECENTS)?,
        // The modulation envelope falls by 100.0 % of its height: to the note itself.
        quantity(Generator::GlideEnd, 1000.0)?,
    ])
}

/// Time in timecents: 1200·log2 of the seconds.
fn timecents(seconds: f64) -> f64 {
    (1200.0 * maths::log2(seconds.max(1e-6))).clamp(SHORTEST_TIMECENTS, LONGEST_TIMECENTS)
}

/// Frequency in cents over 8.176 Hz (MIDI key 0).
fn pitch_cents(hertz: f64) -> f64 {
    1200.0 * maths::log2(hertz.max(1e-3) / maths::key_frequency(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Section 8.1.3: fine tuning goes from -99 to 99 cents.
    #[test]
    fn wide_tunings_are_split() {
        let coarse = |semitones: i16| (Generator::CoarseTuning, semitones.to_le_bytes());
        let fine = |cents: i16| (Generator::FineTuning, cents.to_le_bytes());
        assert_eq!(tuning(-150.0).unwrap(), [coarse(-1), fine(-50)]);
        assert_eq!(tuning(600.0).unwrap(), [coarse(6)]);
        assert_eq!(tuning(12.4).unwrap(), [fine(12)]);
    }

    /// Examples of the specification's section 8.1.2: 1 second is 0 timecents,
    /// 10 ms is 1200·log2(0.01) = -7973; 8.176 Hz is 0 cents.
    #[test]
    fn units_of_the_specification() {
        assert!(timecents(1.0).abs() < 1e-9);
        assert!((timecents(0.01) + 7973.0).abs() < 0.5);
        assert!(pitch_cents(8.176).abs() < 0.05);
    }
}
