//! Time from left to right, pitch from bottom to top (40 Hz to 16 kHz in equal
//! octaves), level as brightness over 80 dB.

use crate::dsp::fft::spectrum;
use crate::dsp::maths::{decibels, pow, whole};
use crate::dsp::window::hann;

/// Width in pixels.
pub(super) const WIDTH: u32 = 480;
/// Height in pixels.
pub(super) const HEIGHT: u32 = 240;
/// Lowest and highest frequency in hertz.
const FREQUENCIES: (f64, f64) = (40.0, 16_000.0);
/// Samples under the window.
const WINDOW: usize = 4096;
/// Bins are interpolated four times.
const SIZE: usize = 4 * WINDOW;
/// Levels shown below the loudest, in decibels.
const DEPTH: f64 = 80.0;

/// Pixels of a sound's picture, row by row from the top, three bytes each.
pub(super) fn of(sound: &[f64], rate: f64) -> Vec<u8> {
    let window = hann(WINDOW);
    let columns: Vec<Vec<f64>> = (0..WIDTH)
        .map(|x| {
            let centre = whole(f64::from(x) / f64::from(WIDTH) * sound.len() as f64);
            let first = centre.saturating_sub(WINDOW / 2);
            let part: Vec<f64> =
                sound[first..].iter().zip(&window).map(|(value, weight)| value * weight).collect();
            levels(&part, rate)
        })
        .collect();
    let loudest = columns.iter().flatten().copied().fold(-400.0, f64::max);
    let mut pixels = Vec::with_capacity((3 * WIDTH * HEIGHT) as usize);
    for y in (0..HEIGHT as usize).rev() {
        for column in &columns {
            pixels.extend(colour(1.0 + (column[y] - loudest) / DEPTH));
        }
    }
    pixels
}

/// Level in decibels of each row, from the bottom.
fn levels(part: &[f64], rate: f64) -> Vec<f64> {
    let bins = spectrum(part, SIZE);
    let bin = |row: u32| {
        let share = f64::from(row) / f64::from(HEIGHT);
        let frequency = FREQUENCIES.0 * pow(FREQUENCIES.1 / FREQUENCIES.0, share);
        whole(frequency * SIZE as f64 / rate).min(bins.len() - 1)
    };
    (0..HEIGHT)
        .map(|row| {
            let strongest =
                bins[bin(row)..=bin(row + 1)].iter().map(|b| b.power()).fold(0.0, f64::max);
            decibels(strongest.sqrt())
        })
        .collect()
}

/// From black over blue and orange to white.
fn colour(share: f64) -> [u8; 3] {
    let share = share.clamp(0.0, 1.0);
    let ramp = |from: f64, to: f64| ((share - from) / (to - from)).clamp(0.0, 1.0);
    [
        ramp(0.25, 0.75),
        ramp(0.45, 0.95),
        0.6 * ramp(0.0, 0.35) - 0.5 * ramp(0.4, 0.7) + 0.9 * ramp(0.75, 1.0),
    ]
    .map(|part| byte(255.0 * part))
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a byte")]
fn byte(value: f64) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dsp::maths::{TURN, sin};

    #[test]
    fn a_tone_is_a_bright_line() {
        let tone: Vec<f64> =
            (0..44_100).map(|i| sin(TURN * 800.0 * f64::from(i) / 44_100.0)).collect();
        let pixels = of(&tone, 44_100.0);
        // 800 Hz is half-way between 40 Hz and 16 kHz.
        let row = HEIGHT as usize / 2;
        let bright = |row: usize| u32::from(pixels[3 * (row * WIDTH as usize + 240)]);
        assert!((row - 3..row + 3).any(|r| bright(r) > 200));
        assert!(bright(row / 2) < 50);
    }
}
