//! Waveforms that are shared although their keys are let go at other times are the same.

use super::*;
use crate::performance::Instrument;
use crate::sound::tests::tiny_font::{TinyFont, sine};
use crate::sound::voice::{VoicePlayer, VoiceRequest};
use proptest::prelude::*;

const PIANO: Instrument = Instrument { bank: 0, program: 0 };
const RATE: SampleRate = SampleRate::Hz44100;
const KEY: u8 = 62;

/// How a sample is played, as the file has it.
const ONCE: i32 = 0;
const ROUND: i32 = 1;
const ROUND_UNTIL_RELEASE: i32 = 3;

/// A fifth of a second.
fn tiny(mode: i32) -> TinyFont {
    let mut font = TinyFont::of(sine(440.0, 0.5, 44_100, 9_000), 44_100, 60);
    font.samples[0].looped = 1_000..8_000;
    font.with(Generator::SampleModes, mode)
}

/// The releases of a font's only voice, and that voice let go in a block, if ever.
fn opened(font: TinyFont) -> (Release, impl Fn(Option<u32>) -> Vec<f32>) {
    let font = font.open();
    let region = font.regions(PIANO).unwrap().remove(0);
    let release = Release::of(&[&region], KEY, RATE);
    let play = move |block: Option<u32>| {
        let blocks = 1_500;
        let release_block = block.map(|block| block as usize);
        let request = VoiceRequest {
            region: &region,
            key: KEY,
            velocity: 90,
            release_block,
            blocks,
            rate: RATE,
        };
        let mut frames = vec![0.0; blocks * BLOCK];
        VoicePlayer::begin(&font, &request).unwrap().unwrap().play(&mut frames);
        frames
    };
    (release, play)
}

/// A filter that a modulation envelope opens by two octaves and a half, and closes within a second
/// when the key is let go.
fn closing(mode: i32) -> TinyFont {
    tiny(mode)
        .with(Generator::FilterCutoff, 7_000)
        .with(Generator::ModEnvToCutoff, 3_000)
        .with(Generator::ModEnvRelease, 0)
        .with(Generator::VolEnvRelease, 1_200)
}

#[test]
fn a_filter_that_closes_is_heard_while_the_sample_plays() {
    let (release, play) = opened(closing(ONCE));
    let Release { settled, step } = release;
    assert!((100..150).contains(&settled), "a fifth of a second is 124 blocks: {settled}");
    assert!(step < 10, "{step}");
    assert_eq!(release.heard(settled), None);
    assert!(play(Some(settled)) == play(None));
    assert!(release.heard(50).is_some());
    assert!(play(Some(50)) != play(None));
}

#[test]
fn a_filter_that_closes_on_a_loop_is_heard_whenever_the_key_is_let_go() {
    let (release, play) = opened(closing(ROUND));
    assert!(release.heard(1_000).is_some());
    assert!(play(Some(1_000)) != play(None));
}

#[test]
fn a_filter_that_stays_open_is_not_heard() {
    // Opens by ten octaves and closes within a minute and a half, while the note fades in 20 s.
    let open = tiny(ROUND)
        .with(Generator::ModEnvToCutoff, 12_000)
        .with(Generator::ModEnvRelease, 7_800)
        .with(Generator::VolEnvRelease, 5_186);
    let (release, play) = opened(open.clone());
    assert_eq!(release, Release::UNHEARD);
    assert!(play(Some(2)) == play(None));
    // Soon closed, it is heard.
    let (release, play) = opened(open.with(Generator::ModEnvRelease, 0));
    assert!(release.heard(2).is_some());
    assert!(play(Some(2)) != play(None));
}

#[test]
fn a_filter_that_still_opens_is_heard_to_the_block() {
    let opening = closing(ROUND).with(Generator::ModEnvToCutoff, 700);
    let (release, _) = opened(opening.clone());
    assert!(release.step > 1);
    // A second at the softest velocity is an eighth of one at the hardest: 8 cents a block.
    let (release, _) = opened(opening.with(Generator::ModEnvAttack, 0));
    assert_eq!(release.step, 1);
}

#[test]
fn leaving_a_loop_is_heard_to_the_block() {
    let (release, play) = opened(tiny(ROUND_UNTIL_RELEASE));
    assert_eq!(release.heard(301), Some(301));
    assert!(play(Some(301)) != play(Some(201)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn once_nothing_is_left_to_hear_a_key_may_as_well_be_held(
        mode in prop::sample::select(vec![ONCE, ROUND]),
        cents in -4_000..4_000,
        pitch in -100..100,
        cutoff in 5_000..13_500,
        [attack, hold, decay] in [-12_000..-2_000, -12_000..-2_000, -6_000..0],
        sustain in prop::sample::select(vec![0, 500, 1_000]),
        (release, fading) in (-4_000..8_000, -2_000..5_000),
        later in 0_u32..100,
    ) {
        let font = [
            (Generator::ModEnvToCutoff, cents),
            (Generator::ModEnvToPitch, pitch),
            (Generator::FilterCutoff, cutoff),
            (Generator::ModEnvAttack, attack),
            (Generator::ModEnvHold, hold),
            (Generator::ModEnvDecay, decay),
            (Generator::ModEnvSustain, sustain),
            (Generator::ModEnvRelease, release),
            (Generator::VolEnvRelease, fading),
        ];
        let font = font.into_iter().fold(tiny(mode), |font, (generator, value)| {
            font.with(generator, value)
        });
        let (release, play) = opened(font);
        // Drift too little to be worth a waveform is heard all the same.
        if (1..1_300).contains(&release.settled) {
            let block = release.settled + later;
            prop_assert_eq!(release.heard(block), None);
            prop_assert!(play(Some(block)) == play(None));
        }
    }
}
