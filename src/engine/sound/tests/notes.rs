//! Pitch, place, loudness and choking of single notes.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of a test, all within range"
)]

use super::tiny_font::{TinyFont, Zone, range, sine};
use super::*;
use crate::sound::soundfont::Generator;
use crate::units::Decibels;
use realfft::RealFftPlanner;

fn sounds(font: &TinyFont) -> Sounds {
    let instruments: Vec<Instrument> = font
        .presets
        .iter()
        .map(|(bank, program)| Instrument { bank: *bank, program: *program as u8 })
        .collect();
    Sounds::new(font.open(), &instruments, SampleRate::Hz44100, StoreBudget::default()).unwrap()
}

/// A tempo at which ticks and frames are of similar size: 1,000 ticks are 44,100 frames within 2.
fn tempo() -> TempoMap {
    TempoMap::constant(Tempo(960_000))
}

fn play(sounds: &Sounds, instrument: Instrument, notes: Vec<PerformedNote>) -> [Vec<f32>; 2] {
    let stem = sounds.stem(&part(instrument, notes), &tempo(), Frames::ZERO).unwrap();
    rendered(stem, 512)
}

/// The frequency of the strongest partial near `near`, in hertz, from the phase that a windowed
/// Fourier sum gains from one stretch to the next.
fn frequency_near(samples: &[f32], near: f64, rate: f64) -> f64 {
    let length = 16_384;
    let fft = RealFftPlanner::<f32>::new().plan_fft_forward(length);
    let hop = 64;
    let mut spectra = Vec::new();
    for start in [4_096, 4_096 + hop] {
        let mut input: Vec<f32> = samples[start..start + length]
            .iter()
            .enumerate()
            .map(|(at, x)| {
                let phase = std::f32::consts::TAU * at as f32 / length as f32;
                x * (0.5 - 0.5 * phase.cos())
            })
            .collect();
        let mut output = fft.make_output_vec();
        fft.process(&mut input, &mut output).unwrap();
        spectra.push(output);
    }
    let bin = rate / length as f64;
    let (low, high) = ((near * 0.97 / bin) as usize, (near * 1.03 / bin).ceil() as usize);
    let best = (low..=high)
        .max_by(|a, b| spectra[0][*a].norm().total_cmp(&spectra[0][*b].norm()))
        .unwrap();
    let gained = f64::from((spectra[1][best] * spectra[0][best].conj()).arg());
    let expected = std::f64::consts::TAU * best as f64 * hop as f64 / length as f64;
    let turns = ((expected - gained) / std::f64::consts::TAU).round();
    (gained + turns * std::f64::consts::TAU) * rate / (std::f64::consts::TAU * hop as f64)
}

/// ISO 16:1975, A4 = 440 Hz, and equal temperament.
fn iso_16(key: u8) -> f64 {
    440.0 * ((f64::from(key) - 69.0) / 12.0).exp2()
}

fn cents(frequency: f64, reference: f64) -> f64 {
    1_200.0 * (frequency / reference).log2()
}

#[test]
fn a_sample_is_moved_to_the_pitch_of_iso_16() {
    // A sine of 440 Hz, whatever its own sample rate.
    for rate in [22_050, 32_000, 44_100, 48_000] {
        let font = TinyFont::of(sine(440.0, 0.5, rate, 3 * rate as usize), rate, 69);
        let sounds = sounds(&font);
        for key in [57, 64, 69, 70, 76, 81] {
            let [left, _] = play(&sounds, PIANO, vec![note(0, 900, key, 100)]);
            let error = cents(frequency_near(&left, iso_16(key), 44_100.0), iso_16(key));
            assert!(error.abs() < 0.05, "{rate} Hz, key {key}: {error} cents");
        }
    }
}

#[test]
fn onsets_are_exact_and_blocks_do_not_matter() {
    let mut click = vec![0; 2_000];
    click[0] = 20_000;
    let sounds = sounds(&TinyFont::of(click, 44_100, 60).with(Generator::VolEnvDelay, -32_768));
    let ons = [0, 7, 333, 334, 1_001, 5_000];
    let notes: Vec<PerformedNote> = ons.iter().map(|on| note(*on, on + 5, 60, 100)).collect();
    let expected: Vec<u64> =
        ons.iter().map(|on| tempo().frame(Ticks(*on), SampleRate::Hz44100).0).collect();
    let stem = || sounds.stem(&part(PIANO, notes.clone()), &tempo(), Frames::ZERO).unwrap();
    let [left, right] = rendered(stem(), 512);
    let loud = |x: &f32| x.abs() > 0.01;
    let found: Vec<u64> =
        left.iter().enumerate().filter(|(_, x)| loud(x)).map(|(at, _)| at as u64).collect();
    assert_eq!(found, expected);
    for block in [1, 63, 64, 65, 1_000, 100_000] {
        let [again_left, again_right] = rendered(stem(), block);
        let length = left.len().min(again_left.len());
        assert_eq!(left[..length], again_left[..length], "blocks of {block}");
        assert_eq!(right[..length], again_right[..length], "blocks of {block}");
    }
}

