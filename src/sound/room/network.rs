//! The network of delay lines.

use super::lines::Delay;
use super::{HALF, rounded};

/// How many lines there are. A power of two, for the Hadamard matrix.
const LINES: usize = 16;
/// Lengths of the lines in milliseconds, from 11 to 35 metres of way. Together they are long
/// enough that modes overlap; of many sets drawn at random these had the evenest
/// modes by the measure in the room's tests.
const LINE_MS: [f64; LINES] = [
    33.5, 35.9, 37.5, 40.1, 44.8, 47.3, 51.1, 55.7, 58.9, 64.0, 71.5, 74.7, 79.7, 88.1, 93.9, 101.0,
];
/// Time to fall by 60 dB in seconds, for low and middle frequencies.
const DECAY: f64 = 0.8;
/// The same at the highest that the network knows, a quarter of the full sample rate.
const TREBLE_DECAY: f64 = 0.3;

/// One run of frames.
type Run = [f32; HALF];

/// Sixteen lines, what they lose, and room to work in.
#[derive(Debug, Clone)]
pub(super) struct Network {
    lines: [Delay; LINES],
    /// Gains of a line's newest and second-newest sample.
    taps: [(f32, f32); LINES],
    runs: Box<Runs>,
}

/// Room for one run at every place of the network.
#[derive(Debug, Clone)]
struct Runs {
    /// What comes out of the lines, after the one frame before.
    out: [[f32; HALF + 1]; LINES],
    /// What goes back into them.
    back: [Run; LINES],
    /// What is heard.
    wet: [Run; 2],
}

impl Runs {
    const SILENT: Runs =
        Runs { out: [[0.0; HALF + 1]; LINES], back: [[0.0; HALF]; LINES], wet: [[0.0; HALF]; 2] };
}

impl Network {
    /// Silent lines at `rate` frames a second.
    pub(super) fn new(rate: f64) -> Network {
        let lines = LINE_MS.map(|ms| Delay::new(prime(rounded(ms / 1_000.0 * rate).max(HALF))));
        let taps = std::array::from_fn(|line| {
            #[expect(clippy::cast_precision_loss, reason = "some thousand frames")]
            let seconds = lines[line].length() as f64 / rate;
            let low = 10_f64.powf(-3.0 * seconds / DECAY);
            let high = 10_f64.powf(-3.0 * seconds / TREBLE_DECAY);
            // The matrix without its scale makes amplitudes four times as large.
            (single((low + high) / 8.0), single((low - high) / 8.0))
        });
        Network { lines, taps, runs: Box::new(Runs::SILENT) }
    }

    /// What is heard left and right, while `sides` go into the lines.
    #[inline(always)]
    pub(super) fn process(&mut self, sides: &[Run; 2]) -> &[Run; 2] {
        let runs = &mut *self.runs;
        for (run, line) in runs.out.iter_mut().zip(&self.lines) {
            // The last frame of the run before comes first.
            run[0] = run[HALF];
            line.peek(&mut run[1..]);
        }
        runs.mix(&self.taps, sides);
        for (line, run) in self.lines.iter_mut().zip(&runs.back) {
            line.push(run);
        }
        &runs.wet
    }

    pub(super) fn clear(&mut self) {
        self.lines.iter_mut().for_each(Delay::clear);
        *self.runs = Runs::SILENT;
    }
}

impl Runs {
    /// Line by line over the whole run, so that every loop fills vector registers.
    #[inline(always)]
    fn mix(&mut self, taps: &[(f32, f32); LINES], sides: &[Run; 2]) {
        for ((back, out), taps) in self.back.iter_mut().zip(&self.out).zip(taps) {
            for ((back, newest), older) in back.iter_mut().zip(&out[1..]).zip(out) {
                *back = taps.0 * newest + taps.1 * older;
            }
        }
        hadamard::<1>(&mut self.back);
        hadamard::<4>(&mut self.back);
        // Two rows of the matrix, so that the sides differ and their sum keeps half of the lines.
        self.wet = [self.back[2], self.back[3]];
        for (line, back) in self.back.iter_mut().enumerate() {
            for (back, side) in back.iter_mut().zip(&sides[line % 2]) {
                *back += side;
            }
        }
    }
}

/// Two stages of a fast Walsh-Hadamard transform, which mixes all lines with each other: those
/// between lines `APART` and twice as far apart. All four stages are those of 1 and of 4.
#[inline(always)]
fn hadamard<const APART: usize>(runs: &mut [Run; LINES]) {
    for first in (0..LINES).filter(|line| line & (3 * APART) == 0) {
        let lines = [first, first + APART, first + 2 * APART, first + 3 * APART];
        if let Ok([a, b, c, d]) = runs.get_disjoint_mut(lines) {
            mix_four(a, b, c, d);
        }
    }
}

#[inline(always)]
fn mix_four(a: &mut Run, b: &mut Run, c: &mut Run, d: &mut Run) {
    for (((a, b), c), d) in a.iter_mut().zip(b).zip(c).zip(d) {
        let (first, first_apart) = (*a + *b, *a - *b);
        let (second, second_apart) = (*c + *d, *c - *d);
        (*a, *b) = (first + second, first_apart + second_apart);
        (*c, *d) = (first - second, first_apart - second_apart);
    }
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
