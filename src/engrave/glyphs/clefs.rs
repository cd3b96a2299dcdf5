//! Clefs. Their origin is on the line that they name.

use super::outline::Outline;
use super::pen::{all, disc, stroke};

/// The G clef: from the ball at its foot up the stem, over the loop, down through the bowl and
/// round the line of G.
pub(super) fn treble() -> Outline {
    all([
        // The stem, with a hook at its foot.
        stroke(&[
            (0.98, -2.30, 0.10),
            (1.30, -2.50, 0.15),
            (1.66, -2.33, 0.19),
            (1.80, -1.92, 0.17),
            (1.72, -1.10, 0.15),
            (1.42, 0.42, 0.14),
            (1.14, 2.10, 0.16),
            (1.10, 2.95, 0.20),
            (1.28, 3.72, 0.24),
            (1.54, 4.22, 0.15),
            (1.66, 4.40, 0.01),
        ]),
        // Over the loop, through the bowl, round G.
        stroke(&[
            (1.60, 4.36, 0.03),
            (1.83, 3.92, 0.20),
            (1.86, 3.20, 0.33),
            (1.62, 2.52, 0.37),
            (1.16, 1.92, 0.36),
            (0.62, 1.28, 0.40),
            (0.24, 0.56, 0.42),
            (0.20, -0.12, 0.36),
            (0.52, -0.68, 0.24),
            (1.08, -0.98, 0.16),
            (1.70, -0.94, 0.17),
            (2.28, -0.56, 0.26),
            (2.45, 0.06, 0.33),
            (2.18, 0.62, 0.35),
            (1.68, 0.80, 0.30),
            (1.18, 0.60, 0.28),
            (0.96, 0.14, 0.21),
            (1.08, -0.30, 0.12),
            (1.36, -0.56, 0.02),
        ]),
        disc(0.99, -1.98, 0.36),
    ])
}

/// The F clef: from the ball on its line over the top and down to the left; two dots.
pub(super) fn bass() -> Outline {
    all([
        stroke(&[
            (0.16, -0.05, 0.10),
            (0.14, 0.34, 0.13),
            (0.42, 0.80, 0.15),
            (0.98, 0.96, 0.17),
            (1.52, 0.74, 0.33),
            (1.80, 0.14, 0.44),
            (1.72, -0.60, 0.40),
            (1.36, -1.36, 0.28),
            (0.78, -2.00, 0.16),
            (-0.02, -2.50, 0.04),
        ]),
        disc(0.44, 0.00, 0.37),
        disc(2.42, 0.50, 0.20),
        disc(2.42, -0.50, 0.20),
    ])
}
