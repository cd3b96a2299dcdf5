//! The K-weighted energy of hops, several of them side by side.
//!
//! A recursive filter makes every frame wait for the one before it, and a processor that could
//! weigh eight signals at once weighs two. But what the K weighting remembers is gone after some
//! hundredths of a second. So stretches of two hops of 100 ms are weighted on their own, each after
//! a run over the end of the stretch before it, and four stretches of two channels fill eight lanes.
//!
//! Single precision is enough: the high pass at 38 Hz makes its rounding 60 dB louder, which is
//! still 80 dB under the signal.

use std::ops::Range;

use pulp::{Arch, Simd, WithSimd};

use super::k_filter::{Biquad, sections};
use crate::simd::{SimdKernel, dispatch, sounds};
use crate::units::SampleRate;

/// Stretches weighted side by side.
const STRETCHES: usize = 4;
/// Hops in a stretch.
const HOPS: usize = 2;
/// Hops in a full group.
pub(super) const GROUP: usize = STRETCHES * HOPS;
/// Frames before a stretch that prepare the filter: 46 ms, or 11 time constants of its high pass.
/// What is forgotten of earlier sound is 75 dB down and less.
const WARM_UP: usize = 2_048;
/// Frames whose squares are added up in single precision before they go to the sum in double.
const ROWS: usize = 64;

/// One frame of every stretch, left and right.
type Row = [[f32; 2]; STRETCHES];
const LANES: usize = 2 * STRETCHES;

/// Gathers hops until there are enough to be weighted side by side.
#[derive(Debug, Clone)]
pub(super) struct HopGroup {
    sections: [Section; 2],
    frames_a_hop: usize,
    /// The end of the group before, and the frames of this one; not set as long as all are silence.
    frames: Vec<[f32; 2]>,
    /// How many of them there are.
    filled: usize,
    /// How many frames up to the newest are silence.
    silent: usize,
    /// How many are those that were heard before.
    known: usize,
}

impl HopGroup {
    /// An empty group, after silence.
    pub(super) fn new(rate: SampleRate) -> HopGroup {
        let frames_a_hop = match rate {
            SampleRate::Hz44100 => 4_410,
            SampleRate::Hz48000 => 4_800,
        };
        HopGroup {
            sections: sections(rate).map(Section::of),
            frames_a_hop,
            frames: vec![[0.0; 2]; WARM_UP + STRETCHES * HOPS * frames_a_hop],
            filled: WARM_UP,
            silent: WARM_UP,
            known: WARM_UP,
        }
    }

    /// Takes in frames until the group is full, and tells how many it took. Whether they are `known`
    /// is only kept in mind.
    pub(super) fn fill(&mut self, left: &[f32], right: &[f32], known: bool) -> usize {
        let taken = (self.frames.len() - self.filled).min(left.len()).min(right.len());
        let (left, right, to) = (&left[..taken], &right[..taken], self.filled + taken);
        let (was_silent, is_heard) = (self.is_silent(), sounds(left) || sounds(right));
        if was_silent && is_heard {
            self.frames[..self.filled].fill([0.0; 2]);
        }
        if is_heard || !was_silent {
            dispatch(Interleaving { frames: &mut self.frames[self.filled..to], left, right });
        }
        self.silent = if is_heard { 0 } else { self.silent + taken };
        self.known = if known { self.known + taken } else { 0 };
        self.filled = to;
        taken
    }

    /// Whether all frames are known that its energies follow from.
    pub(super) fn is_known(&self) -> bool {
        self.known >= self.filled
    }

    pub(super) fn is_full(&self) -> bool {
        self.filled == self.frames.len()
    }

    fn is_silent(&self) -> bool {
        self.silent >= self.filled
    }

    /// The mean square of every whole hop, weighted, both channels together.
    #[expect(clippy::cast_precision_loss, reason = "a hop is some thousand frames")]
    pub(super) fn energies(&self) -> impl Iterator<Item = f64> {
        let whole = (self.filled - WARM_UP) / self.frames_a_hop;
        let needs_none = whole == 0 || self.is_silent();
        let sums = if needs_none { Sums::default() } else { Arch::new().dispatch(Weighing(self)) };
        let frames = self.frames_a_hop as f64;
        (0..whole).map(move |hop| {
            let (lane, sums) = (2 * (hop / HOPS), &sums[hop % HOPS]);
            (sums[lane] + sums[lane + 1]) / frames
        })
    }

    /// Begins the group after this one, which is full.
    pub(super) fn begin_next(&mut self) {
        if !self.is_silent() {
            let end = self.frames.len() - WARM_UP;
            self.frames.copy_within(end.., 0);
        }
        self.filled = WARM_UP;
        self.silent = self.silent.min(WARM_UP);
        self.known = self.known.min(WARM_UP);
    }

    /// The frame at `at` in every stretch, counted from where its warming up begins, and those after
    /// it, as many as there are rows.
    #[inline(always)]
    fn gather(&self, at: usize, rows: &mut [Row]) {
        for stretch in 0..STRETCHES {
            let first = stretch * HOPS * self.frames_a_hop + at;
            for (row, frame) in rows.iter_mut().zip(&self.frames[first..]) {
                row[stretch] = *frame;
            }
        }
    }
}

