//! The room: one stereo reverb, shared by all parts.
//!
//! A feedback delay network (Jot & Chaigne 1991): eight delay lines whose outputs are mixed by a
//! Hadamard matrix, which neither loses nor adds energy, so that every mode of the network decays
//! alike. What is lost is put in on purpose, by a gain and a two-tap smoothing in each line in
//! proportion to its length: low notes ring 0.8 s, the highest treble a third of that.
//!
//! It is linear: soft notes have their room like loud ones, and the room of a sum is the sum of
//! the rooms. Every operation runs over whole runs of frames without a recursion shorter than
//! the shortest line, so the compiler can make vectors of it.

mod lines;

use crate::units::SampleRate;
use lines::{Allpass, Delay};

/// Frames worked on at once; no delay is shorter.
const RUN: usize = 64;
/// How many lines the network has. A power of two, for the Hadamard matrix.
const LINES: usize = 8;

/// Lengths of the lines in milliseconds: spread over an octave and a half, like the sides and
/// diagonals of a room of some ten metres, no two with a small common ratio (common practice).
const LINE_MS: [f64; LINES] = [30.9, 35.3, 41.1, 47.9, 55.1, 63.7, 72.3, 83.9];
/// Time from the dry sound to the room's first answer, in milliseconds (common practice for a
/// small hall: 10 to 20).
const PREDELAY_MS: f64 = 11.0;
/// Lengths of the diffusers in milliseconds, left and right.
const DIFFUSER_MS: [[f64; 2]; 2] = [[4.7, 12.1], [5.3, 10.3]];
/// How much of itself a diffuser feeds back (common practice).
const DIFFUSION: f32 = 0.6;
/// Time to fall by 60 dB in seconds, for low and middle frequencies.
const DECAY: f64 = 0.8;
/// The same at half the sample rate.
const TREBLE_DECAY: f64 = 0.25;
/// After so long without input the room is silent: by then the response is below -160 dB.
const SILENT_AFTER: f64 = 2.5;
/// Makes the response to an impulse carry as much energy as the impulse (measured).
const LEVEL: f32 = 0.5;

/// How each line sounds left and right: two rows of a Hadamard matrix, so that the sides differ
/// and their sum keeps half of the lines.
const LEFT_SIGNS: [f32; LINES] = [1.0, 1.0, -1.0, -1.0, 1.0, 1.0, -1.0, -1.0];
const RIGHT_SIGNS: [f32; LINES] = [1.0, -1.0, -1.0, 1.0, 1.0, -1.0, -1.0, 1.0];

/// A stereo reverb with a state of its own.
#[derive(Debug, Clone)]
pub struct Room {
    predelay: [Delay; 2],
    diffusers: [[Allpass; 2]; 2],
    lines: [Delay; LINES],
    /// Gains of a line's newest and second-newest sample.
    taps: [(f32, f32); LINES],
    /// Each line's last output.
    last: [f32; LINES],
    /// Frames since the input was last not zero.
    idle: usize,
    silent_after: usize,
}

/// One run of frames.
type Run = [f32; RUN];

impl Room {
    /// A silent room.
    #[must_use]
    pub fn new(rate: SampleRate) -> Room {
        let delay = |ms: f64| Delay::new(frames(ms / 1_000.0, rate).max(RUN));
        let lines = LINE_MS.map(|ms| Delay::new(prime(frames(ms / 1_000.0, rate))));
        let taps = std::array::from_fn(|line| {
            let seconds = seconds(lines[line].length(), rate);
            let low = 10_f64.powf(-3.0 * seconds / DECAY);
            let high = 10_f64.powf(-3.0 * seconds / TREBLE_DECAY);
            (single((low + high) / 2.0), single((low - high) / 2.0))
        });
        let silent_after = frames(SILENT_AFTER, rate);
        Room {
            predelay: [delay(PREDELAY_MS), delay(PREDELAY_MS)],
            diffusers: DIFFUSER_MS.map(|side| side.map(|ms| Allpass::new(delay(ms), DIFFUSION))),
            lines,
            taps,
            last: [0.0; LINES],
            idle: silent_after,
            silent_after,
        }
    }

