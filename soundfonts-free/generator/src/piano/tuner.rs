//! The last man at the piano: brings each note to pitch and shifts its strings
//! against each other until it dies away as a good note does.

use super::design::Key;
use super::hammer::{blow, brightness};
use super::soundboard::Soundboard;
use super::strings::Strings;
use crate::dsp::complex::Complex;
use crate::dsp::maths::{TURN, cents_ratio, interpolate_geometric, ln, log2};
use crate::dsp::window::hann;

/// How often the tuner tries.
const TRIES: u64 = 40;
/// Partials that the tuner listens to.
const HEARD: usize = 30;
/// Wanted fall of the prompt sound in decibels per second by key (Martin 1947,
/// rounded).
const PROMPT: [(f64, f64); 6] =
    [(21.0, 8.0), (36.0, 10.5), (60.0, 12.5), (76.0, 17.0), (84.0, 24.0), (108.0, 110.0)];
/// Wanted fall of the aftersound over that of the prompt sound (Weinreich 1977
/// shows a third to two thirds).
const AFTERSOUND: f64 = 0.5;

/// The first and the second partial may fall by this many decibels in the first 200 ms: more, and the
/// note loses its pitch while it speaks. Judgement; stricter than sampled grands, some of whose keys fall
/// by more than 12.
const EARLY_FALL: f64 = 7.0;
/// They may rise by this many decibels in the same time.
const EARLY_RISE: f64 = 2.0;

/// The best of several tunings of the key's strings, at exact pitch.
#[must_use]
pub fn tuned(key: &Key, board: &Soundboard) -> Strings {
    let partials: Vec<f64> = (1..=HEARD).map(|n| key.partial(n as f64)).collect();
    // A blow of middling strength, as the board lets it be heard.
    let responses: Vec<f64> = brightness(&blow(key, 80.0), &partials)
        .into_iter()
        .zip(&partials)
        .map(|(excited, &partial)| excited * board.at(partial).magnitude())
        .collect();
    let mut best: Option<(f64, Strings)> = None;
    for seed in 1..=TRIES {
        let strings = at_pitch(key, board, seed);
        let fault = fault(key, &strings, &responses);
        if best.as_ref().is_none_or(|(least, _)| fault < *least) {
            best = Some((fault, strings));
        }
    }
    best.map_or_else(|| Strings::new(key, board, 1), |(_, strings)| strings)
}

/// The strings of this seed, retuned so that the first partial is heard at the
/// key's own frequency.
fn at_pitch(key: &Key, board: &Soundboard, seed: u64) -> Strings {
    let strings = Strings::new(key, board, seed);
    let mut retuned = key.clone();
    retuned.frequency *= cents_ratio(-first_partial(key, &strings, 0.05, 1.55));
    Strings::new(&retuned, board, seed)
}

/// Cents by which the first partial is heard above the key's frequency between
/// two times in seconds: the strongest line of its spectrum, within 12 cents.
fn first_partial(key: &Key, strings: &Strings, from: f64, to: f64) -> f64 {
    let frames = 60;
    let nominal = TURN * key.frequency;
    let moments: Vec<(f64, Complex)> = hann(frames)
        .into_iter()
        .enumerate()
        .map(|(frame, weight)| {
            let time = from + (to - from) * frame as f64 / frames as f64;
            let value = strings.oscillations.iter().take_while(|o| o.partial == 0).fold(
                Complex::ZERO,
                |sum, o| {
                    let beside = o.pole - Complex::new(0.0, nominal);
                    sum + o.residue * (beside * time).exp()
                },
            );
            (time, value * weight)
        })
        .collect();
    let strength = |cents: f64| {
        let turning = nominal * (cents_ratio(cents) - 1.0);
        moments
            .iter()
            .fold(Complex::ZERO, |sum, &(time, value)| {
                sum + value * Complex::polar(1.0, -turning * time)
            })
            .power()
    };
    let (mut heard, mut strongest) = (0.0, 0.0);
    for step in -120..=120 {
        let cents = 0.1 * f64::from(step);
        let power = strength(cents);
        if power > strongest {
            (heard, strongest) = (cents, power);
        }
    }
    heard
}

/// How far the note is from dying away evenly in two stages; 0 is perfect.
fn fault(key: &Key, strings: &Strings, responses: &[f64]) -> f64 {
    let levels: Vec<f64> =
        (0..=30).map(|step| level(strings, responses, 0.1 * f64::from(step))).collect();
    let fall = |from: usize, to: usize| (levels[from] - levels[to]) / (0.1 * (to - from) as f64);
    let prompt = fall(1, 6).max(0.5);
    let after = fall(12, 25).max(0.5);
    let wanted = interpolate_geometric(f64::from(key.key), &PROMPT);
    // An aftersound that falls as fast as the prompt sound is none.
    let single_stage = 20.0 * ln(after / (0.65 * prompt)).max(0.0);
    // Every swell counts, in decibels.
    let swells: f64 = levels.windows(3).map(|w| (w[2] - w[0]).max(0.0)).sum();
    // So does every cent that the pitch wanders.
    let early = first_partial(key, strings, 0.2, 1.2);
    let late = first_partial(key, strings, 1.0, 2.5);
    let wandering = early.abs() + 0.5 * (late - early).abs();
    let dying: f64 = (0..2)
        .map(|partial| early_fall(strings, partial))
        .map(|fall| 8.0 * (fall - EARLY_FALL).max(0.0) + 4.0 * (-fall - EARLY_RISE).max(0.0))
        .sum();
    dying
        + wandering
        + 4.0 * ln(prompt / wanted).abs()
        + 5.0 * ln(after / prompt / AFTERSOUND).abs()
        + swells
        + single_stage
}

/// Decibels by which a partial falls from the first tenth of a second to the one that begins at 0.2
/// seconds.
fn early_fall(strings: &Strings, partial: usize) -> f64 {
    let power = |from: f64| -> f64 {
        (0..20)
            .map(|step| {
                let time = from + 0.005 * f64::from(step);
                strings
                    .oscillations
                    .iter()
                    .filter(|o| o.partial == partial)
                    .fold(Complex::ZERO, |sum, o| sum + o.residue * (o.pole * time).exp())
                    .power()
            })
            .sum()
    };
    10.0 * (log2(power(0.0).max(1e-300)) - log2(power(0.2).max(1e-300))) / log2(10.0)
}

/// Level in decibels of the lowest partials through the board at a time.
fn level(strings: &Strings, responses: &[f64], time: f64) -> f64 {
    let mut sums = [Complex::ZERO; HEARD];
    for oscillation in strings.oscillations.iter().take_while(|o| o.partial < HEARD) {
        sums[oscillation.partial] += oscillation.residue * (oscillation.pole * time).exp();
    }
    let power: f64 =
        sums.iter().zip(responses).map(|(sum, response)| sum.power() * response * response).sum();
    10.0 * log2(power.max(1e-300)) / log2(10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_note_is_at_pitch() {
        let board = Soundboard::new(11);
        for number in [36, 60, 84] {
            let key = Key::new(number);
            let heard = first_partial(&key, &tuned(&key, &board), 0.05, 1.55);
            assert!(heard.abs() < 0.3, "key {number}: {heard} cents");
        }
    }
}
