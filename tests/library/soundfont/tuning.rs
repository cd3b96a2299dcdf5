//! In tune, with a piano's stretch and a piano's inharmonicity.

use super::listen::{BASS, ELECTRIC_PIANO, PIANO, Preset, note, seconds};
use super::measure::{Spectrum, line};
use super::none;

/// Equal temperament with A4 = 440 Hz (ISO 16:1975).
fn equal_tempered(key: i32) -> f64 {
    440.0 * 2_f64.powf(f64::from(key - 69) / 12.0)
}

/// Inharmonicity over the compass after Rigaud, David & Daudet 2013 (JASA 133):
/// a bass and a treble line in the logarithm. Treble line as published (from
/// memory); the bass line is a choice of each instrument, here a long grand.
fn inharmonicity(key: i32) -> f64 {
    (-0.06 * f64::from(key) - 8.5).exp() + (0.0926 * f64::from(key) - 13.64).exp()
}

/// The documented stretch in cents: half of what makes every octave's second
/// partial agree, summed from A4.
fn stretch(key: i32) -> f64 {
    let octave = |k: i32| {
        let b = inharmonicity(k);
        600.0 * ((1.0 + 4.0 * b) / (1.0 + b)).log2()
    };
    let full: f64 = if key >= 69 {
        (69..key).map(|k| octave(k - 6) / 12.0).sum()
    } else {
        -(key..69).map(|k| octave(k) / 12.0).sum::<f64>()
    };
    0.5 * full
}

/// Cents of the first partial above equal temperament.
fn first_partial(preset: Preset, key: i32) -> f64 {
    let sound = note(preset, key, 80, 1.6).sum();
    let expected = equal_tempered(key);
    let spectrum = Spectrum::of(&sound[seconds(0.05)..seconds(1.55)]);
    let (found, _) = spectrum.peak(expected * 0.97, expected * 1.03);
    1200.0 * (found / expected).log2()
}

#[test]
fn the_stretch_is_railsbacks() {
    let all = 2.0 * (stretch(108) - stretch(21));
    assert!(all <= 60.0, "{all}");
}

#[test]
fn piano_is_in_tune() {
    let mut found = Vec::new();
    let cents: Vec<f64> = (28..=90).map(|key| first_partial(PIANO, key)).collect();
    for (key, cents_at) in (28..=90).zip(&cents) {
        let off = cents_at - stretch(key);
        if !(-1.0..=3.0).contains(&off) {
            found.push(format!("key {key}: {off:+.2} cents"));
        }
    }
    for (key, pair) in (29..=90).zip(cents.windows(2)) {
        if (pair[1] - pair[0]).abs() > 4.0 {
            found.push(format!("key {key}: {:+.2} cents from the key below", pair[1] - pair[0]));
        }
    }
    none(&found);
}

#[test]
fn bass_is_in_tune() {
    let mut found = Vec::new();
    for key in 28..=60 {
        let off = first_partial(BASS, key);
        if off.abs() > 5.0 {
            found.push(format!("key {key}: {off:+.2} cents"));
        }
    }
    none(&found);
}

/// Tines are tuned without stretch.
#[test]
fn electric_piano_is_in_tune() {
    let mut found = Vec::new();
    for key in 28..=100 {
        let off = first_partial(ELECTRIC_PIANO, key);
        if off.abs() > 3.0 {
            found.push(format!("key {key}: {off:+.2} cents"));
        }
    }
    none(&found);
}

/// B from the line through (n², (f(n) / n)²), partials 1 to 14 below 6 kHz.
#[test]
fn partials_are_those_of_stiff_strings() {
    let mut found = Vec::new();
    for key in (36..=84).step_by(4) {
        let sound = note(PIANO, key, 80, 1.3).sum();
        let spectrum = Spectrum::of(&sound[seconds(0.02)..seconds(1.2)]);
        let f0 = equal_tempered(key) * 2_f64.powf(stretch(key) / 1200.0);
        let published = inharmonicity(key);
        let strongest = spectrum.power.iter().copied().fold(0.0, f64::max);
        let mut points = Vec::new();
        for n in (1..=14).map(f64::from) {
            let expected = n * f0 * ((1.0 + published * n * n) / (1.0 + published)).sqrt();
            let (frequency, power) = spectrum.peak(expected - 0.3 * f0, expected + 0.3 * f0);
            if expected < 6000.0 && power > 1e-7 * strongest {
                points.push((n * n, (frequency / n / f0).powi(2)));
            }
        }
        let (slope, height) = line(&points);
        let ratio = slope / height / published;
        if !(1.0 / 1.4..=1.4).contains(&ratio) {
            found.push(format!("key {key}: B is {ratio:.2} of the law, {} partials", points.len()));
        }
    }
    none(&found);
}
