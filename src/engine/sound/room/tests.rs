//! The room measured: decay, evenness, mono, linearity, silence.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of a test, all within range"
)]

use realfft::RealFftPlanner;

use super::*;

const RATES: [SampleRate; 2] = [SampleRate::Hz44100, SampleRate::Hz48000];

/// Three seconds of answer to an impulse left and right.
fn impulse_response(rate: SampleRate, left: f32, right: f32) -> [Vec<f32>; 2] {
    let length = 3 * rate.hz() as usize;
    let mut input = [vec![0.0; length], vec![0.0; length]];
    input[0][0] = left;
    input[1][0] = right;
    answer(rate, &input, length)
}

fn answer(rate: SampleRate, input: &[Vec<f32>; 2], block: usize) -> [Vec<f32>; 2] {
    let length = input[0].len();
    let mut output = [vec![0.0; length], vec![0.0; length]];
    let mut room = Room::new(rate);
    for start in (0..length).step_by(block) {
        let range = start..length.min(start + block);
        let [left, right] = &mut output;
        room.add(
            &input[0][range.clone()],
            &input[1][range.clone()],
            &mut left[range.clone()],
            &mut right[range],
        );
    }
    output
}

fn energy(samples: &[f32]) -> f64 {
    samples.iter().map(|x| f64::from(*x).powi(2)).sum()
}

/// Noise of some kind; any will do.
fn noise(length: usize) -> Vec<f32> {
    let mut state = 1_u32;
    (0..length)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (f64::from(state) / f64::from(u32::MAX) - 0.5) as f32
        })
        .collect()
}

/// Time to fall by 60 dB, from the backward integral between -5 and -35 dB (Schroeder 1965,
/// ISO 3382: T30).
fn decay_time(response: &[f32], rate: SampleRate) -> f64 {
    let total = energy(response);
    let mut left = total;
    let (mut from, mut to) = (None, None);
    for (frame, x) in response.iter().enumerate() {
        let level = 10.0 * (left / total).log10();
        if level < -5.0 {
            from = from.or(Some(frame));
        }
        if level < -35.0 {
            to = to.or(Some(frame));
        }
        left -= f64::from(*x).powi(2);
    }
    2.0 * (to.unwrap() - from.unwrap()) as f64 / f64::from(rate.hz())
}

/// Power spectra of Hann-windowed stretches, from 0.1 s to 1 s.
fn spectra(response: &[f32], rate: SampleRate) -> Vec<Vec<f64>> {
    const LENGTH: usize = 8_192;
    let fft = RealFftPlanner::<f64>::new().plan_fft_forward(LENGTH);
    let (start, end) = (rate.hz() as usize / 10, rate.hz() as usize - LENGTH);
    (start..end)
        .step_by(LENGTH / 3)
        .map(|start| {
            let mut input: Vec<f64> = response[start..start + LENGTH]
                .iter()
                .enumerate()
                .map(|(at, x)| {
                    let phase = std::f64::consts::TAU * at as f64 / LENGTH as f64;
                    f64::from(*x) * (0.5 - 0.5 * phase.cos())
                })
                .collect();
            let mut output = fft.make_output_vec();
            fft.process(&mut input, &mut output).unwrap();
            output.iter().map(|bin| bin.norm_sqr()).collect()
        })
        .collect()
}

/// How far the strongest mode stands out, in decibels: each bin over the mean of a third of an
/// octave around it, averaged over the decay.
fn strongest_mode(response: &[f32], rate: SampleRate) -> f64 {
    let spectra = spectra(response, rate);
    let bin = f64::from(rate.hz()) / 8_192.0;
    let (low, high) = ((80.0 / bin) as usize, (8_000.0 / bin) as usize);
    let over = |spectrum: &[f64], at: usize| {
        let from = (at as f64 * 0.89) as usize;
        let to = ((at as f64 * 1.12) as usize).max(from + 12);
        spectrum[at] * (to - from) as f64 / spectrum[from..to].iter().sum::<f64>()
    };
    let mean = |at: usize| {
        spectra.iter().map(|spectrum| over(spectrum, at)).sum::<f64>() / spectra.len() as f64
    };
    10.0 * (low..high).map(mean).fold(0.0, f64::max).log10()
}

