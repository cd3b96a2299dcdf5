//! The network of delay lines.

use super::lines::Line;
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
    lines: [Line; LINES],
    /// Gains of a line's newest and second-newest sample.
    taps: [(f32, f32); LINES],
    runs: Box<Runs>,
}

/// Room for one run.
#[derive(Debug, Clone)]
struct Runs {
    /// Half way through the mixing matrix.
    half_mixed: [Run; LINES],
    /// What is heard.
    wet: [Run; 2],
}

impl Runs {
    const SILENT: Runs = Runs { half_mixed: [[0.0; HALF]; LINES], wet: [[0.0; HALF]; 2] };
}

impl Network {
    /// Silent lines at `rate` frames a second.
    pub(super) fn new(rate: f64) -> Network {
        let lines = LINE_MS.map(|ms| Line::new(prime(rounded(ms / 1_000.0 * rate).max(HALF))));
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
        let Network { lines, taps, runs } = self;
        let Runs { half_mixed, wet } = &mut **runs;
        let (mixed, _) = half_mixed.as_chunks_mut::<4>();
        let (fours, _) = lines.as_chunks_mut::<4>();
        let (taps, _) = taps.as_chunks::<4>();
        for ((mixed, lines), taps) in mixed.iter_mut().zip(fours).zip(taps) {
            for line in &mut *lines {
                line.lay_out();
            }
            let [a, b, c, d] = &*lines;
            lose_and_mix([a.laid_out(), b.laid_out(), c.laid_out(), d.laid_out()], taps, mixed);
            for line in lines {
                line.put_back();
            }
        }
        let mut back = lines.each_mut().map(Line::run);
        for first in 0..4 {
            let four = [&mixed[0][first], &mixed[1][first], &mixed[2][first], &mixed[3][first]];
            let apart = [first, first + 4, first + 8, first + 12];
            if let Ok([a, b, c, d]) = back.get_disjoint_mut(apart) {
                mix_and_add(four, &sides[first % 2], [a, b, c, d]);
            }
            // Two rows of the matrix, so that the sides differ and their sum keeps half of the lines.
            if let Some(wet) = first.checked_sub(2).and_then(|side| wet.get_mut(side)) {
                for (frame, wet) in wet.iter_mut().enumerate() {
                    *wet = mix([four[0][frame], four[1][frame], four[2][frame], four[3][frame]])[0];
                }
            }
        }
        lines.iter_mut().for_each(Line::go_on);
        wet
    }

    pub(super) fn clear(&mut self) {
        self.lines.iter_mut().for_each(Line::clear);
        *self.runs = Runs::SILENT;
    }
}

/// What four lines lose, and the first two stages of a fast Walsh-Hadamard transform, which mixes all
/// lines with each other.
#[inline(always)]
fn lose_and_mix(out: [&[f32; HALF + 1]; 4], taps: &[(f32, f32); 4], mixed: &mut [Run; 4]) {
    let [a, b, c, d] = mixed;
    for frame in 0..HALF {
        let left =
            |line: usize| taps[line].0 * out[line][frame + 1] + taps[line].1 * out[line][frame];
        [a[frame], b[frame], c[frame], d[frame]] = mix([left(0), left(1), left(2), left(3)]);
    }
}

/// The last two stages, between lines that are four apart; and what goes into the lines.
#[inline(always)]
fn mix_and_add(four: [&Run; 4], side: &Run, back: [&mut [f32]; 4]) {
    let [a, b, c, d] = back;
    let (a, b) = (&mut a[..HALF], &mut b[..HALF]);
    let (c, d) = (&mut c[..HALF], &mut d[..HALF]);
    for frame in 0..HALF {
        let mixed = mix([four[0][frame], four[1][frame], four[2][frame], four[3][frame]]);
        let side = side[frame];
        (a[frame], b[frame]) = (mixed[0] + side, mixed[1] + side);
        (c[frame], d[frame]) = (mixed[2] + side, mixed[3] + side);
    }
}

#[inline(always)]
fn mix([a, b, c, d]: [f32; 4]) -> [f32; 4] {
    let (one, one_apart) = (a + b, a - b);
    let (two, two_apart) = (c + d, c - d);
    [one + two, one_apart + two_apart, one - two, one_apart - two_apart]
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
