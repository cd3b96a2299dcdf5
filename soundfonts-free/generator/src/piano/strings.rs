//! All partials of a note as decaying oscillations of the force at the bridge.

use super::design::Key;
use super::soundboard::Soundboard;
use super::unison;
use crate::dsp::RATE;
use crate::dsp::complex::Complex;
use crate::dsp::maths::{self, PI, TURN, cents_ratio, exp, ln, pow, sin};
use crate::dsp::noise::Noise;

/// Highest partial that is computed, in hertz.
const HIGHEST_PARTIAL: f64 = 14_000.0;
/// Share of a partial's loss that the strings have without the bridge: the
/// slow stage of the decay over the fast one. Fitted; Weinreich 1977 shows 0.2
/// to 0.4.
const OWN_LOSS_SHARE: f64 = 0.34;
/// How much of the bridge's unevenness reaches the decay. Fitted.
const UNEVEN_DECAY: f64 = 0.5;
/// Reactive over resistive part of the coupling, standard deviation. From
/// memory.
const REACTIVE_COUPLING: f64 = 0.35;
/// Mistuning of the strings of a unison, in cents, standard deviation: a good
/// tuner's (Weinreich 1977 speaks of 0.3 Hz and less at C4).
const MISTUNING: f64 = 0.5;
/// Further mistuning of each partial, in cents, standard deviation: strings are
/// not perfectly even.
const PARTIAL_MISTUNING: f64 = 0.2;
/// Difference of inharmonicity between the strings of a unison, share.
const INHARMONICITY_SPREAD: f64 = 0.03;
/// Unevenness of the hammer over the strings of a unison, share, for one or
/// three strings and for two.
const UNEVEN_BLOW: (f64, f64) = (0.18, 0.26);
/// Motion parallel to the soundboard, which hardly moves it: amplitude share.
const PARALLEL_MOTION: f64 = 0.10;
/// How far partials from the third up are voiced towards the board's smooth response, 0 to 1. The two
/// lowest carry the note and are voiced all the way: a board with a hole there would be rejected.
const VOICING: f64 = 0.6;

/// From this key up the strings have tuned ends beyond the bridge (common
/// practice since the 1870s).
const FIRST_DUPLEX: u8 = 72;
/// Pitch of those ends over the note's and their level against its partial. By
/// ear.
const DUPLEX: [(f64, f64); 3] = [(2.0, 0.03), (3.0, 0.04), (4.0, 0.025)];

/// One decaying oscillation of the force at the bridge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oscillation {
    /// Decay (negative real part, nepers per second) and angular frequency
    /// (radians per second).
    pub pole: Complex,
    /// Force at the bridge in newtons after a blow of one newton-second.
    pub residue: Complex,
    /// Which partial it belongs to, counted from 0.
    pub partial: usize,
}

/// The strings of one key on one soundboard.
#[derive(Clone, Debug)]
pub struct Strings {
    /// All oscillations.
    pub oscillations: Vec<Oscillation>,
    /// Frequency of each partial in hertz.
    pub partials: Vec<f64>,
}

