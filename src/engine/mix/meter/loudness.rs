//! Loudness as ITU-R BS.1770 defines it.

use super::hops::{GROUP, HopGroup};
use crate::units::SampleRate;

/// A loudness in LUFS; minus infinity where nothing passed the gates.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Loudness(pub f64);

impl Loudness {
    /// No programme at all.
    pub const SILENCE: Loudness = Loudness(f64::NEG_INFINITY);

    /// The loudness of a mean square of the K-weighted signal (BS.1770 equation 2; both front
    /// channels weigh 1).
    fn of_mean_square(mean_square: f64) -> Loudness {
        Loudness(-0.691 + 10.0 * mean_square.log10())
    }

    /// Whether anything passed the gates.
    #[must_use]
    pub fn is_silent(self) -> bool {
        !self.0.is_finite()
    }

    /// The value in LUFS; none for silence.
    #[must_use]
    pub fn finite(self) -> Option<f64> {
        (!self.is_silent()).then_some(self.0)
    }
}

/// Blocks of 400 ms, overlapping by 75 %: a new one begins every hop of 100 ms.
const HOPS_A_BLOCK: usize = 4;
/// The absolute gate of BS.1770, in LUFS.
const ABSOLUTE_GATE: f64 = -70.0;
/// The relative gate of BS.1770, in LU under the loudness of what passed the absolute one.
const RELATIVE_GATE: f64 = -10.0;

/// Measures a stereo signal as it goes by: integrated and momentary loudness.
///
/// It keeps one number for each 100 ms (an hour is 288 KB), since the relative gate can only be
/// known at the end.
#[derive(Debug, Clone)]
pub struct LoudnessMeter {
    /// The mean square of each hop of the groups that are full.
    hops: Vec<f64>,
    group: HopGroup,
    /// What the hops are where the signal is as it was when it was measured before.
    known: Vec<f64>,
}

impl LoudnessMeter {
    /// A meter that has heard nothing yet.
    #[must_use]
    pub fn new(rate: SampleRate) -> LoudnessMeter {
        LoudnessMeter { hops: Vec::new(), group: HopGroup::new(rate), known: Vec::new() }
    }

    /// A meter that has heard nothing yet, and has the mean squares of a signal's hops.
    pub(super) fn knowing(rate: SampleRate, known: Vec<f64>) -> LoudnessMeter {
        LoudnessMeter { known, ..LoudnessMeter::new(rate) }
    }

    /// Hears the next frames; how the signal is cut into blocks changes nothing.
    pub fn add(&mut self, left: &[f32], right: &[f32]) {
        self.hear(left, right, false);
    }

    /// Hears the next frames, which may be `known`: those of the signal whose hops it has.
    pub(super) fn hear(&mut self, mut left: &[f32], mut right: &[f32], known: bool) {
        while !left.is_empty() && !right.is_empty() {
            let taken = self.group.fill(left, right, known);
            if self.group.is_full() {
                let (from, to) = (self.hops.len(), self.hops.len() + GROUP);
                match self.known.get(from..to).filter(|_| self.group.is_known()) {
                    Some(known) => self.hops.extend_from_slice(known),
                    None => self.hops.extend(self.group.energies()),
                }
                self.group.begin_next();
            }
            (left, right) = (&left[taken..], &right[taken..]);
        }
    }

    /// Another meter that has heard the same so far, but will keep only the hops from a certain
    /// one on, which comes first.
    #[must_use]
    pub(super) fn fork(&self) -> (usize, LoudnessMeter) {
        let fork = LoudnessMeter { hops: Vec::new(), group: self.group.clone(), known: Vec::new() };
        (self.hops.len(), fork)
    }

    /// The mean square of each whole hop.
    pub(in crate::mix) fn hops(&self) -> Vec<f64> {
        self.hops.iter().copied().chain(self.group.energies()).collect()
    }

    /// Integrated loudness of all that was heard. Silence, and anything shorter than 400 ms, is
    /// [`Loudness::SILENCE`].
    #[must_use]
    pub fn integrated(&self) -> Loudness {
        integrated(&self.hops())
    }

    /// Momentary loudness: of the last 400 ms that ended on a hop.
    #[must_use]
    pub fn momentary(&self) -> Loudness {
        blocks(&self.hops()).last().map_or(Loudness::SILENCE, Loudness::of_mean_square)
    }

