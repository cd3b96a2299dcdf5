//! What a zone can set, and the values that hold where it sets nothing.
//!
//! Numbers, units, defaults and ranges: SoundFont Technical Specification 2.04, section 8.1.

use super::tables::Setting;

/// The settings that reach the ear here, by their number in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u16)]
pub(crate) enum Generator {
    StartOffset = 0,
    EndOffset = 1,
    LoopStartOffset = 2,
    LoopEndOffset = 3,
    StartCoarseOffset = 4,
    ModLfoToPitch = 5,
    VibLfoToPitch = 6,
    ModEnvToPitch = 7,
    FilterCutoff = 8,
    FilterQ = 9,
    ModLfoToCutoff = 10,
    ModEnvToCutoff = 11,
    EndCoarseOffset = 12,
    ModLfoToVolume = 13,
    Pan = 17,
    ModLfoDelay = 21,
    ModLfoFrequency = 22,
    VibLfoDelay = 23,
    VibLfoFrequency = 24,
    ModEnvDelay = 25,
    ModEnvAttack = 26,
    ModEnvHold = 27,
    ModEnvDecay = 28,
    ModEnvSustain = 29,
    ModEnvRelease = 30,
    KeyToModEnvHold = 31,
    KeyToModEnvDecay = 32,
    VolEnvDelay = 33,
    VolEnvAttack = 34,
    VolEnvHold = 35,
    VolEnvDecay = 36,
    VolEnvSustain = 37,
    VolEnvRelease = 38,
    KeyToVolEnvHold = 39,
    KeyToVolEnvDecay = 40,
    Instrument = 41,
    KeyRange = 43,
    VelocityRange = 44,
    LoopStartCoarseOffset = 45,
    Attenuation = 48,
    LoopEndCoarseOffset = 50,
    CoarseTune = 51,
    FineTune = 52,
    SampleId = 53,
    SampleModes = 54,
    ScaleTuning = 56,
    ExclusiveClass = 57,
    RootKey = 58,
}

/// How many generators the specification numbers.
const COUNT: usize = 61;

/// Times in timecents reach from no time at all to about 100 seconds.
const NO_TIME: i32 = -32_768;

/// Defaults that are not zero.
const DEFAULTS: [(Generator, i32); 15] = [
    (Generator::FilterCutoff, 13_500),
    (Generator::ModLfoDelay, -12_000),
    (Generator::VibLfoDelay, -12_000),
    (Generator::ModEnvDelay, -12_000),
    (Generator::ModEnvAttack, -12_000),
    (Generator::ModEnvHold, -12_000),
    (Generator::ModEnvDecay, -12_000),
    (Generator::ModEnvRelease, -12_000),
    (Generator::VolEnvDelay, -12_000),
    (Generator::VolEnvAttack, -12_000),
    (Generator::VolEnvHold, -12_000),
    (Generator::VolEnvDecay, -12_000),
    (Generator::VolEnvRelease, -12_000),
    (Generator::ScaleTuning, 100),
    (Generator::RootKey, -1),
];

/// The ranges that values are held to once preset and instrument are added up.
const RANGES: [(Generator, i32, i32); 33] = [
    (Generator::ModLfoToPitch, -12_000, 12_000),
    (Generator::VibLfoToPitch, -12_000, 12_000),
    (Generator::ModEnvToPitch, -12_000, 12_000),
    (Generator::FilterCutoff, 1_500, 13_500),
    (Generator::FilterQ, 0, 960),
    (Generator::ModLfoToCutoff, -12_000, 12_000),
    (Generator::ModEnvToCutoff, -12_000, 12_000),
    (Generator::ModLfoToVolume, -960, 960),
    (Generator::Pan, -500, 500),
    (Generator::ModLfoDelay, NO_TIME, 5_000),
    (Generator::ModLfoFrequency, -16_000, 4_500),
    (Generator::VibLfoDelay, NO_TIME, 5_000),
    (Generator::VibLfoFrequency, -16_000, 4_500),
    (Generator::ModEnvDelay, NO_TIME, 5_000),
    (Generator::ModEnvAttack, NO_TIME, 8_000),
    (Generator::ModEnvHold, NO_TIME, 5_000),
    (Generator::ModEnvDecay, NO_TIME, 8_000),
    (Generator::ModEnvSustain, 0, 1_000),
    (Generator::ModEnvRelease, NO_TIME, 8_000),
    (Generator::KeyToModEnvHold, -1_200, 1_200),
    (Generator::KeyToModEnvDecay, -1_200, 1_200),
    (Generator::VolEnvDelay, NO_TIME, 5_000),
    (Generator::VolEnvAttack, NO_TIME, 8_000),
    (Generator::VolEnvHold, NO_TIME, 5_000),
    (Generator::VolEnvDecay, NO_TIME, 8_000),
    (Generator::VolEnvSustain, 0, 1_440),
    (Generator::VolEnvRelease, NO_TIME, 8_000),
    (Generator::KeyToVolEnvHold, -1_200, 1_200),
    (Generator::KeyToVolEnvDecay, -1_200, 1_200),
    (Generator::Attenuation, 0, 1_440),
    (Generator::CoarseTune, -120, 120),
    (Generator::FineTune, -1_200, 1_200),
    (Generator::ScaleTuning, 0, 1_200),
];

/// Settings that only an instrument zone can make.
const INSTRUMENT_ONLY: [Generator; 12] = [
    Generator::StartOffset,
    Generator::EndOffset,
    Generator::LoopStartOffset,
    Generator::LoopEndOffset,
    Generator::StartCoarseOffset,
    Generator::EndCoarseOffset,
    Generator::LoopStartCoarseOffset,
    Generator::LoopEndCoarseOffset,
    Generator::SampleModes,
    Generator::ExclusiveClass,
    Generator::RootKey,
    Generator::SampleId,
];

/// A value for every generator.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct Settings([i32; COUNT]);

impl Settings {
    /// What holds in an instrument zone that sets nothing.
    pub(in crate::sound) fn instrument_defaults() -> Settings {
        let mut settings = Settings([0; COUNT]);
        for (generator, value) in DEFAULTS {
            settings.set(generator, value);
        }
        settings
    }

    /// What a preset zone adds where it sets nothing: nothing.
    pub(super) fn preset_defaults() -> Settings {
        Settings([0; COUNT])
    }

    pub(crate) fn get(&self, generator: Generator) -> i32 {
        self.0[generator as usize]
    }

    pub(crate) fn set(&mut self, generator: Generator, value: i32) {
        self.0[generator as usize] = value;
    }

    /// Takes in a zone's own settings; numbers that the specification does not know are ignored.
    pub(super) fn apply(&mut self, settings: &[Setting]) {
        for setting in settings {
            if let Some(value) = self.0.get_mut(usize::from(setting.generator)) {
                *value = setting.amount.cast_signed().into();
            }
        }
    }

    /// The instrument's values with the preset's added, held to their ranges.
    pub(super) fn with_preset(&self, preset: &Settings) -> Settings {
        let mut sum = self.clone();
        for (value, added) in sum.0.iter_mut().zip(preset.0) {
            *value += added;
        }
        for generator in INSTRUMENT_ONLY {
            sum.set(generator, self.get(generator));
        }
        for (generator, least, most) in RANGES {
            sum.set(generator, sum.get(generator).clamp(least, most));
        }
        sum
    }
}
