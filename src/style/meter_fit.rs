//! A rhythm written for one meter, played in another.
//!
//! A style need not say how it goes in every meter. Where it says nothing for the meter of a
//! chart, its bars of another meter are cut and joined at the counts:
//!
//! | played | made of |
//! |---|---|
//! | 4/4, 2/2 | each other's bars as they stand; the first two counts, twice |
//! | 3/4 | the first three counts |
//! | 5/4 | the first three counts, then the first two again |
//! | 2/4 | the first two counts |
//! | 6/8 | the first two counts, each a dotted quarter; `&` becomes its third eighth, `e` its second |
//!
//! Bars of 6/8 played in another meter go the other way: each dotted quarter becomes a count, and
//! a stroke on its second eighth is left out. All of it is our choice, after how a triplet beat
//! and a swung one are related; there is no published source.

use crate::units::{Meter, Ticks};

/// Which of the meters that a style has bars for serves best to play in `wanted`.
#[must_use]
pub(super) fn best_meter(available: &[Meter], wanted: Meter) -> Option<Meter> {
    use Meter::{FiveFour, FourFour, SixEight, ThreeFour, TwoFour, TwoTwo};
    let order = match wanted {
        FourFour => [FourFour, TwoTwo, FiveFour, ThreeFour, TwoFour, SixEight],
        TwoTwo => [TwoTwo, FourFour, FiveFour, ThreeFour, TwoFour, SixEight],
        ThreeFour => [ThreeFour, FourFour, TwoTwo, FiveFour, TwoFour, SixEight],
        FiveFour => [FiveFour, FourFour, TwoTwo, ThreeFour, TwoFour, SixEight],
        SixEight => [SixEight, FourFour, TwoTwo, ThreeFour, TwoFour, FiveFour],
        TwoFour => [TwoFour, FourFour, TwoTwo, ThreeFour, FiveFour, SixEight],
    };
    order.into_iter().find(|meter| available.contains(meter))
}

/// How a bar of one meter is made of a bar of another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct MeterFit {
    written: Meter,
    played: Meter,
}

impl MeterFit {
    /// From the meter that a rhythm is written in to the one that it is played in.
    #[must_use]
    pub(super) const fn new(written: Meter, played: Meter) -> MeterFit {
        MeterFit { written, played }
    }

    /// Where a stroke falls: no time, one or two, each within the bar. `at` is the time from the
    /// start of the bar as written.
    #[must_use]
    pub(super) fn places(self, at: Ticks) -> Vec<Ticks> {
        if self.is_the_same() {
            return vec![at];
        }
        let written_beat = beat(self.written);
        let Some(inside) = self.inside_beat(Ticks(at.0.rem_euclid(written_beat.0))) else {
            return Vec::new();
        };
        let source = at.0.div_euclid(written_beat.0);
        let beats = (0..).zip(self.source_beats());
        beats
            .filter(|(_, from)| **from == source)
            .map(|(index, _)| beat(self.played) * index + inside)
            .collect()
    }

    /// How long a stroke lasts.
    #[must_use]
    pub(super) fn length(self, written: Ticks) -> Ticks {
        Ticks(written.0 * beat(self.played).0 / beat(self.written).0)
    }

    /// Same counts, same bar.
    fn is_the_same(self) -> bool {
        self.written.count() == self.played.count() && self.written.counts() == self.played.counts()
    }

    /// For each beat played, the beat of the written bar that it repeats.
    fn source_beats(self) -> &'static [i64] {
        match (self.played, self.written) {
            (Meter::FourFour | Meter::TwoTwo, Meter::FiveFour) => &[0, 1, 2, 3],
            (Meter::FourFour | Meter::TwoTwo, _) => &[0, 1, 0, 1],
            (Meter::ThreeFour, Meter::SixEight | Meter::TwoFour) => &[0, 1, 1],
            (Meter::ThreeFour, _) => &[0, 1, 2],
            (Meter::FiveFour, Meter::SixEight | Meter::TwoFour) => &[0, 1, 1, 0, 1],
            (Meter::FiveFour, _) => &[0, 1, 2, 0, 1],
            (Meter::SixEight | Meter::TwoFour, _) => &[0, 1],
        }
    }

    /// The same place inside a beat that is divided otherwise.
    fn inside_beat(self, inside: Ticks) -> Option<Ticks> {
        let even = self.written != Meter::SixEight;
        match (even, self.played == Meter::SixEight) {
            (true, true) => Some(match inside.0 {
                ..240 => Ticks::ZERO,
                240..480 => Ticks(480),
                480..720 => Ticks(960),
                _ => Ticks(1200),
            }),
            (false, false) => match inside.0 {
                ..480 => Some(Ticks::ZERO),
                960.. => Some(Ticks::EIGHTH),
                _ => None,
            },
            _ => Some(inside),
        }
    }
}

/// What a beat is when rhythms are cut: a quarter, in 6/8 a dotted one.
const fn beat(meter: Meter) -> Ticks {
    match meter {
        Meter::SixEight => meter.beat(),
        _ => meter.count(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moved(written: Meter, played: Meter, at: &[i64]) -> Vec<i64> {
        let fit = MeterFit::new(written, played);
        let mut places: Vec<i64> =
            at.iter().flat_map(|at| fit.places(Ticks(*at))).map(|place| place.0).collect();
        places.sort_unstable();
        places
    }

    /// Quarters 1, 2, the and of 2, 3, 4 and the and of 4.
    const RIDE: [i64; 6] = [0, 960, 1440, 1920, 2880, 3360];

    #[test]
    fn a_ride_pattern_goes_in_every_meter() {
        let from = Meter::FourFour;
        assert_eq!(moved(from, Meter::TwoTwo, &RIDE), RIDE);
        assert_eq!(moved(from, Meter::ThreeFour, &RIDE), [0, 960, 1440, 1920]);
        assert_eq!(moved(from, Meter::FiveFour, &RIDE), [0, 960, 1440, 1920, 2880, 3840, 4320]);
        assert_eq!(moved(from, Meter::SixEight, &RIDE), [0, 1440, 2400]);
        assert_eq!(moved(from, Meter::TwoFour, &RIDE), [0, 960, 1440]);
    }

    #[test]
    fn triplet_beats_become_counts() {
        let first_and_last_of_each = [0, 960, 1440, 2400];
        let four = moved(Meter::SixEight, Meter::FourFour, &first_and_last_of_each);
        assert_eq!(four, [0, 480, 960, 1440, 1920, 2400, 2880, 3360]);
        assert_eq!(moved(Meter::SixEight, Meter::ThreeFour, &[480]), [0_i64; 0]);
    }

    #[test]
    fn every_place_lies_inside_the_bar() {
        for written in Meter::ALL {
            for played in Meter::ALL {
                for at in (0..written.bar().0).step_by(240) {
                    for place in MeterFit::new(written, played).places(Ticks(at)) {
                        assert!((0..played.bar().0).contains(&place.0), "{written} {played} {at}");
                    }
                }
                assert!(best_meter(&[written], played).is_some());
            }
        }
    }
}
