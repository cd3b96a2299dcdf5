//! The pitches that are heard, by Fourier transform.

use countoff::performance::{Instrument, Part, PerformedNote, PerformedPart, TempoMap};
use countoff::units::{SampleRate, Tempo, Ticks, Velocity};
use realfft::RealFftPlanner;

use super::harness::{planned, stem};

const RATE: SampleRate = SampleRate::Hz44100;

/// Powers by bin under a Hann window, padded four times, and the width of a bin in hertz.
fn spectrum(sound: &[f32]) -> (Vec<f32>, f64) {
    let size = (4 * sound.len()).next_power_of_two();
    let window = |(index, sample): (usize, &f32)| {
        let turn = std::f32::consts::TAU * (index as f32 + 0.5) / sound.len() as f32;
        sample * (0.5 - 0.5 * turn.cos())
    };
    let mut padded: Vec<f32> = sound.iter().enumerate().map(window).collect();
    padded.resize(size, 0.0);
    let plan = RealFftPlanner::new().plan_fft_forward(size);
    let mut bins = plan.make_output_vec();
    plan.process(&mut padded, &mut bins).unwrap();
    (
        bins.iter().map(realfft::num_complex::Complex::norm_sqr).collect(),
        f64::from(RATE.hz()) / size as f64,
    )
}

/// Equal temperament with A4 = 440 Hz (ISO 16:1975).
fn equal_tempered(pitch: u8) -> f64 {
    440.0 * 2_f64.powf((f64::from(pitch) - 69.0) / 12.0)
}

/// The documented stretch in cents: half of what makes second partials agree with the octave
/// above, of strings as stiff as Rigaud, David & Daudet 2013 (JASA 133) have them.
fn stretch(pitch: u8) -> f64 {
    let stiffness = |key: f64| (-0.06 * key - 8.5).exp() + (0.0926 * key - 13.64).exp();
    let octave = |key: f64| {
        let stiffness = stiffness(key);
        600.0 * ((1.0 + 4.0 * stiffness) / (1.0 + stiffness)).log2() / 12.0
    };
    let sum = if pitch >= 69 {
        (69..pitch).map(|key| octave(f64::from(key) - 6.0)).sum::<f64>()
    } else {
        -(pitch..69).map(|key| octave(f64::from(key))).sum::<f64>()
    };
    sum / 2.0
}

#[test]
fn piano_notes_are_where_iso_16_and_the_stretch_put_them() {
    for pitch in [41, 48, 55, 60, 64, 69, 72, 79, 84] {
        let velocity = Velocity::clamped(80);
        let note = PerformedNote { on: Ticks::ZERO, off: Ticks(1920), pitch, velocity, variant: 0 };
        let instrument = Instrument { bank: 0, program: 0 };
        let part = PerformedPart { part: Part::Comp, instrument, notes: vec![note] };
        let sound = stem(&part, &TempoMap::constant(Tempo(1_000_000)));
        let (powers, width) = spectrum(&sound[2_205..70_000]);
        let expected = equal_tempered(pitch);
        let bin = |hertz: f64| (hertz / width).round() as usize;
        let near = bin(expected * 0.97)..bin(expected * 1.03);
        let best = near.max_by(|&one, &other| powers[one].total_cmp(&powers[other])).unwrap();
        let [below, at, above] = [best - 1, best, best + 1].map(|bin| f64::from(powers[bin]).ln());
        let summit = best as f64 + 0.5 * (below - above) / (below - 2.0 * at + above);
        let cents = 1200.0 * (summit * width / expected).log2() - stretch(pitch);
        assert!(cents.abs() <= 3.0, "{pitch}: {cents:.2} cents");
    }
}

/// Energy by pitch class between 110 and 620 Hz, where the left hand's fundamentals lie.
fn chroma(sound: &[f32]) -> [f32; 12] {
    let (powers, width) = spectrum(sound);
    let mut chroma = [0.0; 12];
    for (bin, power) in powers.iter().enumerate() {
        let hertz = bin as f64 * width;
        if (110.0..620.0).contains(&hertz) {
            let pitch = (69.0 + 12.0 * (hertz / 440.0).log2()).round() as usize;
            chroma[pitch % 12] += power;
        }
    }
    chroma
}

#[test]
fn every_pitch_class_of_a_voicing_outsounds_every_other() {
    let (_, plan) = planned(
        r#"
        format = 1
        title = "What sounds"
        tempos = [100]
        [[chart]]
        name = "cadences"
        key = "Gm"
        A = "| Am7b5 | D7b9 | Gm6 | % | Cm7 | F7 | Bbmaj7 | Ebmaj7 |"
        [[track]]
        name = "left hand"
        chart = "cadences"
        comp = "rootless"
    "#,
    );
    let take = &plan.takes[0].notes;
    let comp = take.performance.parts.iter().find(|part| part.part == Part::Comp).unwrap();
    let sound = stem(comp, &take.performance.tempo);
    let voicings = take.voicings.as_ref().unwrap();
    let frame = |tick| usize::try_from(take.performance.tempo.frame(tick, RATE).0).unwrap();
    let mut chords = 0;
    for (index, bar) in take.timeline.bars.iter().enumerate() {
        let Some(voicing) = voicings.get(index, 0) else { continue };
        // Without the last beat, where a chord may be struck early.
        let end = bar.start + Ticks::QUARTER * 3;
        let chroma = chroma(&sound[frame(bar.start)..frame(end).min(sound.len())]);
        let inside =
            |class: &usize| voicing.pitches().iter().any(|pitch| usize::from(pitch % 12) == *class);
        let softest = (0..12).filter(inside).map(|class| chroma[class]).fold(f32::MAX, f32::min);
        let loudest =
            (0..12).filter(|class| !inside(class)).map(|class| chroma[class]).fold(0.0, f32::max);
        assert!(softest > loudest, "bar {index}, {:?}: {chroma:?}", voicing.pitches());
        chords += 1;
    }
    assert_eq!(chords, 9, "eight bars and the ending");
}
