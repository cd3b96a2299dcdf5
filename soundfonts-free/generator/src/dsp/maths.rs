//! Elementary functions that are the same on every platform, decibels, and
//! tables of values to interpolate in.

/// Ratio of a circle's circumference to its diameter.
pub const PI: f64 = std::f64::consts::PI;
/// One whole turn in radians.
pub const TURN: f64 = std::f64::consts::TAU;

/// Sine of an angle in radians.
#[must_use]
pub fn sin(angle: f64) -> f64 {
    libm::sin(angle)
}

/// Cosine of an angle in radians.
#[must_use]
pub fn cos(angle: f64) -> f64 {
    libm::cos(angle)
}

/// Tangent of an angle in radians.
#[must_use]
pub fn tan(angle: f64) -> f64 {
    libm::tan(angle)
}

/// Angle of the point (`x`, `y`) in radians, from -π to π.
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Exponential function.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Logarithm to base 2.
#[must_use]
pub fn log2(x: f64) -> f64 {
    libm::log2(x)
}

/// `base` to the power `exponent`.
#[must_use]
pub fn pow(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// Amplitude ratio as a level in decibels, floored at -400 dB.
#[must_use]
pub fn decibels(amplitude: f64) -> f64 {
    20.0 * libm::log10(amplitude.abs().max(1e-20))
}

/// Level in decibels as an amplitude ratio.
#[must_use]
pub fn amplitude(decibels: f64) -> f64 {
    libm::pow(10.0, decibels / 20.0)
}

/// Frequency ratio of an interval in cents (a hundredth of an equal-tempered
/// semitone).
#[must_use]
pub fn cents_ratio(cents: f64) -> f64 {
    libm::exp2(cents / 1200.0)
}

/// Interval in cents between two frequencies.
#[must_use]
pub fn cents_between(from: f64, to: f64) -> f64 {
    1200.0 * libm::log2(to / from)
}

/// Equal-tempered frequency of a MIDI key in hertz, A4 (key 69) = 440 Hz
/// (ISO 16:1975).
#[must_use]
pub fn key_frequency(key: f64) -> f64 {
    440.0 * libm::exp2((key - 69.0) / 12.0)
}

/// Decay rate in nepers per second of a sound that falls by 60 dB in
/// `seconds`: ln(1000) / T60.
#[must_use]
pub fn decay_for_t60(seconds: f64) -> f64 {
    6.907_755_278_982_137 / seconds
}

/// Value at `x` in a table of (position, value) pairs with rising positions,
/// by straight lines between them and constant beyond the ends. An empty table
/// gives 0.
#[must_use]
pub fn interpolate(x: f64, table: &[(f64, f64)]) -> f64 {
    let after = table.partition_point(|&(position, _)| position <= x);
    match (after.checked_sub(1).map(|i| table[i]), table.get(after)) {
        (Some((x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
        (Some((_, y)), None) | (None, Some(&(_, y))) => y,
        (None, None) => 0.0,
    }
}

/// As [`interpolate`], but with the logarithm of the values on straight lines:
/// for positive quantities that range over decades.
#[must_use]
pub fn interpolate_geometric(x: f64, table: &[(f64, f64)]) -> f64 {
    let after = table.partition_point(|&(position, _)| position <= x);
    match (after.checked_sub(1).map(|i| table[i]), table.get(after)) {
        (Some((x0, y0)), Some(&(x1, y1))) => y0 * pow(y1 / y0, (x - x0) / (x1 - x0)),
        (Some((_, y)), None) | (None, Some(&(_, y))) => y,
        (None, None) => 0.0,
    }
}

/// A length in samples, to the nearest whole one (0 for negative lengths).
#[must_use]
pub fn samples(seconds: f64, rate: f64) -> usize {
    whole(seconds * rate)
}

/// Nearest whole number that is not negative.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates, and the value was clamped at zero"
)]
pub fn whole(x: f64) -> usize {
    x.round().max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_straight_between_and_flat_beyond() {
        let table = [(0.0, 1.0), (10.0, 100.0)];
        assert!((interpolate(5.0, &table) - 50.5).abs() < 1e-12);
        assert!((interpolate_geometric(5.0, &table) - 10.0).abs() < 1e-12);
        assert!((interpolate(-3.0, &table) - 1.0).abs() < 1e-12);
        assert!((interpolate_geometric(30.0, &table) - 100.0).abs() < 1e-12);
    }

    /// ISO 16 and equal temperament: middle C (key 60) is 261.6256 Hz.
    #[test]
    fn middle_c() {
        assert!((key_frequency(60.0) - 261.6256).abs() < 1e-4);
        assert!((cents_between(440.0, key_frequency(70.0)) - 100.0).abs() < 1e-9);
        assert!((amplitude(-6.0206) - 0.5).abs() < 1e-5);
    }
}
