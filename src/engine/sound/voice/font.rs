//! A SoundFont with one voice in it, as the synthesiser is handed it.
//!
//! Every table is written here, so the synthesiser never sees a byte of a user's file.
//! Layouts: SoundFont Technical Specification 2.04, section 7.

use super::Voice;
use super::sample::RoundedSample;
use crate::sound::soundfont::{Generator, Settings};

/// Zero samples after the sample data, as section 7.10 asks, so that an interpolator may look
/// ahead.
const SILENCE_AFTER: usize = 46;

/// Settings that reach the synthesiser. Ranges, addresses and the exclusive class do not: the
/// font plays on every key, its sample data are cut to measure, and choking is done when notes
/// become sound.
const KEPT: [Generator; 33] = [
    Generator::ModLfoToPitch,
    Generator::VibLfoToPitch,
    Generator::ModEnvToPitch,
    Generator::FilterCutoff,
    Generator::FilterQ,
    Generator::ModLfoToCutoff,
    Generator::ModEnvToCutoff,
    Generator::ModLfoToVolume,
    Generator::Pan,
    Generator::ModLfoDelay,
    Generator::ModLfoFrequency,
    Generator::VibLfoDelay,
    Generator::VibLfoFrequency,
    Generator::ModEnvDelay,
    Generator::ModEnvAttack,
    Generator::ModEnvHold,
    Generator::ModEnvDecay,
    Generator::ModEnvSustain,
    Generator::ModEnvRelease,
    Generator::KeyToModEnvHold,
    Generator::KeyToModEnvDecay,
    Generator::VolEnvDelay,
    Generator::VolEnvAttack,
    Generator::VolEnvHold,
    Generator::VolEnvDecay,
    Generator::VolEnvSustain,
    Generator::VolEnvRelease,
    Generator::KeyToVolEnvHold,
    Generator::KeyToVolEnvDecay,
    Generator::Attenuation,
    Generator::CoarseTune,
    Generator::FineTune,
    Generator::ScaleTuning,
];

/// A voice whose sample data fit into a file.
pub(super) type FontVoice<'a> = Voice<'a, RoundedSample>;

