//! Noteheads, from their left edge, on their own line.

use super::outline::Outline;
use super::pen::{all, ellipse, hole, polygon, stroke};

/// How wide black and half heads are.
pub(super) const WIDTH: f64 = 1.22;

/// The head of a quarter or shorter: an ellipse that leans into the stem.
pub(super) fn black() -> Outline {
    ellipse(WIDTH / 2.0, 0.0, 0.655, 0.455, (0.87, 0.46))
}

/// The head of a half: the same, with a slit along it.
pub(super) fn half() -> Outline {
    let slit = ellipse(WIDTH / 2.0, 0.0, 0.545, 0.215, (0.85, 0.53));
    ellipse(WIDTH / 2.0, 0.0, 0.655, 0.465, (0.87, 0.46)).joined(hole(&slit))
}

/// The head of a whole: broad, with a hole that leans against the reading direction.
pub(super) fn whole() -> Outline {
    let slit = ellipse(0.86, 0.0, 0.425, 0.290, (-0.46, 0.80));
    ellipse(0.86, 0.0, 0.86, 0.515, (1.0, 0.0)).joined(hole(&slit))
}

/// A cross, for what is touched rather than played.
pub(super) fn cross() -> Outline {
    let arm =
        |up: f64| stroke(&[(0.06, -0.44 * up, 0.19), (0.545, 0.0, 0.17), (1.03, 0.44 * up, 0.19)]);
    all([arm(1.0), arm(-1.0)])
}

/// A slash that marks a beat.
pub(super) fn slash() -> Outline {
    polygon(&[(0.0, -1.0), (0.68, -1.0), (1.70, 1.0), (1.02, 1.0)])
}

/// A slash with a hollow inside, for halves and wholes.
pub(super) fn open_slash() -> Outline {
    let inner = polygon(&[(0.44, -0.78), (1.10, -0.78), (1.90, 0.78), (1.24, 0.78)]);
    polygon(&[(0.0, -1.0), (1.24, -1.0), (2.34, 1.0), (1.10, 1.0)]).joined(hole(&inner))
}
