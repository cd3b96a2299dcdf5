//! The room: one stereo reverb, shared by all parts.
//!
//! ```text
//! send ─> half the rate ─> predelay ─> diffusers ─> network of 16 delay lines ─> full rate ─>
//! ```
//!
//! A feedback delay network (Jot & Chaigne 1991): the lines' outputs are mixed by a Hadamard
//! matrix, which neither loses nor adds energy, so that every mode of the network decays alike.
//! What is lost is put in on purpose, by a gain and a two-tap smoothing in each line in proportion
//! to its length: low notes ring 0.8 s, the highest a third of that.
//!
//! It is linear: soft notes have their room like loud ones, and the room of a sum is the sum of
//! the rooms. It works in runs of fixed length, one behind what it hears, which is part of the
//! predelay; no recursion is shorter than a run, so the compiler can make vectors of everything.

mod halves;
mod lines;
mod network;

use crate::simd::{SimdKernel, dispatch};
use crate::units::SampleRate;
use halves::{Doubler, Halver};
use lines::{Allpass, Delay};
use network::Network;

/// Frames worked on at once, and the same at half the rate.
const RUN: usize = 256;
const HALF: usize = RUN / 2;

/// Time from the dry sound to the first that the lines hear, in milliseconds: together with the
/// shortest line, the room's first answer comes after 40 ms, as in a small hall (common practice).
const PREDELAY_MS: f64 = 11.0;
/// Lengths of the diffusers in milliseconds, left and right: each spreads a stroke over some
/// ten milliseconds.
const DIFFUSER_MS: [[f64; 2]; 2] = [[2.2, 3.4], [2.9, 3.2]];
/// How much of itself a diffuser feeds back: little, as an all-pass rings too.
const DIFFUSION: f32 = 0.4;
/// After so long without input the room is silent: by then the response is below -160 dB.
const SILENT_AFTER: f64 = 2.5;
/// Makes the response to an impulse on one side carry as much energy as the impulse (measured).
const LEVEL: f32 = 2.5;

/// A stereo reverb with a state of its own.
#[derive(Debug, Clone)]
pub struct Room {
    /// The run that is being heard, where it came in pieces, and the answer to the one before.
    heard: [[f32; RUN]; 2],
    answer: [[f32; RUN]; 2],
    /// How many frames of them are done.
    at: usize,
    works: Box<Works>,
    /// Frames since the input was last not zero.
    idle: usize,
    silent_after: usize,
}

/// Everything that remembers.
#[derive(Debug, Clone)]
struct Works {
    halvers: [Halver; 2],
    predelay: [Delay; 2],
    diffusers: [[Allpass; 2]; 2],
    network: Network,
    doublers: [Doubler; 2],
    taps: [f32; halves::SIDE],
}

impl Room {
    /// A silent room.
    #[must_use]
    pub fn new(rate: SampleRate) -> Room {
        let half_rate = f64::from(rate.hz()) / 2.0;
        let delay = |ms: f64| Delay::new(rounded(ms / 1_000.0 * half_rate).max(1));
        let late = (RUN + Halver::LATENCY + Doubler::LATENCY) / 2;
        let predelay = rounded(PREDELAY_MS / 1_000.0 * half_rate).saturating_sub(late).max(1);
        let silent_after = rounded(SILENT_AFTER * f64::from(rate.hz()));
        Room {
            heard: [[0.0; RUN]; 2],
            answer: [[0.0; RUN]; 2],
            at: 0,
            works: Box::new(Works {
                halvers: [Halver::SILENT; 2],
                predelay: [Delay::new(predelay), Delay::new(predelay)],
                diffusers: DIFFUSER_MS
                    .map(|side| side.map(|ms| Allpass::new(delay(ms), DIFFUSION))),
                network: Network::new(half_rate),
                doublers: [Doubler::SILENT; 2],
                taps: halves::taps(),
            }),
            idle: silent_after,
            silent_after,
        }
    }

