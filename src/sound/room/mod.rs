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
const RUN: usize = 128;
/// How many lines the network has. A power of two, for the Hadamard matrix.
const LINES: usize = 8;

/// Lengths of the lines in milliseconds, from some 15 to 40 metres of way. Together they are long
/// enough that modes overlap; of some hundred sets drawn at random these had the evenest
/// modes by the measure in this module's tests.
const LINE_MS: [f64; LINES] = [43.0, 50.5, 56.8, 66.3, 73.4, 88.4, 98.7, 114.2];
/// Time from the dry sound to the room's first answer, in milliseconds (common practice for a
/// small hall: 10 to 20).
const PREDELAY_MS: f64 = 11.0;
/// Lengths of the diffusers in milliseconds, left and right, found with the lines' lengths.
const DIFFUSER_MS: [[f64; 2]; 2] = [[3.1, 5.8], [5.6, 5.4]];
/// How much of itself a diffuser feeds back: little, as an all-pass rings too.
const DIFFUSION: f32 = 0.35;
/// Time to fall by 60 dB in seconds, for low and middle frequencies.
const DECAY: f64 = 0.8;
/// The same at half the sample rate.
const TREBLE_DECAY: f64 = 0.25;
/// After so long without input the room is silent: by then the response is below -160 dB.
const SILENT_AFTER: f64 = 2.5;
/// Makes the response to an impulse carry as much energy as the impulse (measured).
const LEVEL: f32 = 0.5;

/// A stereo reverb with a state of its own.
#[derive(Debug, Clone)]
pub struct Room {
    predelay: [Delay; 2],
    diffusers: [[Allpass; 2]; 2],
    lines: [Delay; LINES],
    /// Gains of a line's newest and second-newest sample.
    taps: [(f32, f32); LINES],
    runs: Box<Runs>,
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
            let kept = (LINES as f64).sqrt();
            (single((low + high) / 2.0 / kept), single((low - high) / 2.0 / kept))
        });
        let silent_after = frames(SILENT_AFTER, rate);
        Room {
            predelay: [delay(PREDELAY_MS), delay(PREDELAY_MS)],
            diffusers: DIFFUSER_MS.map(|side| side.map(|ms| Allpass::new(delay(ms), DIFFUSION))),
            lines,
            taps,
            runs: Box::new(Runs::SILENT),
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
        *self.runs = Runs::SILENT;
    }

    /// The network itself, over one run.
    fn ring(&mut self, left_in: &[f32], right_in: &[f32], left: &mut [f32], right: &mut [f32]) {
        let length = left.len();
        let runs = &mut *self.runs;
        for (side, input) in [left_in, right_in].into_iter().enumerate() {
            let run = &mut runs.inputs[side][..length];
            self.predelay[side].exchange(input, run);
            for diffuser in &mut self.diffusers[side] {
                diffuser.process(run, &mut runs.spare);
            }
        }
        for (run, line) in runs.lines.iter_mut().zip(&self.lines) {
            line.peek(&mut run[1..=length]);
        }
        runs.mix(&self.taps);
        for (line, run) in self.lines.iter_mut().zip(&runs.fed_back) {
            line.push(&run[..length]);
        }
        // The last frame of this run comes before the first of the next.
        for run in &mut runs.lines {
            run[0] = run[length];
        }
        for (side, wet) in [left, right].into_iter().zip(&runs.wet) {
            for (to, from) in side.iter_mut().zip(wet) {
                *to += LEVEL * from;
            }
        }
    }
}

/// Room for one run at every place of the network, kept so that it need not be cleared each time.
#[derive(Debug, Clone)]
struct Runs {
    /// What comes in, diffused.
    inputs: [Run; 2],
    /// What comes out of the lines, after the one frame before.
    lines: [[f32; RUN + 1]; LINES],
    /// What goes back into them.
    fed_back: [Run; LINES],
    /// What is heard.
    wet: [Run; 2],
    spare: Run,
}

impl Runs {
    const SILENT: Runs = Runs {
        inputs: [[0.0; RUN]; 2],
        lines: [[0.0; RUN + 1]; LINES],
        fed_back: [[0.0; RUN]; LINES],
        wet: [[0.0; RUN]; 2],
        spare: [0.0; RUN],
    };

    /// One loop over the run, so that the compiler keeps eight vectors of four frames in
    /// registers.
    fn mix(&mut self, taps: &[(f32, f32); LINES]) {
        for frame in 0..RUN {
            let damped: [f32; LINES] = std::array::from_fn(|line| {
                let run = &self.lines[line];
                taps[line].0 * run[frame + 1] + taps[line].1 * run[frame]
            });
            let mixed = hadamard(damped);
            for line in 0..LINES {
                self.fed_back[line][frame] = mixed[line] + self.inputs[line % 2][frame];
            }
            // Two rows of the matrix, so that the sides differ and their sum keeps half of the
            // lines.
            self.wet[0][frame] = mixed[2];
            self.wet[1][frame] = mixed[3];
        }
    }
}

/// A fast Walsh-Hadamard transform: mixes all lines with each other. It makes their energy eight
/// times as large; the taps take that into account.
fn hadamard(x: [f32; LINES]) -> [f32; LINES] {
    let [a, b, c, d, e, f, g, h] = x;
    let [a, b, c, d, e, f, g, h] = [a + b, a - b, c + d, c - d, e + f, e - f, g + h, g - h];
    let [a, b, c, d, e, f, g, h] = [a + c, b + d, a - c, b - d, e + g, f + h, e - g, f - h];
    [a + e, b + f, c + g, d + h, a - e, b - f, c - g, d - h]
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
    let is_prime = |n: usize| (2..).take_while(|d| d * d <= n).all(|d| !n.is_multiple_of(d));
    (number..).find(|n| is_prime(*n)).unwrap_or(number)
}

#[cfg(test)]
mod tests;