    /// The loudest 400 ms so far.
    #[must_use]
    pub fn loudest_moment(&self) -> Loudness {
        blocks(&self.hops())
            .map(Loudness::of_mean_square)
            .fold(Loudness::SILENCE, |most, moment| if moment > most { moment } else { most })
    }
}

/// Integrated loudness of hops, by their mean squares.
pub(super) fn integrated(hops: &[f64]) -> Loudness {
    let loud_enough = |gate: f64| move |block: &f64| Loudness::of_mean_square(*block).0 > gate;
    let Some(ungated) = mean(blocks(hops).filter(loud_enough(ABSOLUTE_GATE))) else {
        return Loudness::SILENCE;
    };
    let gate = ABSOLUTE_GATE.max(Loudness::of_mean_square(ungated).0 + RELATIVE_GATE);
    mean(blocks(hops).filter(loud_enough(gate))).map_or(Loudness::SILENCE, Loudness::of_mean_square)
}

fn blocks(hops: &[f64]) -> impl DoubleEndedIterator<Item = f64> + '_ {
    hops.windows(HOPS_A_BLOCK).map(|hops| hops.iter().sum::<f64>() / 4.0)
}

#[expect(clippy::cast_precision_loss, reason = "a century has fewer than 2^53 blocks")]
fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0_u64), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / count as f64)
}

#[cfg(test)]
#[expect(clippy::cast_possible_truncation, reason = "small numbers")]
mod tests {
    use super::*;
    use crate::random::Stream;

    /// Louder by 6 dB than when it was measured, and in places by less; silent for a while, and
    /// longer than when it was measured.
    #[test]
    fn what_was_measured_before_is_as_if_it_were_measured_again() {
        let mut stream = Stream::named(3, &[&"loudness"]);
        let mut noise = |at: usize| match at {
            150_000..300_000 => 0.0,
            _ => (0.2 * stream.unit() - 0.1) as f32,
        };
        let noise: Vec<f32> = (0..600_000).map(&mut noise).collect();
        for changed in [40..45, 0..1, 8..9, 12..13, 36..37, 44..70, 70..75, 100..130] {
            let mut before = LoudnessMeter::new(SampleRate::Hz44100);
            before.add(&noise[..560_000], &noise[..560_000]);
            let louder = before.hops().iter().map(|hop| 4.0 * hop).collect();
            let mut again = LoudnessMeter::new(SampleRate::Hz44100);
            let mut knowing = LoudnessMeter::knowing(SampleRate::Hz44100, louder);
            for (number, block) in noise.chunks(4_096).enumerate() {
                let known = !changed.contains(&number) && number % 50 != 49;
                let gain = if known { 2.0 } else { 1.0 };
                let now: Vec<f32> = block.iter().map(|sample| gain * sample).collect();
                again.add(&now, &now);
                knowing.hear(&now, &now, known);
            }
            assert_eq!(again.hops().len(), knowing.hops().len());
            for (hop, (again, known)) in again.hops().iter().zip(knowing.hops()).enumerate() {
                assert!(
                    (again - known).abs() <= 1e-6 * again,
                    "hop {hop}: {again} against {known}"
                );
            }
        }
    }

    /// At any time the two may part, also where nothing of the programme has been weighed.
    #[test]
    fn a_fork_of_what_was_measured_before_is_as_if_it_had_heard_all() {
        let mut stream = Stream::named(4, &[&"loudness"]);
        let noise: Vec<f32> = (0..200_000).map(|_| (stream.unit() - 0.5) as f32).collect();
        let mut again = LoudnessMeter::new(SampleRate::Hz44100);
        again.add(&noise, &noise);
        for parting in [3_000, 30_000, 37_000, 42_000, 100_000] {
            let mut known = LoudnessMeter::knowing(SampleRate::Hz44100, again.hops());
            let (before, after) = noise.split_at(parting);
            for block in before.chunks(1_000) {
                known.hear(block, block, true);
            }
            let (from, mut fork) = known.fork();
            fork.add(after, after);
            assert_eq!(again.hops().len(), from + fork.hops().len());
            for (again, fork) in again.hops()[from..].iter().zip(fork.hops()) {
                assert!((again / fork - 1.0).abs() < 1e-6, "{again} against {fork}");
            }
        }
    }
}