    /// Whether the room has rung out: from here on zeros in give exact zeros out.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        let silent = |side: &[f32]| side.iter().all(|x| x.abs() <= 0.0);
        self.idle >= self.silent_after
            && self.heard.iter().all(|side| silent(&side[..self.at]))
            && self.answer.iter().all(|side| silent(&side[self.at..]))
    }

    /// Adds the room's answer to `left_in` and `right_in` to the outputs. All four are of the same
    /// length, of any size (of unequal ones the shortest counts); however a signal is cut into
    /// blocks, the result is the same to the last bit.
    pub fn add(&mut self, left_in: &[f32], right_in: &[f32], left: &mut [f32], right: &mut [f32]) {
        let length = left_in.len().min(right_in.len()).min(left.len()).min(right.len());
        let mut done = 0;
        while done < length {
            let count = (RUN - self.at).min(length - done);
            let (block, run) = (done..done + count, self.at..self.at + count);
            let heard = [&left_in[block.clone()], &right_in[block.clone()]];
            dispatch(Adding {
                to: [&mut left[block.clone()], &mut right[block]],
                from: self.answer.each_ref().map(|side| &side[run.clone()]),
            });
            done += count;
            if let [Some(left), Some(right)] = heard.map(|side| side.first_chunk()) {
                // Most runs come whole, and need not be kept.
                self.run([left, right]);
                continue;
            }
            for (kept, heard) in self.heard.iter_mut().zip(heard) {
                kept[run.clone()].copy_from_slice(heard);
            }
            self.at += count;
            if self.at == RUN {
                self.at = 0;
                let heard = self.heard;
                self.run(heard.each_ref());
            }
        }
    }

    /// Answers a run, or falls silent.
    fn run(&mut self, heard: [&[f32; RUN]; 2]) {
        if heard.iter().any(|side| side.iter().any(|x| *x != 0.0)) {
            self.idle = 0;
        } else if self.idle >= self.silent_after {
            self.answer = [[0.0; RUN]; 2];
            return;
        } else {
            self.idle += RUN;
        }
        dispatch(Ring { works: &mut self.works, heard, answer: &mut self.answer });
        if self.idle >= self.silent_after {
            self.works.clear();
        }
    }
}

/// Adds what is heard of the room.
struct Adding<'a> {
    to: [&'a mut [f32]; 2],
    from: [&'a [f32]; 2],
}

impl SimdKernel for Adding<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for (to, from) in self.to.into_iter().zip(self.from) {
            for (to, from) in to.iter_mut().zip(from) {
                *to += from;
            }
        }
    }
}

/// Lets the room answer a run.
struct Ring<'a> {
    works: &'a mut Works,
    heard: [&'a [f32; RUN]; 2],
    answer: &'a mut [[f32; RUN]; 2],
}

impl SimdKernel for Ring<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Ring { works, heard, answer } = self;
        let mut sides = [[0.0; HALF]; 2];
        for (side, run) in sides.iter_mut().enumerate() {
            works.halvers[side].process(heard[side], &works.taps, run);
            works.predelay[side].process(run);
            for diffuser in &mut works.diffusers[side] {
                diffuser.process(run);
            }
        }
        let wet = works.network.process(&sides);
        for (side, answer) in answer.iter_mut().enumerate() {
            works.doublers[side].process(&wet[side], &works.taps, answer);
            answer.iter_mut().for_each(|x| *x *= LEVEL);
        }
    }
}

impl Works {
    fn clear(&mut self) {
        self.halvers = [Halver::SILENT; 2];
        self.doublers = [Doubler::SILENT; 2];
        self.predelay.iter_mut().for_each(Delay::clear);
        self.diffusers.iter_mut().flatten().for_each(Allpass::clear);
        self.network.clear();
    }
}

/// A length in frames.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "some seconds in frames"
)]
fn rounded(frames: f64) -> usize {
    frames.round() as usize
}

#[cfg(test)]
mod tests;
