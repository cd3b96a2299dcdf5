//! Musical time.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// Musical time, or a span of it, in ticks: 960 to the quarter note.
///
/// 960 divides by 2, 3, 4, 5, 6 and 8, so halves, triplets, quintuplets and thirty-seconds are
/// whole numbers. Notated time (the grid) and performed time (after feel) share the unit; which
/// one a value is follows from the type that holds it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Ticks(pub i64);

impl Ticks {
    /// The start of everything.
    pub const ZERO: Ticks = Ticks(0);
    /// One quarter note; also the division written into MIDI files.
    pub const QUARTER: Ticks = Ticks(960);
    /// One straight eighth note.
    pub const EIGHTH: Ticks = Ticks(480);

    /// This many ticks as a fraction of a quarter note.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a century of music is below 2^53 ticks")]
    pub fn quarters(self) -> f64 {
        self.0 as f64 / Self::QUARTER.0 as f64
    }
}

impl Add for Ticks {
    type Output = Ticks;
    fn add(self, other: Ticks) -> Ticks {
        Ticks(self.0 + other.0)
    }
}

impl AddAssign for Ticks {
    fn add_assign(&mut self, other: Ticks) {
        self.0 += other.0;
    }
}

impl Sub for Ticks {
    type Output = Ticks;
    fn sub(self, other: Ticks) -> Ticks {
        Ticks(self.0 - other.0)
    }
}

impl Neg for Ticks {
    type Output = Ticks;
    fn neg(self) -> Ticks {
        Ticks(-self.0)
    }
}

impl Mul<i64> for Ticks {
    type Output = Ticks;
    fn mul(self, times: i64) -> Ticks {
        Ticks(self.0 * times)
    }
}

impl std::iter::Sum for Ticks {
    fn sum<I: Iterator<Item = Ticks>>(spans: I) -> Ticks {
        spans.fold(Ticks::ZERO, Add::add)
    }
}
