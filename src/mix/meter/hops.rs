//! The K-weighted energy of hops, four of them side by side.
//!
//! A recursive filter makes every frame wait for the one before it, and a processor that could
//! weigh eight signals at once weighs two. But what the K weighting remembers is gone after some
//! hundredths of a second. So each hop of 100 ms is weighted on its own, after a run over the end
//! of the hop before it, and four hops of two channels fill eight lanes.
//!
//! Single precision is enough: the high pass at 38 Hz makes its rounding 60 dB louder, which is
//! still 80 dB under the signal.

use super::k_filter::{Biquad, sections};
use crate::lanes::{Lanes, widest};
use crate::units::SampleRate;

/// Hops weighted side by side.
const GROUP: usize = 4;
const LANES: usize = 2 * GROUP;
/// Frames of the hop before that prepare the filter: 46 ms, or 11 time constants of its high pass.
/// What is forgotten of earlier sound is 75 dB down and less.
const WARM_UP: usize = 2_048;
/// Squares added up in single precision before they go to the sum in double.
const ROWS: usize = 64;

/// One frame of four hops: left and right of the first, left and right of the second, and so on.
type Row = [f32; LANES];

/// Gathers hops until there are four.
#[derive(Debug, Clone)]
pub(super) struct HopGroup {
    sections: [Section; 2],
    /// As many as a hop has frames.
    rows: Vec<Row>,
    /// The end of the hop before these.
    before: Vec<[f32; 2]>,
    /// How many hops are whole.
    hops: usize,
    /// How many frames there are of the next.
    frames: usize,
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
            rows: vec![[0.0; LANES]; frames_a_hop],
            before: vec![[0.0; 2]; WARM_UP],
            hops: 0,
            frames: 0,
        }
    }

    /// Takes in frames until the group is full, and tells how many it took.
    pub(super) fn fill(&mut self, left: &[f32], right: &[f32]) -> usize {
        let frames = left.len().min(right.len());
        let mut taken = 0;
        while taken < frames && !self.is_full() {
            let count = (self.rows.len() - self.frames).min(frames - taken);
            let rows = self.rows[self.frames..].iter_mut();
            let samples = left[taken..taken + count].iter().zip(&right[taken..taken + count]);
            for (row, (left, right)) in rows.zip(samples) {
                row[2 * self.hops] = *left;
                row[2 * self.hops + 1] = *right;
            }
            taken += count;
            self.frames += count;
            if self.frames == self.rows.len() {
                self.frames = 0;
                self.hops += 1;
            }
        }
        taken
    }

    pub(super) fn is_full(&self) -> bool {
        self.hops == GROUP
    }

    /// The mean square of every whole hop, weighted, both channels together.
    #[expect(clippy::cast_precision_loss, reason = "a hop is some thousand frames")]
    pub(super) fn energies(&self) -> impl Iterator<Item = f64> {
        let sums = if self.hops == 0 { [0.0; LANES] } else { widest(SumsOfSquares(self)) };
        let frames = self.rows.len() as f64;
        (0..self.hops).map(move |hop| (sums[2 * hop] + sums[2 * hop + 1]) / frames)
    }

    /// Begins the group after this one, which is full.
    pub(super) fn begin_next(&mut self) {
        let end = &self.rows[self.rows.len() - WARM_UP..];
        for (before, row) in self.before.iter_mut().zip(end) {
            *before = [row[LANES - 2], row[LANES - 1]];
        }
        (self.hops, self.frames) = (0, 0);
    }
}

/// Weighs a group and sums its squares, lane by lane.
struct SumsOfSquares<'a>(&'a HopGroup);

impl Lanes for SumsOfSquares<'_> {
    type Output = [f64; LANES];

    #[inline(always)]
    fn work(self) -> [f64; LANES] {
        let HopGroup { rows, before, sections: [shelf, pass], .. } = self.0;
        let (mut first, mut second) = (Memory::default(), Memory::default());
        for (row, before) in rows[rows.len() - WARM_UP..].iter().zip(before) {
            // The hop before is two lanes to the left.
            let mut shifted = [0.0; LANES];
            shifted[..2].copy_from_slice(before);
            shifted[2..].copy_from_slice(&row[..LANES - 2]);
            let weighted = shelf.next(&mut first, shifted);
            pass.next(&mut second, weighted);
        }
        let mut sums = [0.0; LANES];
        for rows in rows.chunks(ROWS) {
            let mut squares = [0.0; LANES];
            for row in rows {
                let weighted = shelf.next(&mut first, *row);
                let weighted = pass.next(&mut second, weighted);
                for lane in 0..LANES {
                    squares[lane] += weighted[lane] * weighted[lane];
                }
            }
            for lane in 0..LANES {
                sums[lane] += f64::from(squares[lane]);
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

/// Memory of one section in its direct form, where only the two newest outputs are in the way of
/// the next frame: shorter to wait for than the transposed form.
#[derive(Debug, Clone, Copy, Default)]
struct Memory {
    inputs: [Row; 2],
    outputs: [Row; 2],
}

impl Section {
    #[expect(clippy::cast_possible_truncation, reason = "coefficients below 3")]
    fn of(biquad: Biquad) -> Section {
        Section { b: biquad.b.map(|b| b as f32), a: biquad.a.map(|a| a as f32) }
    }

    #[inline(always)]
    fn next(&self, memory: &mut Memory, input: Row) -> Row {
        let (b, a) = (self.b, self.a);
        let mut output = [0.0; LANES];
        for lane in 0..LANES {
            let fed =
                b[0] * input[lane] + b[1] * memory.inputs[0][lane] + b[2] * memory.inputs[1][lane];
            output[lane] = (fed - a[1] * memory.outputs[1][lane]) - a[0] * memory.outputs[0][lane];
        }
        memory.inputs = [input, memory.inputs[0]];
        memory.outputs = [output, memory.outputs[0]];
        output
    }
}
