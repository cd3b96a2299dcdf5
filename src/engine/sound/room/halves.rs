//! Down to half the sample rate, and up again.
//!
//! The room has no treble to speak of, so it works at half the rate; what it hears and what is
//! heard of it pass through half-band filters: windowed sincs, in which every second tap is zero.

use super::{HALF, RUN};

/// Taps on each side that are not zero. Flat to 0.18 of the sample rate (8 kHz of 44.1), 50 dB
/// down from 0.32 on (Kaiser's formula).
pub(super) const SIDE: usize = 6;
/// Kaiser window for 50 dB.
const KAISER_BETA: f64 = 4.55;

/// The taps of one side, from the middle outwards; they add up to a quarter.
pub(super) fn taps() -> [f32; SIDE] {
    let weights: [f64; SIDE] = std::array::from_fn(|tap| {
        #[expect(clippy::cast_precision_loss, reason = "at most 6")]
        let (at, edge) = (tap as f64 + 0.5, SIDE as f64);
        let sinc = (std::f64::consts::PI * at).sin() / (std::f64::consts::PI * at);
        sinc * bessel_i0(KAISER_BETA * (1.0 - (at / edge).powi(2)).sqrt())
    });
    let sum: f64 = 4.0 * weights.iter().sum::<f64>();
    #[expect(clippy::cast_possible_truncation, reason = "taps below 1")]
    weights.map(|weight| (weight / sum) as f32)
}

/// The modified Bessel function of order zero, by its power series.
fn bessel_i0(x: f64) -> f64 {
    let (mut term, mut sum) = (1.0, 1.0);
    for order in 1..32_i32 {
        term *= (x / (2.0 * f64::from(order))).powi(2);
        sum += term;
    }
    sum
}

/// Keeps every second frame. Late by [`Halver::LATENCY`] frames of the full rate.
#[derive(Debug, Clone)]
pub(super) struct Halver {
    /// Even and odd frames, after those of the runs before that the filter still needs.
    even: [f32; HALF + SIDE],
    odd: [f32; HALF + 2 * SIDE],
}

impl Halver {
    pub(super) const LATENCY: usize = 2 * SIDE;
    pub(super) const SILENT: Halver =
        Halver { even: [0.0; HALF + SIDE], odd: [0.0; HALF + 2 * SIDE] };

    #[inline(always)]
    pub(super) fn process(
        &mut self,
        input: &[f32; RUN],
        taps: &[f32; SIDE],
        output: &mut [f32; HALF],
    ) {
        self.even.copy_within(HALF.., 0);
        self.odd.copy_within(HALF.., 0);
        for (pair, (even, odd)) in
            input.chunks_exact(2).zip(self.even[SIDE..].iter_mut().zip(&mut self.odd[2 * SIDE..]))
        {
            (*even, *odd) = (pair[0], pair[1]);
        }
        // An even frame's neighbours are odd frames: the one before it, and the one after.
        for (frame, output) in output.iter_mut().enumerate() {
            let mut sum = 0.5 * self.even[frame];
            for (tap, weight) in taps.iter().enumerate() {
                let (before, after) = (frame + SIDE - 1 - tap, frame + SIDE + tap);
                sum += weight * (self.odd[before] + self.odd[after]);
            }
            *output = sum;
        }
    }
}

/// Puts a frame between each and the next. Late by [`Doubler::LATENCY`] frames of the full rate.
#[derive(Debug, Clone)]
pub(super) struct Doubler {
    frames: [f32; HALF + 2 * SIDE],
}

impl Doubler {
    pub(super) const LATENCY: usize = 2 * SIDE;
    pub(super) const SILENT: Doubler = Doubler { frames: [0.0; HALF + 2 * SIDE] };

    #[inline(always)]
    pub(super) fn process(
        &mut self,
        input: &[f32; HALF],
        taps: &[f32; SIDE],
        output: &mut [f32; RUN],
    ) {
        self.frames.copy_within(HALF.., 0);
        self.frames[2 * SIDE..].copy_from_slice(input);
        for (frame, pair) in output.chunks_exact_mut(2).enumerate() {
            let mut sum = 0.0;
            for (tap, weight) in taps.iter().enumerate() {
                let (before, after) = (frame + SIDE - tap, frame + SIDE + 1 + tap);
                sum += 2.0 * weight * (self.frames[before] + self.frames[after]);
            }
            pair[0] = self.frames[frame + SIDE];
            pair[1] = sum;
        }
    }
}
