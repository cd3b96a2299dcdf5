//! The true peak of what is given out, most of which the limiter has scanned already.

use super::limiter::{DELAY, Scanned};
use super::meter::TruePeakMeter;

/// Measures the true peak of a limiter's output. Where that is the delayed input, the limiter has
/// found its peaks; only the rest is scanned.
pub(super) struct GivenPeak {
    meter: TruePeakMeter,
    /// What the limiter found at the end of the block before, where the output follows it so far.
    coming: Option<f32>,
}

impl GivenPeak {
    pub(super) fn new() -> GivenPeak {
        GivenPeak { meter: TruePeakMeter::new(), coming: None }
    }

    /// The highest point so far as an amplitude: what the limiter need not look for below.
    pub(super) fn so_far(&self) -> f32 {
        self.meter.peak()
    }

    /// Hears what is given out of a block, with what the limiter found in it if nothing was changed
    /// or left out. It must have scanned for all above [`GivenPeak::so_far`], and the block must be
    /// longer than [`DELAY`].
    pub(super) fn hear(&mut self, [left, right]: [&[f32]; 2], scanned: Option<Scanned>) {
        let Some(scanned) = scanned else {
            self.meter.add(left, right);
            self.coming = None;
            return;
        };
        // The first frames went into the limiter with the block before.
        match self.coming {
            Some(peak) => self.meter.raise(peak),
            None => self.meter.add(&left[..DELAY], &right[..DELAY]),
        }
        self.meter.raise(scanned.now);
        self.meter.pass_over(left, right);
        self.coming = Some(scanned.later);
    }

    /// The true peak of all that was given out.
    pub(super) fn finish(mut self) -> f32 {
        self.meter.finish()
    }
}

#[cfg(test)]
#[expect(clippy::cast_possible_truncation, reason = "small numbers")]
mod tests {
    use super::super::limiter::Limiter;
    use super::*;
    use crate::random::Stream;
    use crate::units::Decibels;

    /// Bursts at all levels, of which some are limited, some are left out in part and some turned
    /// down. After every block the peak is the one that a meter finds which scans all that is given
    /// out, so it follows both where it rises and where what made it rise was not given out.
    #[test]
    fn the_peak_is_that_of_what_is_given_out() {
        let mut stream = Stream::named(12, &[&"given peak"]);
        let (mut unchanged, mut limited) = (0, 0);
        for take in 0..150 {
            let block = [200, 333, 1_024][take % 3];
            let loudest = 0.2 + 1.2 * stream.unit();
            let mut limiter = Limiter::new(Decibels(-1.1));
            let (mut given, mut all) = (GivenPeak::new(), TruePeakMeter::new());
            for _ in 0..12 {
                let level = loudest * stream.unit();
                let mut noise = || (level * (2.0 * stream.unit() - 1.0)) as f32;
                let mut left: Vec<f32> = (0..block).map(|_| noise()).collect();
                let mut right: Vec<f32> = left.iter().map(|sample| 0.7 * sample).collect();
                let found = limiter.limit_and_tell(&mut left, &mut right, given.so_far());
                let mut range = 0..block;
                let treatment = stream.below(12);
                let is_whole = treatment > 3 && !limiter.has_limited();
                match treatment {
                    0 => left.iter_mut().for_each(|sample| *sample *= 0.5),
                    1 => range = stream.below(block)..block,
                    2 => range = 0..stream.below(block),
                    3 => range = 0..0,
                    _ if is_whole => unchanged += 1,
                    _ => limited += 1,
                }
                let side = [&left[range.clone()], &right[range]];
                all.add(side[0], side[1]);
                given.hear(side, is_whole.then_some(found));
                assert_eq!(given.so_far().to_bits(), all.peak().to_bits(), "take {take}");
            }
            assert_eq!(given.finish().to_bits(), all.finish().to_bits(), "take {take}");
        }
        assert!(unchanged > 300 && limited > 100, "{unchanged} and {limited}");
    }
}