/// Two channels that become one.
struct Interleaving<'a> {
    frames: &'a mut [[f32; 2]],
    left: &'a [f32],
    right: &'a [f32],
}

impl SimdKernel for Interleaving<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for ((frame, left), right) in self.frames.iter_mut().zip(self.left).zip(self.right) {
            *frame = [*left, *right];
        }
    }
}

/// Sums of squares of each hop of a stretch, lane by lane.
type Sums = [[f64; LANES]; HOPS];

/// Weighs a group and sums its squares. The lanes are spelled out, since a compiler left to
/// find them for itself takes three times as long.
struct Weighing<'a>(&'a HopGroup);

impl WithSimd for Weighing<'_> {
    type Output = Sums;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Sums {
        const { assert!(LANES.is_multiple_of(S::F32_LANES), "registers wider than a row") };
        let group = self.0;
        let mut sums = Sums::default();
        for column in 0..LANES / S::F32_LANES {
            let mut filter = KFilter::new(simd, group.sections, column);
            filter.squares(simd, group, 0..WARM_UP);
            for (hop, sums) in sums.iter_mut().enumerate() {
                let first = WARM_UP + hop * group.frames_a_hop;
                let squares = filter.squares(simd, group, first..first + group.frames_a_hop);
                sums[column * S::F32_LANES..]
                    .iter_mut()
                    .zip(squares)
                    .for_each(|(to, from)| *to = from);
            }
        }
        sums
    }
}

/// The filter over some of the lanes.
struct KFilter<S: Simd> {
    sections: [Filter<S>; 2],
    /// Which register of a row.
    column: usize,
}

impl<S: Simd> KFilter<S> {
    #[inline(always)]
    fn new(simd: S, [shelf, pass]: [Section; 2], column: usize) -> KFilter<S> {
        KFilter { sections: [Filter::new(simd, shelf), Filter::new(simd, pass)], column }
    }

    /// Weighs frames and sums their squares; of the sums only as many count as there are lanes.
    #[inline(always)]
    fn squares(&mut self, simd: S, group: &HopGroup, frames: Range<usize>) -> [f64; LANES] {
        let [shelf, pass] = &mut self.sections;
        let mut sums = [0.0; LANES];
        let mut rows = [Row::default(); ROWS];
        for start in frames.clone().step_by(ROWS) {
            let rows = &mut rows[..ROWS.min(frames.end - start)];
            group.gather(start, rows);
            let (inputs, _) = S::as_simd_f32s(rows.as_flattened().as_flattened());
            let mut squares = simd.splat_f32s(0.0);
            for row in inputs.chunks_exact(LANES / S::F32_LANES) {
                let weighted = pass.next(simd, shelf.next(simd, row[self.column]));
                squares = simd.add_f32s(squares, simd.mul_f32s(weighted, weighted));
            }
            let squares: &[f32] = pulp::bytemuck::cast_slice(std::slice::from_ref(&squares));
            for (sum, square) in sums.iter_mut().zip(squares) {
                *sum += f64::from(*square);
            }
        }
        sums
    }
}

/// A section of the filter in single precision.
#[derive(Debug, Clone, Copy)]
struct Section {
    b: [f32; 3],
    a: [f32; 2],
}

impl Section {
    #[expect(clippy::cast_possible_truncation, reason = "coefficients below 3")]
    fn of(biquad: Biquad) -> Section {
        Section { b: biquad.b.map(|b| b as f32), a: biquad.a.map(|a| a as f32) }
    }
}

/// A section at work in its direct form, where only the two newest outputs are in the way of the
/// next frame: shorter to wait for than the transposed form.
struct Filter<S: Simd> {
    b: [S::f32s; 3],
    a: [S::f32s; 2],
    inputs: [S::f32s; 2],
    outputs: [S::f32s; 2],
}

impl<S: Simd> Filter<S> {
    #[inline(always)]
    fn new(simd: S, section: Section) -> Filter<S> {
        let silence = [simd.splat_f32s(0.0); 2];
        let [b0, b1, b2] = section.b;
        let [a0, a1] = section.a;
        Filter {
            b: [simd.splat_f32s(b0), simd.splat_f32s(b1), simd.splat_f32s(b2)],
            a: [simd.splat_f32s(a0), simd.splat_f32s(a1)],
            inputs: silence,
            outputs: silence,
        }
    }

    #[inline(always)]
    fn next(&mut self, simd: S, input: S::f32s) -> S::f32s {
        let [b0, b1, b2] = self.b;
        let newest = simd.mul_f32s(b0, input);
        let newer = simd.add_f32s(newest, simd.mul_f32s(b1, self.inputs[0]));
        let fed = simd.add_f32s(newer, simd.mul_f32s(b2, self.inputs[1]));
        let older = simd.sub_f32s(fed, simd.mul_f32s(self.a[1], self.outputs[1]));
        let output = simd.sub_f32s(older, simd.mul_f32s(self.a[0], self.outputs[0]));
        self.inputs = [input, self.inputs[0]];
        self.outputs = [output, self.outputs[0]];
        output
    }
}
