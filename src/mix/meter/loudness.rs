//! Loudness as ITU-R BS.1770 defines it.

use super::k_filter::KFilter;
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
    filter: KFilter,
    frames_a_hop: usize,
    frames_in_hop: usize,
    /// The mean square of each whole hop.
    hops: Vec<f64>,
}

impl LoudnessMeter {
    /// A meter that has heard nothing yet.
    #[must_use]
    pub fn new(rate: SampleRate) -> LoudnessMeter {
        let frames_a_hop = match rate {
            SampleRate::Hz44100 => 4_410,
            SampleRate::Hz48000 => 4_800,
        };
        LoudnessMeter {
            filter: KFilter::new(rate),
            frames_a_hop,
            frames_in_hop: 0,
            hops: Vec::new(),
        }
    }

    /// Hears the next frames; how the signal is cut into blocks changes nothing.
    #[expect(clippy::cast_precision_loss, reason = "a hop is some thousand frames")]
    pub fn add(&mut self, mut left: &[f32], mut right: &[f32]) {
        while !left.is_empty() && !right.is_empty() {
            let take = (self.frames_a_hop - self.frames_in_hop).min(left.len()).min(right.len());
            let (now_left, later_left) = left.split_at(take);
            let (now_right, later_right) = right.split_at(take);
            self.filter.add(now_left, now_right);
            self.frames_in_hop += take;
            if self.frames_in_hop == self.frames_a_hop {
                self.hops.push(self.filter.take_energy() / self.frames_a_hop as f64);
                self.frames_in_hop = 0;
            }
            (left, right) = (later_left, later_right);
        }
    }

    /// Another meter that has heard the same so far, but will keep only what it hears from this
    /// hop on.
    #[must_use]
    pub(super) fn fork(&self) -> LoudnessMeter {
        LoudnessMeter { hops: Vec::new(), filter: self.filter.clone(), ..*self }
    }

    /// How many whole hops were heard.
    pub(super) fn hops(&self) -> &[f64] {
        &self.hops
    }

    /// Takes these hops for what was heard from a hop on.
    pub(super) fn overwrite(&mut self, from: usize, hops: &[f64]) {
        for (kept, hop) in self.hops.iter_mut().skip(from).zip(hops) {
            *kept = *hop;
        }
    }

    /// Integrated loudness of all that was heard. Silence, and anything shorter than 400 ms, is
    /// [`Loudness::SILENCE`].
    #[must_use]
    pub fn integrated(&self) -> Loudness {
        let loud_enough = |gate: f64| move |block: &f64| Loudness::of_mean_square(*block).0 > gate;
        let Some(ungated) = mean(self.blocks().filter(loud_enough(ABSOLUTE_GATE))) else {
            return Loudness::SILENCE;
        };
        let gate = ABSOLUTE_GATE.max(Loudness::of_mean_square(ungated).0 + RELATIVE_GATE);
        mean(self.blocks().filter(loud_enough(gate)))
            .map_or(Loudness::SILENCE, Loudness::of_mean_square)
    }

    /// Momentary loudness: of the last 400 ms that ended on a hop.
    #[must_use]
    pub fn momentary(&self) -> Loudness {
        self.blocks().last().map_or(Loudness::SILENCE, Loudness::of_mean_square)
    }

    /// The loudest 400 ms so far.
    #[must_use]
    pub fn loudest_moment(&self) -> Loudness {
        self.blocks()
            .map(Loudness::of_mean_square)
            .fold(Loudness::SILENCE, |most, moment| if moment > most { moment } else { most })
    }

    fn blocks(&self) -> impl Iterator<Item = f64> + '_ {
        self.hops.windows(HOPS_A_BLOCK).map(|hops| hops.iter().sum::<f64>() / 4.0)
    }
}

#[expect(clippy::cast_precision_loss, reason = "a century has fewer than 2^53 blocks")]
fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0_u64), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / count as f64)
}