    /// Whether the room has rung out: from here on zeros in give exact zeros out.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        self.idle >= self.silent_after
    }

    /// Adds the room's answer to `left_in` and `right_in` to the outputs. All four are of the same
    /// length, of any size (of unequal ones the shortest counts); however a signal is cut into
    /// blocks, the result is the same to the last bit.
    pub fn add(&mut self, left_in: &[f32], right_in: &[f32], left: &mut [f32], right: &mut [f32]) {
        let inputs = left_in.chunks(RUN).zip(right_in.chunks(RUN));
        let outputs = left.chunks_mut(RUN).zip(right.chunks_mut(RUN));
        for ((left_in, right_in), (left, right)) in inputs.zip(outputs) {
            let length = left_in.len().min(right_in.len()).min(left.len()).min(right.len());
            self.add_run(
                &left_in[..length],
                &right_in[..length],
                &mut left[..length],
                &mut right[..length],
            );
        }
    }

    /// Adds one run, up to the frame in which the room falls silent.
    fn add_run(&mut self, left_in: &[f32], right_in: &[f32], left: &mut [f32], right: &mut [f32]) {
        let sounding = |side: &[f32]| side.iter().rposition(|x| *x != 0.0).map(|at| at + 1);
        let length = left.len();
        match sounding(left_in).max(sounding(right_in)) {
            Some(end) => {
                self.ring(left_in, right_in, left, right);
                self.idle = length - end;
            }
            None if self.is_silent() => {}
            None => {
                let rest = length.min(self.silent_after - self.idle);
                self.ring(
                    &left_in[..rest],
                    &right_in[..rest],
                    &mut left[..rest],
                    &mut right[..rest],
                );
                self.idle += rest;
                if self.is_silent() {
                    self.clear();
                }
            }
        }
    }

    fn clear(&mut self) {
        self.predelay.iter_mut().for_each(Delay::clear);
        self.lines.iter_mut().for_each(Delay::clear);
        self.diffusers.iter_mut().flatten().for_each(Allpass::clear);
        self.last = [0.0; LINES];
    }

    /// The network itself, over one run.
    fn ring(&mut self, left_in: &[f32], right_in: &[f32], left: &mut [f32], right: &mut [f32]) {
        let length = left.len();
        let mut inputs = [[0.0; RUN]; 2];
        for (side, input) in [left_in, right_in].into_iter().enumerate() {
            let run = &mut inputs[side][..length];
            self.predelay[side].exchange(input, run);
            for diffuser in &mut self.diffusers[side] {
                diffuser.process(run);
            }
        }
        let mut outputs = [[0.0; RUN]; LINES];
        for (line, output) in outputs.iter_mut().enumerate() {
            self.lines[line].peek(&mut output[..length]);
            damp(&mut output[..length], self.taps[line], &mut self.last[line]);
        }
        for (line, output) in outputs.iter().enumerate() {
            let (to_left, to_right) = (LEVEL * LEFT_SIGNS[line], LEVEL * RIGHT_SIGNS[line]);
            for ((left, right), x) in left.iter_mut().zip(right.iter_mut()).zip(&output[..length]) {
                *left += to_left * x;
                *right += to_right * x;
            }
        }
        hadamard(&mut outputs);
        for (line, output) in outputs.iter_mut().enumerate() {
            for (to, from) in output.iter_mut().zip(&inputs[line % 2]) {
                *to += from;
            }
            self.lines[line].push(&output[..length]);
        }
    }
}

/// Weighs each sample and the one before it.
fn damp(run: &mut [f32], (newest, before): (f32, f32), last: &mut f32) {
    let mut shifted = [0.0; RUN];
    let Some(newest_sample) = run.last().copied() else { return };
    shifted[0] = *last;
    shifted[1..run.len()].copy_from_slice(&run[..run.len() - 1]);
    *last = newest_sample;
    for (x, earlier) in run.iter_mut().zip(&shifted) {
        *x = newest * *x + before * earlier;
    }
}

/// Mixes all lines with each other, keeping their energy: a fast Walsh-Hadamard transform over
/// runs instead of numbers.
fn hadamard(lines: &mut [Run; LINES]) {
    let mut apart = 1;
    while apart < LINES {
        for group in lines.chunks_mut(2 * apart) {
            let (upper, lower) = group.split_at_mut(apart);
            for (upper, lower) in upper.iter_mut().zip(lower) {
                for (a, b) in upper.iter_mut().zip(lower) {
                    (*a, *b) = (*a + *b, *a - *b);
                }
            }
        }
        apart *= 2;
    }
    // 1 / sqrt(8)
    const KEEP: f32 = 0.353_553_38;
    lines.as_flattened_mut().iter_mut().for_each(|x| *x *= KEEP);
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "some seconds in frames"
)]
fn frames(seconds: f64, rate: SampleRate) -> usize {
    (seconds * f64::from(rate.hz())).round() as usize
}

#[expect(clippy::cast_precision_loss, reason = "some thousand frames")]
fn seconds(frames: usize, rate: SampleRate) -> f64 {
    frames as f64 / f64::from(rate.hz())
}

#[expect(clippy::cast_possible_truncation, reason = "gains below 1")]
fn single(gain: f64) -> f32 {
    gain as f32
}

/// The next prime from `number` on, so that no two lines share a period.
fn prime(number: usize) -> usize {
    let is_prime = |n: usize| (2..).take_while(|d| d * d <= n).all(|d| n % d != 0);
    (number..).find(|n| is_prime(*n)).unwrap_or(number)
}

#[cfg(test)]
mod tests;