/// The bytes of a SoundFont whose one preset (bank 0, program 0) plays these voices together.
pub(super) fn bytes(voices: &[FontVoice<'_>]) -> Vec<u8> {
    let mut start = 0;
    let (mut headers, mut zones, mut generators) = (Vec::new(), Vec::new(), Vec::new());
    for (number, voice) in voices.iter().enumerate() {
        push_u16(&mut zones, generators.len() / 4);
        push_u16(&mut zones, 0);
        for generator in KEPT {
            push_setting(&mut generators, generator, voice.settings.get(generator));
        }
        if filter_is_open(voice.settings) {
            push_setting(&mut generators, Generator::FilterCutoff, i16::MAX.into());
        }
        let mode = match (&voice.sample.looped, voice.until_release) {
            (None, _) => 0,
            (Some(_), false) => 1,
            (Some(_), true) => 3,
        };
        push_setting(&mut generators, Generator::SampleModes, mode);
        push_setting(&mut generators, Generator::RootKey, voice.root_key.into());
        push_u16(&mut generators, Generator::SampleId as usize);
        push_u16(&mut generators, number);

        let loop_range = voice.sample.looped.clone().unwrap_or(0..0);
        headers.extend([0; 20]);
        push_u32(&mut headers, start);
        push_u32(&mut headers, start + voice.sample.samples.len());
        push_u32(&mut headers, start + loop_range.start);
        push_u32(&mut headers, start + loop_range.end);
        headers.extend(voice.sample.rate.to_le_bytes());
        // Recorded pitch (overridden by the zone), correction, link, and type 1, mono.
        headers.extend([60, 0, 0, 0, 1, 0]);
        start += voice.sample.samples.len() + SILENCE_AFTER;
    }
    headers.extend([0; 46]);
    let zone_count = voices.len();
    push_u16(&mut zones, generators.len() / 4);
    push_u16(&mut zones, 0);
    generators.extend([0; 4]);

    // One preset and one instrument, each followed by the record that closes its table.
    let mut presets = vec![0; 2 * 38];
    presets[38 + 24] = 1;
    let mut instruments = vec![0; 2 * 22];
    instruments[22 + 20..].copy_from_slice(&low_word(zone_count));
    let preset_zones = [0, 0, 0, 0, 1, 0, 0, 0];
    let mut preset_generators = vec![0; 8];
    preset_generators[..2].copy_from_slice(&(Generator::Instrument as u16).to_le_bytes());

    let info = list(b"LIST", b"INFO", &[chunk(b"ifil", &[2, 0, 1, 0])]);
    let tables = list(
        b"LIST",
        b"pdta",
        &[
            chunk(b"phdr", &presets),
            chunk(b"pbag", &preset_zones),
            chunk(b"pmod", &[0; 10]),
            chunk(b"pgen", &preset_generators),
            chunk(b"inst", &instruments),
            chunk(b"ibag", &zones),
            chunk(b"imod", &[0; 10]),
            chunk(b"igen", &generators),
            chunk(b"shdr", &headers),
        ],
    );
    // The sample data are large, and copied once only.
    let data = 2 * start;
    let mut bytes = Vec::with_capacity(64 + info.len() + data + tables.len());
    bytes.extend(b"RIFF");
    push_u32(&mut bytes, 4 + info.len() + 20 + data + tables.len());
    bytes.extend(b"sfbk");
    bytes.extend(info);
    bytes.extend(b"LIST");
    push_u32(&mut bytes, 12 + data);
    bytes.extend(b"sdtasmpl");
    push_u32(&mut bytes, data);
    for voice in voices {
        push_samples(&mut bytes, &voice.sample.samples);
    }
    bytes.extend(tables);
    bytes
}

fn push_samples(bytes: &mut Vec<u8>, samples: &[i16]) {
    let begin = bytes.len();
    bytes.resize(begin + 2 * (samples.len() + SILENCE_AFTER), 0);
    for (bytes, sample) in bytes[begin..].chunks_exact_mut(2).zip(samples) {
        bytes.copy_from_slice(&sample.to_le_bytes());
    }
}

/// Whether the filter does nothing, by the specification's words on its default value. The
/// synthesiser would filter at 19.9 kHz.
pub(super) fn filter_is_open(settings: &Settings) -> bool {
    settings.get(Generator::FilterCutoff) >= 13_500
        && settings.get(Generator::FilterQ) == 0
        && settings.get(Generator::ModLfoToCutoff) == 0
        && settings.get(Generator::ModEnvToCutoff) == 0
}

fn push_setting(bytes: &mut Vec<u8>, generator: Generator, value: i32) {
    bytes.extend((generator as u16).to_le_bytes());
    #[expect(clippy::cast_possible_truncation, reason = "clamped to 16 bits")]
    let held = value.clamp(i16::MIN.into(), i16::MAX.into()) as i16;
    bytes.extend(held.to_le_bytes());
}

/// The low 16 bits: all numbers written with it count zones or generators of a few voices.
fn low_word(value: usize) -> [u8; 2] {
    let [low, high, ..] = value.to_le_bytes();
    [low, high]
}

fn push_u16(bytes: &mut Vec<u8>, value: usize) {
    bytes.extend(low_word(value));
}

/// The low 32 bits: sample data are cut to what a note needs, far below 2^32.
fn push_u32(bytes: &mut Vec<u8>, value: usize) {
    let [a, b, c, d, ..] = value.to_le_bytes();
    bytes.extend([a, b, c, d]);
}

fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let mut bytes = name.to_vec();
    push_u32(&mut bytes, content.len());
    bytes.extend(content);
    bytes
}

fn list(name: &[u8; 4], kind: &[u8; 4], chunks: &[Vec<u8>]) -> Vec<u8> {
    let mut content = kind.to_vec();
    for chunk in chunks {
        content.extend(chunk);
    }
    chunk(name, &content)
}
