//! Level.

use std::ops::{Add, Neg, Sub};

/// A level or a gain in decibels (20 log10 of an amplitude ratio).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Decibels(pub f64);

impl Decibels {
    /// The factor for amplitudes.
    #[must_use]
    pub fn gain(self) -> f64 {
        10_f64.powf(self.0 / 20.0)
    }

    /// The level of an amplitude, full scale being 1. Silence is minus infinity.
    #[must_use]
    pub fn of(amplitude: f64) -> Decibels {
        Decibels(20.0 * amplitude.abs().log10())
    }
}

impl Add for Decibels {
    type Output = Decibels;
    fn add(self, other: Decibels) -> Decibels {
        Decibels(self.0 + other.0)
    }
}

impl Sub for Decibels {
    type Output = Decibels;
    fn sub(self, other: Decibels) -> Decibels {
        Decibels(self.0 - other.0)
    }
}

impl Neg for Decibels {
    type Output = Decibels;
    fn neg(self) -> Decibels {
        Decibels(-self.0)
    }
}