impl Strings {
    /// The strings of `key`; `seed` draws their small differences.
    #[must_use]
    pub fn new(key: &Key, board: &Soundboard, seed: u64) -> Self {
        let mut lots = Noise::new(seed * 1000 + u64::from(key.key));
        let partials: Vec<f64> = (1..400)
            .map(|n| key.partial(f64::from(n)))
            .take_while(|&f| f < HIGHEST_PARTIAL)
            .collect();
        let spread = if key.strings == 2 { UNEVEN_BLOW.1 } else { UNEVEN_BLOW.0 };
        let blows = around_mean(key.strings, 1.0, spread, &mut lots);
        let mistuning = around_mean(key.strings, 0.0, MISTUNING, &mut lots);
        let stiffness: Vec<f64> = (0..key.strings)
            .map(|_| key.inharmonicity * INHARMONICITY_SPREAD * lots.gaussian())
            .collect();
        let mut oscillations = Vec::with_capacity(4 * partials.len());
        for (index, &frequency) in partials.iter().enumerate() {
            let n = index as f64 + 1.0;
            let w = TURN * frequency;
            let loss = key.loss + key.friction * w * w;
            let own = loss * OWN_LOSS_SHARE;
            let to_bridge = loss * (1.0 - OWN_LOSS_SHARE) * scatter(board, frequency, index);
            let per_string = to_bridge / key.strings as f64;
            // The reaction of the bridge also shifts the pitch. A tuner hears
            // and corrects that on the lowest partials.
            let reactive = if index < 2 { 0.0 } else { REACTIVE_COUPLING * lots.gaussian() };
            let offsets: Vec<Complex> = (0..key.strings)
                .map(|string| {
                    let cents = if key.strings == 1 {
                        0.0
                    } else {
                        let stiffer = 600.0 / ln(2.0) * stiffness[string] * n * n;
                        mistuning[string] + PARTIAL_MISTUNING * lots.gaussian() + stiffer
                    };
                    Complex::new(-own, w * (cents_ratio(cents) - 1.0))
                })
                .collect();
            let force = bridge_force(key, n, w) * voiced(board, frequency, index);
            let coupling = Complex::new(per_string, per_string * reactive);
            for motion in unison::motions(&offsets, coupling, &blows) {
                oscillations.push(Oscillation {
                    pole: motion.pole + Complex::new(0.0, w),
                    residue: motion.residue * force,
                    partial: index,
                });
            }
            let parallel = PARALLEL_MOTION * lots.gaussian().abs() * key.strings as f64;
            oscillations.push(Oscillation {
                pole: Complex::new(-0.9 * own, w * cents_ratio(0.25 * lots.gaussian())),
                residue: Complex::polar(force * parallel, TURN * lots.uniform()),
                partial: index,
            });
        }
        let mut strings = Self { oscillations, partials };
        strings.add_duplex(key, &mut lots);
        strings
    }

    /// Adds the short ends of treble strings beyond the bridge, which answer
    /// near some of the partials and, undamped, ring on.
    fn add_duplex(&mut self, key: &Key, lots: &mut Noise) {
        if key.key < FIRST_DUPLEX {
            return;
        }
        for (ratio, level) in DUPLEX {
            let frequency = key.frequency * ratio * cents_ratio(20.0 * lots.gaussian());
            if frequency > HIGHEST_PARTIAL {
                continue;
            }
            let w = TURN * frequency;
            let force = level * key.strings as f64 * bridge_force(key, 1.0, w);
            self.oscillations.push(Oscillation {
                pole: Complex::new(-OWN_LOSS_SHARE * (key.loss + key.friction * w * w), w),
                residue: Complex::polar(force, TURN * lots.uniform()),
                partial: self.partials.len(),
            });
            self.partials.push(frequency);
        }
    }

    /// Force at the bridge over `length` samples under a blow (newtons, per
    /// string, at [`RATE`]), each partial weighted by `weights`.
    #[must_use]
    pub fn sound(&self, blow: &[f64], weights: &[f64], length: usize) -> Vec<f64> {
        let mut out = vec![0.0; length];
        for group in self.oscillations.chunks(LANES) {
            Lanes::new(group, weights).run(blow, &mut out);
        }
        out
    }

    /// State of every oscillation `time` seconds after the start: the force is
    /// the sum of the real parts.
    #[must_use]
    pub fn states(&self, blow: &[f64], weights: &[f64], time: f64) -> Vec<Complex> {
        self.oscillations
            .iter()
            .map(|oscillation| {
                let gathered = blow.iter().enumerate().fold(Complex::ZERO, |sum, (i, force)| {
                    let elapsed = time - i as f64 / RATE;
                    sum + (oscillation.pole * elapsed).exp() * *force
                });
                gathered * sampled(oscillation, weights)
            })
            .collect()
    }
}

/// Residue for a blow given in samples, with the partial's weight. The factor
/// -i makes a sine of it: the bridge feels nothing until the wave arrives.
fn sampled(oscillation: &Oscillation, weights: &[f64]) -> Complex {
    let weight = weights.get(oscillation.partial).copied().unwrap_or(1.0);
    oscillation.residue * Complex::new(0.0, -weight / RATE)
}

/// Values drawn around a mean that stays exactly.
fn around_mean(count: usize, mean: f64, deviation: f64, lots: &mut Noise) -> Vec<f64> {
    let drawn: Vec<f64> = (0..count).map(|_| deviation * lots.gaussian()).collect();
    let centre = drawn.iter().sum::<f64>() / count as f64;
    drawn.into_iter().map(|x| mean + x - centre).collect()
}