#[test]
fn a_stem_can_be_begun_anywhere() {
    let sounds = embedded(&[PIANO]);
    let notes = vec![note(0, 800, 48, 90), note(200, 700, 60, 70), note(400, 900, 64, 50)];
    let stem = || sounds.stem(&part(PIANO, notes.clone()), &tempo(), Frames::ZERO).unwrap();
    let [whole, _] = rendered(stem(), 4_096);
    let mut later = stem();
    later.seek(Frames(20_011));
    let [rest, _] = rendered(later, 777);
    let length = rest.len().min(whole.len() - 20_011);
    assert_eq!(rest[..length], whole[20_011..20_011 + length]);
}

#[test]
fn velocity_ten_is_heard_and_levels_follow_the_law() {
    let sounds = sounds(&TinyFont::of(sine(440.0, 0.9, 44_100, 44_100), 44_100, 69));
    let level = |velocity| {
        let [left, _] = play(&sounds, PIANO, vec![note(0, 500, 69, velocity)]);
        Decibels::of(peak(&left).into()).0
    };
    let loudest = level(127);
    for velocity in [1, 4, 10, 40, 80, 120] {
        // 40 log10 of the velocity over 127 (SoundFont 2.04, section 8.4.1).
        let law = 40.0 * (f64::from(velocity) / 127.0).log10();
        let found = level(velocity) - loudest;
        assert!((found - law).abs() < 0.01, "velocity {velocity}: {found} dB, not {law} dB");
    }
}

#[test]
fn a_stereo_hi_hat_keeps_both_channels_and_chokes_softly() {
    let mut font = TinyFont::of(sine(3_000.0, 0.5, 44_100, 88_200), 44_100, 60);
    font.presets = vec![(128, 0)];
    font.samples.push(tiny_font::Sample { data: vec![0; 4_410], ..font.samples[0].clone() });
    let zone = |sample: usize, key: u8, pan: i32| Zone {
        sample,
        settings: vec![
            (Generator::KeyRange, range(key, key)),
            (Generator::ExclusiveClass, 1),
            (Generator::Pan, pan),
            (Generator::ScaleTuning, 0),
            (Generator::VolEnvRelease, 5_000),
        ],
    };
    // The closed hat is silent, so that what is heard is the open one alone.
    font.zones = vec![zone(0, 46, -500), zone(0, 46, 500), zone(1, 42, 0)];
    let sounds = sounds(&font);
    let notes = vec![note(0, 100, 46, 127), note(500, 600, 42, 127)];
    let [left, right] = play(&sounds, KIT, notes);
    assert!(peak(&left) > 0.2 && peak(&right) > 0.2, "{} {}", peak(&left), peak(&right));
    let choke = tempo().frame(Ticks(500), SampleRate::Hz44100).0 as usize;
    assert!(peak(&left[choke - 100..choke]) > 0.1, "it rings until it is choked");
    let silent = left.iter().rposition(|x| x.abs() > 1.0e-6).unwrap() - choke;
    assert!((221..=441).contains(&silent), "the fade takes 5 to 10 ms, not {silent} frames");
    // No step larger than the sine itself makes anywhere.
    let step = |samples: &[f32]| {
        samples.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max)
    };
    assert!(step(&left[choke - 50..]) <= 1.05 * step(&left[2_000..choke - 50]));
}

#[test]
fn another_stroke_sounds_only_where_there_is_one() {
    let mut font = TinyFont::of(sine(1_000.0, 0.5, 44_100, 4_410), 44_100, 60);
    font.samples.push(tiny_font::Sample {
        data: sine(2_000.0, 0.5, 44_100, 4_410),
        ..font.samples[0].clone()
    });
    font.presets = vec![(128, 0)];
    let zone = |sample, key| Zone {
        sample,
        settings: vec![(Generator::KeyRange, range(key, key)), (Generator::ScaleTuning, 0)],
    };
    font.zones = vec![zone(0, 51), zone(1, 84)];
    let stroke = |font: &TinyFont, variant| {
        let mut ride = note(0, 100, 51, 100);
        ride.variant = variant;
        play(&sounds(font), KIT, vec![ride])
    };
    let trio = TinyFont { name: "Countoff Trio", ..font.clone() };
    let first = stroke(&trio, 0);
    assert_ne!(first, stroke(&trio, 1));
    assert_eq!(first, stroke(&trio, 2), "key 85 has no sound here");
    assert_eq!(first, stroke(&trio, 9), "there is no tenth stroke");
    assert_eq!(first, stroke(&font, 1), "what is on key 84 of other files is no ride");
    assert!(embedded(&[KIT]).soundfont().has_variants());
}
