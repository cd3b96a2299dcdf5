//! Rests. Their origin is the middle line; that of a whole rest the line it hangs from.

use super::outline::Outline;
use super::pen::{all, curves, disc, rectangle, stroke};

/// Hangs from its line.
pub(super) fn whole() -> Outline {
    rectangle(0.0, -0.54, 1.13, 0.0)
}

/// Lies on its line.
pub(super) fn half() -> Outline {
    rectangle(0.0, 0.0, 1.13, 0.54)
}

/// The crooked one.
pub(super) fn quarter() -> Outline {
    curves(
        (0.30, 1.48),
        &[
            // Down the right of the upper stroke, to the waist.
            [(0.50, 1.20), (0.84, 0.82), (0.98, 0.66)],
            [(1.06, 0.57), (1.04, 0.49), (0.95, 0.39)],
            [(0.74, 0.15), (0.62, -0.02), (0.62, -0.16)],
            [(0.62, -0.40), (0.80, -0.62), (1.06, -0.90)],
            // The tail: back to the left, and round the hollow.
            [(1.12, -0.97), (1.06, -1.04), (0.97, -1.00)],
            [(0.72, -0.88), (0.44, -0.86), (0.42, -1.08)],
            [(0.41, -1.20), (0.50, -1.34), (0.63, -1.43)],
            [(0.71, -1.49), (0.66, -1.57), (0.57, -1.52)],
            [(0.28, -1.37), (0.05, -1.14), (0.07, -0.86)],
            [(0.10, -0.60), (0.34, -0.52), (0.60, -0.60)],
            // Up the left side.
            [(0.42, -0.40), (0.24, -0.20), (0.08, -0.02)],
            [(0.01, 0.06), (0.01, 0.14), (0.08, 0.22)],
            [(0.26, 0.42), (0.42, 0.62), (0.42, 0.82)],
            [(0.42, 1.04), (0.32, 1.20), (0.20, 1.36)],
            [(0.14, 1.45), (0.24, 1.56), (0.30, 1.48)],
        ],
    )
}

/// A ball, with the arc that joins it to the stem at its right.
fn ball(x: f64, y: f64, end: (f64, f64)) -> Outline {
    all([
        disc(x, y, 0.27),
        stroke(&[
            (x - 0.05, y - 0.22, 0.06),
            (x + 0.28, y - 0.22, 0.10),
            (x + 0.52, y - 0.06, 0.10),
            (end.0, end.1, 0.07),
        ]),
    ])
}

/// One ball on a slanted stem.
pub(super) fn eighth() -> Outline {
    all([
        ball(0.27, 0.42, (0.98, 0.62)),
        stroke(&[(0.46, -0.98, 0.15), (0.72, -0.20, 0.13), (0.98, 0.62, 0.10)]),
    ])
}

/// Two balls.
pub(super) fn sixteenth() -> Outline {
    all([
        ball(0.50, 0.42, (1.22, 0.62)),
        ball(0.27, -0.58, (0.92, -0.38)),
        stroke(&[(0.40, -1.98, 0.15), (0.81, -0.70, 0.13), (1.22, 0.62, 0.10)]),
    ])
}

/// Three balls.
pub(super) fn thirty_second() -> Outline {
    all([
        ball(0.72, 1.42, (1.44, 1.62)),
        ball(0.50, 0.42, (1.14, 0.62)),
        ball(0.27, -0.58, (0.84, -0.38)),
        stroke(&[(0.32, -1.98, 0.15), (0.90, -0.10, 0.13), (1.44, 1.62, 0.10)]),
    ])
}