/// Force at the bridge per string and newton-second of blow: the string's slope
/// at its end in this partial, the amplitude that a blow at the strike point
/// gives it.
fn bridge_force(key: &Key, n: f64, angular_frequency: f64) -> f64 {
    let slope = key.tension * n * PI / key.length / angular_frequency;
    let excited = 2.0 / key.string_mass * sin(n * PI * key.strike_point);
    let side = if n % 2.0 < 0.5 { 1.0 } else { -1.0 };
    slope * excited * side / key.strings as f64
}

/// Factor on the decay from the bridge's unevenness; the two lowest partials
/// are kept closer, as a maker would see to.
fn scatter(board: &Soundboard, frequency: f64, index: usize) -> f64 {
    let factor = pow(board.unevenness(frequency).clamp(0.03, 30.0), UNEVEN_DECAY / 1.1);
    if index < 2 { factor.clamp(0.65, 1.45) } else { factor.clamp(0.4, 3.0) }
}

/// Level factor that evens out the board's response to the ten lowest partials.
fn voiced(board: &Soundboard, frequency: f64, index: usize) -> f64 {
    if index < 2 {
        return board.levelling(frequency).clamp(0.2, 5.0);
    }
    let share = (1.0 - index as f64 / 10.0).clamp(0.0, 1.0);
    pow(board.evening(frequency).clamp(0.25, 4.0), VOICING * share)
}

/// Oscillations that are computed side by side.
const LANES: usize = 8;

/// A group of oscillations, laid out for the processor.
struct Lanes {
    turn_re: [f64; LANES],
    turn_im: [f64; LANES],
    drive_re: [f64; LANES],
    drive_im: [f64; LANES],
}

impl Lanes {
    fn new(group: &[Oscillation], weights: &[f64]) -> Self {
        let mut lanes = Self {
            turn_re: [0.0; LANES],
            turn_im: [0.0; LANES],
            drive_re: [0.0; LANES],
            drive_im: [0.0; LANES],
        };
        for (lane, oscillation) in group.iter().enumerate() {
            let turn = Complex::polar(exp(oscillation.pole.re / RATE), oscillation.pole.im / RATE);
            let drive = sampled(oscillation, weights);
            (lanes.turn_re[lane], lanes.turn_im[lane]) = (turn.re, turn.im);
            (lanes.drive_re[lane], lanes.drive_im[lane]) = (drive.re, drive.im);
        }
        lanes
    }

    /// Adds the group's sound to `out`.
    fn run(&self, blow: &[f64], out: &mut [f64]) {
        let (mut re, mut im) = ([0.0; LANES], [0.0; LANES]);
        let forces = blow.iter().copied().chain(std::iter::repeat(0.0));
        for (x, force) in out.iter_mut().zip(forces) {
            let mut sum = 0.0;
            for lane in 0..LANES {
                let turned = re[lane] * self.turn_re[lane] - im[lane] * self.turn_im[lane];
                im[lane] = re[lane] * self.turn_im[lane]
                    + im[lane] * self.turn_re[lane]
                    + self.drive_im[lane] * force;
                re[lane] = turned + self.drive_re[lane] * force;
                sum += re[lane];
            }
            *x += sum;
        }
    }
}

/// Mean decay of a set of states in decibels per second, each weighted by its
/// power.
#[must_use]
pub fn mean_decay(strings: &Strings, states: &[Complex]) -> f64 {
    let (mut weighted, mut total) = (0.0, 0.0);
    for (oscillation, state) in strings.oscillations.iter().zip(states) {
        weighted += state.power() * -oscillation.pole.re;
        total += state.power();
    }
    maths::decibels(exp(1.0)) * weighted / total.max(1e-300)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn states_continue_the_sound() {
        let board = Soundboard::new(11);
        let key = Key::new(60);
        let strings = Strings::new(&key, &board, 1);
        let blow = super::super::hammer::blow(&key, 80.0);
        let sound = strings.sound(&blow, &[], 4000);
        let at = 3500;
        let force: f64 = strings.states(&blow, &[], at as f64 / RATE).iter().map(|z| z.re).sum();
        assert!(
            (force - sound[at]).abs() < 1e-6 * sound.iter().fold(0.0_f64, |m, x| m.max(x.abs()))
        );
    }
}
