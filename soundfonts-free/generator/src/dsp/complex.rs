//! Complex numbers. Small enough to write down: the usual crate takes its
//! functions from the standard library when any other crate asks it to, which
//! would make the bytes depend on the platform.

use super::maths;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// A complex number.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Complex {
    /// Real part.
    pub re: f64,
    /// Imaginary part.
    pub im: f64,
}

impl Complex {
    /// Zero.
    pub const ZERO: Self = Self { re: 0.0, im: 0.0 };
    /// One.
    pub const ONE: Self = Self { re: 1.0, im: 0.0 };

    /// From real and imaginary part.
    #[must_use]
    pub const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// From magnitude and angle in radians.
    #[must_use]
    pub fn polar(magnitude: f64, angle: f64) -> Self {
        Self::new(magnitude * maths::cos(angle), magnitude * maths::sin(angle))
    }

    /// e to this power.
    #[must_use]
    pub fn exp(self) -> Self {
        Self::polar(maths::exp(self.re), self.im)
    }

    /// Distance from zero.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        self.power().sqrt()
    }

    /// Square of the distance from zero.
    #[must_use]
    pub fn power(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    /// Angle in radians, from -π to π.
    #[must_use]
    pub fn angle(self) -> f64 {
        maths::atan2(self.im, self.re)
    }

    /// The mirror image across the real axis.
    #[must_use]
    pub fn conjugate(self) -> Self {
        Self::new(self.re, -self.im)
    }

    /// Principal square root.
    #[must_use]
    pub fn sqrt(self) -> Self {
        Self::polar(self.magnitude().sqrt(), 0.5 * self.angle())
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl AddAssign for Complex {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)
    }
}

impl Mul<f64> for Complex {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        self * other.conjugate() * (1.0 / other.power())
    }
}

impl Neg for Complex {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}
