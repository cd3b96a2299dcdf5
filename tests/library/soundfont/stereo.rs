//! Wide, and whole in mono.

use super::listen::{PIANO, chord, note};
use super::measure::power_decibels;
use super::none;

/// Correlation of the channels, and level of the mono sum (half of left plus
/// right, in both) against the stereo sound.
fn width(sound: &super::listen::Sound) -> (f64, f64) {
    let sum = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let (left, right) = (sum(&sound.left, &sound.left), sum(&sound.right, &sound.right));
    let cross = sum(&sound.left, &sound.right);
    let mono = 0.5 * (left + right + 2.0 * cross);
    (cross / (left * right).sqrt(), power_decibels(mono / (left + right)))
}

#[test]
fn piano_is_safe_in_mono() {
    let mut found = Vec::new();
    let notes = (28..=96).step_by(4).map(|key| (format!("key {key}"), note(PIANO, key, 80, 1.5)));
    let chord = ("chord".to_owned(), chord(PIANO, &[41, 51, 55, 60, 62, 67], 80, 1.5, 1.0));
    for (name, sound) in notes.chain([chord]) {
        let (correlation, mono) = width(&sound);
        if correlation < 0.3 || mono.abs() > 1.5 {
            found.push(format!("{name}: correlation {correlation:.2}, mono {mono:+.2} dB"));
        }
    }
    none(&found);
}

/// There is an image at all.
#[test]
fn piano_is_not_mono() {
    let (correlation, _) = width(&chord(PIANO, &[41, 51, 55, 60, 62, 67], 80, 1.5, 1.0));
    assert!(correlation < 0.9, "{correlation}");
}
