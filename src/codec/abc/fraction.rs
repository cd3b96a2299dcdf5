//! Exact lengths.

use std::ops::{Add, Mul, Sub};

use crate::units::Ticks;

/// Ticks in a whole note.
const WHOLE: i64 = 4 * Ticks::QUARTER.0;

/// A span of time as a fraction of a whole note, in lowest terms, below it a positive number.
///
/// Sums and products that no music reaches are cut to the nearest that can be held, so that
/// nonsense cannot stop the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fraction {
    above: i64,
    below: i64,
}

impl Fraction {
    pub(super) const ZERO: Fraction = Fraction { above: 0, below: 1 };
    pub(super) const ONE: Fraction = Fraction { above: 1, below: 1 };

    /// A fraction from its two numbers; a zero below counts as one.
    pub(super) fn new(above: i64, below: i64) -> Fraction {
        Fraction::reduced(i128::from(above), i128::from(below))
    }

    fn reduced(above: i128, below: i128) -> Fraction {
        let sign = if below < 0 { -1 } else { 1 };
        let below = below.abs().max(1);
        let divisor = common_divisor(above.abs(), below).max(1);
        let mut above = sign * above / divisor;
        let mut below = below / divisor;
        loop {
            if let (Ok(above), Ok(below)) = (i64::try_from(above), i64::try_from(below)) {
                return Fraction { above, below };
            }
            above /= 2;
            below = (below / 2).max(1);
        }
    }

    /// A number of ticks.
    pub(super) fn of_ticks(ticks: Ticks) -> Fraction {
        Fraction::new(ticks.0, WHOLE)
    }

    /// The nearest whole tick.
    pub(super) fn ticks(self) -> Ticks {
        let below = i128::from(self.below);
        let doubled = 2 * i128::from(self.above) * i128::from(WHOLE) + below;
        Ticks(i64::try_from(doubled.div_euclid(2 * below)).unwrap_or(i64::MAX))
    }

    /// One divided by it; of nothing, one.
    pub(super) fn inverse(self) -> Fraction {
        Fraction::new(self.below, if self.above == 0 { self.below } else { self.above })
    }

    pub(super) fn is_zero(self) -> bool {
        self.above == 0
    }

    pub(super) fn is_less(self, other: Fraction) -> bool {
        (self - other).above < 0
    }

    /// The length in quarter notes, in words: `3`, `1/2`, `4 1/3`.
    pub(super) fn in_quarters(self) -> String {
        let Fraction { above, below } = self * Fraction::new(4, 1);
        let (whole, rest) = (above / below, above % below);
        match (whole, rest) {
            (_, 0) => whole.to_string(),
            (0, _) => format!("{rest}/{below}"),
            _ => format!("{whole} {}/{below}", rest.abs()),
        }
    }
}

fn common_divisor(mut one: i128, mut other: i128) -> i128 {
    while other != 0 {
        (one, other) = (other, one % other);
    }
    one
}

impl Add for Fraction {
    type Output = Fraction;
    fn add(self, other: Fraction) -> Fraction {
        let above = i128::from(self.above) * i128::from(other.below)
            + i128::from(other.above) * i128::from(self.below);
        Fraction::reduced(above, i128::from(self.below) * i128::from(other.below))
    }
}

impl Sub for Fraction {
    type Output = Fraction;
    fn sub(self, other: Fraction) -> Fraction {
        self + other * Fraction::new(-1, 1)
    }
}

impl Mul for Fraction {
    type Output = Fraction;
    fn mul(self, other: Fraction) -> Fraction {
        Fraction::reduced(
            i128::from(self.above) * i128::from(other.above),
            i128::from(self.below) * i128::from(other.below),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_add_up_exactly_and_round_to_the_nearest_tick() {
        let triplet = Fraction::new(1, 12);
        assert_eq!(triplet + triplet + triplet, Fraction::new(1, 4));
        assert_eq!(triplet.ticks(), Ticks(320));
        assert_eq!(Fraction::new(1, 28).ticks(), Ticks(137)); // 137.14
        assert_eq!(Fraction::new(-3, 8).ticks(), Ticks(-1440));
        assert_eq!(Fraction::new(13, 12).in_quarters(), "4 1/3");
        assert_eq!(Fraction::new(1, 8).in_quarters(), "1/2");
    }

    #[test]
    fn sizes_beyond_reason_do_no_harm() {
        let mut huge = Fraction::new(i64::MAX, 3);
        for _ in 0..9 {
            huge = huge * huge + Fraction::new(1, i64::MAX);
        }
        assert!(huge.ticks() > Ticks::ZERO);
        assert_eq!(Fraction::new(1, 0), Fraction::ONE);
    }
}
