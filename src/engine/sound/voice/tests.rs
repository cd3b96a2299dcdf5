//! Our arithmetic against the synthesiser's own.

use proptest::prelude::*;

use super::reel::Points;
use super::*;
use crate::performance::Instrument;
use crate::simd::largest;
use crate::sound::release::Release;
use crate::sound::tests::tiny_font::{TinyFont, sine};

/// Half a second of a decaying, harsh tone, and the same as a loop in its middle.
fn sample(looped: bool) -> VoiceSample {
    let point = |at: i32| {
        let (fall, saw) = (30_000 - at / 3, (at % 97) * 20 - 970);
        f32::from(i16::try_from(fall * saw / 1_000).unwrap())
    };
    VoiceSample {
        points: Points::Upsampled((0..88_200).map(point).collect()),
        looped: looped.then_some(20_000..40_001),
        rate: 176_400,
    }
}

/// Settings that move or colour a voice, in the file's units, within reason.
fn settings() -> impl Strategy<Value = Settings> {
    let setting = |generator: Generator, range: std::ops::Range<i32>| {
        prop::option::of(range).prop_map(move |value| (generator, value))
    };
    [
        setting(Generator::VibLfoToPitch, -50..50),
        setting(Generator::VibLfoDelay, -12_000..-1_000),
        setting(Generator::VibLfoFrequency, -2_000..2_000),
        setting(Generator::ModLfoToPitch, -50..50),
        setting(Generator::ModLfoToCutoff, -1_200..1_200),
        setting(Generator::ModLfoDelay, -12_000..-1_000),
        setting(Generator::ModLfoFrequency, -2_000..2_000),
        setting(Generator::ModEnvToPitch, -300..300),
        setting(Generator::ModEnvToCutoff, -4_000..4_000),
        setting(Generator::ModEnvDelay, -12_000..-2_000),
        setting(Generator::ModEnvAttack, -12_000..-1_000),
        setting(Generator::ModEnvHold, -12_000..-1_000),
        setting(Generator::ModEnvDecay, -6_000..2_000),
        setting(Generator::ModEnvSustain, 0..1_001),
        setting(Generator::ModEnvRelease, -6_000..2_000),
        setting(Generator::KeyToModEnvDecay, -100..100),
        setting(Generator::FilterCutoff, 6_000..13_500),
        setting(Generator::FilterQ, 0..120),
        setting(Generator::CoarseTune, -12..12),
        setting(Generator::FineTune, -99..99),
        setting(Generator::ScaleTuning, 0..150),
    ]
    .prop_map(|chosen| {
        let mut settings = Settings::instrument_defaults();
        for (generator, value) in chosen {
            if let Some(value) = value {
                settings.set(generator, value);
            }
        }
        full_gain(&settings)
    })
}

/// The most that rounding to single precision can come to in the synthesiser's filter, as a share of the
/// peak: three roundings a frame, each of which rings on as long as the filter does. What rings is a sine
/// of the cutoff, w radians a frame, that falls by a factor e in 2 Q / w frames and begins at a height of
/// 1 / w; near half the sample rate it is the same with what is left of a half turn.
#[expect(clippy::cast_possible_truncation, reason = "a small number")]
fn rounding_of_synthesiser(settings: &Settings) -> f32 {
    let setting = |generator| f64::from(settings.get(generator));
    let moved = [Generator::ModEnvToCutoff, Generator::ModLfoToCutoff].map(setting);
    let moved = moved.map(f64::abs).iter().sum::<f64>();
    let w = |cents: f64| {
        let cutoff = 8.176 * (cents / 1_200.0).exp2() / 44_100.0;
        std::f64::consts::TAU * cutoff.min(0.499)
    };
    let cents = setting(Generator::FilterCutoff);
    let nearest = w(cents - moved).min(std::f64::consts::PI - w(cents + moved));
    let quality = 10_f64.powf(setting(Generator::FilterQ) / 200.0);
    (3.0 * f64::from(f32::EPSILON) / 2.0 * 2.0 * quality / nearest.powi(2)) as f32
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// Against `rustysynth` playing the same voice; full scale is 1.
    #[test]
    fn a_voice_is_as_the_synthesiser_plays_it(
        settings in settings(),
        key in 36_u8..85,
        velocity in 1_u8..128,
        held in 2_usize..200,
        loop_kind in 0..3,
    ) {
        let voice = Voice {
            settings: &settings,
            sample: sample(loop_kind > 0),
            until_release: loop_kind == 2,
            root_key: 60,
        };
        let blocks = 250;
        let rate = SampleRate::Hz44100;
        let note = synth::Playing { key, velocity, held, pan: synth::HARD_LEFT };
        let font = font::bytes(&[voice.rounded(1.0)]);
        let mut native = vec![0.0; blocks * BLOCK];
        let mut player = Player::new(voice, &note, rate);
        native.chunks_mut(7 * BLOCK).for_each(|run| {
            player.play(run);
        });
        let [reference, _] = synth::play(&font, &note, blocks, rate).unwrap();
        let peak = largest(&reference) / synth::LOUD;
        let most = (1e-4 + rounding_of_synthesiser(&settings)) * peak.max(1.0);
        for (frame, (native, reference)) in native.iter().zip(&reference).enumerate() {
            let reference = reference / synth::LOUD;
            prop_assert!((native - reference).abs() < most, "frame {frame}: {native}, not {reference}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    /// Releases that share a waveform move the filter alike.
    #[test]
    fn the_filter_of_a_shared_waveform_is_within_five_cents(
        settings in settings(),
        key in 36_u8..85,
        velocity in 1_u8..128,
        held in 2_u32..400,
    ) {
        let piano = Instrument { bank: 0, program: 0 };
        let font = TinyFont::of(sine(440.0, 0.5, 44_100, 44_100), 44_100, 60);
        let mut region = font.open().regions(piano).unwrap().remove(0);
        region.settings = settings.clone();
        // A note that fades over six seconds.
        region.settings.set(Generator::VolEnvRelease, 3_100);
        let rate = SampleRate::Hz44100;
        let Some(heard) = Release::of(&[&region], key, rate).heard(held) else { return Ok(()) };
        let moved = |held: u32| {
            let mut modulation = Modulation::new(&settings, key, velocity, rate);
            let next = move |block| {
                if block == held {
                    modulation.release();
                }
                modulation.next()
            };
            (0..2_000).map(next)
        };
        for (block, (shared, own)) in moved(heard).zip(moved(held)).enumerate() {
            let off = (shared.cents - own.cents).abs();
            prop_assert!(off < 5.01, "{heard} for {held}, block {block}: {off} cents");
            prop_assert!((shared.pitch - own.pitch).abs() < 0.03, "keys, of 100 cents");
        }
    }
}