#[test]
fn it_decays_in_half_a_second_to_a_second() {
    for rate in RATES {
        let [left, right] = impulse_response(rate, 1.0, 1.0);
        for side in [&left, &right] {
            let time = decay_time(side, rate);
            assert!((0.5..=1.0).contains(&time), "{time} s");
        }
    }
}

#[test]
fn no_mode_stands_out_by_six_decibels() {
    for rate in RATES {
        for (left, right) in [(1.0, 1.0), (1.0, 0.0), (0.0, 1.0)] {
            let [to_left, to_right] = impulse_response(rate, left, right);
            let mono: Vec<f32> = to_left.iter().zip(&to_right).map(|(l, r)| l + r).collect();
            for response in [&to_left, &to_right, &mono] {
                let mode = strongest_mode(response, rate);
                println!("{rate:?} {left} {right}: {mode:.2} dB");
                assert!(mode < 6.0, "{rate:?}, {left} and {right} in: {mode} dB");
            }
        }
    }
}

#[test]
fn it_survives_mono_and_has_two_sides() {
    let [left, right] = impulse_response(SampleRate::Hz44100, 1.0, 1.0);
    let mono: Vec<f32> = left.iter().zip(&right).map(|(l, r)| 0.5 * (l + r)).collect();
    let loss = 10.0 * (2.0 * energy(&mono) / (energy(&left) + energy(&right))).log10();
    // Sides that know nothing of each other lose 3 dB.
    assert!((-3.5..=0.0).contains(&loss), "{loss} dB");
    let balance = 10.0 * (energy(&left) / energy(&right)).log10();
    assert!(balance.abs() < 0.5, "{balance} dB");
    let product: f64 = left.iter().zip(&right).map(|(l, r)| f64::from(l * r)).sum();
    let correlation = product / (energy(&left) * energy(&right)).sqrt();
    assert!(correlation.abs() < 0.2, "{correlation}");
}

#[test]
fn the_answer_to_an_impulse_carries_the_energy_of_the_impulse() {
    for rate in RATES {
        let [left, right] = impulse_response(rate, 1.0, 0.0);
        let energy = 10.0 * (energy(&left) + energy(&right)).log10();
        assert!(energy.abs() < 0.5, "{energy} dB");
    }
}

#[test]
fn soft_notes_have_their_room() {
    let loud = noise(20_000);
    // -100 dB, a power of two.
    let scale = 1.0 / 131_072.0;
    let soft: Vec<f32> = loud.iter().map(|x| x * scale).collect();
    let of = |input: &[f32]| answer(SampleRate::Hz44100, &[input.to_vec(), input.to_vec()], 999);
    let ([loud, _], [soft, _]) = (of(&loud), of(&soft));
    assert!(loud.iter().zip(&soft).all(|(loud, soft)| (loud * scale - soft).abs() < 1.0e-11));
    assert!(soft.iter().any(|x| *x != 0.0));
}

#[test]
fn blocks_of_any_size_give_the_same() {
    let input = [noise(30_000), noise(30_001)[1..].to_vec()];
    let whole = answer(SampleRate::Hz44100, &input, 30_000);
    for block in [1, 63, 256, 257, 1_024, 4_999] {
        assert_eq!(answer(SampleRate::Hz44100, &input, block), whole, "blocks of {block}");
    }
}

#[test]
fn it_ends_in_exact_silence_and_begins_again_like_new() {
    for rate in RATES {
        let mut room = Room::new(rate);
        assert!(room.is_silent());
        let input = noise(rate.hz() as usize);
        let length = input.len();
        let play = |room: &mut Room, input: &[f32]| {
            let (mut left, mut right) = (vec![0.0; length], vec![0.0; length]);
            room.add(input, input, &mut left, &mut right);
            [left, right]
        };
        let first = play(&mut room, &input);
        assert!(!room.is_silent());
        let nothing = vec![0.0; length];
        play(&mut room, &nothing);
        play(&mut room, &nothing);
        // The last that is heard is below -140 dB.
        let last = play(&mut room, &nothing);
        let heard = last[0].iter().rposition(|x| *x != 0.0).unwrap();
        assert!(last[0][heard - 100..heard].iter().all(|x| x.abs() < 1.0e-7));
        assert!(room.is_silent());
        assert_eq!(play(&mut room, &nothing), [nothing.clone(), nothing]);
        // Align to the start of a run, as the first time.
        room.at = 0;
        assert_eq!(play(&mut room, &input), first);
    }
}
