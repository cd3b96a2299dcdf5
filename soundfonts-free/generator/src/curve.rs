//! A quantity over frequency, given at a few frequencies and read between them: what a spectrum or a
//! decay time looks like on the logarithmic paper it is printed on.

use crate::dsp::maths::{exp, ln};

/// Points (Hz, value), frequencies rising.
pub type Points = &'static [(f64, f64)];

/// The value at `hertz`, straight between the points over the logarithm of frequency and constant
/// beyond the ends. For levels in dB.
#[must_use]
pub fn level_at(points: Points, hertz: f64) -> f64 {
    read(points, hertz, |value| value)
}

/// The value at `hertz`, straight between the points on doubly logarithmic paper and constant beyond
/// the ends. For times and other quantities above zero.
#[must_use]
pub fn time_at(points: Points, hertz: f64) -> f64 {
    exp(read(points, hertz, ln))
}

/// Reads `points` at `hertz` on a paper whose vertical scale is `scale`.
fn read(points: Points, hertz: f64, scale: impl Fn(f64) -> f64) -> f64 {
    let after = points.partition_point(|&(corner, _)| corner <= hertz);
    match (points.get(after.wrapping_sub(1)), points.get(after)) {
        (Some(&(low, from)), Some(&(high, to))) => {
            let way = ln(hertz / low) / ln(high / low);
            scale(from) + way * (scale(to) - scale(from))
        }
        (Some(&(_, value)), None) | (None, Some(&(_, value))) => scale(value),
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_straight_over_octaves() {
        const LEVELS: Points = &[(100.0, -20.0), (1000.0, 0.0), (10_000.0, -6.0)];
        assert!(level_at(LEVELS, 1000.0).abs() < 1e-12);
        assert!((level_at(LEVELS, 316.227_766) + 10.0).abs() < 1e-6);
        assert!((level_at(LEVELS, 10.0) + 20.0).abs() < 1e-12);
        assert!((level_at(LEVELS, 20_000.0) + 6.0).abs() < 1e-12);
    }

    #[test]
    fn times_are_straight_on_doubly_logarithmic_paper() {
        const TIMES: Points = &[(100.0, 4.0), (10_000.0, 1.0)];
        assert!((time_at(TIMES, 1000.0) - 2.0).abs() < 1e-12);
    }
}
